"""The drawing: its steps measure what they say, nothing overlaps, its numbers can be read and hold."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Point
from shapely.affinity import translate

from prep.artwork import PrintSize
from prep.measures import Limits, Measures, Places, measure
from prep.separations import separate
from prep.svg import read_svg
from prep_fill_in.limits import row
from prep_log.usual import VARIANTS
from prep_test_piece.digits import BAR_MM, HEIGHT_MM, WIDTH_MM, digit, number
from prep_test_piece.drawing import svg
from prep_test_piece.geometry import CORNERS_DEG, DOTS_MM, WAITS_MIN, Ladder, piece
from prep_test_piece.plan import LOOKS, steps_of

PIECE = piece()
WAYS = ("upright", "across")


@pytest.fixture(scope="module")
def measured() -> Measures:
    return measure(PIECE.openings, Limits(places_to_mm=4.5, search_to_mm=5.0))


def _widths(ladder: Ladder, places: Places) -> list[float]:
    """Give the width of the place nearest to each step, which must lie on it."""
    strips = places.strips()
    found = []
    for step in ladder.steps:
        away = np.hypot(*(strips.at_mm - step.at_mm).T)
        assert away.min() < 0.5
        found.append(float(strips.width_mm[away.argmin()]))
    return found


@pytest.mark.parametrize("way", WAYS)
def test_lines_and_strips_measure_what_they_say(measured: Measures, way: str) -> None:
    for kind, places in (("line", measured.openings), ("strip", measured.gaps)):
        ladder = PIECE.ladder(kind, way)  # type: ignore[arg-type]  # one of the kinds
        assert _widths(ladder, places) == pytest.approx([s.size for s in ladder.steps], abs=0.01)


@pytest.mark.parametrize("way", WAYS)
def test_they_lie_the_way_they_say(way: str) -> None:
    """An upright line is as high as it is long, one across as wide; so is film between openings."""
    for step in PIECE.ladder("line", way).steps:
        (line,) = [p for p in PIECE.openings.geoms if p.contains(Point(step.at_mm))]
        west, north, east, south = line.bounds
        wide, high = (step.size, 12.0) if way == "upright" else (12.0, step.size)
        assert (east - west, south - north) == pytest.approx((wide, high))
    for step in PIECE.ladder("strip", way).steps:
        x, y = step.at_mm
        half = step.size / 2 + 0.05
        ends = (
            [(x - half, y), (x + half, y)] if way == "upright" else [(x, y - half), (x, y + half)]
        )
        assert not PIECE.openings.contains(Point(x, y))
        assert all(PIECE.openings.contains(Point(end)) for end in ends)


def test_islands_are_squares_of_their_size(measured: Measures) -> None:
    """Each twice, free on all sides, and no other film is cut free anywhere."""
    found = sorted(measured.islands, key=lambda island: (island.area_mm2, island.at_mm[1]))
    steps = PIECE.ladder("island", "both").steps
    assert len(found) == len(steps)
    for island, step in zip(found, sorted(steps, key=lambda s: (s.size, s.at_mm[1])), strict=True):
        west, north, east, south = island.bounds_mm
        assert (east - west, south - north) == pytest.approx((step.size, step.size), abs=0.01)
        assert island.held_by_mm is None
        assert ((west + east) / 2, (north + south) / 2) == pytest.approx(step.at_mm)
    assert (steps[0].size, steps[-1].size) == (0.8, 4.0)


@pytest.mark.parametrize("way", WAYS)
def test_corners_have_their_angles(measured: Measures, way: str) -> None:
    """By their outline; those under 60° are tips to the measures, too, at the same angle."""
    ladder = PIECE.ladder("corner", way)
    assert tuple(step.size for step in ladder.steps) == CORNERS_DEG
    for step in ladder.steps:
        (tooth,) = [p for p in PIECE.openings.geoms if p.distance(Point(step.at_mm)) < 1e-6]
        ring = np.array(tooth.exterior.coords[:-1])
        at = int(np.hypot(*(ring - step.at_mm).T).argmin())
        one, other = ring[at - 1] - ring[at], ring[(at + 1) % len(ring)] - ring[at]
        cosine = one @ other / np.hypot(*one) / np.hypot(*other)
        assert math.degrees(math.acos(cosine)) == pytest.approx(step.size, abs=0.01)
    tips = measured.openings.tips()
    for step in (s for s in ladder.steps if s.size < 60.0):
        away = np.hypot(*(tips.at_mm - step.at_mm).T)
        assert away.min() < 0.01
        assert tips.tip_angle_deg[away.argmin()] == pytest.approx(step.size, abs=0.01)


def test_each_size_is_there_twice_in_rising_order() -> None:
    for look in LOOKS:
        steps = steps_of(PIECE, look.kind)
        assert list(steps) == sorted(steps)
        assert all(len(found) == 2 for found in steps.values())
    assert all(len(found) == 2 for found in steps_of(PIECE, "corner").values())


@pytest.mark.parametrize("of", ["cutting", *VARIANTS])
def test_ladders_reach_below_and_above_the_usual_limit(of: str) -> None:
    """At least two sizes below what passes, one at or above it."""
    (look,) = [look for look in LOOKS if look.of == of]
    sizes = np.array(list(steps_of(PIECE, look.kind))) ** (2 if of == "island_area" else 1)
    passes = row(of, VARIANTS.get(of, "")).default
    assert (sizes < passes).sum() >= (1 if of == "cutting" else 2)
    assert sizes.max() >= passes


def test_dots_stand_in_rows_a_card_can_be_pulled_over() -> None:
    """A row for each wait, its dots in line, 14 mm from the next row; squares of their size."""
    assert [r.wait_min for r in PIECE.rows] == list(WAITS_MIN) == [2, 4, 8, 16]
    middles = [{dot.at_mm[1] for dot in r.dots} for r in PIECE.rows]
    assert all(len(middle) == 1 for middle in middles)
    assert np.diff([middle.pop() for middle in middles]) == pytest.approx([14.0] * 3)
    for dot in (dot for r in PIECE.rows for dot in r.dots):
        (square,) = [p for p in PIECE.openings.geoms if p.contains(Point(dot.at_mm))]
        assert square.area == pytest.approx(dot.size**2)
    assert len(set(DOTS_MM)) > 1


def test_nothing_overlaps_and_all_lies_on_the_sheet() -> None:
    """Openings are as large together as apart; no two are nearer than the finest strip of a ladder."""
    parts = list(PIECE.openings.geoms)
    whole = shapely.union_all(parts)
    assert whole.area == pytest.approx(sum(part.area for part in parts), rel=1e-12)
    nearest = min(one.distance(other) for one, other in combinations(parts, 2))
    assert nearest == pytest.approx(0.3)
    west, north, east, south = whole.bounds
    assert min(west, north, PIECE.width_mm - east, PIECE.height_mm - south) >= 5.0
    assert PIECE.width_mm <= 200.0
    assert PIECE.height_mm <= 240.0
    assert PIECE.block.area > 500.0
    assert any(part.equals(PIECE.block) for part in parts)


SEVEN_SEGMENTS = {
    "0": 0x3F, "1": 0x06, "2": 0x5B, "3": 0x4F, "4": 0x66,
    "5": 0x6D, "6": 0x7D, "7": 0x07, "8": 0x7F, "9": 0x6F,
}  # fmt: skip
"""Usual codes of seven-segment displays (from memory): bit 0 on top, then clockwise, bit 6 inside."""


@pytest.mark.parametrize("sign", SEVEN_SEGMENTS)
def test_digits_show_the_bars_of_their_code(sign: str) -> None:
    """A quarter along each bar, where none is parted."""
    half, quarter = BAR_MM / 2, HEIGHT_MM / 4
    left, right, middle = half, WIDTH_MM - half, WIDTH_MM / 4
    at = (
        (middle, half),
        (right, quarter),
        (right, HEIGHT_MM - quarter),
        (middle, HEIGHT_MM - half),
        (left, HEIGHT_MM - quarter),
        (left, quarter),
        (middle, HEIGHT_MM / 2),
    )
    shape = digit(sign)
    if sign == "1":
        shape = translate(shape, WIDTH_MM - BAR_MM)
    shown = sum(shape.contains(Point(place)) << bit for bit, place in enumerate(at))
    assert shown == SEVEN_SEGMENTS[sign]
    assert shape.bounds[3] == HEIGHT_MM


def test_numbers_are_coarser_than_all_limits_and_cut_no_film_free() -> None:
    """All digits: bars are weeded, strips and necks hold in a long run, each is one piece."""
    signs = [
        translate(g, 0, 20.0 * i)
        for i, s in enumerate("0123456789")
        for g in number(s * 2, (20, 0)).geoms
    ]
    found = measure(MultiPolygon([*signs, *number("1.4", (60, 0)).geoms]), Limits())
    assert found.finest_opening is not None
    assert found.finest_opening.width_mm >= row("weeding", "usual film").default - 0.01
    assert found.finest_gap is not None
    assert found.finest_gap.width_mm >= row("strip", "long run").default
    assert found.finest_gap.width_mm >= row("gap", "one hit").default
    assert found.islands == ()
    assert all(neck.held_by_mm and neck.held_by_mm >= 1.5 for neck in found.hanging)
    assert found.pieces == 20 + 3


def test_other_signs_are_no_numbers() -> None:
    for text in ("", "1,4", "x"):
        with pytest.raises(ValueError, match="nothing to set|digits and a dot"):
            number(text, (0, 0))


def test_the_drawing_is_read_as_it_was_laid_out() -> None:
    """True size, one colour, every point within a thousandth of a millimetre."""
    art = read_svg(svg(PIECE).encode(), name="piece", size=PrintSize())
    assert (art.width_mm, art.height_mm) == pytest.approx((PIECE.width_mm, PIECE.height_mm))
    (one,) = separate(art)
    assert one.region.symmetric_difference(PIECE.openings).area < 0.01
    assert one.region.hausdorff_distance(PIECE.openings) < 0.001
