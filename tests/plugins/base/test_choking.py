"""The choke: closed forms, KLayout, and what a base never does."""

from __future__ import annotations

import math

import klayout.db as kdb
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, Polygon, box
from shapely.affinity import rotate
from shapely.geometry.base import BaseGeometry

from prep.artwork import Artwork
from prep.measures import measure
from prep.separations import separate
from prep_base.choking import Limits, choked, narrower_than, offset, without_beads
from prep_base.planning import joined, narrow_parts
from prep_base.settings import Base
from tests.strategies import artworks

GRID_MM = 1e-4
NONE = MultiPolygon()


def disc(radius: float) -> Polygon:
    """A disc flattened as finely as artwork is."""
    return Point(0, 0).buffer(radius, quad_segs=256)


def test_a_disc() -> None:
    """Radius 10 choked 0.35: pi 9.65², less what 1,024 sides lack."""
    made = choked(disc(10), NONE, 0.35).region
    assert made.area == pytest.approx(math.pi * 9.65**2, rel=1e-5)


def test_a_square_keeps_its_corners_and_a_notch_gets_round() -> None:
    """Side 10 choked 1: 8 x 8. An inner corner of an L is drawn in round: a quarter disc more is left."""
    assert choked(box(0, 0, 10, 10), NONE, 1.0).region.area == pytest.approx(64)
    ell = box(0, 0, 20, 20).difference(box(10, 10, 20, 20))
    # mitred it would be 18² - 10²; round, the square of side 1 at the notch loses only a quarter disc
    expected = 18**2 - 10**2 + (1 - math.pi / 4)
    assert choked(ell, NONE, 1.0).region.area == pytest.approx(expected, rel=1e-4)


def test_an_annulus() -> None:
    """From 5 to 10 choked 0.7: from 5.7 to 9.3; the hole grows."""
    made = choked(disc(10).difference(disc(5)), NONE, 0.7).region
    assert made.area == pytest.approx(math.pi * (9.3**2 - 5.7**2), rel=1e-4)


@pytest.mark.parametrize("choke_mm", [0.1, 0.35, 0.7])
@pytest.mark.parametrize("seed", range(4))
def test_klayout_chokes_the_same(seed: int, choke_mm: float) -> None:
    """Forty boxes and discs laid over each other, against ``Region.sized``: the same but for corners.

    At inner corners KLayout goes out to a point (mode 2) where the choke is round.
    """
    random = np.random.default_rng(seed)
    shapes = [
        rotate(box(x, y, x + w, y + h), turn) if turn < 120 else Point(x, y).buffer(w, quad_segs=64)
        for x, y, w, h, turn in zip(
            *random.uniform(0, 60, (2, 40)),
            *random.uniform(1, 9, (2, 40)),
            random.uniform(0, 180, 40),
            strict=True,
        )
    ]
    on = joined(shapes)
    own, theirs = choked(on, NONE, choke_mm).region, _sized(on, -choke_mm)
    assert own.area > 300
    assert shapely.difference(theirs, offset(own, 2 * GRID_MM)).area < 1e-3
    # a chord of a round corner lies up to 0.5 % of the choke inside the arc
    corners = shapely.difference(own, offset(theirs, 0.006 * choke_mm + 2 * GRID_MM))
    points = shapely.points(shapely.get_coordinates(corners))
    assert np.max(shapely.distance(points, on.boundary)) < 1.6 * choke_mm
    assert corners.area < 40 * choke_mm**2


def _sized(region: MultiPolygon, by_mm: float) -> BaseGeometry:
    layer = kdb.Region()
    for polygon in region.geoms:
        made = kdb.Polygon(_points(polygon.exterior))
        for hole in polygon.interiors:
            made.insert_hole(_points(hole))
        layer.insert(made)
    grown = layer.sized(round(by_mm / GRID_MM), 2)
    parts = []
    for piece in grown.merged().each():
        hull = [(p.x * GRID_MM, p.y * GRID_MM) for p in piece.each_point_hull()]
        holes = [
            [(p.x * GRID_MM, p.y * GRID_MM) for p in piece.each_point_hole(k)]
            for k in range(piece.holes())
        ]
        parts.append(shapely.make_valid(Polygon(hull, holes)))
    return shapely.union_all(parts)


def _points(ring: shapely.LinearRing) -> list[kdb.Point]:
    return [kdb.Point(round(x / GRID_MM), round(y / GRID_MM)) for x, y in ring.coords[:-1]]


def test_klayout_agrees_exactly_on_right_angles() -> None:
    """A cross: convex corners alone differ in no style; inner corners get KLayout's point."""
    cross = shapely.union(box(0, 10, 30, 20), box(10, 0, 20, 30))
    own, theirs = choked(cross, NONE, 0.7).region, _sized(MultiPolygon([cross]), -0.7)
    # four inner corners: ours keeps (1 - pi/4) 0.7² more at each
    expected = 4 * (1 - math.pi / 4) * 0.49
    assert own.area - theirs.area == pytest.approx(expected, rel=0.02)


def test_nothing_is_drawn_in_along_white() -> None:
    """A square beside visible white: choked on three sides only."""
    made = choked(box(0, 0, 10, 10), box(10, -5, 20, 15), 1.0).region
    assert made.bounds == pytest.approx((1, 1, 10, 9), abs=1e-4)
    assert made.area == pytest.approx(9 * 8, abs=1e-3)


def test_parts_beside_the_white_near_it_and_far_from_it() -> None:
    """Along white nothing is drawn in; 0.3 mm away from it all four sides are, as far from it."""
    white, c = box(0, -5, 40, 0), 0.5
    beside, near, far = box(0, 0, 10, 10), box(15, 0.3, 25, 10.3), box(30, 20, 40, 30)
    made = choked(MultiPolygon([beside, near, far]), white, c).region
    expected = [box(c, 0, 10 - c, 10 - c), box(15 + c, 0.3 + c, 25 - c, 10.3 - c)]
    expected.append(box(30 + c, 20 + c, 40 - c, 30 - c))
    assert len(made.geoms) == 3
    assert made.symmetric_difference(MultiPolygon(expected)).area < 0.01


def test_a_thin_white_outline_costs_the_colour_nothing() -> None:
    """White 0.3 mm wide all around: the choke isn't counted through it."""
    inner = box(0, 0, 10, 10)
    outline = inner.buffer(0.3, join_style="mitre").difference(inner)
    assert choked(inner, outline, 0.7).region.area == pytest.approx(100)


def test_parts_the_choke_erases_are_told() -> None:
    """A bar 1 mm wide beside a square, choked 0.6: the bar gets no base and is named."""
    bar = box(20, 0, 21, 10)
    made = choked(
        shapely.union_all([box(0, 0, 10, 10), bar]), NONE, 0.6, limits=Limits(0.5, 1.0, 1.5)
    )
    # corners of the base are rounded to half of the 1.0 mm kept
    assert made.region.area == pytest.approx(8.8**2 - (4 - math.pi) * 0.25, abs=0.01)
    assert [part.equals(bar) for part in made.bare] == [True]


def test_what_is_left_too_thin_is_left_out() -> None:
    """A stem 1.2 mm wide on a square, choked 0.35: 0.5 mm stay. At a limit of 0.6 mm none does."""
    shape = shapely.union(box(0, 0, 10, 10), box(4.4, 10, 5.6, 20))
    stem = box(4, 11, 6, 25)
    for limit, width in ((0.4, 0.5), (0.6, 0.0)):
        made = choked(shape, NONE, 0.35, limits=Limits(limit, 1.0, 1.5)).region
        left = shapely.intersection(made, stem)
        assert left.area == pytest.approx(width * 8.65, abs=0.03)
        assert not made.intersection(box(1, 1, 9, 9)).symmetric_difference(box(1, 1, 9, 9)).area


def test_a_narrow_part_takes_less() -> None:
    """The stem choked 0.1 mm, the square 0.35: the stem keeps 1.0 mm."""
    stem = box(4.4, 10.5, 5.6, 20)
    shape = shapely.union(box(0, 0, 10, 10), box(4.4, 10, 5.6, 20))
    made = choked(shape, NONE, 0.35, narrow=[(stem, 0.1)]).region
    there = shapely.intersection(made, box(0, 12, 10, 15))
    assert there.bounds[0] == pytest.approx(4.5)
    assert there.area == pytest.approx(3.0)


@settings(max_examples=15, deadline=None)
@given(drawn=artworks(), choke_mm=st.sampled_from([0.2, 0.5, 0.9]))
def test_a_base_never_reaches_bare_shirt(drawn: Artwork, choke_mm: float) -> None:
    """It lies in the colours, and no point of it is nearer to bare shirt than the choke."""
    regions = [s.region for s in separate(drawn) if not s.region.is_empty]
    if not regions:
        return
    on = joined(regions)
    base = choked(on, NONE, choke_mm, limits=Limits(0.5, 1.0, 1.5)).region
    assert shapely.difference(base, on).area < 1e-9
    if not base.is_empty:
        points = shapely.points(shapely.get_coordinates(base))
        # a disc's flattening lets a chord come 0.5 % nearer
        assert np.min(shapely.distance(points, on.boundary)) > 0.99 * choke_mm


def test_cracks_of_rounding_are_closed_and_gaps_are_not() -> None:
    """Two squares 0.01 mm apart become one; 0.05 mm apart they stay two, each as it was."""
    close = joined([box(0, 0, 10, 10), box(10.01, 0, 20, 10)])
    assert len(close.geoms) == 1
    assert close.area == pytest.approx(200, abs=0.01)
    apart = joined([box(0, 0, 10, 10), box(10.05, 0, 20, 10)])
    assert len(apart.geoms) == 2
    assert apart.area == pytest.approx(100 + 99.5)


def test_no_slit_is_left_where_edges_lie_on_each_other_but_for_rounding() -> None:
    """Slanted edges shared by parts whose points lie on them to rounding: only the outer edge is left.

    A slit as wide as a rounding error would be choked on both sides.
    """
    random = np.random.default_rng(3)
    for _ in range(50):
        far = random.uniform(50, 200, 2)
        share = np.sort(random.uniform(0.1, 0.9, 6))
        along = [(x, y) for x, y in share[:, None] * far]
        left = Polygon([(0, 0), *along, tuple(far), (0, far[1])])
        right = Polygon([(0, 0), tuple(far), (far[0], 0)])
        made = joined([left, right])
        assert made.boundary.length == pytest.approx(2 * far.sum(), abs=1e-3)
        assert made.area == pytest.approx(far.prod(), abs=1e-3)


def test_a_neck_that_narrows_keeps_its_base_in_one() -> None:
    """A bar that narrows from 4 to 1.6 mm and widens again: the base goes through, 1.0 mm wide at least."""
    x = np.linspace(0, 60, 121)
    half = 1.4 + 0.6 * np.cos(2 * np.pi * x / 60)
    bar = Polygon([*zip(x, half, strict=True), *zip(x[::-1], -half[::-1], strict=True)])
    region = MultiPolygon([bar])
    narrow = narrow_parts(region, narrower_than(region, 2.4), 0.7, Base())
    made = choked(region, NONE, 0.7, narrow=narrow, limits=Limits(0.5, 1.0, 1.5)).region
    assert len(made.geoms) == 1
    strips = measure(made).openings.strips()
    assert strips.width_mm.min() == pytest.approx(1.0, abs=0.15)
    # at the wide ends the whole choke holds
    assert made.distance(shapely.Point(5, half[10])) == pytest.approx(0.7, abs=0.02)


def notched(neck_mm: float) -> Polygon:
    """Two squares side by side, with a notch on either side that leaves a neck between its points."""
    half = neck_mm / 2
    upper = [(4.5, 5), (5, 2.5 + half), (5.5, 5)]
    lower = [(5.5, 0), (5, 2.5 - half), (4.5, 0)]
    return Polygon([(0, 0), (0, 5), *upper, (10, 5), (10, 0), *lower])


@pytest.mark.parametrize(("neck_mm", "pieces", "finest_mm"), [(1.0, 1, 0.6), (0.85, 2, None)])
def test_a_short_neck_is_kept_whole_or_goes(
    neck_mm: float, pieces: int, finest_mm: float | None
) -> None:
    """Choked 0.2 a side, 1.0 leaves 0.6 mm, more than the 0.5 that can be made; 0.85 leaves 0.45."""
    made = choked(notched(neck_mm), NONE, 0.2, limits=Limits(0.5, 1.0, 1.5)).region
    assert len(made.geoms) == pieces
    strips = measure(made).openings.strips().narrower_than(0.9).width_mm
    assert strips.tolist() == pytest.approx([] if finest_mm is None else [finest_mm], abs=0.01)


@pytest.mark.parametrize(
    ("neck_mm", "slot_mm", "pieces"), [(0.7, 0.16, 1), (0.7, 0.12, 1), (0.55, 0.05, 2)]
)
def test_a_neck_between_discs_that_all_but_touch_is_kept_whole_or_goes(
    neck_mm: float, slot_mm: float, pieces: int
) -> None:
    """Slots cut down to a neck; choked 0.05 a side 0.7 leaves 0.6 mm, and 0.55 leaves 0.45.

    A disc of 0.5 mm stops where its middle is 0.55 from a slot's corner: sqrt(0.55² - 0.35²) = 0.424 mm
    beyond it. So slots 0.16 mm wide leave 0.009 mm between discs on both sides, and those 0.12 mm wide
    none; at the narrower neck 0.05 mm leave 0.003 mm.
    """
    half, side = neck_mm / 2, slot_mm / 2
    slots = [box(-side, half, side, 5), box(-side, -5, side, -half)]
    made = choked(
        box(-5, -5, 5, 5).difference(shapely.union_all(slots)),
        NONE,
        0.05,
        limits=Limits(0.5, 1.0, 1.5),
    ).region
    assert len(made.geoms) == pieces
    if pieces == 2:
        across = shapely.intersection(made, box(-1, -0.1, 1, 0.1))
        assert across.geoms[0].distance(across.geoms[1]) > 0.45
    else:
        assert shapely.intersection(made, box(0, -1, 0.001, 1)).bounds[3] == pytest.approx(
            0.3, abs=1e-3
        )


def test_a_neck_where_strokes_meet_at_their_corners_keeps_what_the_choke_leaves() -> None:
    """Strokes 1.4 mm wide that both begin at (0, 0): 0.7 x sqrt 2 = 0.99 mm from corner to corner.

    Choked 0.2 a side 0.59 mm stay, where two discs of 1 mm overlap by a lens 0.17 mm wide.
    """
    strokes = shapely.union(box(-0.7, 0, 0.7, 10), box(0, -0.7, 7, 0.7))
    made = choked(strokes, NONE, 0.2, limits=Limits(0.5, 1.0, 1.5)).region
    assert len(made.geoms) == 1
    strips = measure(made).openings.strips().width_mm
    assert strips.min() == pytest.approx(0.7 * math.sqrt(2) - 0.4, abs=0.01)


def test_beads_of_a_starved_stroke_go_and_what_is_wide_stays() -> None:
    """Strokes 0.8 mm wide choked 0.2 leave 0.4 mm, too thin; at their corners a disc of 0.5 mm fits."""
    limits = Limits(0.5, 1.0, 1.5)
    ring = box(0, 0, 4.8, 6.8).difference(box(0.8, 0.8, 4, 6))
    made = choked(ring, NONE, 0.2, limits=limits).region
    assert len(made.geoms) == 4
    assert without_beads(made, ring, NONE, narrower_than(ring, 1.4), 0.2).is_empty
    # a disc at the end of a stroke is no joint, and the tips of a triangle are less than it
    pin = shapely.union(disc(1.5), box(-0.4, 0, 0.4, 12))
    triangle = Polygon([(0, 0), (3, 0), (1.5, 1.5 * math.sqrt(3))])
    for shape in (pin, triangle):
        made = choked(shape, NONE, 0.2, limits=limits).region
        left = without_beads(made, shape, NONE, narrower_than(shape, 1.4), 0.2)
        assert made.area > 1.0
        assert left.area == pytest.approx(made.area)


def test_film_beside_the_white_is_no_sliver() -> None:
    """Red's edge meets white's at 30°: the film between base and white ends 1.5 mm wide, not at a point."""
    white = box(0, -10, 20, 0)
    red = Polygon([(0, 0), (20, 0), (20, 20 * math.tan(math.pi / 6))])
    made = choked(red, white, 0.7, limits=Limits(0.5, 1.0, 1.5)).region
    both = MultiPolygon([shapely.union(made, white).buffer(1e-4)])
    measured = measure(both)
    assert not len(measured.gaps.tips())
    assert measured.finest_gap is None or measured.finest_gap.width_mm > 1.45


def test_a_flattened_disc_beside_a_square_keeps_its_corners() -> None:
    """64 corners are drawn in and stay 64; the square's are ended round, with a radius of half a keep.

    A corner of 90° ended round by radius r loses (1 - pi / 4) r².
    """
    both = MultiPolygon([Point(0, 0).buffer(5, quad_segs=16), box(20, -5, 30, 5)])
    made = choked(both, NONE, 0.7, limits=Limits(1.0, 1.0, 1.5)).region
    round_one, square = sorted(made.geoms, key=lambda part: part.bounds[0])
    assert shapely.get_num_coordinates(round_one) == 64 + 1
    assert square.area == pytest.approx(8.6**2 - (4 - math.pi) * 0.5**2, abs=2e-3)
