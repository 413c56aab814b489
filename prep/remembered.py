"""Functions whose latest results are kept, for what takes long and rests on a part of a job alone."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from functools import wraps
from typing import Any, ParamSpec, TypeVar

import numpy as np

from prep.digest import digest_of

P = ParamSpec("P")
T = TypeVar("T")

_EVERY: list[dict[str, Any]] = []


def remembered(kept: int) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """Keep the results of a function that were asked for last, known by the digest of what it was given.

    For functions that nothing but their arguments decides and whose arguments :func:`digest_of` takes.
    Arrays in what they give can't be written to; what they raise isn't kept.

    :param kept: how many results, 1 or more
    """

    def keeping(function: Callable[P, T]) -> Callable[P, T]:
        known: dict[str, tuple[T]] = {}
        _EVERY.append(known)

        @wraps(function)
        def recalled(*args: P.args, **kwargs: P.kwargs) -> T:
            key = digest_of((args, kwargs))
            found = known.pop(key, None)
            if found is None:
                found = (function(*args, **kwargs),)
                _fix(found)
            known[key] = found
            while len(known) > kept:
                del known[next(iter(known))]
            return found[0]

        return recalled

    return keeping


def forget() -> None:
    """Let go of all results, so that everything is worked out anew."""
    for known in _EVERY:
        known.clear()


def _fix(value: object) -> None:
    """Let nobody write to the arrays in a value."""
    if isinstance(value, np.ndarray):
        value.setflags(write=False)
    elif isinstance(value, tuple | list):
        for item in value:
            _fix(item)
    elif isinstance(value, Mapping):
        _fix(tuple(value.values()))
    elif dataclasses.is_dataclass(value) and not isinstance(value, type):
        for field in dataclasses.fields(value):
            _fix(getattr(value, field.name))
