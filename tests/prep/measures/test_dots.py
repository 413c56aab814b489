"""Small round pieces with an uneven edge still have a width."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon, box

from prep.digest import digest_of
from prep.measures import measure, measure_narrow
from prep.measures.dots import LargestDiscs
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


def test_discs_are_looked_for_once_and_of_wide_pieces_only_roughly(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A square of 1 mm holds a disc of 1 mm; that of 3 mm is no narrower than 2 mm, and is under 4 mm."""
    looked: list[tuple[int, float]] = []
    found_by = shapely.maximum_inscribed_circle

    def counted(shapes: NDArray[np.object_], tolerance: float) -> NDArray[np.object_]:
        looked.append((len(shapes), tolerance))
        return np.asarray(found_by(shapes, tolerance))

    monkeypatch.setattr(shapely, "maximum_inscribed_circle", counted)
    discs = LargestDiscs(np.array([None, box(0, 0, 1, 1), box(5, 5, 8, 8)], dtype=object))
    every = np.ones(3, dtype=bool)
    piece, width, centre = discs.narrower_than(3.5, every)
    np.testing.assert_array_equal(piece, [1, 2])
    np.testing.assert_allclose(width, [1, 3], atol=2e-6)
    np.testing.assert_allclose(centre, [[0.5, 0.5], [6.5, 6.5]], atol=1e-5)
    exact = [count for count, tolerance in looked if tolerance < 1e-5]
    assert exact == [2]
    assert discs.narrower_than(2.0, every)[0].tolist() == [1]
    assert discs.narrower_than(3.5, every)[0].tolist() == [1, 2]
    assert discs.narrower_than(3.5, np.array([True, False, True]))[0].tolist() == [2]
    assert [count for count, tolerance in looked if tolerance < 1e-5] == [2]

    looked.clear()
    # 9 mm² over 12 mm of outline doesn't tell yet that a disc of 2.8 mm fits
    fresh = LargestDiscs(discs.shapes)
    assert fresh.narrower_than(2.8, np.array([False, False, True]))[0].tolist() == []
    assert [count for count, tolerance in looked if tolerance > 1e-5] == [1]
    assert [count for count, tolerance in looked if tolerance < 1e-5] == []


def test_narrow_places_alone_are_those_of_the_whole_measurement() -> None:
    """Strokes, a dot, islands with a neck beside them: to the last digit."""
    islands = [_uneven(0), Polygon(np.add(_uneven(1).exterior.coords, (3, 0)))]
    around = Polygon(box(-1.5, -1.5, 4.5, 1.5).exterior, [i.exterior for i in islands])
    dot = Polygon(np.add(_uneven(2).exterior.coords, (8, 0)))
    region = MultiPolygon([around, dot, box(0, 2, 5, 2.3), box(0, 2.5, 5, 9)])
    whole, narrow = measure(region), measure_narrow(region)
    assert len(narrow.openings) >= 2
    assert len(narrow.gaps) >= 3
    assert digest_of(narrow.openings) == digest_of(whole.openings)
    assert digest_of(narrow.gaps) == digest_of(whole.gaps)
    assert [(i.at_mm, i.narrowest_mm) for i in narrow.islands] == [
        (i.at_mm, i.narrowest_mm) for i in whole.islands
    ]
    assert narrow.places_to_mm == whole.places_to_mm
    nothing = measure_narrow(MultiPolygon())
    assert (len(nothing.openings), len(nothing.gaps), nothing.islands) == (0, 0, ())
