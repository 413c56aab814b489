"""Areas at a depth and by width, against formulas, shapely's buffer and a pixel count."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from scipy.ndimage import distance_transform_edt
from shapely import MultiPolygon, Point, box

from prep.measures import Distribution, Limits, Measures, measure
from tests.prep.measures.test_unchanged import LETTERS
from tests.specimens import annulus, circle, comb, multi, spiral

SHAPES: dict[str, MultiPolygon] = {
    "letters": LETTERS,
    "spiral": spiral(0.5, 1.1, 6, 2000),
    "annulus": annulus(5, 0.3, 0.005),
    "comb": comb(20, 0.4, 0.6, 5),
    "sheet with holes": multi(
        box(0, 0, 60, 40).difference(
            shapely.union_all([circle(3, 0.005, x, y) for x in (8, 25, 45) for y in (9, 30)])
        )
    ),
}


def _edge_sum(measures: Measures, reach: float) -> float:
    """Integrate exp(-d / reach) over the area, straight lines between the insets."""
    s, area = measures.insets_mm, measures.inset_areas_mm2
    slope = -np.diff(area) / np.diff(s)
    return float((slope * reach * -np.diff(np.exp(-s / reach))).sum())


@pytest.mark.parametrize("name", SHAPES)
def test_inset_areas_against_buffers(name: str) -> None:
    """The area farther from the edge than s is that of shapely's inward buffer, to 0.2 %."""
    region = SHAPES[name]
    measures = measure(region)
    for inset in (0.05, 0.1, 0.2, 0.4, 0.8, 1.5, 3.0):
        ours = np.interp(inset, measures.insets_mm, measures.inset_areas_mm2)
        assert ours == pytest.approx(region.buffer(-inset).area, abs=0.002 * region.area + 1e-6)


@pytest.mark.parametrize("radius", [0.1, 0.5, 4.0])
@pytest.mark.parametrize("reach", [0.2, 0.7])
def test_edge_sum_of_a_disc(radius: float, reach: float) -> None:
    """For a disc: integral of exp(-d/L) = 2 pi L (R - L + L exp(-R/L)), by parts, to a thousandth."""
    exact = 2 * math.pi * reach * (radius - reach + reach * math.exp(-radius / reach))
    measures = measure(multi(circle(radius, radius * 1e-4)))
    assert _edge_sum(measures, reach) == pytest.approx(exact, rel=1e-3)


def test_bands_of_a_rectangle() -> None:
    """10 x 4 mm: 28 - 8 t of edge lie t deep; area, mean and variance of each band by hand.

    Bands end at 0.01, 0.02 ... 0.3, 0.32 ... 1 mm; the deepest at 2 mm, where the middle line lies.
    """
    bands = measure(multi(box(0, 0, 10, 4))).bands
    ends = np.r_[np.arange(30) * 0.01, 0.3 + np.arange(36) * 0.02]

    def moment(power: int) -> np.ndarray:
        whole = 28 * ends ** (power + 1) / (power + 1) - 8 * ends ** (power + 2) / (power + 2)
        return np.asarray(np.diff(whole))

    area, mean = moment(0), moment(1) / moment(0)
    near = slice(0, 65)
    assert bands.area_mm2[near] == pytest.approx(area, rel=1e-9)
    assert bands.depth_mm[near] == pytest.approx(mean, rel=1e-9)
    assert bands.spread_mm[near] == pytest.approx(np.sqrt(moment(2) / area - mean**2), rel=1e-4)
    assert bands.area_mm2.sum() == pytest.approx(40, rel=1e-12)
    assert bands.depth_mm[-1] < 2


@pytest.mark.parametrize("name", SHAPES)
def test_bands_hold_the_area_in_the_order_of_their_depth(name: str) -> None:
    """All bands together are the area; each holds some, deeper than the one before."""
    measures = measure(SHAPES[name], Limits(places_to_mm=0.2, search_to_mm=0.2))
    bands = measures.bands
    assert bands.area_mm2.sum() == pytest.approx(measures.area_mm2, rel=1e-12)
    assert (bands.area_mm2 > 0).all()
    assert (np.diff(bands.depth_mm) > 0).all()
    assert bands.depth_mm[0] < 0.01


def test_bands_of_bars_end_where_the_bars_do() -> None:
    """Bars 0.13 and 0.347 mm wide, long: the mean depth of the whole is a quarter of each width."""
    thin, wide = (box(0, y, 5000, y + w) for y, w in ((0, 0.13), (9, 0.347)))
    bands = measure(multi(thin, wide), Limits(places_to_mm=0.02, search_to_mm=0.02)).bands
    mean = (bands.area_mm2 * bands.depth_mm).sum() / bands.area_mm2.sum()
    by_hand = (0.13**2 + 0.347**2) / 4 / (0.13 + 0.347)
    assert mean == pytest.approx(by_hand, rel=1e-4)


def test_bands_go_to_the_deepest_disc_however_far_insets_do() -> None:
    """400 x 400 mm: bands down to 50 mm, and what is left there in one; insets end at 2 mm."""
    measures = measure(multi(box(0, 0, 400, 400)), Limits(inset_to_mm=2.0))
    bands = measures.bands
    assert measures.insets_mm[-1] == 2.0
    assert (bands.depth_mm[-1], bands.spread_mm[-1]) == (50, 0)
    assert bands.area_mm2[-1] == pytest.approx(300 * 300, abs=0.01)
    assert bands.area_mm2[:-1].sum() == pytest.approx(400 * 400 - 300 * 300, abs=0.01)
    assert bands.depth_mm[-2] > 48


def test_no_openings_have_no_bands() -> None:
    """Where nothing is open, no depth holds anything."""
    assert len(measure(MultiPolygon()).bands.area_mm2) == 0


def test_discs_beside_a_corner_are_exact() -> None:
    """A part of the other side that lies between two points of the search makes discs smaller too.

    10 x 1 mm: t deep is 22 - 8 t of edge, so 22 t - 4 t² lies nearer than t.
    """
    measures = measure(multi(box(0, 0, 10, 1)))
    t = measures.insets_mm
    assert 10 - measures.inset_areas_mm2 == pytest.approx(22 * t - 4 * t**2, abs=1e-9)


@pytest.mark.parametrize("name", SHAPES)
def test_strips_fill_the_area(name: str) -> None:
    """All strips up to the medial axis together are the whole area; the miss is published."""
    measures = measure(SHAPES[name])
    by_width = measures.by_width
    total = by_width.area_mm2.sum() + by_width.corners_mm2
    assert abs(total - measures.area_mm2) == pytest.approx(by_width.error_mm2, abs=1e-7)
    assert by_width.error_mm2 < 0.001 * measures.area_mm2


def test_a_ring_is_as_wide_everywhere() -> None:
    """All of a ring 0.3 wide lies in one class, and its axis is the circle halfway."""
    by_width = measure(annulus(5, 0.3, 0.0005)).by_width
    near = (by_width.widths_mm[:-1] > 0.249) & (by_width.widths_mm[:-1] < 0.309)
    assert by_width.area_mm2[near].sum() == pytest.approx(math.pi * (25 - 4.7**2), rel=1e-3)
    assert by_width.axis_mm[near].sum() == pytest.approx(2 * math.pi * 4.85, rel=1e-3)


@pytest.mark.parametrize(("long", "wide"), [(10, 4), (31, 0.7), (4, 4)])
def test_corners_of_a_rectangle(long: float, wide: float) -> None:
    """At each end a triangle of w²/4 and at its sides two of w²/8 lie in corners of 90°, no more."""
    by_width = measure(multi(box(0, 0, long, wide))).by_width
    assert by_width.corners_mm2 == pytest.approx(wide**2, rel=1e-3)
    assert by_width.area_mm2.sum() == pytest.approx(long * wide - wide**2, abs=1e-3 * wide**2)
    assert by_width.error_mm2 == pytest.approx(0, abs=1e-4 * long * wide)


@pytest.mark.parametrize("radius", [0.15, 0.8, 8.0])
def test_a_dot_is_as_wide_as_it_is(radius: float) -> None:
    """Every disc of a dot is the dot: all its area counts under its diameter, none as corners."""
    measures = measure(multi(circle(radius, radius * 2e-3)))
    by_width = measures.by_width
    here = np.searchsorted(by_width.widths_mm, 2 * radius * (1 - 1e-3), side="right") - 1
    assert by_width.corners_mm2 == pytest.approx(0, abs=1e-6)
    assert by_width.area_mm2[here] == pytest.approx(measures.area_mm2, rel=1e-3)


def _ellipse(a: float, b: float, sagitta: float) -> MultiPolygon:
    turn = np.linspace(
        0, 2 * math.pi, 4 * math.ceil(math.pi / (4 * math.acos(1 - sagitta / a))) + 1
    )
    return multi(shapely.Polygon(np.stack([a * np.cos(turn), b * np.sin(turn)], axis=1)))


def _below(by_width: Distribution, width: float) -> float:
    sums = np.concatenate([[0.0], np.cumsum(by_width.area_mm2)])
    return float(np.interp(width, by_width.widths_mm, sums))


@pytest.mark.parametrize("sagitta", [0.02, 0.005, 0.001])
@pytest.mark.parametrize(("a", "b"), [(10.0, 5.0), (5.0, 4.5), (20.0, 3.0), (8.0, 0.5)])
def test_area_by_width_of_an_ellipse(a: float, b: float, sagitta: float) -> None:
    """The area of an ellipse under each width, within the error that is published.

    The disc that touches at (X, Y) has its centre at (c² X/a², 0), c² = a² - b², and the radius
    r from there; behind ds of the edge with the curvature k lies the area (r - k r²/2) ds; both
    contacts are seen 2 atan(Y / (X - c² X/a²)) apart. The polygon strays by ``sagitta``: widths
    may be off by twice that.
    """
    turn = (np.arange(100_000) + 0.5) / 100_000 * math.pi / 2
    x, y = a * np.cos(turn), b * np.sin(turn)
    off = x * b**2 / a**2
    radius = np.hypot(off, y)
    speed = np.hypot(a * np.sin(turn), b * np.cos(turn))
    area = 4 * (radius - a * b / speed**3 * radius**2 / 2) * speed * math.pi / 200_000
    counts = 2 * np.degrees(np.arctan2(y, off)) >= 120
    assert area.sum() == pytest.approx(math.pi * a * b, rel=1e-6)

    region = _ellipse(a, b, sagitta)
    by_width = measure(region, Limits(places_to_mm=0.2, search_to_mm=0.2)).by_width
    assert by_width.error_mm2 < 0.0005 * region.area
    slack = by_width.error_mm2 + by_width.unsure_mm2.sum() + math.pi * a * b - region.area
    for width in by_width.widths_mm[1:]:
        low, high = (area[counts & (2 * radius <= width + s * 2 * sagitta)].sum() for s in (-1, 1))
        assert low - slack <= _below(by_width, width) <= high + slack, width


def test_area_by_width_of_part_of_a_ring() -> None:
    """Part of a ring, 1.5 radians from 7 to 10 mm: 3 wide but for its corners.

    The axis 8.5 from the middle is as far from a straight end as from both arcs, 1.5, where its
    direction is asin(1.5/8.5) off the end's; before that both contacts are 90° + 10° apart.
    """
    turn = np.linspace(0, 1.5, 60)
    way = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    region = multi(shapely.Polygon(np.concatenate([10 * way, 7 * way[::-1]])))
    by_width = measure(region).by_width
    true = (100 - 49) / 2 * (1.5 - 2 * math.asin(1.5 / 8.5))
    strayed = 1.5 * (100 - 49) / 2 - region.area
    slack = by_width.error_mm2 + by_width.unsure_mm2.sum() + abs(strayed)
    assert slack < 0.005 * region.area
    assert by_width.area_mm2.sum() == pytest.approx(true, abs=slack)
    assert by_width.area_mm2.sum() - _below(by_width, 2.95) == pytest.approx(true, abs=slack)


def test_area_by_width_against_pixels() -> None:
    """Bars of three widths: the area of each width is what counting pixels by distance gives.

    In a bar w wide no point lies deeper than w/2, and the pixels near its middle line do: each
    pixel is booked under the bar it lies in.
    """
    widths, length, pixel = (0.45, 0.95, 1.85), 12.0, 0.025
    bars = [box(4 * k, 0, 4 * k + w, length) for k, w in enumerate(widths)]
    by_width = measure(multi(*bars)).by_width
    for k, width in enumerate(widths):
        across, along = round(width / pixel), round(length / pixel)
        inside = np.pad(np.ones((along, across), dtype=bool), 1)
        depth = distance_transform_edt(inside)[1:-1, 1:-1] * pixel
        deepest = depth.max(axis=1, keepdims=True)
        # the ends of a bar are corners: less deep in the middle than half the width
        straight = depth[(deepest >= depth.max() - pixel)[:, 0]].size * pixel**2
        low = np.searchsorted(by_width.widths_mm, width - 0.03)
        high = np.searchsorted(by_width.widths_mm, width + 0.03)
        found = by_width.area_mm2[low - 1 : high].sum()
        assert found == pytest.approx(straight, abs=2 * width * pixel + width**2 / 2), k


def test_insets_reach_as_far_as_asked() -> None:
    """The distances end at the limit, or where nothing is left."""
    large = measure(multi(box(0, 0, 40, 40)), Limits(inset_to_mm=2.0))
    assert large.insets_mm[-1] == 2.0
    assert large.inset_areas_mm2[-1] == pytest.approx(36**2, rel=1e-6)
    small = measure(multi(box(0, 0, 1, 9)))
    assert small.insets_mm[-1] == pytest.approx(0.5, abs=1e-3)
    assert small.inset_areas_mm2[-1] == 0


def test_what_lies_deep_is_wide() -> None:
    """400 × 300 mm: behind the edges 50 mm deep corners of 4 × 50² mm²; all else is wide, without axis."""
    wide = measure(MultiPolygon([box(0, 0, 400, 300)])).by_width
    assert wide.corners_mm2 == pytest.approx(10_000, abs=1e-4)
    assert wide.area_mm2[-1] == pytest.approx(400 * 300 - 10_000, abs=1e-4)
    assert wide.area_mm2[:-1].sum() == pytest.approx(0, abs=1e-6)
    assert wide.axis_mm.sum() == pytest.approx(0, abs=1e-6)
    assert wide.error_mm2 == pytest.approx(0, abs=1e-4)


def test_what_lies_below_the_deepest_disc_stays() -> None:
    """400 × 400 mm, 50 mm in: 300 × 300 mm are left, not nothing."""
    deep = measure(multi(box(0, 0, 400, 400)), Limits(inset_to_mm=50.0))
    assert deep.insets_mm[-1] == 50
    assert deep.inset_areas_mm2[-1] == pytest.approx(300 * 300, abs=0.01)


def test_a_deep_disc_is_wide_with_a_strip_beside_it() -> None:
    """A disc of 1.5 m and a bar of 0.4 mm: their areas, each in a class of its own."""
    disc = Point(0, 0).buffer(1500, quad_segs=500)
    made = measure(MultiPolygon([disc, box(2000, 0, 2100, 0.4)])).by_width
    assert made.area_mm2[-1] == pytest.approx(disc.area, rel=1e-5)
    assert made.area_mm2[:-1].sum() + made.corners_mm2 == pytest.approx(40.0, abs=0.01)
    assert made.error_mm2 < 1e-5 * disc.area
