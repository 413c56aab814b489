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


def test_a_sharp_triangle_is_as_wide_as_its_largest_disc() -> None:
    """The width rises from the tip of 40° to the largest disc, whose radius is area over half outline."""
    half = math.radians(20)
    measures = measure(multi(Polygon([(0, 0), (1, -math.tan(half)), (1, math.tan(half))])))
    assert len(measures.openings.tips()) == 1
    (strip,) = measures.openings.strips()
    inradius = math.tan(half) / (1 / math.cos(half) + math.tan(half))
    assert strip.width_mm == pytest.approx(2 * inradius, abs=2e-6)
    assert strip.at_mm == pytest.approx((1 - inradius, 0), abs=1e-5)


def _leaf(long: float, wide: float, facets: int) -> Polygon:
    """Two arcs of circles from tip to tip."""
    radius = (long**2 + wide**2) / (4 * wide)
    turn = np.linspace(-1, 1, facets + 1) * math.asin(long / (2 * radius))
    above = np.stack([radius * np.sin(turn), radius * np.cos(turn) - radius + wide / 2], axis=1)
    return Polygon(np.concatenate([above, -above[1:-1]]))


@pytest.mark.parametrize("facets", [16, 17, 64, 65, 200])
@pytest.mark.parametrize("wide", [0.2, 1.0, 1.9])
def test_a_leaf_is_as_wide_as_its_middle_however_it_is_flattened(wide: float, facets: int) -> None:
    """Both ends are tips; between them is one place, told once."""
    measures = measure(multi(_leaf(20, wide, facets)))
    assert len(measures.openings.tips()) == 2
    (strip,) = measures.openings.strips()
    # the middle of an odd number of facets lies a sagitta in
    radius = (20**2 + wide**2) / (4 * wide)
    sagitta = radius * (1 - math.cos(math.asin(10 / radius) / facets))
    assert strip.width_mm == pytest.approx(wide, abs=2 * sagitta + 1e-6)


@pytest.mark.parametrize("facets", [40, 57, 90])
@pytest.mark.parametrize("corner_deg", [62, 66, 70, 80])
def test_no_width_begins_where_a_leaf_ends_in_a_blunt_corner(
    corner_deg: float, facets: int
) -> None:
    """5 mm and wider in the middle; towards a corner of 60° and more the width only ceases to count."""
    wide = 20 * math.tan(math.radians(corner_deg / 4))
    measures = measure(multi(_leaf(20, wide, facets)))
    assert wide > 5
    assert measures.finest_opening is None
    assert len(measures.openings) == 0


def test_a_spike_on_a_dot_hides_no_width() -> None:
    """A spike 0.05 mm long ends in a tip; the dot it stands on is as wide as it was."""
    corners = np.array(_uneven(3).exterior.coords)[:-1]
    corners[0] = (RADIUS_MM + 0.05, 0.0)
    measures = measure(multi(Polygon(corners)))
    least, most = _widths(5e-4)
    assert len(measures.openings.tips()) == 1
    assert measures.finest_opening is not None
    assert least <= measures.finest_opening.width_mm <= most


def test_an_equilateral_triangle_is_as_wide_as_its_largest_disc() -> None:
    """Corners of 60° are no tips, and make no width of their own."""
    measures = measure(multi(Polygon([(0, 0), (1.2, 0), (0.6, 0.6 * 3**0.5)])))
    (place,) = measures.openings
    assert place.width_mm == pytest.approx(1.2 / 3**0.5, abs=2e-6)
