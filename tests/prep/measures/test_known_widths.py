"""Widths against figures derived by hand in ``tests/specimens.py``."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon

from prep.measures import Limits, Places, measure, tip_losses
from tests.specimens import SPECIMENS, Specimen, annulus, multi, needle

LIMITS = Limits(places_to_mm=1.0, search_to_mm=1.0)


def _places(specimen: Specimen) -> Places:
    measures = measure(specimen.region, LIMITS)
    return measures.openings if specimen.side == "openings" else measures.gaps


@pytest.mark.parametrize("specimen", SPECIMENS, ids=lambda s: s.name)
def test_finest_width(specimen: Specimen) -> None:
    """The narrowest strip is as wide as worked out by hand, and there are as many as drawn."""
    strips = _places(specimen).strips()
    assert len(strips) == specimen.strips
    if specimen.width_mm is not None:
        error = specimen.width_mm - strips.width_mm.min()
        assert -1e-6 <= error <= specimen.within_mm + 1e-6


@pytest.mark.parametrize("specimen", SPECIMENS, ids=lambda s: s.name)
def test_tips_and_touches(specimen: Specimen) -> None:
    """Sharp corners are told as tips and kissing places as touches, never as widths."""
    places = _places(specimen)
    assert len(places.tips()) == specimen.tips
    assert len(places.touches()) == specimen.touches


@pytest.mark.parametrize("specimen", [s for s in SPECIMENS if s.at_mm], ids=lambda s: s.name)
def test_where(specimen: Specimen) -> None:
    """A strip's location is the middle of the stretch that is as narrow as its narrowest point."""
    assert _places(specimen).strips()[0].at_mm == pytest.approx(specimen.at_mm, abs=1e-4)


@pytest.mark.parametrize("sagitta", [0.05, 0.02, 0.01, 0.005, 0.002, 0.001])
def test_flattening_moves_a_width_by_twice_its_error_at_most(sagitta: float) -> None:
    """A ring's two edges stray by the sagitta each, so its width is off by twice that at most."""
    finest = measure(annulus(6, 0.5, sagitta)).finest_opening
    assert finest is not None
    assert abs(finest.width_mm - 0.5) <= 2 * sagitta


@pytest.mark.parametrize(
    ("angle", "is_tip"), [(20, True), (45, True), (59, True), (61, False), (90, False)]
)
def test_corners_under_60_degrees_are_tips(angle: float, is_tip: bool) -> None:
    """A corner of 60° or more says nothing; a sharper one is a tip with its angle."""
    reach = 10 * math.tan(math.radians(angle) / 2)
    places = measure(multi(Polygon([(0, 0), (10, -reach), (10, reach)])), LIMITS).openings
    at_origin = [p for p in places if math.hypot(*p.at_mm) < 1e-6]
    assert [p.kind for p in at_origin] == (["tip"] if is_tip else [])
    if is_tip:
        assert at_origin[0].tip_angle_deg == pytest.approx(angle)
        assert at_origin[0].width_mm == 0


def test_what_a_tip_loses() -> None:
    """A 30° tip loses what a disc 0.4 wide can't reach: measured on the shape itself.

    Erosion and dilation by 0.2 (an opening) leaves all but the tip; the removed part is the loss.
    """
    length, area = tip_losses(np.array([30.0]), 0.4)
    reach = 10 * math.tan(math.radians(15))
    triangle = Polygon([(0, 0), (10, -reach), (10, reach)])
    opened = triangle.buffer(-0.2, join_style="mitre").buffer(0.2, quad_segs=256)
    lost = triangle.difference(opened).intersection(shapely.box(-1, -3, 3, 3))
    assert float(length[0]) == pytest.approx(opened.bounds[0], abs=1e-4)
    assert float(area[0]) == pytest.approx(lost.area, rel=1e-3)


def test_a_blunted_tip_is_still_a_tip() -> None:
    """A tip cut off 0.004 wide can't be told from a sharp one by any tool."""
    spike = needle(0, 1).difference(shapely.box(-0.034, -1, 1, 1))
    places = measure(multi(spike), LIMITS).openings
    blunt = [p for p in places if abs(p.at_mm[0] + 0.034) < 0.05]
    assert [p.kind for p in blunt] == ["tip"]


def test_the_search_widens_until_it_finds_a_strip() -> None:
    """A strip wider than the listed places is still found as the finest."""
    measures = measure(multi(shapely.box(0, 0, 10, 2.5)), Limits(places_to_mm=1.0))
    assert len(measures.openings) == 0
    assert measures.finest_opening is not None
    assert measures.finest_opening.width_mm == pytest.approx(2.5)
    assert measures.finest_gap is None


def test_strips_that_meet_at_a_corner_keep_their_middles() -> None:
    """A neck 6 mm long, and strips beside it that begin at its ends: its location is its own middle."""
    holes = shapely.union_all([shapely.box(2, 2, 4.875, 8), shapely.box(5.125, 2, 8, 8)])
    finest = measure(multi(shapely.box(0, 0, 10, 10).difference(holes))).finest_opening
    assert finest is not None
    assert finest.width_mm == pytest.approx(0.25, abs=1e-9)
    assert finest.at_mm == pytest.approx((5.0, 5.0), abs=1e-6)


def test_the_sheet_ends_the_film() -> None:
    """Between an opening and the edge of the sheet lies a strip of film."""
    region = multi(shapely.box(2, 2, 20, 20))
    sheet = shapely.box(0, 0, 22.5, 40)
    finest = measure(region, sheet=sheet).finest_gap
    assert finest is not None
    assert finest.width_mm == pytest.approx(2.0)
    with pytest.raises(ValueError, match="outside the sheet"):
        measure(region, sheet=shapely.box(0, 0, 10, 40))


def test_a_needle_loses_no_more_than_itself() -> None:
    """30 mm long and 0.2 mm wide at its foot: the formula for edges without end would say 59.8 mm."""
    thin = Polygon([(0, -0.1), (30, 0), (0, 0.1), (-50, 20), (-50, -20)])
    (tip,) = (p for p in measure(MultiPolygon([thin])).openings if p.kind == "tip")
    assert tip.tip_lost_length_mm is not None
    # beyond the foot the sides open by 43.4°, to 2 mm after 0.9 / tan 21.7° = 2.26 mm
    assert tip.length_mm == pytest.approx(32.26, abs=0.05)
    assert tip.tip_lost_length_mm <= tip.length_mm
