"""Chances of a gap against closed forms and exact booleans."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from scipy.stats import norm
from shapely import Point, Polygon, box
from shapely.affinity import rotate, translate

from prep.borders import outline_of, shared_border
from prep.misses import Edges, Miss, between, chance, draws_of, edges_of, trap_needed_mm, widest

VISIBLE = 0.2
ONE = Miss(0.4, 0.3, 0.0, 0.0)
PAIR_MM = math.sqrt(2) * 0.5
SAMPLING = 0.012
"""More than three standard errors of 4,096 independent draws at a chance of 5 %, 0.0034 each."""


def edges(earlier: Polygon, later: Polygon, trap_mm: float, centre: tuple[float, float]) -> Edges:
    """Give the edges of a border with one trap everywhere."""
    border = shared_border(outline_of(earlier), outline_of(later)).split(1.0)
    traps = np.full(len(border), trap_mm)
    return edges_of(border.middle, border.normal, traps, np.array(centre))


@pytest.mark.parametrize("trap_mm", [0.0, 0.35, 0.7])
def test_a_straight_border(trap_mm: float) -> None:
    """A gap above L shows with 1 - Phi((t + L) / sigma of the pair); bad runs by the set-up alone."""
    found = chance(
        edges(box(0, 0, 10, 10), box(10, 0, 20, 10), trap_mm, (10, 5)),
        draws_of(between(ONE, unmoved=False), 4096),
        VISIBLE,
    )
    assert found.print_any == pytest.approx(norm.sf((trap_mm + VISIBLE) / PAIR_MM), abs=SAMPLING)
    assert found.run_bad == pytest.approx(
        norm.sf((trap_mm + VISIBLE) / (0.4 * math.sqrt(2))), abs=SAMPLING
    )


@pytest.mark.parametrize("trap_mm", [0.0, 0.7, 1.2])
def test_a_disc_in_a_ring(trap_mm: float) -> None:
    """Any direction opens it: exp(-(t + L)² / 2 sigma²); the trap needed is where that is as wanted."""
    disc = Point(0, 0).buffer(10, quad_segs=128)
    around = disc.buffer(10).difference(disc)
    draws = draws_of(between(ONE, unmoved=False), 4096)
    own = edges(disc, around, trap_mm, (0, 0))
    expected = math.exp(-((trap_mm + VISIBLE) ** 2) / (2 * PAIR_MM**2))
    assert chance(own, draws, VISIBLE).print_any == pytest.approx(expected, abs=0.02)
    needed = PAIR_MM * math.sqrt(-2 * math.log(0.05)) - VISIBLE
    assert trap_needed_mm(own, draws, VISIBLE, 0.05) == pytest.approx(needed, abs=0.04)


def test_one_unmoved_film_has_no_set_up_error() -> None:
    """Then no run is bad, and only the scatter shows."""
    own = edges(box(0, 0, 10, 10), box(10, 0, 20, 10), 0.0, (10, 5))
    found = chance(own, draws_of(between(ONE, unmoved=True), 4096), VISIBLE)
    assert found.run_bad == 0
    assert found.print_any == pytest.approx(norm.sf(VISIBLE / (0.3 * math.sqrt(2))), abs=SAMPLING)


def test_a_turn_opens_the_far_end() -> None:
    """A turn alone, a straight border 200 mm long about its middle: the ends move theta times 100 mm."""
    turn = 0.2
    draws = draws_of(between(Miss(0.0, 0.0, 0.0, turn), unmoved=False), 4096)
    own = edges(box(0, -100, 10, 100), box(10, -100, 20, 100), 0.3, (10, 0))
    sigma = math.radians(turn) * math.sqrt(2) * 99.5
    found = chance(own, draws, VISIBLE)
    assert found.print_any == pytest.approx(2 * norm.sf(0.5 / sigma), abs=SAMPLING)


def test_binning_keeps_the_widest() -> None:
    """Against every edge, a wavy border's widest opening is off by less than the stated bound."""
    angles = np.linspace(0, 2 * np.pi, 5000, endpoint=False)
    radius = 20 + np.sin(17 * angles)
    normal = np.column_stack([np.cos(angles), np.sin(angles)])
    middle = normal * radius[:, None] + 3
    trap = 0.3 + 0.2 * np.sin(5 * angles)
    draws = draws_of(between(Miss(0.4, 0.3, 0.1, 0.1), unmoved=False), 1024)
    kept = edges_of(middle, normal, trap, np.zeros(2))
    lever = middle[:, 0] * normal[:, 1] - middle[:, 1] * normal[:, 0]
    every = Edges(np.column_stack([normal, lever]), trap, np.arange(5000))
    for share in (0.05, 0.5):
        one, other = (trap_needed_mm(e, draws, VISIBLE, share) for e in (kept, every))
        assert one == pytest.approx(other, abs=0.01)
    assert chance(kept, draws, VISIBLE).print_any == pytest.approx(
        chance(every, draws, VISIBLE).print_any, abs=0.01
    )


@pytest.mark.parametrize("count", [1, 2, 63, 64, 65, 3000])
def test_looking_at_sectors_finds_what_all_edges_show(count: int) -> None:
    """Random edges in any order: the widest of each draw is the greatest of all openings, none missed."""
    random = np.random.default_rng(count)
    angles, lever = random.uniform(0, 2 * np.pi, count), random.uniform(-200, 200, count)
    arms = np.column_stack([np.cos(angles), np.sin(angles), lever])
    trap = random.uniform(0, 0.7, count)
    places = draws_of(between(Miss(0.4, 0.3, 0.1, 0.1), unmoved=False), 256).whole
    every = arms @ places - trap[:, None]
    best, at = widest(Edges(arms, trap, np.arange(count)), places)
    assert best == pytest.approx(every.max(axis=0), abs=1e-12)
    assert every[at, np.arange(256)] == pytest.approx(best, abs=1e-12)


def test_of_one_direction_only_what_can_be_widest_stays() -> None:
    """Edges facing right: at levers -9, 0, 9 without overlap the middle one is the widest at no turn;
    less of a trap there keeps it, more of one anywhere between the ends doesn't."""
    up = np.array([-9.0, 0.0, 9.0, 4.0, -5.0])
    middle, normal = np.column_stack([np.zeros(5), -up]), np.tile([1.0, 0.0], (5, 1))
    trap = np.array([0.5, 0.5, 0.5, 0.6, 0.7])
    assert edges_of(middle, normal, trap, np.zeros(2)).number.tolist() == [0, 2]
    trap[1] = 0.3
    assert edges_of(middle, normal, trap, np.zeros(2)).number.tolist() == [0, 1, 2]


def test_no_border_shows_nothing() -> None:
    """Without edges there is no gap, and no trap is needed."""
    none = edges_of(np.empty((0, 2)), np.empty((0, 2)), np.empty(0), np.zeros(2))
    draws = draws_of(between(ONE, unmoved=False), 64)
    assert chance(none, draws, VISIBLE).print_any == 0
    assert trap_needed_mm(none, draws, VISIBLE, 0.05) == 0


def test_exact_booleans_agree() -> None:
    """An L in a frame, spread by 0.5 mm, moved and turned 300 times: gaps that hold a disc of 0.2 mm."""
    shape = Polygon([(0, 0), (60, 0), (60, 20), (20, 20), (20, 50), (0, 50)])
    frame = box(-15, -15, 75, 65)
    around = frame.difference(shape)
    trap = 0.5
    draws = draws_of(between(Miss(0.3, 0.2, 0.1, 0.1), unmoved=False), 512)
    border = shared_border(outline_of(shape), outline_of(around)).split(1.0)
    own = edges_of(border.middle, border.normal, np.full(len(border), trap), np.array([30.0, 25.0]))
    spread = shape.buffer(trap, join_style="mitre")
    seen = 0
    for dx, dy, turn in draws.whole[:, :300].T:
        moved = translate(rotate(around, turn, origin=(30, 25), use_radians=True), dx, dy)
        hole = translate(rotate(shape, turn, origin=(30, 25), use_radians=True), dx, dy)
        gap = shapely.difference(hole, shapely.union(spread, moved))
        seen += not gap.buffer(-VISIBLE / 2, join_style="mitre").is_empty
    first = type(draws)(draws.set_up[:, :300], draws.whole[:, :300])
    expected = chance(own, first, VISIBLE).print_any
    assert seen / 300 == pytest.approx(expected, abs=0.02)
    assert 0.02 < expected < 0.9
