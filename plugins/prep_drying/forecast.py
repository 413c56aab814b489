"""From a job to its drying: climate, open times, and the run of every screen in each way of working."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from prep.estimate import Floats
from prep_drying import parameters, wells
from prep_drying.answers import (
    Air,
    Drying,
    DryingUncut,
    IdleScreen,
    Lost,
    OpenTime,
    Range,
    RunOf,
    ScreenRun,
    Together,
)
from prep_drying.checks import check_measured, far_off
from prep_drying.climate import outside, saturated
from prep_drying.courses import in_a_day
from prep_drying.doubt import contributions
from prep_drying.hand import WORLDS, estimate, worlds_of
from prep_drying.idle import open_time, openings
from prep_drying.run import Course, OnScreens, Run, simulate
from prep_drying.scene import Around, OneScreen, Scene, around, refuse_unless_wet, scene_of
from prep_drying.summary import Summary
from prep_drying.surface import S_PER_H

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from prep.job import Ask, Job
    from prep.shop import Working

WIDTHS_MM = (0.3, 0.5, 1.0, 2.0, 4.0, 10.0, 40.0)
"""Widths of opening that chances and open times are told at, besides the finest of a screen."""
MAY_CLOG = 0.1
"""Chance of a clogged opening up to which nothing is advised: what "nine times in ten" leaves."""
LOAD = 3.0
"""Ink put on a screen, as a multiple of what must lie there. A guess."""
_LEAST_PRINTS = 5  # that a load holds besides what must lie there
_MISTED = (
    "Water is taken to be misted on the ink before the blade once it has lost half of what it may;"
    " the order can ask for the run without."
)
_G_PER_MM2_S = 1e-3  # kg/(m² s) times mm², in g/s


def uncut_drying(job: Job, ask: Ask) -> DryingUncut:
    """Give how a job would dry in days that hold nothing but printing.

    :raises Unanswered: nobody tells of ink and mesh
    :raises InputError: a room outside what the formulas hold for, a way of working the press can't do, or
        an ink without water
    """
    scene = scene_of(job, ask, in_a_day)
    refuse_unless_wet(scene)
    air = around(scene)
    check_measured(scene, air)
    told = Drying(
        air=_air(scene, air),
        flooded=scene.flooded,
        mist=scene.mist,
        idle={one.screen.key: _idle(scene, air, one) for one in scene.screens},
        runs=tuple(_run_of(scene, air, way) for way in _ways(scene)),
        test_pulls=scene.prints.tests,
        whole=scene.whole,
        says=(),
    )
    return DryingUncut(_with_says(told, scene, air), scene.cut.courses)


def drying_of(job: Job, ask: Ask) -> Drying:
    """Give how a job dries on its screens, each time until they are washed out.

    :raises Unanswered: nobody tells of ink and mesh
    :raises InputError: as for :func:`uncut_drying`
    """
    scene = scene_of(job, ask)
    refuse_unless_wet(scene)
    uncut, air = ask(DryingUncut), around(scene)
    known = {run.working: run for run in uncut.drying.runs}
    runs = tuple(
        known[way] if scene.cut.courses[way] == uncut.courses[way] else _run_of(scene, air, way)
        for way in _ways(scene)
    )
    told = replace(uncut.drying, runs=runs, whole=scene.whole)
    return _with_says(told, scene, air)


def _ways(scene: Scene) -> tuple[Working, ...]:
    """Give the ways of working, the chosen first."""
    return (scene.working, *(way for way in scene.workings if way != scene.working))


def _with_says(told: Drying, scene: Scene, air: Around) -> Drying:
    misted = any(one.misted_g.draws.any() for run in told.runs for one in run.by_screen.values())
    says = (
        saturated(air.here),
        *far_off(scene, air),
        _MISTED if misted and scene.mist == "as needed" else "",
        *scene.says,
    )
    return replace(told, says=tuple(said for said in says if said))


def _air(scene: Scene, air: Around) -> Air:
    here = air.here
    return Air(
        climate=scene.climate,
        assumed=scene.assumed,
        room_c=scene.room.temperature_c,
        room_humidity=scene.room.humidity,
        at_screen_c=estimate(here.air_c, "C"),
        humidity=estimate(here.humidity, ""),
        air_speed_m_s=estimate(here.air_speed_m_s, "m/s"),
        film_c=estimate(here.film_c, "C"),
        flux_kg_m2_h=estimate(air.flux * S_PER_H, "kg/(m2 h)"),
        outside=tuple(outside(here)),
    )


def _idle(scene: Scene, air: Around, one: OneScreen) -> IdleScreen:
    widths = (one.finest_mm, *WIDTHS_MM)
    times = (open_time(scene, air, one, widths, flooded=flooded) for flooded in (False, True))
    told = [
        OpenTime(width, estimate(cleared, "s"), estimate(flood, "s"))
        for width, cleared, flood in zip(widths, *times, strict=True)
    ]
    return IdleScreen(
        one.screen.key,
        one.finest_mm,
        one.retarder,
        told[0],
        tuple(told[1:]),
        contributions(scene, air, one),
    )


def on_screens(scene: Scene, air: Around, working: Working, *, by_width: bool) -> OnScreens:
    """Put together what the run of all screens follows from, in print order.

    :param by_width: reckon all widths, not the finest opening alone
    """
    screens = scene.screens
    before = {k: gaps for part in scene.workings[working] for k, gaps in part.gaps_s.items()}
    inks = [scene.ink(one) for one in screens]
    pulls = np.array([len(before[one.screen.key]) for one in screens])
    gaps = np.zeros((len(screens), int(pulls.max()), WORLDS))
    for s, one in enumerate(screens):
        for k, gap in enumerate(before[one.screen.key]):
            gaps[s, k] = gap
    more = WIDTHS_MM if by_width else ()
    loss = []
    for one in screens:
        inside = openings(scene, air, one, (one.finest_mm, *more), flooded=scene.flooded)
        loss.append(wells.lost_a_pull(air.flux, 1.0, inside.water, inside.index))
    print_g = np.array([worlds_of(o.ink.per_print_g) for o in screens]) / pulls[:, None]
    wet = np.array([_wet_mm2(scene, one) for one in screens])
    evaporation = wet * air.flux * _G_PER_MM2_S
    keep = np.array([_keep_g(scene, one) for one in screens])
    # the same however many shirts, so that more of them are never safer; small mixes are a little less
    load = np.maximum(LOAD * keep, keep + _LEAST_PRINTS * print_g * pulls[:, None])
    return OnScreens(
        water_share=np.array([ink.water_share for ink in inks]),
        print_g=print_g,
        keep_g=keep,
        load_g=load,
        evaporation_g_s=evaporation,
        loss_per_s=np.array(loss),
        exchange=np.array([_exchange(scene, one) for one in screens]),
        critical_loss=np.array([ink.critical_loss for ink in inks]),
        gaps_s=gaps,
        pulls=pulls,
    )


def _exchange(scene: Scene, one: OneScreen) -> Floats:
    """Give the share of the ink in an opening that all strokes of a pull replace."""
    stays = 1.0 - scene.hand.worlds(parameters.EXCHANGE)
    return np.asarray(1.0 - stays**one.ink.strokes)


def _wet_mm2(scene: Scene, one: OneScreen) -> Floats:
    """Give the area ink before the blade lies open on: all that is flooded, or the bead alone."""
    if scene.flooded:
        return np.full(WORLDS, one.ink.swept_mm2)
    return np.asarray(scene.hand.worlds(parameters.BEAD_SURFACE) * one.ink.squeegee_mm)


def _keep_g(scene: Scene, one: OneScreen) -> Floats:
    """Give the ink that must lie on a screen: the bead, and the flood where there is one."""
    bead = worlds_of(one.ink.bead_g)
    if not scene.flooded:
        return bead
    flood_ml = scene.hand.worlds(parameters.FLOOD_LAYER) * one.ink.swept_mm2 * 1e-6
    return np.asarray(bead + flood_ml * worlds_of(one.ink.density_g_per_ml))


def _run_of(scene: Scene, air: Around, working: Working) -> RunOf:
    scene = replace(scene, working=working)
    rounds, prints = scene.workings[working], scene.prints
    on = on_screens(scene, air, working, by_width=True)
    first = np.zeros(WORLDS, dtype=np.int64)
    by_screen: dict[str, ScreenRun] = {}
    for course, places in scene.together():
        some, summary = on.only(places), Summary()
        run = simulate(some, course, summary)
        for k, s in enumerate(places):
            one = scene.screens[s]
            by_screen[one.screen.key] = _screen_run(scene, one, course, some, run, summary, k)
            first = _earlier(first, _earlier(run.lost_at[k, 0], run.dried_at[k]))
    shirt_s = np.sum([part.cycle_s for part in rounds], axis=0)
    last = max(scene.prints.last_shirt(course) for course in scene.courses)
    return RunOf(
        working=working,
        parts=tuple(
            Together(
                part.screens,
                estimate(part.cycle_s, "s"),
                estimate(part.dried_s, "s"),
                course.prints,
                prints.last_shirt(course),
            )
            for part, course in zip(rounds, scene.courses, strict=True)
        ),
        shirt_s=estimate(shirt_s, "s"),
        run_s=estimate(shirt_s * prints.all + sum(scene.cut.paused_s[working]), "s"),
        wet_s={
            key: estimate(part.cycle_s * prints.all + paused_s, "s")
            for part, paused_s in zip(rounds, scene.cut.paused_s[working], strict=True)
            for key in part.screens
        },
        fits=float((first[1:] == 0).mean()),
        first_lost=_shirts_where(first[1:], prints.tests, last),
        by_screen={one.screen.key: by_screen[one.screen.key] for one in scene.screens},
    )


def _screen_run(
    scene: Scene,
    one: OneScreen,
    course: Course,
    on: OnScreens,
    run: Run,
    summary: Summary,
    s: int,
) -> ScreenRun:
    """Tell one screen.

    :param s: its place among those on which the run was simulated
    """
    tests, last = scene.prints.tests, scene.prints.last_shirt(course)
    dried, thick = run.dried_at[s, 1:], run.thick_at[s, 1:]
    ink = scene.ink(one)
    fresh = ink.water_share / (1.0 - ink.water_share)
    clogs = fresh * (1.0 - ink.critical_loss)
    return ScreenRun(
        screen=one.screen.key,
        fits=float(run.open_to_the_end[s, 1:].mean()),
        lost=_lost(one.finest_mm, run.lost_at[s, :, 1:], tests, last),
        dries_out=float((dried > 0).mean()),
        dried_shirt=_shirts_where(dried, tests, last),
        prints=tuple(range(1, course.prints + 1)),
        bead=summary.bead(s),
        well=summary.well(s),
        clogs_below=estimate(clogs / (1.0 + clogs), ""),
        load_g=estimate(_put_on_first(one, on, s), "g"),
        top_ups=summary.top_ups(s, WORLDS - 1, tests, last),
        between_s=estimate(on.gaps_s[s, : on.pulls[s]].max(axis=0), "s"),
        pause_s=estimate(np.minimum(run.pause_s[s], wells.LONGEST_S), "s"),
        wipe_before=_wipe_before(run.lost_at[s, 0, 1:], tests, last),
        thickens=float((thick > 0).mean()),
        mist_from=_shirts_where(thick, tests, last),
        mist_g_per_h=estimate(on.evaporation_g_s[s] * S_PER_H, "g/h"),
        misted_g=estimate(run.misted_g[s], "g"),
    )


def _put_on_first(one: OneScreen, on: OnScreens, s: int) -> Floats:
    """Give the ink put on at first: a load, or all that is mixed; some prints' worth in any case."""
    least = on.keep_g[s] + _LEAST_PRINTS * on.print_g[s] * on.pulls[s]
    return np.asarray(np.maximum(np.minimum(on.load_g[s], one.ink.to_mix_g), least))


def _earlier(one: NDArray[np.int64], other: NDArray[np.int64]) -> NDArray[np.int64]:
    """Give the earlier of two prints; 0 = never."""
    both = np.minimum(one, other)
    return np.where(both == 0, np.maximum(one, other), both)


def _shirts_where(prints: NDArray[np.int64], tests: int, last_shirt: int) -> Range | None:
    """Give the 10, 50 and 90 % points of shirts over the draws that have one; ``None`` where none has.

    :param prints: of each draw, 0 = never; a test pull is told as shirt 0, a shirt printed again for one
        spoilt as the last
    """
    there = prints[prints > 0]
    if not there.size:
        return None
    shirts = np.clip(there - tests, 0, last_shirt)
    low, middle, high = np.quantile(shirts, (0.1, 0.5, 0.9))
    return float(low), float(middle), float(high)


def _lost(finest_mm: float, lost_at: NDArray[np.int64], tests: int, last_shirt: int) -> Lost:
    """Tell by width what was lost, widths rising. (W, 512), the finest first."""
    widths = (finest_mm, *WIDTHS_MM)
    rising = sorted({width: k for k, width in reversed(list(enumerate(widths)))}.items())
    return Lost(
        tuple(width for width, _ in rising),
        tuple(float((lost_at[k] > 0).mean()) for _, k in rising),
        tuple(_shirts_where(lost_at[k], tests, last_shirt) for _, k in rising),
    )


def _wipe_before(lost_at: NDArray[np.int64], tests: int, last_shirt: int) -> int | None:
    """Give the shirt before which more than a tenth of the draws have lost the finest opening."""
    if (lost_at > 0).mean() <= MAY_CLOG:
        return None
    ranked = np.sort(np.where(lost_at > 0, lost_at, np.iinfo(np.int64).max))
    shirt = int(ranked[int(MAY_CLOG * len(ranked))]) - tests
    return min(max(shirt, 0), last_shirt)
