"""What thickening does to narrow openings and film strips, and what it never does."""

from __future__ import annotations

import functools

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, Polygon, affinity, box
from shapely.geometry.base import BaseGeometry

from prep.measures import measure
from prep.measures.result import AS_WIDE_MM
from prep.testing import as_multipolygon
from prep_fill_in.thicken import (
    APART,
    NO_ROOM,
    NOT_NEEDED,
    TAKEN,
    TOO_MUCH,
    Thickened,
    Wanted,
    thicken,
)
from tests.prep.measures.lettering import letters

WANTED = Wanted(1.0, 1.0, 0.3)
NOTHING = MultiPolygon()
_SLACK_MM = 0.02  # no edge moves farther than it lacks by more


def _thick(
    region: BaseGeometry, others: BaseGeometry = NOTHING, wanted: Wanted = WANTED
) -> Thickened:
    drawn = as_multipolygon(region)
    return thicken(drawn, measure(drawn), others, wanted, measure)


def _comb(pitch: float, tines: int = 8) -> BaseGeometry:
    teeth = [box(20 + pitch * i, 24, 20.6 + pitch * i, 34) for i in range(tines)]
    return shapely.union_all([box(20, 20, 20.6 + pitch * (tines - 1), 25), *teeth])


DRAWN = {
    "slot": box(20, 20, 60, 20.6),
    "neck": shapely.union_all([box(20, 20, 28, 28), box(28, 23.7, 32, 24.3), box(32, 20, 40, 28)]),
    "strip": shapely.union_all([box(20, 20, 40, 40), box(40.6, 20, 60, 40)]),
    "bow tie": Polygon([(20, 20), (40, 20.2), (60, 20), (60, 21), (40, 20.7), (20, 21)]),
    "dots": shapely.union_all(
        [Point(20 + 3 * i, 20 + 3 * j).buffer(0.4) for i in range(3) for j in range(3)]
    ),
    "triangle": Polygon([(20, 20), (21.5, 20), (20.75, 20 + 1.5 * 3**0.5 / 2)]),
    "counter": box(20, 20, 26, 26).difference(box(22.6, 22, 23.4, 24)),
    "slanted": affinity.rotate(box(20, 20, 40, 20.5), 27),
    "wide comb": _comb(2.3),
    "tight comb": _comb(1.3),
    "hairline": box(20, 20, 60, 20.1),
    "ring": Point(30, 30).buffer(8.35).difference(Point(30, 30).buffer(7.65)),
    "plain": box(20, 20, 40, 40),
    "lettering": letters("eg&8", high_mm=6.0),
    "large lettering": letters("awk", high_mm=8.0),
}  # fmt: skip


@functools.cache
def _done(name: str) -> Thickened:
    """Thicken a drawing of the table, once for all that is asked of it."""
    return _thick(DRAWN[name])


@pytest.mark.parametrize("name", DRAWN)
def test_what_holds_for_every_drawing(name: str) -> None:
    """Cured places are wide enough, pieces and islands stay, edges move no more than they lack."""
    drawn = as_multipolygon(DRAWN[name])
    made = _done(name)
    before, after = measure(drawn), measure(made.region)
    done = [change for change in made.changes if change.done]
    for side, places in (("opening", after.openings), ("film", after.gaps)):
        narrow = places.strips().narrower_than(1.0)
        left = [c.at_mm for c in made.changes if c.side == side and not c.done]
        for at in narrow.at_mm:
            assert any(np.hypot(*(at - np.array(one))) < 20.0 for one in left)
        cured = [Point(c.at_mm) for c in done if c.side == side]
        for at, width in zip(narrow.at_mm, narrow.width_mm, strict=True):
            assert all(Point(at).distance(one) > width / 2 for one in cured)
    assert after.pieces == before.pieces
    assert len(after.islands) == len(before.islands)
    farthest = max((change.edge_mm for change in done), default=0.0) + _SLACK_MM
    assert farthest <= WANTED.most_mm + _SLACK_MM
    if done:
        assert shapely.hausdorff_distance(
            made.region.boundary, drawn.boundary
        ) <= 2**0.5 * farthest + 0.5 * (name in {"triangle", "dots"})
        assert drawn.buffer(farthest, quad_segs=32).buffer(1e-6).covers(made.region)
        assert made.region.buffer(farthest, quad_segs=32).buffer(1e-6).covers(drawn)
    else:
        assert shapely.equals_exact(made.region, drawn)


@pytest.mark.parametrize("name", DRAWN)
def test_again_nothing_changes(name: str) -> None:
    once = _done(name)
    twice = _thick(once.region)
    assert not twice.changed
    assert shapely.equals_exact(twice.region, once.region)


@pytest.mark.parametrize("name", DRAWN)
def test_the_mirrored_drawing_gives_the_mirrored_result(name: str) -> None:
    made, mirrored = _done(name), _thick(affinity.scale(DRAWN[name], -1, 1, origin=(0, 0)))
    back = affinity.scale(mirrored.region, -1, 1, origin=(0, 0))
    assert shapely.symmetric_difference(made.region, back).area < 0.004 * made.region.length
    assert sorted(c.left for c in made.changes) == sorted(c.left for c in mirrored.changes)


@pytest.mark.parametrize("name", ["slot", "wide comb", "ring"])
def test_the_same_drawing_gives_the_same_result(name: str) -> None:
    assert shapely.to_wkb(_thick(DRAWN[name]).region) == shapely.to_wkb(_done(name).region)


@pytest.mark.parametrize(
    ("name", "side", "count"),
    [
        ("slot", "opening", 1),
        ("neck", "opening", 1),
        ("strip", "film", 1),
        ("bow tie", "opening", 1),
        ("dots", "opening", 9),
        ("counter", "film", 1),
        ("wide comb", "opening", 8),
        ("ring", "opening", 1),
    ],
)
def test_where_there_is_room_it_is_done(name: str, side: str, count: int) -> None:
    changes = _done(name).changes
    assert [(change.side, change.done) for change in changes] == [(side, True)] * count


def test_a_slot_becomes_as_wide_as_asked() -> None:
    """0.6 mm to 1 mm: 0.2 mm on each edge, all along."""
    made = _done("slot")
    (change,) = made.changes
    assert change.edge_mm == pytest.approx(0.2)
    x0, y0, x1, y1 = made.region.bounds
    assert (y0, y1) == pytest.approx((19.8, 20.8), abs=0.012)
    # its ends are corners, which need not move; they do no farther than its edges
    assert 19.788 <= x0 <= 20.0 < 60.0 <= x1 <= 60.212
    assert 1.0 <= made.measures.openings.width_mm[0] <= 1.024


def test_tines_too_near_each_other_are_left() -> None:
    """0.7 mm of film between tines of 0.6 mm: neither can be had without the other's loss."""
    made = _done("tight comb")
    assert {change.left for change in made.changes} == {NO_ROOM}
    assert len(made.changes) == 8 + 7


def test_more_than_an_edge_may_move_is_left() -> None:
    (change,) = _done("hairline").changes
    assert (change.left, change.edge_mm) == (TOO_MUCH, pytest.approx(0.45))
    far = _thick(DRAWN["hairline"], wanted=Wanted(1.0, 1.0, 0.5))
    assert far.changes[0].done


def test_nothing_is_taken_from_another_colour() -> None:
    """A line that borders on another colour stays; the same line away from it is thickened."""
    (change,) = _thick(DRAWN["slot"], others=box(10, 10, 50, 20)).changes
    assert change.left == TAKEN
    assert _thick(DRAWN["slot"], others=box(10, 10, 50, 19.5)).changes[0].done


def test_a_gap_that_another_colour_prints_is_that_ones_matter() -> None:
    made = _thick(DRAWN["strip"], others=box(40, 20, 40.6, 40))
    assert [change.left for change in made.changes] == [TAKEN]


def test_pieces_never_join() -> None:
    """Two dots of 0.5 mm, 0.2 mm apart: 1 mm each, they would be one."""
    made = _thick(shapely.union_all([Point(20, 20).buffer(0.25), Point(20.7, 20).buffer(0.25)]))
    assert {change.left for change in made.changes if change.side == "opening"} == {APART}
    assert len(made.region.geoms) == 2


def test_film_is_never_cut_loose() -> None:
    """A C whose ends are 0.2 mm apart stays open: closed, its inside would be an island."""
    ring = Point(30, 30).buffer(6).difference(Point(30, 30).buffer(5.2))
    made = _thick(ring.difference(box(35, 29.9, 37, 30.1)))
    assert measure(made.region).islands == ()


@settings(max_examples=9, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0, 12), st.floats(0, 12), st.floats(0.3, 6), st.floats(0.3, 1.4)),
        min_size=1,
        max_size=5,
    ),
    st.floats(0, 180),
)
def test_whatever_is_drawn_stays_sound(
    bars: list[tuple[float, float, float, float]], turn: float
) -> None:
    """Bars at random: pieces and islands stay, cured places are cured, nothing else became narrow."""
    drawn = as_multipolygon(
        shapely.union_all(
            [affinity.rotate(box(x, y, x + a, y + b), turn * k) for k, (x, y, a, b) in enumerate(bars)]
        )
    )  # fmt: skip
    made = _thick(drawn)
    before, after = measure(drawn), measure(made.region)
    assert (after.pieces, len(after.islands)) == (before.pieces, len(before.islands))
    for was, now in ((before.openings, after.openings), (before.gaps, after.gaps)):
        assert len(now.strips().narrower_than(1.0)) <= len(was.strips().narrower_than(1.0))


def test_a_neck_too_short_for_a_disc_to_miss_is_thickened_too() -> None:
    """Squares that overlap in a corner, 0.9 mm across: discs of 1 mm beside it cover its middle."""
    side = 0.9 / 2**0.5
    made = _thick(box(10, 10, 20, 20).union(box(20 - side, 20 - side, 30, 30)))
    (change,) = made.changes
    assert change.width_mm == pytest.approx(0.9, abs=1e-6)
    assert change.done
    assert made.measures.openings.strips().narrower_than(1.0).width_mm.size == 0


def test_a_neck_between_sharp_notches_is_listed_and_left() -> None:
    """Discs of 6 mm that overlap in 0.9 mm: thickening would make narrow grooves of the notches' ends."""
    apart = 2 * (3.0**2 - 0.45**2) ** 0.5
    discs = [Point(20 + k * apart, 20).buffer(3, quad_segs=64) for k in (0, 1)]
    (change,) = _thick(shapely.union_all(discs)).changes
    assert (change.left, change.side) == (NO_ROOM, "opening")


@pytest.mark.parametrize("turned_deg", [0.0, 17.0])
@pytest.mark.parametrize("width_mm", [0.71, 0.9, 0.97])
def test_a_bar_with_square_ends_is_thickened_to_its_ends(
    width_mm: float, turned_deg: float
) -> None:
    """However little it lacks: it passes from end to end, and grows by what it lacked on each side."""
    bar = affinity.rotate(box(20, 20, 60, 20 + width_mm), turned_deg)
    region = MultiPolygon([bar])
    made = thicken(region, measure(region), MultiPolygon(), Wanted(1.0, 1.0, 0.3), measure)
    assert [change.left for change in made.changes] == [NOT_NEEDED]
    assert measure(made.region).finest_opening is not None
    assert measure(made.region).finest_opening.width_mm >= 1.0 - AS_WIDE_MM  # type: ignore[union-attr]
    square = bar.buffer((1.0 - width_mm) / 2.0 + 0.011, join_style="mitre")
    assert square.buffer(1e-6).covers(made.region)
    assert made.region.area == pytest.approx(40 * 1.02, rel=0.01)


@pytest.mark.parametrize(("side_mm", "edge_mm"), [(1.42, 0.29), (1.89, 0.055), (1.0, 0.5)])
def test_a_square_island_grows_as_it_is_told_to(side_mm: float, edge_mm: float) -> None:
    """4 mm2 and 2 mm: a square becomes one of 2 mm, its edges moving by half of what it lacks."""
    island = box(20, 20, 20 + side_mm, 20 + side_mm)
    region = MultiPolygon([box(0, 0, 40, 40) - island])
    wanted = Wanted(1.0, 1.0, 0.5, island_mm=2.0, island_mm2=4.0)
    made = thicken(region, measure(region), MultiPolygon(), wanted, measure)
    (change,) = made.changes
    assert (change.side, change.left) == ("island", NOT_NEEDED)
    assert change.edge_mm == pytest.approx(edge_mm, abs=1e-4)
    (grown,) = measure(made.region).islands
    assert grown.area_mm2 == pytest.approx(4.0, abs=0.1)
    assert grown.area_mm2 >= 4.0
