"""What the blade does: order, way, weeding lines, sharp corners, seams, packing."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse.csgraph import minimum_spanning_tree
from shapely import MultiPolygon, Point, Polygon, box

from prep.testing import as_multipolygon
from prep_stencils.corners import sharp_corners
from prep_stencils.cut_order import cut_order, must_precede, travel_mm
from prep_stencils.outlines import open_rings
from prep_stencils.packing import packed
from prep_stencils.seams import seams
from prep_stencils.walk import shortened
from prep_stencils.weeding import SHORTEST_MM, weeding

Rings = list[np.ndarray]


def _rings(*shapes: Polygon) -> Rings:
    return [np.asarray(shape.exterior.coords)[:-1] for shape in shapes]


def _plain_walk_mm(rings: Rings) -> float:
    """Go from first point to the nearest first point not yet visited, from the corner on."""
    points = np.array([ring[0] for ring in rings])
    left, at, way = np.ones(len(points), dtype=bool), np.zeros(2), 0.0
    for _ in points:
        away = np.where(left, np.hypot(*(points - at).T), np.inf)
        nearest = int(away.argmin())
        way, at, left[nearest] = way + float(away[nearest]), points[nearest], False
    return way


def _least_mm(rings: Rings) -> float:
    """Bound the travel from below: no way through all outlines is shorter than a least tree of gaps."""
    lines = np.array([shapely.linearrings(ring) for ring in rings], dtype=object)
    gaps = shapely.distance(lines[:, None], lines[None, :])
    return float(minimum_spanning_tree(np.maximum(gaps, 1e-9)).sum())


def test_inner_outlines_are_cut_before_outer_ones() -> None:
    """A dot in a ring's hole, the hole, the ring: whatever the order they come in."""
    ring, hole, dot = box(0, 0, 30, 30), box(5, 5, 25, 25), box(14, 14, 16, 16)
    for shapes in ([ring, hole, dot], [dot, ring, hole], [hole, dot, ring]):
        order = cut_order(_rings(*shapes)).order.tolist()
        assert [shapes[k] for k in order] == [dot, hole, ring]


def test_the_smaller_of_two_beside_each_other_is_cut_first() -> None:
    """A speck 1 mm beside a plate, though the plate lies nearer to the blade's rest."""
    plate, speck = box(1, 1, 40, 40), box(41, 20, 43, 22)
    assert cut_order(_rings(plate, speck)).order.tolist() == [1, 0]
    far = box(50, 20, 52, 22)
    assert cut_order(_rings(plate, far)).order.tolist() == [0, 1]


def test_travel_worked_by_hand() -> None:
    """Three squares in a row from the corner on: 1 mm to the first, then two gaps of 4 mm on one line."""
    squares = [box(x, 0, x + 1, 1) for x in (11, 1, 6)]
    cut = cut_order(_rings(*squares))
    assert cut.order.tolist() == [1, 2, 0]
    assert cut.travel_mm == pytest.approx(
        1.0 + 5.0 + 5.0
    )  # corner to corner: each ends where it began
    assert travel_mm(_rings(*squares), cut.order, cut.enters) == pytest.approx(cut.travel_mm)


def test_no_outlines_no_way() -> None:
    """Nothing to cut."""
    cut = cut_order([])
    assert (len(cut.order), cut.travel_mm) == (0, 0.0)


@settings(max_examples=40)
@given(st.lists(st.tuples(st.integers(0, 90), st.integers(0, 90), st.integers(1, 8)), min_size=1))
def test_every_outline_once_and_none_too_early(given_boxes: list[tuple[int, int, int]]) -> None:
    """Outlines of random unions of squares, and what must come before what."""
    region = as_multipolygon(
        shapely.union_all([box(x, y, x + s, y + s).buffer(-0.01) for x, y, s in given_boxes])
    )
    rings = open_rings(region)
    cut = cut_order(rings)
    assert sorted(cut.order.tolist()) == list(range(len(rings)))
    place = np.argsort(cut.order)
    earlier, later = must_precede(rings)
    assert (place[earlier] < place[later]).all()
    assert cut.travel_mm >= _least_mm(rings) - 1e-6


def test_travel_on_scattered_art_beats_the_plain_walk() -> None:
    """120 discs of two sizes: no longer than from nearest to nearest, no shorter than the bound."""
    random = np.random.default_rng(3)
    shapes = [
        Point(*random.uniform(0, 300, 2)).buffer(r)
        for r in np.where(random.uniform(size=120) < 0.5, 1.0, 3.0)
    ]
    rings = open_rings(as_multipolygon(shapely.union_all(shapes)))
    cut = cut_order(rings)
    assert _least_mm(rings) <= cut.travel_mm <= _plain_walk_mm(rings)


def test_a_walk_is_shortened_without_breaking_what_must_come_first() -> None:
    """Four points on a line, visited to and fro: straight on is best, but where 3 must come before 1."""
    points = np.array([(1.0, 0.0), (2.0, 0.0), (3.0, 0.0), (4.0, 0.0)])
    start, none = np.zeros(2), [[], [], [], []]
    free = shortened(np.array([2, 0, 3, 1]), points, none, none, start)
    assert free.tolist() == [0, 1, 2, 3]
    bound = shortened(
        np.array([2, 0, 3, 1]), points, [[], [], [], [1]], [[], [3], [], []], start
    ).tolist()
    assert bound.index(3) < bound.index(1)


def test_weeding_lines_worked_by_hand() -> None:
    """100 × 50 mm in pieces of 40 at most: cut at 33.3, 66.7 and 25 mm, 0.3 mm clear of the edge."""
    made = weeding(as_multipolygon(box(0, 0, 100, 50)), 40.0, 0.3)
    third = 100 / 3
    wanted = [
        [[third, 0.3], [third, 49.7]],
        [[2 * third, 0.3], [2 * third, 49.7]],
        [[0.3, 25.0], [99.7, 25.0]],
    ]
    np.testing.assert_allclose(made.lines, wanted)
    assert made.pieces == 6


def test_waste_no_larger_than_a_piece_is_not_parted() -> None:
    """Nothing is cut, each opening is a piece."""
    made = weeding(MultiPolygon([box(0, 0, 40, 40), box(50, 0, 60, 5)]), 40.0, 0.3)
    assert (len(made.lines), made.pieces) == (0, 2)


def test_pieces_are_those_of_lines_that_are_cut() -> None:
    """A frame of 300 mm whose strip is 1.5 mm wide takes no line, so it is lifted as one piece."""
    frame = box(0, 0, 300, 300).difference(box(1.5, 1.5, 298.5, 298.5))
    made = weeding(as_multipolygon(frame), 120.0, 0.3)
    assert (len(made.lines), made.pieces) == (0, 1)
    wide = weeding(
        as_multipolygon(box(0, 0, 300, 300).difference(box(10, 10, 290, 290))), 160.0, 0.3
    )
    assert (len(wide.lines), wide.pieces) == (4, 4)  # one line across each side


@settings(max_examples=30)
@given(
    holes=st.lists(
        st.tuples(st.floats(5, 195), st.floats(5, 145), st.floats(0.5, 25)), max_size=12
    ),
    piece=st.floats(15, 120),
)
def test_no_weeding_line_touches_film_that_stays(
    holes: list[tuple[float, float, float]], piece: float
) -> None:
    """Whatever islands lie in an opening, lines keep their distance from all that stays.

    At corners it is kept by arcs of eight steps a quarter, which lie inside by a share of 1 - cos(pi/32).
    """
    stays = shapely.union_all([Point(x, y).buffer(r, 8) for x, y, r in holes])
    openings = as_multipolygon(box(0, 0, 200, 150).difference(stays))
    made = weeding(openings, piece, 0.3)
    lines = shapely.linestrings(made.lines)
    assert shapely.within(lines, openings).all()
    assert (shapely.distance(lines, openings.boundary) >= 0.3 * np.cos(np.pi / 32) - 1e-6).all()
    assert (shapely.length(lines) >= SHORTEST_MM - 1e-9).all()
    assert made.pieces >= len(openings.geoms)


def test_sharp_corners_worked_by_hand() -> None:
    """A right triangle of legs 20 and 3 mm: arctan(3/20) = 8.5° alone is under 30°."""
    found = sharp_corners(_rings(Polygon([(0, 0), (20, 0), (20, 3)])), 0.25, 30.0)
    assert found.at.tolist() == [[0.0, 0.0]]
    assert found.angle_deg[0] == pytest.approx(np.degrees(np.arctan2(3, 20)))


def test_a_corner_made_of_short_steps_is_one() -> None:
    """A hairpin of 0.05 mm radius turns by 180° within less than the blade's offset."""
    hairpin = shapely.LineString([(0, 0), (20, 0)]).buffer(0.05, 16)
    found = sharp_corners(_rings(hairpin), 0.25, 60.0)
    assert len(found) == 2
    assert sorted(found.at[:, 0].round().tolist()) == [0.0, 20.0]
    assert len(sharp_corners(_rings(Point(0, 0).buffer(5, 32)), 0.25, 120.0)) == 0


def test_seams_worked_by_hand() -> None:
    """300 mm on film of 200: the furthest place, 195, lies over an opening, so the gap before it is taken.

    The opening from 120 begins 10 mm after the seam's middle: 5 mm of overlap and 5 mm clear.
    """
    assert seams(0, 300, [(10, 90), (120, 200)], 200, 10, 5) == (110.0,)
    assert seams(0, 300, [(10, 290)], 200, 10, 5) is None
    assert seams(0, 180, [(10, 170)], 200, 10, 5) == ()
    assert seams(0, 500, [], 200, 10, 5) == (195.0, 385.0)


@given(
    spans=st.lists(st.tuples(st.floats(0, 900), st.floats(0.5, 120)), max_size=8),
    film=st.floats(80, 400),
)
def test_seams_lie_in_solid_film_and_strips_fit(
    spans: list[tuple[float, float]], film: float
) -> None:
    """No opening within what stays clear of an overlap; every strip at most as wide as the film."""
    openings = [(low, low + wide) for low, wide in spans]
    made = seams(-10.0, 1030.0, openings, film, 10.0, 5.0)
    if made is None:
        return
    starts = [-10.0, *(at - 5.0 for at in made)]
    ends = [*(at + 5.0 for at in made), 1030.0]
    assert all(0.0 < end - start <= film + 1e-6 for start, end in zip(starts, ends, strict=True))
    for at in made:
        assert all(high <= at - 10.0 + 1e-9 or low >= at + 10.0 - 1e-9 for low, high in openings)


def test_packing_worked_by_hand() -> None:
    """Five films of 200 × 300 mm, two beside each other on 500 mm: three rows; 40 % is left over.

    0.9 m × 0.5 m are 0.45 m2, the films 0.3 m2: a third is left over.
    """
    made = packed([(200.0, 300.0)] * 5, 500.0)
    assert made.length_mm == 900.0
    assert made.waste == pytest.approx(1.0 / 3.0)
    assert [(p.across_mm, p.along_mm) for p in made.places[:3]] == [(0, 0), (200, 0), (0, 300)]


def test_packing_on_sheets() -> None:
    """Sheets of 500 × 700 mm hold two rows: five films take two sheets."""
    made = packed([(200.0, 300.0)] * 5, 500.0, 700.0)
    assert (made.sheets, made.length_mm) == (2, 1400.0)
    assert [p.sheet for p in made.places] == [0, 0, 0, 0, 1]
    with pytest.raises(ValueError, match="larger"):
        packed([(200.0, 701.0)], 500.0, 700.0)


@given(
    sizes=st.lists(st.tuples(st.floats(20, 500), st.floats(20, 400)), min_size=1, max_size=12),
    on_sheets=st.booleans(),
)
def test_packed_films_lie_apart_and_within(
    sizes: list[tuple[float, float]], on_sheets: bool
) -> None:
    """None over another, none over the edge; and no less film than their areas need."""
    length = 450.0 if on_sheets else float("inf")
    made = packed(sizes, 500.0, length)
    boxes = [
        box(
            p.across_mm, p.along_mm + 1e4 * p.sheet, p.across_mm + w, p.along_mm + h + 1e4 * p.sheet
        )
        for p, (w, h) in zip(made.places, sizes, strict=True)
    ]
    for k, one in enumerate(boxes):
        assert one.bounds[2] <= 500.0 + 1e-6
        assert made.places[k].along_mm + sizes[k][1] <= min(length, made.length_mm) + 1e-6
        assert all(one.intersection(other).area < 1e-4 for other in boxes[:k])
    assert made.length_mm * 500.0 >= sum(w * h for w, h in sizes) - 1e-6
