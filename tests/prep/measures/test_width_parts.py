"""A region cut into parts by local width: shapes whose parts are known by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, box
from shapely.affinity import rotate, translate

from prep.measures import count_strips, measure
from prep.measures.classes import check_classes, class_names, coarser, in_classes
from prep.measures.width_parts import parts_by_width
from tests.specimens import SPECIMENS, Specimen, annulus, comb, hourglass, multi, slot, wedge


@pytest.mark.parametrize("specimen", SPECIMENS, ids=lambda s: s.name)
def test_parts_cover_the_region_and_no_more(specimen: Specimen) -> None:
    """Areas sum to the region's, no two parts overlap, nothing lies outside."""
    region = specimen.region
    parts = parts_by_width(region, (0.25, 0.5, 1.0))
    assert len(parts) == 4
    assert sum(part.area for part in parts) == pytest.approx(region.area, abs=1e-9)
    assert shapely.union_all(parts).symmetric_difference(region).area == pytest.approx(0, abs=1e-9)


@given(st.integers(3, 12), st.floats(0.2, 3.0), st.integers(0, 10**6))
def test_any_blob_is_covered(corners: int, size: float, seed: int) -> None:
    """Random star-shaped polygons, concave and spiky ones among them."""
    random = np.random.default_rng(seed)
    angle = np.sort(random.uniform(0, 2 * math.pi, corners))
    reach = random.uniform(0.1, 1.0, corners) * size
    ring = np.stack([reach * np.cos(angle), reach * np.sin(angle)], axis=1)
    whole = shapely.make_valid(shapely.Polygon(ring))
    region = MultiPolygon([p for p in shapely.get_parts(whole) if p.geom_type == "Polygon"])
    parts = parts_by_width(region, (0.2, 0.6))
    assert sum(part.area for part in parts) == pytest.approx(region.area, abs=1e-7)


@pytest.mark.parametrize("angle", [0, 33, 90])
def test_a_bar_is_as_wide_as_it_is(angle: float) -> None:
    """A bar of 5 × 0.4 mm: all in the class of 0.4 but for its four corners.

    Where an edge lies nearer to the end than to the other side, the disc is held by the corner:
    at each end a triangle of 0.4 × 0.2 / 2 and two of half that: 0.08 mm² of 2.
    """
    bar = multi(rotate(box(0, 0, 5, 0.4), angle))
    fine, right, rest = parts_by_width(bar, (0.3, 0.5))
    assert fine.is_empty
    assert right.area == pytest.approx(2.0 - 0.16, abs=0.03)
    assert rest.area == pytest.approx(0.16, abs=0.03)


@pytest.mark.parametrize(("limit", "number"), [(0.65, 0), (0.55, 1)])
def test_round_ends_and_dots_belong_to_their_width(limit: float, number: int) -> None:
    """Flattened curves make no corners: a slot and a dot are 0.6 mm wide all over."""
    for region in (slot(0.6, 0.001), slot(0.6, 0.01), multi(Point(3, 3).buffer(0.3, quad_segs=9))):
        parts = parts_by_width(region, (limit,))
        assert parts[number].area == pytest.approx(region.area, rel=0.01)


def test_a_neck_between_two_corners_is_found() -> None:
    """An hourglass is under 0.3 mm wide within a known distance of its waist.

    Its edges run 4 down to the waist while they come 3.875 nearer. Facing them both, a disc of
    diameter 0.3 round the waist's corners has its centre sqrt(0.15² - 0.125²) = 0.083 off.
    """
    fine, _ = parts_by_width(hourglass(0.25), (0.3,))
    neck = [part for part in fine.geoms if part.distance(Point(0, 0)) < 1e-6]
    assert len(neck) == 1
    assert max(abs(y) for y in neck[0].bounds[1::2]) < 0.2


def test_the_limit_of_a_wedge_lies_where_its_width_passes() -> None:
    """Between the sides of a wedge with the angle b the disc at distance s from the apex along the
    middle has the diameter 2 s sin(b/2); the part under 0.5 mm ends near that disc's contacts."""
    region = wedge(20, 0.15)
    fine, _ = parts_by_width(region, (0.5,), step_mm=0.05)
    half = math.radians(10)
    apex = -0.075 / math.tan(half)
    contact = apex + 0.25 / math.sin(half) * math.cos(half) ** 2
    assert fine.bounds[2] == pytest.approx(contact, abs=0.1)


def test_film_between_teeth() -> None:
    """39 gaps of 0.6 mm between the teeth of a comb: each a part of its own."""
    region = comb(40, 0.4, 0.6, 5)
    film = box(-3, -6, 42, 8).difference(region)
    _, gaps, _ = parts_by_width(film, (0.5, 0.7))
    inside = [part for part in gaps.geoms if part.area > 1.0]
    assert len(inside) == 39
    assert sum(part.area for part in inside) == pytest.approx(39 * 0.6 * 5, rel=0.03)


def test_same_areas_as_the_distribution() -> None:
    """Along strips the map and the distribution book the same area in a class."""
    for region in (comb(12, 0.4, 0.6, 5), annulus(5, 0.3, 0.002), wedge(20, 0.15)):
        by_width = measure(region).by_width
        booked = in_classes(by_width, by_width.area_mm2, (0.25, 0.5, 1.0))
        drawn = [part.area for part in parts_by_width(region, (0.25, 0.5, 1.0))]
        assert drawn[:3] == pytest.approx(booked[:3].tolist(), abs=0.03 * region.area)


def test_far_from_the_origin() -> None:
    """A shift by 100 m changes no area."""
    region = hourglass(0.25)
    near = [p.area for p in parts_by_width(region, (0.3, 0.6))]
    far = [p.area for p in parts_by_width(translate(region, 1e5, -1e5), (0.3, 0.6))]
    assert far == pytest.approx(near, abs=2e-3)


def test_nothing_has_empty_parts() -> None:
    """As many parts as classes, all empty."""
    parts = parts_by_width(MultiPolygon(), (0.5, 1.0))
    assert [part.is_empty for part in parts] == [True] * 3


@pytest.mark.parametrize(
    "limits", [(), (0.0,), (-1.0, 2.0), (1.0, 1.0), (2.0, 1.0), (math.inf,), (math.nan,)]
)
def test_limits_must_rise(limits: tuple[float, ...]) -> None:
    """Classes without sense are refused, and named."""
    with pytest.raises(ValueError, match="positive and rise"):
        check_classes(limits)


def test_classes_are_named_by_their_bounds() -> None:
    """From the finest to the widest."""
    assert class_names((0.25, 0.5)) == (
        "under 0.25 mm", "0.25 to 0.5 mm", "0.5 mm and wider, and corners",
    )  # fmt: skip
    assert class_names((1.0,), corners=False) == ("under 1 mm", "1 mm and wider")


def test_classes_sum_to_the_distribution() -> None:
    """A limit inside a step shares it evenly; nothing is lost."""
    by_width = measure(comb(5, 0.4, 0.6, 5)).by_width
    sums = in_classes(by_width, by_width.area_mm2, (0.412, 0.414, 3.0))
    assert sums.sum() == pytest.approx(by_width.area_mm2.sum())
    step = float(by_width.area_mm2[np.searchsorted(by_width.widths_mm, 0.403) - 1])
    assert step > 0
    assert sums[1] == pytest.approx(step * 0.002 / 0.005, rel=1e-6)


def test_coarser_steps_hold_the_same() -> None:
    """Teeth 0.4 mm wide, and gaps between that don't count, in the step from 0.4 mm, in all the same."""
    by_width = measure(comb(5, 0.4, 0.6, 5)).by_width
    coarse = coarser(by_width)
    assert np.diff(coarse.widths_mm[:80]) == pytest.approx(0.05)
    assert coarse.area_mm2.sum() == pytest.approx(by_width.area_mm2.sum())
    assert coarse.axis_mm.sum() == pytest.approx(by_width.axis_mm.sum())
    assert coarse.area_mm2[8] == pytest.approx(5 * 0.4 * 5, rel=0.1)
    assert coarse.area_mm2[:8].sum() == pytest.approx(0, abs=1e-6)


def test_strips_are_counted_under_each_limit() -> None:
    """Forty teeth of 0.4 mm: none under 0.41, from which they are less than 0.01 off, all under 0.42."""
    openings, _ = count_strips(comb(40, 0.4, 0.6, 5), (0.25, 0.405, 0.42, 2.0))
    assert openings.tolist() == [0, 0, 40, 40]
