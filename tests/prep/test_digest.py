"""A digest is the same for the same value in any run, and another for another value."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path, PurePosixPath
from types import MappingProxyType
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel
from shapely import MultiPolygon, Polygon, box

from prep.digest import Digests, digest_of
from prep.shop import Shop


class Film(BaseModel):
    width: float = 1.0


class Press(BaseModel):
    width: float = 1.0


@dataclass(frozen=True)
class Point:
    x: object = None
    y: object = None


@dataclass(frozen=True)
class Place:
    x: object = None
    y: object = None


class Own:
    """Digests itself."""

    def __init__(self, said: str) -> None:
        self.said, self.asked = said, 0

    def digest(self) -> str:
        self.asked += 1
        return self.said


SQUARE = box(0, 0, 1, 1)
APART: list[object] = [
    None,
    False,
    True,
    0,
    1,
    0.0,
    1.0,
    1.0000000000000002,
    float("nan"),
    float("inf"),
    "",
    "1",
    "True",
    "None",
    b"",
    b"1",
    PurePosixPath("1"),
    (),
    ((),),
    ((), ()),
    (1,),
    (1, 2),
    (2, 1),
    ((1,), 2),
    ((1, 2),),
    ("ab", "c"),
    ("a", "bc"),
    frozenset(),
    frozenset({1}),
    frozenset({1, 2}),
    ({1}, 2),
    {},
    {"a": 1},
    {"a": 2},
    {"a": {}, "b": 1},
    {"a": {"b": 1}},
    {"a": {"b": {}}},
    ({}, "a", 1),
    ({"a": 1},),
    Film(),
    Film(width=2.0),
    Press(),
    Point(),
    Point(x=1),
    Point(y=1),
    Point(x={}, y=1),
    Point(x={"y": 1}),
    Place(),
    Film,
    Press,
    SQUARE,
    box(0, 0, 1, 2),
    MultiPolygon([SQUARE]),
    SQUARE.difference(box(0.2, 0.2, 0.4, 0.4)),
    Polygon(),
    np.zeros(2),
    np.zeros(3),
    np.zeros((2, 1)),
    np.zeros(2, dtype=np.float32),
    np.zeros(2, dtype=np.int64),
    np.array([0.0, 1.0]),
    Own("a"),
    Own("b"),
]


def test_different_values_have_different_digests() -> None:
    """No two of these are told for one another."""
    digests = [digest_of(value) for value in APART]
    twins = [
        (one, other)
        for i, one in enumerate(APART)
        for j, other in enumerate(APART[:i])
        if digests[i] == digests[j]
    ]
    assert twins == []
    assert all(len(digest) == 32 and int(digest, 16) >= 0 for digest in digests)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({"a": 1, "b": 2}, {"b": 2, "a": 1}),
        ({"a": 1}, MappingProxyType({"a": 1})),
        ({3, 1, 2}, {2, 3, 1}),
        (frozenset({"a", "b", "c"}), {"c", "b", "a"}),
        ([1, 2], (1, 2)),
        (Film(), Film(width=1.0)),
        (Point(1, (2,)), Point(1, (2,))),
        (box(0, 0, 1, 1), box(0, 0, 1, 1)),
        (np.arange(6).reshape(2, 3)[:, ::2], np.array([[0, 2], [3, 5]])),
        (np.float64(0.5), 0.5),
        (np.int64(5), 5),
        (Path("a") / "b", Path("a/b")),
        (Shop(), Shop()),
    ],
)
def test_equal_values_have_equal_digests(one: object, other: object) -> None:
    """Order of mappings and sets, and how an array lies in memory, don't matter."""
    assert digest_of(one) == digest_of(other)


def test_defaults_and_the_same_values_given_are_one() -> None:
    """What pydantic knows to have been set is no part of the value."""
    given_all = Shop.model_validate(Shop().model_dump(by_alias=True))
    assert given_all.model_fields_set != Shop().model_fields_set
    assert digest_of(given_all) == digest_of(Shop())


def test_a_value_with_a_digest_of_its_own_is_asked() -> None:
    """And only once."""
    own = Own("x")
    first = digest_of({"k": (own,)})
    assert own.asked == 1
    assert first == digest_of({"k": (Own("x"),)})
    # the class itself has a digest method too, but is no value with a digest
    assert digest_of(Own) != digest_of(own)


@pytest.mark.parametrize("value", [object(), Decimal(1), len, iter(()), {"deep": (object(),)}])
def test_what_has_no_digest_is_refused(value: object) -> None:
    """A silent repr could change from run to run."""
    with pytest.raises(TypeError, match="no digest for"):
        digest_of(value)


def test_digests_are_the_same_in_another_run() -> None:
    """String hashing differs between runs; digests don't."""
    value = "({'a', 'b', 'c'}, {'x': 1.5, 'y': (None, True)}, 'grün', box(0, 0, 1, 2))"
    code = f"from shapely import box; from prep.digest import digest_of; print(digest_of({value}))"
    runs = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={"PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    expected = digest_of(({"a", "b", "c"}, {"x": 1.5, "y": (None, True)}, "grün", box(0, 0, 1, 2)))
    assert runs == {f"{expected}\n"}


plain: st.SearchStrategy[Any] = st.recursive(
    st.none() | st.booleans() | st.integers(-2, 2) | st.sampled_from(["", "a", "b"]),
    lambda inner: (
        st.lists(inner, max_size=3).map(tuple)
        | st.dictionaries(st.sampled_from("ab"), inner, max_size=2)
    ),
    max_leaves=6,
)


def shape_of(value: object) -> object:
    """Give a value such that two are equal exactly when they are equal type for type."""
    if isinstance(value, Mapping):
        return "mapping", tuple(
            sorted((key, repr(shape_of(inner))) for key, inner in value.items())
        )
    if isinstance(value, tuple):
        return tuple(shape_of(inner) for inner in value)
    return type(value).__name__, value


@pytest.mark.parametrize("wrap", [lambda v: v, lambda v: Point(v), lambda v: (v, 1)])
@given(one=plain, other=plain)
def test_digests_agree_exactly_when_values_do(
    wrap: Callable[[object], object], one: object, other: object
) -> None:
    """Nested values are told apart, whatever they are made of."""
    same = repr(shape_of(one)) == repr(shape_of(other))
    assert (digest_of(wrap(one)) == digest_of(wrap(other))) == same


def test_arrays_of_objects_have_no_digest() -> None:
    """Their bytes are addresses, which differ from run to run."""
    with pytest.raises(TypeError, match="objects"):
        digest_of(np.array([None, "a"], dtype=object))


def test_a_value_that_is_held_is_digested_once() -> None:
    """Digests remember by identity, and give what digest_of gives, also after forgetting."""
    digests, own = Digests(kept=2), Own("one")
    assert digests.of(own) == digests.of(own) == digest_of(own)
    assert own.asked == 2  # once for itself, once for digest_of
    values = [(1, 2), (1, 2), [3], "4"]
    for _ in range(2):
        assert [digests.of(value) for value in values] == [digest_of(value) for value in values]
    digests.of(own)
    assert own.asked == 3


def test_arrays_of_geometries_are_known_by_their_shapes_and_how_these_lie() -> None:
    points = shapely.points([(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)])
    same = shapely.points([(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)])
    assert digest_of(points) == digest_of(same)
    assert digest_of(points) != digest_of(points[::-1])
    assert digest_of(points) != digest_of(points.reshape(2, 2))
    assert digest_of(points) != digest_of(
        shapely.points([(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 2.0)])
    )
