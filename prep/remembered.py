"""Functions whose latest results are kept, for what takes long and rests on a part of a job alone."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

from prep.digest import digest_of

P = ParamSpec("P")
T = TypeVar("T")


def remembered(kept: int) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """Keep the results of a function that were asked for last, known by the digest of what it was given.

    For functions that nothing but their arguments decides, whose arguments :func:`digest_of` takes and
    whose results are never changed. What it raises isn't kept.

    :param kept: how many results, 1 or more
    """

    def keeping(function: Callable[P, T]) -> Callable[P, T]:
        known: dict[str, tuple[T]] = {}

        @wraps(function)
        def recalled(*args: P.args, **kwargs: P.kwargs) -> T:
            key = digest_of((args, kwargs))
            found = known.pop(key, None) or (function(*args, **kwargs),)
            known[key] = found
            while len(known) > kept:
                del known[next(iter(known))]
            return found[0]

        return recalled

    return keeping
