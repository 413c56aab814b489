"""A stable digest of what flows along the line, so that answers are reused only while nothing changed."""

from __future__ import annotations

import dataclasses
import hashlib
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import PurePath

import numpy as np
import shapely
from pydantic import BaseModel


def digest_of(value: object) -> str:
    """Give 32 hex digits that are equal when the values are, type for type; a number of
    numpy counts as the plain number it holds.

    Takes what flows: plain values, paths, tuples, lists, sets, mappings, numpy arrays, shapely
    geometries and arrays of them, pydantic models and dataclasses of these. A value with a ``digest()``
    method is asked for its own.

    :raises TypeError: for anything else; a silent ``repr`` could change from run to run
    """
    made = hashlib.blake2b(digest_size=16)
    for part in _parts(value):
        made.update(len(part).to_bytes(8, "little"))
        made.update(part)
    return made.hexdigest()


class Digests:
    """Digests of values that never change, each reckoned once for as long as it is kept here.

    A value is known by its identity, and held, so that no other can take its place. Holds the latest
    ``kept`` values.
    """

    def __init__(self, kept: int = 1024) -> None:
        """Hold nothing yet."""
        self._kept = kept
        self._of: dict[int, tuple[object, str]] = {}

    def of(self, value: object) -> str:
        """Give :func:`digest_of` a value."""
        known = self._of.get(id(value))
        if known is not None:
            return known[1]
        digest = digest_of(value)
        self._of[id(value)] = (value, digest)
        if len(self._of) > self._kept:
            del self._of[next(iter(self._of))]
        return digest


def _parts(value: object) -> Iterator[bytes]:
    own = getattr(value, "digest", None)
    if callable(own) and not isinstance(value, type):
        yield b"own"
        yield _name_of(type(value))
        yield str(own()).encode()
    elif isinstance(value, np.generic):  # before float: numpy's float64 is one
        yield from _parts(value.item())
    elif value is None or isinstance(value, bool | int | float | str | bytes | PurePath | date):
        yield type(value).__name__.encode()
        # a path may hold bytes that are no text
        yield value if isinstance(value, bytes) else str(value).encode(errors="surrogateescape")
    elif isinstance(value, np.ndarray):
        if value.dtype.hasobject:
            if not shapely.is_geometry(value).all():
                raise TypeError("no digest for an array of objects")
            yield f"geometries {value.shape}".encode()
            yield from shapely.to_wkb(value).ravel().tolist()
            return
        yield f"array {value.dtype.str} {value.shape}".encode()
        yield np.ascontiguousarray(value).tobytes()
    elif isinstance(value, shapely.Geometry):
        yield b"geometry"
        yield shapely.to_wkb(value)
    elif isinstance(value, BaseModel):
        yield _name_of(type(value))
        yield from _parts({name: getattr(value, name) for name in type(value).model_fields})
    elif dataclasses.is_dataclass(value) and not isinstance(value, type):
        yield _name_of(type(value))
        for field in dataclasses.fields(value):
            yield field.name.encode()
            yield from _parts(getattr(value, field.name))
    elif isinstance(value, Mapping):
        yield f"mapping {len(value)}".encode()
        for key in sorted(value, key=repr):
            yield from _parts(key)
            yield from _parts(value[key])
    elif isinstance(value, tuple | list):
        yield f"sequence {len(value)}".encode()
        for item in value:
            yield from _parts(item)
    elif isinstance(value, set | frozenset):
        yield f"set {len(value)}".encode()
        yield from sorted(digest_of(item).encode() for item in value)
    elif isinstance(value, type):
        yield b"type"
        yield _name_of(value)
    else:
        raise TypeError(f"no digest for {type(value).__qualname__}")


def _name_of(kind: type) -> bytes:
    return f"{kind.__module__}.{kind.__qualname__}".encode()
