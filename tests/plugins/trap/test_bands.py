"""Bands along stretches of a border: one polygon each, unless they cross themselves."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from prep.borders import Border
from prep_trap.bands import MITRE_LIMIT, SLOPE, bands


def border(points: list[tuple[float, float]], *, closed: bool = False) -> Border:
    """A stretch through points; what is spread lies on its right."""
    at = np.array([*points, points[0]] if closed else points)
    run = np.zeros(len(at) - 1, dtype=np.int64)
    return Border(at[:-1], at[1:], run, np.array([closed]))


def band(along: Border, allowed: list[float]) -> tuple[int, float]:
    """Give how many polygons a band has, and its area."""
    width = np.array(allowed)
    made = bands(along, width, np.full(len(width), width.max()), np.array([True]))
    assert shapely.is_valid(made).all()
    return len(made), shapely.union_all(made).area


@pytest.mark.parametrize(
    ("points", "area"),
    [
        ([(0, 0), (0, 10)], 10.0),
        # towards the band a square less, away from it a square more
        ([(0, 0), (0, 10), (10, 10)], 19.0),
        ([(0, 0), (0, 10), (-10, 10)], 21.0),
        # two edges of 60°: the spike is cut off at the limit, where the cut is two times as wide as
        # what it lacks of the spike's length 2
        (
            [(0, 0), (0, 10), (-10 * math.sin(math.pi / 3), 10 - 10 * math.cos(math.pi / 3))],
            20.0 + math.tan(math.pi / 3) - (2.0 - MITRE_LIMIT) ** 2 * math.tan(math.pi / 6),
        ),
    ],
)
def test_a_stretch_is_one_polygon(points: list[tuple[float, float]], area: float) -> None:
    """1 mm wide, edges of 10 mm: closed forms."""
    assert band(border(points), [1.0] * (len(points) - 1)) == (1, pytest.approx(area))


@pytest.mark.parametrize("outward", [True, False])
def test_round_a_ring_it_is_one_polygon(outward: bool) -> None:
    """A regular polygon of n sides with apothem a: n tan(180°/n) ((a + w)² - a²), or inwards with a - w."""
    sides, radius = 24, 5.0
    turns = np.arange(sides) * (1 if outward else -1) * 2.0 * math.pi / sides
    points = [(radius * math.cos(t), radius * math.sin(t)) for t in turns.tolist()]
    apothem = radius * math.cos(math.pi / sides)
    beyond = apothem + (0.7 if outward else -0.7)
    area = sides * math.tan(math.pi / sides) * abs(beyond**2 - apothem**2)
    assert band(border(points, closed=True), [0.7] * sides) == (1, pytest.approx(area))


def test_where_it_crosses_itself_it_is_several() -> None:
    """A slot 0.8 mm wide and 10 mm deep, the border around it: 1 mm of band from both sides fills it."""
    many, area = band(border([(0, 0), (0, 10), (0.8, 10), (0.8, 0)]), [1.0] * 3)
    assert many > 1
    # each side's band goes on by 0.2 mm beyond the other
    assert area == pytest.approx(10 * 1.2)


def test_a_width_that_changes_comes_down_by_a_slope() -> None:
    """From 1 to 0.5 mm: the way there is (1 - 0.5) / SLOPE, on the wider piece."""
    straight = border([(0, 0), (0, 10), (0, 20)]).split(1.0)
    many, area = band(straight, [1.0] * 10 + [0.5] * 10)
    assert (many, area) == (1, pytest.approx(10 + 5 - 0.5 * 0.5 / SLOPE / 2))
