"""How far two colours lie apart to the eye: CIEDE2000, reckoned by coloraide."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from coloraide import Color

_MOST_LIGHTNESS_WEIGHT = 1.75
"""Above the formula's largest weight S_L = 1 + 0.015·50²/√(20 + 50²) = 1.747, at L* 0 and 100."""

Lab = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class NearEqual:
    """Colours that can hardly be told apart.

    :param colours: in the order given; each lies near at least one other
    :param least: difference of the closest two
    :param most: largest difference of two that lie near each other
    :param closest: the closest two, in the order given
    :param ends: of a chain, two that don't lie near each other, far apart; else none
    :param ends_apart: their difference, 0 where there are none
    """

    colours: tuple[str, ...]
    least: float
    most: float
    closest: tuple[str, str]
    ends: tuple[str, str] | None = None
    ends_apart: float = 0.0


def lab_of(colour: str) -> Lab:
    """Give CIELAB under D65, the white of sRGB, of ``#rrggbb``."""
    lightness, a, b = Color(colour).convert("lab-d65").coords()
    return float(lightness), float(a), float(b)


def lab_difference(one: Lab, other: Lab) -> float:
    """Give the CIEDE2000 difference of two CIELAB colours, all weights 1.

    Source: Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula", Color Research &
    Application 30(1), 2005, 21-30; reckoned by coloraide. Made for small differences, up to about 5.

    :param one: L*, a*, b*
    """
    return float(Color("lab-d65", one).delta_e(Color("lab-d65", other), method="2000"))


def difference(one: str, other: str) -> float:
    """Give the CIEDE2000 difference of two ``#rrggbb``.

    >>> round(difference("#000000", "#ffffff"), 6)
    100.0
    """
    return 0.0 if one == other else lab_difference(lab_of(one), lab_of(other))


def near_equal(colours: Iterable[str], tolerance: float) -> tuple[NearEqual, ...]:
    """Group colours that differ by less than a tolerance, directly or through others between them.

    Colours far from all others are in no group.

    :param colours: distinct ``#rrggbb``
    :param tolerance: CIEDE2000; 0 gives no groups
    """
    given = list(colours)
    pairs = sorted(_near_pairs(given, tolerance))
    group_of = {colour: {colour} for colour in given}
    for _, one, other in pairs:
        both = group_of[given[one]] | group_of[given[other]]
        group_of.update(dict.fromkeys(both, both))
    made = []
    for members in {id(group): group for group in group_of.values() if len(group) > 1}.values():
        own = [pair for pair in pairs if given[pair[1]] in members]
        least, one, other = own[0]
        ends = _ends([k for k, c in enumerate(given) if c in members], given, own)
        made.append(
            NearEqual(
                colours=tuple(c for c in given if c in members),
                least=least,
                most=own[-1][0],
                closest=(given[one], given[other]),
                ends=ends,
                ends_apart=difference(*ends) if ends else 0.0,
            )
        )
    return tuple(made)


def _ends(
    members: list[int], colours: list[str], near: list[tuple[float, int, int]]
) -> tuple[str, str] | None:
    """Give of those that don't lie near each other the two farthest apart in CIELAB."""
    if 2 * len(near) == len(members) * (len(members) - 1):
        return None
    labs = np.array([lab_of(colours[k]) for k in members])
    place = {k: row for row, k in enumerate(members)}
    close: list[list[int]] = [[row] for row in range(len(members))]
    for _, one, other in near:
        close[place[one]].append(place[other])
        close[place[other]].append(place[one])
    farthest, found = -1.0, (0, 0)
    for row, beside in enumerate(close):
        apart = np.linalg.norm(labs - labs[row], axis=1)
        apart[beside] = -1.0
        other = int(apart.argmax())
        if apart[other] > farthest:
            farthest, found = float(apart[other]), (row, other)
    return colours[members[found[0]]], colours[members[found[1]]]


def _near_pairs(colours: list[str], tolerance: float) -> list[tuple[float, int, int]]:
    """Give (difference, place of one, place of the other) of all that differ by less.

    The formula's terms of chroma and hue together are never negative, so two colours differ at
    least by their lightness over its weight; sorted by lightness, few pairs are left to reckon.
    """
    labs = [lab_of(colour) for colour in colours]
    by_lightness = sorted(range(len(labs)), key=lambda k: labs[k][0])
    found = []
    for place, one in enumerate(by_lightness):
        for other in by_lightness[place + 1 :]:
            if labs[other][0] - labs[one][0] >= tolerance * _MOST_LIGHTNESS_WEIGHT:
                break
            apart = lab_difference(labs[one], labs[other])
            if apart < tolerance:
                found.append((apart, min(one, other), max(one, other)))
    return found
