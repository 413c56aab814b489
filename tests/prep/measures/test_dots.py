"""Small round pieces with an uneven edge still have a width."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely import MultiPolygon, Polygon, box

from prep.measures import measure
from tests.specimens import multi

RADIUS_MM = 0.25
CORNERS = 256


def _uneven(seed: int, stray_mm: float = 5e-4) -> Polygon:
    """A dot whose corners stray from its circle, as numbers with few decimals do."""
    turn = np.arange(CORNERS) * 2 * np.pi / CORNERS
    radius = RADIUS_MM + np.random.default_rng(seed).uniform(-stray_mm, stray_mm, CORNERS)
    return Polygon(radius[:, None] * np.stack([np.cos(turn), np.sin(turn)], axis=1))


def _widths(stray_mm: float) -> tuple[float, float]:
    """Any disc that fits has less than the outer radius; the inmost corners leave the least room."""
    least = 2 * (RADIUS_MM - stray_mm) * math.cos(math.pi / CORNERS)
    return least, 2 * (RADIUS_MM + stray_mm)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("stray_mm", [5e-5, 5e-4])
def test_a_dot_whose_corners_stray(seed: int, stray_mm: float) -> None:
    """It is as wide as its circle within what the corners stray, about its middle."""
    finest = measure(multi(_uneven(seed, stray_mm))).finest_opening
    least, most = _widths(stray_mm)
    assert finest is not None
    assert least - 1e-6 <= finest.width_mm <= most
    assert math.hypot(*finest.at_mm) <= 0.02
    assert finest.length_mm <= math.pi * RADIUS_MM * 1.1


@pytest.mark.parametrize("sheet", [None, box(-2, -2, 5, 2)])
def test_islands_whose_corners_stray(sheet: Polygon | None) -> None:
    """Film is as film, with a sheet and without, and every island has its own width."""
    islands = [_uneven(0), Polygon(np.add(_uneven(1).exterior.coords, (3, 0)))]
    around = box(-1.5, -1.5, 4.5, 1.5)
    measures = measure(
        MultiPolygon([Polygon(around.exterior, [i.exterior for i in islands])]), sheet=sheet
    )
    least, most = _widths(5e-4)
    widths = [island.narrowest_mm for island in measures.islands]
    assert len(widths) == 2
    assert all(width is not None and least <= width <= most for width in widths)
    strips = measures.gaps.take(np.isin(measures.gaps.piece, (1, 2))).strips()
    assert sorted(strips.piece.tolist()) == [1, 2]
    assert (np.diff(measures.gaps.width_mm) >= 0).all()


def test_a_wide_region_has_no_dot() -> None:
    """What is wider than the search has no place, whatever its edge."""
    large = Polygon(np.array(_uneven(0).exterior.coords) * 20)
    measures = measure(multi(large))
    assert measures.finest_opening is None
    assert len(measures.openings.strips()) == 0


def test_the_middle_of_a_sharp_triangle_is_its_tip() -> None:
    """The width rises from the corner of 40° to the largest disc: that is one place, the tip."""
    half = math.radians(20)
    measures = measure(multi(Polygon([(0, 0), (1, -math.tan(half)), (1, math.tan(half))])))
    assert len(measures.openings.tips()) == 1
    assert len(measures.openings.strips()) == 0


def test_a_spike_on_a_dot_hides_no_width() -> None:
    """A spike 0.05 mm long ends in a tip; the dot it stands on is as wide as it was."""
    corners = np.array(_uneven(3).exterior.coords)[:-1]
    corners[0] = (RADIUS_MM + 0.05, 0.0)
    measures = measure(multi(Polygon(corners)))
    least, most = _widths(5e-4)
    assert len(measures.openings.tips()) == 1
    assert measures.finest_opening is not None
    assert least <= measures.finest_opening.width_mm <= most


def test_no_sides_of_an_equilateral_triangle_face_each_other() -> None:
    """Corners of 60° are no tips, and make no width."""
    measures = measure(multi(Polygon([(0, 0), (1.2, 0), (0.6, 0.6 * 3**0.5)])))
    assert measures.finest_opening is None
