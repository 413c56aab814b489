"""The order of screens, so that each frame comes down once. Imports nothing of prep."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import shapely
from shapely.geometry.base import BaseGeometry

MEET_MM = 1.0
"""Colours nearer than this can come to lie on each other, so that it matters which is printed first.
Our choice."""


@dataclass(frozen=True, slots=True, eq=False)
class Printed:
    """A screen as far as it matters for the order.

    :param lightness: CIE L* of its ink
    :param first: it goes before all after it, whether they meet or not: the order of printing says so
    :param before_all: it goes before all it meets, however light: discharge ink
    """

    key: str
    region: BaseGeometry
    lightness: float
    first: bool = False
    before_all: bool = False


def never_turned(screens: Sequence[Printed], as_light: float) -> list[tuple[str, str]]:
    """Give the pairs of screens that mustn't be printed the other way round.

    :param screens: first printed first
    :param as_light: difference in CIE L* from which it matters which of two that meet is printed first
    :return: (key of the one printed first, key of the other)
    """
    return [
        (one.key, other.key)
        for one, other in combinations(screens, 2)
        if one.first
        or (
            (one.before_all != other.before_all or abs(one.lightness - other.lightness) >= as_light)
            and shapely.dwithin(one.region, other.region, MEET_MM)
        )
    ]


def frame_by_frame(
    keys: Sequence[str], films: Mapping[str, str], before: Iterable[tuple[str, str]] = ()
) -> tuple[str, ...] | None:
    """Let screens of one film follow each other; otherwise they stay in the order given, where they can.

    :param keys: of the screens, first printed first
    :param films: key -> name of the film it is printed through
    :param before: pairs of which the first must be printed before the second
    :return: ``None`` where a frame would have to come down twice

    >>> films = {"a": "ac", "b": "b", "c": "ac"}
    >>> frame_by_frame("abc", films)
    ('a', 'c', 'b')
    >>> frame_by_frame("abc", films, [("b", "c")])
    ('b', 'a', 'c')
    >>> frame_by_frame("abc", films, [("a", "b"), ("b", "c")])
    """
    waiting: dict[str, set[str]] = {films[key]: set() for key in keys}
    for first, then in before:
        if films[first] != films[then]:
            waiting[films[then]].add(films[first])
    order: list[str] = []
    while waiting:
        ready = next((film for film, others in waiting.items() if not others), None)
        if ready is None:
            return None
        del waiting[ready]
        for others in waiting.values():
            others.discard(ready)
        order += (key for key in keys if films[key] == ready)
    return tuple(order)
