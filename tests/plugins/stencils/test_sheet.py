"""The sheet of film: its size, its turn, its edge, and the way to the cut file and back."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from prep_stencils.seams import seams
from prep_stencils.sheet import Sheet, largest_scale, lay_out


def _sheet(*, mirrored: bool = False, turned: bool = False) -> Sheet:
    """A sheet 40 × 20 mm at (10, 5)."""
    return Sheet(10.0, 5.0, 40.0, 20.0, (30.0, 15.0), 5.0, mirrored, turned)


@pytest.mark.parametrize(
    ("mirrored", "turned", "there"),
    [
        # the artwork's point (13, 7) lies 3 mm from the left and 2 mm from the top of the sheet
        (False, False, (3.0, 2.0)),
        (True, False, (37.0, 2.0)),
        (False, True, (18.0, 3.0)),  # a quarter turn clockwise brings upper left to upper right
        (True, True, (18.0, 37.0)),
    ],
)
def test_way_to_the_film_worked_by_hand(
    mirrored: bool, turned: bool, there: tuple[float, float]
) -> None:
    """One point in each of the four ways a sheet can lie, and back."""
    sheet = _sheet(mirrored=mirrored, turned=turned)
    point = np.array([[13.0, 7.0]])
    assert sheet.to_film(point).tolist() == [list(there)]
    assert sheet.to_artwork(sheet.to_film(point)).tolist() == point.tolist()
    assert (sheet.across_mm, sheet.along_mm) == ((20.0, 40.0) if turned else (40.0, 20.0))


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("turned", [False, True])
def test_only_mirroring_changes_handedness(mirrored: bool, turned: bool) -> None:
    """Three points keep their sense of turning exactly when the sheet isn't mirrored."""
    corners = _sheet(mirrored=mirrored, turned=turned).to_film(
        np.array([[12.0, 6.0], [20.0, 6.0], [12.0, 9.0]])
    )
    one, two = corners[1] - corners[0], corners[2] - corners[0]
    assert bool(one[0] * two[1] - one[1] * two[0] < 0) is mirrored


def _lay(width: float, height: float, film: float, margin: float = 50.0) -> Sheet:
    bounds = (0.0, 0.0, width, height)
    return lay_out(bounds, bounds, margin_mm=margin, film_width_mm=film, mirrored=True)


def test_sizes_worked_by_hand() -> None:
    """280 × 190.5 with 50 mm around is 380 × 290.5, in whole millimetres 380 × 291."""
    sheet = _lay(280.0, 190.5, 500.0)
    assert (sheet.width_mm, sheet.height_mm, sheet.turned) == (380.0, 291.0, False)
    assert sheet.top_mm == pytest.approx(-50.25)


def test_a_hair_left_by_floats_is_no_further_millimetre() -> None:
    """A print of 280.000002 mm, as offsets leave it, has a sheet of 380 mm; one of 280.002 mm, of 381."""
    assert _lay(280.0 + 2e-6, 190.0, 500.0).width_mm == 380.0
    assert _lay(280.002, 190.0, 500.0).width_mm == 381.0


@pytest.mark.parametrize(
    ("width", "height", "film", "turned"),
    [(280, 190, 380, False), (280, 190, 379, True), (280, 190, 289, False), (190, 280, 300, False)],
)
def test_turned_only_when_that_makes_it_fit(
    width: float, height: float, film: float, turned: bool
) -> None:
    """A sheet that fits as it is stays; one that fits neither way stays too."""
    assert _lay(width, height, film).turned is turned


@given(
    width=st.floats(0.5, 500.0),
    height=st.floats(0.5, 500.0),
    margin=st.floats(1.0, 80.0),
    added=st.floats(0.0, 60.0),
    film=st.floats(60.0, 1400.0),
)
def test_largest_scale_fits_and_nothing_larger_does(
    width: float, height: float, margin: float, added: float, film: float
) -> None:
    """Scaled so, with marks of fixed size above and below, the sheet fits; a little more doesn't."""

    def fits(scale: float) -> bool:
        w, h = width * scale, height * scale
        shown, whole = (0.0, 0.0, w, h), (0.0, -added, w, h + added)
        sheet = lay_out(shown, whole, margin_mm=margin, film_width_mm=film, mirrored=False)
        return sheet.across_mm <= film

    shown, whole = (0.0, 0.0, width, height), (0.0, -added, width, height + added)
    scale = largest_scale(shown, whole, margin_mm=margin, film_width_mm=film)
    if scale > 1e-6:
        assert fits(scale * (1 - 1e-7))
        assert not fits(scale + 1e-4 + 1e-3 / min(width, height))
    else:
        assert not fits(1e-3 + 2e-3 / min(width, height))


def test_edge_is_one_outline_with_notches_on_the_centre_lines() -> None:
    """Margin 50: snipped 12 mm at the upper right (72 mm2), four notches 4.8 wide and 4 deep (9.6 mm2)."""
    sheet = _lay(280.0, 190.0, 500.0)
    edge = shapely.Polygon(sheet.edge())
    assert edge.is_valid
    assert edge.area == pytest.approx(380 * 290 - 72 - 4 * 9.6, abs=1e-9)
    assert edge.bounds == (-50.0, -50.0, 330.0, 240.0)
    assert not edge.contains(shapely.Point(329.0, -49.0))
    for tip in ((140.0, -46.0), (140.0, 236.0), (-46.0, 95.0), (326.0, 95.0)):
        assert shapely.Point(tip).distance(shapely.MultiPoint(sheet.edge())) < 1e-9


@given(width=st.floats(0.01, 500.0), height=st.floats(0.01, 500.0), margin=st.floats(0.5, 100.0))
def test_edge_stays_clear_of_the_print(width: float, height: float, margin: float) -> None:
    """Notches and snip lie in the margin: at least half of it stays around the print."""
    edge = shapely.Polygon(_lay(width, height, 1000.0, margin).edge())
    assert edge.is_valid
    assert edge.exterior.distance(shapely.box(0, 0, width, height)) >= margin / 2.0 - 1e-6


def test_edges_of_strips_worked_by_hand() -> None:
    """A sheet of 380 × 290 parted at x = 120 with 10 mm of overlap: strips of 175 and 215 mm.

    Both bear the notches of the seam at top and bottom, and that of the level centre line on the outer
    side. The right one has the snipped corner and the centre line's notches at top and bottom, the left
    one a notch more at the top. Where they overlap, no side is notched.
    """
    sheet = _lay(280.0, 190.0, 500.0)
    left, right = sheet.strips([120.0], 10.0)
    assert (left.left_mm, left.width_mm, left.snipped) == (-50.0, 175.0, False)
    assert (right.left_mm, right.width_mm, right.snipped) == (115.0, 215.0, True)
    one, two = (shapely.Polygon(s.edge()) for s in (left, right))
    assert one.area == pytest.approx(175 * 290 - 4 * 9.6, abs=1e-9)
    assert two.area == pytest.approx(215 * 290 - 72 - 5 * 9.6, abs=1e-9)
    assert not one.covers(shapely.Point(125.0 - 10.0 - 12.0, -48.0))
    for strip, x in ((one, 124.5), (two, 115.5)):
        assert strip.covers(shapely.Point(x, 95.0))
    for strip in (one, two):
        assert strip.is_valid
        assert not strip.covers(shapely.Point(120.0, -48.0))
        assert not strip.covers(shapely.Point(120.0, 238.0))


def test_strips_of_a_turned_sheet_lie_below_each_other() -> None:
    """Turned, the seam runs across the print: the upper strip has the snipped corner."""
    sheet = replace(_lay(280.0, 190.0, 500.0), turned=True)
    upper, lower = sheet.strips([95.0], 20.0)
    assert (upper.top_mm, upper.height_mm, upper.snipped) == (-50.0, 155.0, True)
    assert (lower.top_mm, lower.height_mm, lower.snipped) == (85.0, 155.0, False)
    assert (upper.across_mm, upper.along_mm) == (155.0, 380.0)


def test_stretch_scales_the_file_and_not_the_film() -> None:
    """A cutter that makes 99.5 mm of 100 across is told 0.5 % more there."""
    sheet = replace(_sheet(), stretch=(100 / 99.5, 1.0))
    assert (sheet.across_mm, sheet.along_mm) == (40.0, 20.0)
    assert sheet.file_mm == pytest.approx((40.0 / 0.995, 20.0))
    point = np.array([[13.0, 7.0]])
    assert sheet.to_film(point)[0].tolist() == pytest.approx([3.0 / 0.995, 2.0])
    assert sheet.to_artwork(sheet.to_film(point))[0].tolist() == pytest.approx([13.0, 7.0])


@given(
    width=st.floats(5.0, 500.0),
    height=st.floats(5.0, 500.0),
    film=st.floats(60.0, 700.0),
    longest=st.floats(60.0, 700.0),
)
def test_sheets_of_film_bound_both_ways(
    width: float, height: float, film: float, longest: float
) -> None:
    """Where film comes in sheets, a print at the largest scale fits them and a larger one doesn't."""

    def fits(scale: float) -> bool:
        bounds = (0.0, 0.0, width * scale, height * scale)
        sheet = lay_out(
            bounds, bounds, margin_mm=20, film_width_mm=film, mirrored=True, longest_mm=longest
        )
        return sheet.across_mm <= film and sheet.along_mm <= longest

    bounds = (0.0, 0.0, width, height)
    scale = largest_scale(bounds, bounds, margin_mm=20, film_width_mm=film, longest_mm=longest)
    assert scale > 0.0
    assert fits(scale * (1 - 1e-7))
    assert not fits(scale + 1e-4 + 1e-3 / min(width, height))


@settings(max_examples=60)
@given(
    spans=st.lists(st.tuples(st.floats(0, 500), st.floats(1, 150)), min_size=1, max_size=5),
    film=st.floats(120, 400),
    overlap=st.floats(3, 20),
    turned=st.booleans(),
)
def test_strips_share_their_notches_and_leave_nothing_bare(
    spans: list[tuple[float, float]], film: float, overlap: float, turned: bool
) -> None:
    """Laid over each other, the notches at an overlap fall together, and the rest is the whole sheet.

    What is bare of the whole sheet is its own snipped corner and notches, and a notch more on strips
    without that corner: seven times 9.6 mm2 at most, and 9.6 more for each strip.
    """
    openings = [(low, low + wide) for low, wide in spans]
    high = max(b for _, b in openings)
    bounds = (0.0, 0.0, 80.0, high) if turned else (0.0, 0.0, high, 80.0)
    sheet = lay_out(bounds, bounds, margin_mm=40.0, film_width_mm=film, mirrored=True)
    sheet = replace(sheet, turned=turned)
    first = sheet.top_mm if turned else sheet.left_mm
    at = seams(first, first + sheet.across_mm, openings, film, overlap, 5.0)
    if not at:
        return
    strips = sheet.strips(at, overlap)
    laid = [shapely.Polygon(strip.edge()) for strip in strips]
    assert all(strip.is_valid for strip in laid)
    for place, one, other in zip(at, laid, laid[1:], strict=False):
        side = sheet.left_mm + 0.5 if turned else sheet.top_mm + 0.5
        tip = shapely.Point(side, place) if turned else shapely.Point(place, side)
        assert not one.covers(tip)
        assert not other.covers(tip)
    x0, y0 = sheet.left_mm, sheet.top_mm
    whole = shapely.box(x0, y0, x0 + sheet.width_mm, y0 + sheet.height_mm)
    bare = whole.difference(shapely.union_all(laid))
    margin = whole.difference(shapely.box(*bounds))
    assert bare.difference(margin).area < 1e-9
    assert bare.area <= 72.0 + 9.6 * (4 + 3 * len(strips)) + 1e-6
