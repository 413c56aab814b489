"""What misregistration shows: how often a gap opens along a border. Plain numpy and scipy.

One screen misses its place by a shift d and a turn theta about the artwork's middle; two screens miss
each other by the difference. A border edge with normal n at p from the middle then opens by
n·d + theta (p x n) - t, t being how far the screen printed first goes on there. A print shows the most
of all edges.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from prep.remembered import remembered

if TYPE_CHECKING:
    from prep.press_error import PressError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_BIN_DEG = 0.25
_TRAP_CLASS_MM = 0.005
SAMPLING = 0.01
"""What a share by 4,096 draws, and by edges taken in bins, may be off: three standard errors at 5 %."""
_SECTOR = 64
"""Edges looked at together: they open nearly alike, as they are sorted by direction."""


@dataclass(frozen=True, slots=True)
class Miss:
    """Standard deviations of one screen against another; see :func:`between`.

    :param set_up_mm: shift for a whole run, each way
    :param scatter_mm: shift of one print from its run, each way
    """

    set_up_mm: float
    scatter_mm: float
    set_up_turn_deg: float
    scatter_turn_deg: float


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """A border for draws: edges that can be the widest.

    :param arms: (n, 3) n_x, n_y, p x n
    :param trap_mm: (n,) how far the earlier screen goes on there
    :param number: (n,) which edge it was
    """

    arms: Floats
    trap_mm: Floats
    number: Ints


@dataclass(frozen=True, slots=True)
class Chance:
    """What a border shows.

    :param run_bad: chance that the set-up alone shows a gap, so that the whole run is bad
    :param print_in_good: share of prints showing one in a run that isn't bad
    :param print_any: share of prints showing one, over all runs
    :param worst_gap_mm: widest gap of a print, mean over all prints; 0 where none opens
    :param where: number of the edge that shows most often, -1 if none does
    """

    run_bad: float
    print_in_good: float
    print_any: float
    worst_gap_mm: float
    where: int


@dataclass(frozen=True, slots=True, eq=False)
class Draws:
    """How one screen lies against another.

    :param set_up: (3, draws) shift in mm and turn in radians of the run
    :param whole: (3, draws) of the print: set-up and scatter together
    """

    set_up: Floats
    whole: Floats


def miss_of(error: PressError) -> Miss:
    """Give one screen's error on a press."""
    return Miss(error.set_up_mm, error.scatter_mm, error.set_up_turn_deg, error.scatter_turn_deg)


def between(one_screen: Miss, *, unmoved: bool) -> Miss:
    """Give how two screens alike miss each other: both their errors, independent.

    :param unmoved: both print through one film that isn't moved between, so that no set-up differs
    """
    root, set_up = np.sqrt(2.0), 0.0 if unmoved else np.sqrt(2.0)
    return Miss(
        float(one_screen.set_up_mm * set_up),
        float(one_screen.scatter_mm * root),
        float(one_screen.set_up_turn_deg * set_up),
        float(one_screen.scatter_turn_deg * root),
    )


def draws_of(miss: Miss, count: int) -> Draws:
    """Give fixed quasi-random draws (a scrambled Sobol sequence of one seed), the next power of two."""
    normal = _normal(int(np.ceil(np.log2(max(count, 2)))), 6)
    turns = np.radians([miss.set_up_turn_deg, miss.scatter_turn_deg])
    set_up = normal[:3] * np.array([[miss.set_up_mm], [miss.set_up_mm], [turns[0]]])
    scatter = normal[3:] * np.array([[miss.scatter_mm], [miss.scatter_mm], [turns[1]]])
    return Draws(set_up, set_up + scatter)


@lru_cache(maxsize=8)
def _normal(power: int, dimensions: int) -> Floats:
    from scipy.special import ndtri
    from scipy.stats import qmc  # slow to import, and only needed here

    values = ndtri(qmc.Sobol(dimensions, rng=20_230).random_base2(power)).T
    values.setflags(write=False)
    return np.asarray(values, dtype=np.float64)


@remembered(kept=64)
def edges_of(middle: Floats, normal: Floats, trap_mm: Floats, centre: Floats) -> Edges:
    """Keep of a border's edges those that can open widest.

    Of edges whose normals lie in one bin of 0.25° and whose traps are in one class of 0.005 mm, the two
    with the least and the greatest p x n stay, with the least trap of the class; and of these, as the
    opening is linear in the turn, only those that are the widest of their bin at some turn: the lower
    hull of the traps over p x n. What is left out opens by at most 0.0044 |d| more than what stays, and
    what stays by at most 0.005 mm too much.

    :param middle: (n, 2) mm
    :param normal: (n, 2) unit vectors out of the earlier region
    :param trap_mm: (n,)
    :param centre: (2,) what turns go about, mm
    :return: sorted by direction
    """
    if not len(trap_mm):
        return Edges(np.empty((0, 3)), trap_mm, np.empty(0, dtype=np.int64))
    away = middle - centre
    lever = away[:, 0] * normal[:, 1] - away[:, 1] * normal[:, 0]
    turn = np.floor(np.degrees(np.arctan2(normal[:, 1], normal[:, 0])) / _BIN_DEG + 1e-6)
    level = np.floor(trap_mm / _TRAP_CLASS_MM + 1e-6)
    order = np.lexsort((lever, level, turn))
    same = (np.diff(turn[order]) == 0) & (np.diff(level[order]) == 0)
    first = np.concatenate([[True], ~same])
    last = np.concatenate([~same, [True]])
    starts = np.flatnonzero(first)
    least = np.minimum.reduceat(trap_mm[order], starts)
    kept = first | last
    number = order[kept]
    trap = least[(np.cumsum(first) - 1)[kept]]
    hull = _lower_hulls(turn[number], lever[number], trap)
    number, trap = number[hull], trap[hull]
    return Edges(np.column_stack([normal[number], lever[number]]), trap, number)


def _lower_hulls(group: Floats, x: Floats, y: Floats) -> Ints:
    """Give the points of each group that lie on its lower hull, group by group, by rising x.

    Of all groups together, every second point that lies on or over the line between its neighbours is
    left out until none does.
    """
    left = np.lexsort((y, x, group))
    while len(left) > 2:
        one, mid, other = left[:-2], left[1:-1], left[2:]
        turns = (x[mid] - x[one]) * (y[other] - y[one]) - (y[mid] - y[one]) * (x[other] - x[one])
        over = (group[one] == group[other]) & (turns <= 0.0)
        after = np.concatenate([[False], over[:-1]])
        # of a row of neighbours, every second one goes
        row = np.arange(len(over)) - np.maximum.accumulate(np.where(after, 0, np.arange(len(over))))
        gone = over & (row % 2 == 0)
        if not gone.any():
            break
        left = np.concatenate([left[:1], mid[~gone], left[-1:]])
    return left


def widest(edges: Edges, places: Floats) -> tuple[Floats, Ints]:
    """Give the widest opening of each draw, below zero where all overlap, and the edge it is at.

    Edges are taken in sectors. None of a sector can open more than its mean normal says, and |d| times
    the most that a normal of it is off; so in most draws most sectors needn't be looked at.

    :param edges: at least one
    :param places: (3, draws)
    :return: (draws,) mm; (draws,) row of ``edges``
    """
    arms, trap = edges.arms, edges.trap_mm
    starts = np.arange(0, len(arms), _SECTOR)
    sizes = np.diff(np.append(starts, len(arms)))
    mean = np.add.reduceat(arms[:, :2], starts) / sizes[:, None]
    off = np.hypot(*(arms[:, :2] - np.repeat(mean, sizes, axis=0)).T)
    spread = np.maximum.reduceat(off, starts)
    most = np.maximum.reduceat(arms[:, 2], starts)
    least = np.minimum.reduceat(arms[:, 2], starts)
    shift, turn = places[:2], places[2]
    bound = mean @ shift + np.outer(spread, np.hypot(*shift))
    bound += np.maximum(np.outer(most, turn), np.outer(least, turn))
    bound -= np.minimum.reduceat(trap, starts)[:, None]
    best, at = np.full(places.shape[1], -np.inf), np.zeros(places.shape[1], dtype=np.int64)
    likeliest = bound.argmax(axis=0)

    def look(sector: int, draws: Ints) -> None:
        own = slice(starts[sector], starts[sector] + sizes[sector])
        opening = arms[own] @ places[:, draws] - trap[own, None]
        where = opening.argmax(axis=0)
        found = opening[where, np.arange(len(draws))]
        more = found > best[draws]
        best[draws[more]] = found[more]
        at[draws[more]] = starts[sector] + where[more]

    for sector in np.unique(likeliest).tolist():
        look(sector, np.flatnonzero(likeliest == sector))
    for sector in np.argsort(-bound.mean(axis=1)).tolist():
        draws = np.flatnonzero((bound[sector] > best) & (likeliest != sector))
        if len(draws):
            look(sector, draws)
    return best, at


@remembered(kept=64)
def chance(edges: Edges, draws: Draws, visible_mm: float) -> Chance:
    """Say how often a gap wider than ``visible_mm`` shows."""
    if not len(edges.number):
        return Chance(0.0, 0.0, 0.0, 0.0, -1)
    bad = widest(edges, draws.set_up)[0] > visible_mm
    gap, at = widest(edges, draws.whole)
    shows = gap > visible_mm
    good = ~bad
    seen = np.bincount(at[shows], minlength=len(edges.number))
    return Chance(
        run_bad=float(bad.mean()),
        print_in_good=float(shows[good].mean()) if good.any() else 1.0,
        print_any=float(shows.mean()),
        worst_gap_mm=float(np.maximum(gap, 0.0).mean()),
        where=int(edges.number[seen.argmax()]) if shows.any() else -1,
    )


@remembered(kept=64)
def trap_needed_mm(edges: Edges, draws: Draws, visible_mm: float, share: float) -> float:
    """Give the even trap with which the share of prints showing a gap is as wanted; 0 or more.

    With one trap everywhere it comes off every opening alike, so it is a quantile of these.
    """
    if not len(edges.number):
        return 0.0
    bare = Edges(edges.arms, np.zeros_like(edges.trap_mm), edges.number)
    opening, _ = widest(bare, draws.whole)
    return max(0.0, float(np.quantile(opening, 1.0 - share)) - visible_mm)


@dataclass(frozen=True, slots=True, eq=False)
class Gap:
    """A border of two screens among several; see :func:`chance_among`.

    :param earlier: number of the screen whose outline the border is
    :param later: number of the screen that moves away from it, or out from under it
    """

    earlier: int
    later: int
    edges: Edges


def draws_among(
    one_screen: Miss, films: Sequence[int], count: int, *, together: Sequence[int] | None = None
) -> tuple[Draws, ...]:
    """Give where each of several screens lies, one error and one scatter for each.

    :param films: number of the film of each screen, counted from 0; those of one film share the
        set-up
    :param together: number of the stroke that prints each screen, counted from 0; those of one
        stroke share the scatter too. None: each has a stroke of its own
    :param count: the next power of two is taken
    """
    strokes = tuple(range(len(films))) if together is None else tuple(together)
    apart = max(films, default=-1) + 1
    normal = _normal(
        int(np.ceil(np.log2(max(count, 2)))), 3 * (apart + max(strokes, default=-1) + 1)
    )
    turns = np.radians([one_screen.set_up_turn_deg, one_screen.scatter_turn_deg])
    set_up_scale = np.array([[one_screen.set_up_mm], [one_screen.set_up_mm], [turns[0]]])
    scatter_scale = np.array([[one_screen.scatter_mm], [one_screen.scatter_mm], [turns[1]]])
    made = []
    for film, stroke in zip(films, strokes, strict=True):
        set_up = normal[3 * film : 3 * film + 3] * set_up_scale
        at = 3 * (apart + stroke)
        made.append(Draws(set_up, set_up + normal[at : at + 3] * scatter_scale))
    return tuple(made)


@remembered(kept=64)
def chance_among(gaps: Sequence[Gap], screens: Sequence[Draws], visible_mm: float) -> float:
    """Say what share of prints shows a gap wider than ``visible_mm`` anywhere, 0..1."""
    shows: NDArray[np.bool_] | None = None
    for gap in gaps:
        if len(gap.edges.number):
            away = screens[gap.later].whole - screens[gap.earlier].whole
            seen = widest(gap.edges, away)[0] > visible_mm
            shows = seen if shows is None else shows | seen
    return 0.0 if shows is None else float(shows.mean())
