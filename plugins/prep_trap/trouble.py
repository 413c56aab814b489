"""What can go wrong where colours meet, and where they nearly do."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

import shapely

from prep.borders import near_misses, outline_of
from prep.errors import SettingsError
from prep.findings import Finding
from prep.job import Ask, Job
from prep.misses import SAMPLING
from prep.phrases import length, percent, place, several
from prep.press_error import bound_to_show
from prep_trap.answers import GapChances, PairChance
from prep_trap.planning import Plan, added_to, plan_of, screen_of
from prep_trap.remedy import STEP, remedy_of
from prep_trap.settings import Trap

LISTED = 4
"""Pairs that get a finding of their own, those that show gaps most often; the others are counted."""
_APART_MM = 1.0
"""Bare shirt between colours that prints and stays open: common practice, no source."""


def findings_of(job: Job, ask: Ask) -> Iterator[Finding]:
    """Say where gaps will show, which traps are wider than any need, where film beside traps was opened,
    and which colours nearly meet.
    """
    plan = plan_of(job)
    yield from _gaps(job, plan, ask(GapChances))
    yield from _wide(job, plan)
    yield from _opened(job, plan)
    yield from _near(job)
    for unused in plan.unused:
        yield Finding(
            "note",
            "trap not used here",
            what=unused.says,
            why="The order has several prints, and another may have the pair.",
            do="Nothing, if another print has it; else take it out of order.toml.",
            unused=unused.says.split(":")[0],
            unused_at=unused.at,
        )


def _gaps(job: Job, plan: Plan, chances: GapChances) -> Iterator[Finding]:
    often = [
        pair
        for pair in chances.pairs
        if pair.like is None and pair.print_any > chances.wanted + SAMPLING
    ]
    often.sort(key=lambda pair: -pair.print_any)
    for pair in often[:LISTED]:
        yield _gap(job, plan, chances, pair)
    rest = often[LISTED:]
    if rest:
        yield Finding(
            "at risk",
            "gap between colours",
            what=f"{len(rest)} further pairs of colours show a gap too often; see the table of pairs."
            if len(rest) > 1
            else "A further pair of colours shows a gap too often; see the table of pairs.",
            why=f"Each shows one on more than {percent(chances.wanted)} of the prints.",
            do="See to the pairs named first; what helps them helps these.",
            at_mm=rest[0].at_mm,
            also_at_mm=tuple(pair.at_mm for pair in rest[1:]),
            count=len(rest),
            on_prints=max(pair.print_any for pair in rest),
        )


def _gap(job: Job, plan: Plan, chances: GapChances, pair: PairChance) -> Finding:
    units = job.shop.units
    one, other = job.screen(pair.earlier), job.screen(pair.later)
    fails = bound_to_show(pair.print_any, stated=chances.error_stated)
    seen = length(chances.visible_mm, units)
    return Finding(
        "will fail" if fails else "at risk",
        "gap between colours",
        what=(
            f"{one.ink} and {other.ink}, {_made(pair, units)}: a gap wider than {seen} shows on"
            f" {percent(pair.print_any)} of the prints, most often at {place(pair.at_mm, units)};"
            f" {percent(chances.wanted)} are allowed."
        ),
        why=(
            f"Screens are off by chance: {percent(pair.run_bad)} of the runs show it from the first"
            f" print to the last, and in the others {percent(pair.print_in_good)} of the prints do."
        ),
        do=_against_gap(job, plan, pair),
        screen=pair.earlier,
        colour=one.colour,
        at_mm=pair.at_mm,
        size_mm=pair.worst_gap_mm,
        on_prints=pair.print_any,
    )


def _against_gap(job: Job, plan: Plan, pair: PairChance) -> str:
    """Give the trap that would do, with what to write for it; else what is left."""
    units, most = job.shop.units, job.settings(Trap).most_mm
    one, other = job.screen(pair.earlier), job.screen(pair.later)
    planned = next(p for p in plan.pairs if (p.earlier.key, p.later.key) == (one.key, other.key))
    needed = length(pair.needed_mm, units)
    narrow = f"A trap of {needed} all along would do, but the shapes are too narrow there:"
    if pair.do == "base":
        return f"{narrow} draw them wider, or line up more exactly."
    remedy = remedy_of(job, planned)
    if remedy is None:
        return f"{narrow} draw them wider or apart, or line up more exactly."
    left = f"({percent(remedy.print_any)} of the prints then)"
    covers = (
        f"{other.ink} is dark enough to cover it"
        if pair.do == "overprint"
        else f"it is seen wherever {other.ink} doesn't cover {one.ink}, so try it on scrap"
    )
    if remedy.width_mm is None:
        return (
            f"{other.ink} lies wholly within {one.ink}, which can be printed right through under it {left}:"
            f" {remedy.keys}; {covers}. Or line up more exactly."
        )
    does = f"a trap of {length(remedy.width_mm, units)} would do {left}: {remedy.keys}"
    if remedy.width_mm <= most:
        return f"{does[0].upper()}{does[1:]}. Or line up more exactly."
    return (
        f"{length(most, units)} is the widest trap made by rule; {does}; {covers}. Or line up more"
        " exactly, or draw the two apart."
    )


def _made(pair: PairChance, units: str) -> str:
    if pair.do == "butt":
        return "edge to edge"
    if pair.all_through:
        return "printed right through"
    return "over a base" if pair.do == "base" else f"{length(pair.width_mm, units)} of trap"


def _wide(job: Job, plan: Plan) -> Iterator[Finding]:
    """Say which traps were asked for wider than any made by rule, and than the press's error asks for."""
    units, most = job.shop.units, job.settings(Trap).most_mm
    wide = [p for p in plan.pairs if p.stated and p.width_mm > max(most, p.needed_mm + STEP[units])]
    if not wide:
        return
    widest = max(wide, key=lambda pair: pair.width_mm)
    needed = length(max(pair.needed_mm for pair in wide), units)
    yield Finding(
        "note",
        "trap wider than needed",
        what=(
            f"{several([f'{p.earlier.ink} and {p.later.ink}' for p in wide])}: traps of up to"
            f" {length(widest.width_mm, units)} are asked for. {length(most, units)} is the widest made by"
            f" rule, and the press's error asks for {needed}."
        ),
        why="Two inks lie on each other all along a trap: they feel thick there, dry late, and may show.",
        do="Take the width out of the order, or make it smaller; nothing, if it is as meant.",
        screen=widest.earlier.key,
        colour=widest.earlier.colour,
        size_mm=widest.width_mm,
        count=len(wide),
    )


def _opened(job: Job, plan: Plan) -> Iterator[Finding]:
    try:
        added = added_to(job, plan)
    except SettingsError:
        return  # said before any screen was made
    for key, made in added.items():
        places = [part.representative_point() for part in made.closed.geoms]
        if not places:
            continue
        one, later = job.screen(key), several(dict.fromkeys(made.under))
        yield Finding(
            "note",
            "film opened under later inks",
            what=(
                f"{one.ink} is printed right through under {later} in {len(places)} narrow"
                f" {'place' if len(places) == 1 else 'places'}."
            ),
            why="The film left there would be too fine to cut, or to stay down.",
            do=(
                "Nothing, if the later ink covers the earlier; else set film_strip and film_island"
                ' under [trap] in shop.toml lower, or do = "butt" for the pair.'
            ),
            screen=key,
            colour=one.colour,
            at_mm=(places[0].x, places[0].y),
            also_at_mm=tuple((place.x, place.y) for place in places[1:]),
            count=len(places),
        )


def _near(job: Job) -> Iterator[Finding]:
    within, units = job.settings(Trap).near_miss_mm, job.shop.units
    outlines = {region.colour: outline_of(region.region) for region in job.design}
    printed = shapely.union_all([region.region for region in job.design])
    for one, other in combinations(job.design, 2):
        screen, beside = screen_of(job, one.colour), screen_of(job, other.colour)
        if screen is None or beside is None:
            continue
        found = near_misses(outlines[one.colour], outlines[other.colour], printed, within)
        if not found:
            continue
        whole = sum(miss.length_mm for miss in found)
        gap = min(miss.gap_mm for miss in found)
        yield Finding(
            "at risk",
            "colours nearly meet",
            what=(
                f"{screen.ink} and {beside.ink} stand {_apart(gap, units)} apart along"
                f" {length(whole, units)}, the first at {place(found[0].at_mm, units)}."
            ),
            why="So narrow a strip of shirt closes on one print and gapes on the next.",
            do=(
                "Draw them until they touch, and a trap is made; or"
                f" {length(_APART_MM, units)} or more apart."
            ),
            screen=screen.key,
            colour=screen.colour,
            at_mm=found[0].at_mm,
            also_at_mm=tuple(miss.at_mm for miss in found[1:]),
            size_mm=gap,
            count=len(found),
        )


def _apart(gap_mm: float, units: str) -> str:
    """Write a gap; one finer than lengths are written is under the finest of these."""
    finest_mm = 0.0254 if units == "inch" else 0.01
    if gap_mm < finest_mm / 2.0:
        return f"under {length(finest_mm, units)}"
    return length(gap_mm, units)
