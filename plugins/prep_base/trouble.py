"""What can go wrong with a base, and with the way a set-up is printed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from prep.errors import Unanswered
from prep.findings import Finding
from prep.job import Ask, Job
from prep.misses import SAMPLING
from prep.phrases import length, percent, several
from prep.press_error import bound_to_show
from prep.screens import ink_kind
from prep_base.answers import Detail, Peek, UnderColours, WaysToPrint
from prep_base.childrens import childrens
from prep_base.settings import Base
from prep_base.ways import DISCHARGE

LISTED = 4
"""Details that get a finding of their own, the most starved; the others are counted."""


def findings_of(job: Job, ask: Ask) -> Iterator[Finding]:
    """Say where the base shows or is starved, which parts have none, and what was asked in vain."""
    ways = ask(WaysToPrint)
    for unused in ways.unused:
        yield Finding(
            "note",
            "base setting not used here",
            what=unused.says,
            why="The order has several prints or shirts, and another may use it.",
            do="Nothing, if another does; else take it out of order.toml.",
            unused=re.split("[,;]", unused.says)[0],
            unused_at=unused.at,
        )
    yield from _discharge_for_children(job)
    yield from _one_ink(job)
    if ways.chosen == "side by side" and not ways.stated:
        yield from _side_by_side(job, ways)
    try:
        facts = ask(UnderColours)
    except Unanswered:
        return  # no base is made, or its film is the colour's own
    for peek in facts.peeks:
        if peek.print_any > facts.wanted + SAMPLING:
            yield _peeks(job, facts, peek, stated=ways.error_stated)
    yield from _starved(job, facts)
    yield from _left_out(job, facts)


def _discharge_for_children(job: Job) -> Iterator[Finding]:
    """Say which shirts that get discharge ink seem to be children's."""
    young = childrens(job.setup)
    inks = [s for s in job.screens if ink_kind(s, job.shop)[0] == "discharge"]
    if not young or not inks:
        return
    yield Finding(
        "at risk",
        "discharge on children's wear",
        what=f"{several([s.ink for s in inks])}: discharge ink on {several(young)}.",
        why=DISCHARGE,
        do="Print these sizes another way, or with other inks.",
        screen=inks[0].key,
        colour=inks[0].colour,
        count=len(inks),
    )


def _one_ink(job: Job) -> Iterator[Finding]:
    """Say which colours of the artwork are printed with one ink, each from a screen of its own."""
    by_ink: dict[str, list[str]] = {}
    for screen in job.screens:
        if screen.does == "colour":
            by_ink.setdefault(screen.ink, []).append(screen.colour)
    for ink, colours in by_ink.items():
        if len(set(colours)) < 2:
            continue
        first, *others = dict.fromkeys(colours)
        sets = " ".join(f"--set 'colour.{colour}.print_as={first}'" for colour in others)
        yield Finding(
            "at risk",
            "one ink for several colours",
            what=f"{several(dict.fromkeys(colours))} are printed with one ink, {ink}, each on its own.",
            why="They come out alike; a screen and a pull for each, and lining up, are work for nothing.",
            do=f"To print them as one: {sets}. If they are to differ, give each an ink of its own name.",
            colour=first,
            count=len(others),
        )


def _side_by_side(job: Job, ways: WaysToPrint) -> Iterator[Finding]:
    """Say which colours share a film, where nobody asked for it."""
    inks = [dict.fromkeys(screen.ink for screen in film) for film in job.films]
    shared = [several(each) for each in inks if len(each) > 1]
    if not shared:
        return
    other = next(way.name for way in ways.ways if way.name in ("base", "plain"))
    yield Finding(
        "note",
        "colours share a film",
        what=f"Printed side by side through one film: {'; '.join(shared)}.",
        why=f"{ways.way.why} It is the best of the ways to print.",
        do=(
            "Have two short squeegees ready; or tape one ink's openings off while the other is printed on"
            " every shirt, which lays them again and isn't in the hours."
            f" For a film of each colour's own: --set base.way={other}."
        ),
    )


def _peeks(job: Job, facts: UnderColours, peek: Peek, *, stated: bool) -> Finding:
    units, most = job.shop.units, job.settings(Base).most_mm
    ink = job.screen(peek.colour).ink
    fails = bound_to_show(peek.print_any, stated=stated)
    needed = length(facts.needed_mm, units)
    if facts.needed_mm > most:
        do = (
            f"Even {length(most, units)}, the widest choke that makes sense, doesn't suffice:"
            f" {needed} would. Line up more exactly, or look at the other ways to print."
        )
    elif facts.choke_mm >= facts.needed_mm - 1e-9:
        do = "Narrow parts bear no wider choke: draw them thicker, or line up more exactly."
    else:
        do = f"A choke of {needed} would do: take it under [base], or line up more exactly."
    return Finding(
        "will fail" if fails else "at risk",
        "base shows beside a colour",
        what=(
            f"{ink}: more than {length(facts.visible_mm, units)} of the base shows beside it on"
            f" {percent(peek.print_any)} of the prints, {percent(facts.wanted)} are allowed."
        ),
        why=(
            f"Screens are off by chance: {percent(peek.run_bad)} of the runs show it from the first"
            f" print to the last, and in the others {percent(peek.print_in_good)} of the prints do."
        ),
        do=do,
        screen=facts.screen,
        colour=peek.colour,
        at_mm=peek.at_mm,
        size_mm=peek.worst_mm,
        on_prints=peek.print_any,
    )


def _starved(job: Job, facts: UnderColours) -> Iterator[Finding]:
    told: dict[tuple[str, ...], list[Detail]] = {}
    for detail in facts.details:
        told.setdefault(_words(job, facts, detail), []).append(detail)
    groups = list(told.items())
    for words, alike in groups[:LISTED]:
        yield _detail(job, facts, words, alike)
    rest = [detail for _, alike in groups[LISTED:] for detail in alike]
    if rest:
        yield Finding(
            "at risk" if any(d.left_mm <= 0.0 for d in rest) else "note",
            "choke starves a narrow part",
            what=f"{len(rest)} further narrow parts of colours have little base; see the base's table."
            if len(rest) > 1
            else "A further narrow part of a colour has little base; see the base's table.",
            why="The choke leaves too little of the base in them.",
            do="What helps those named first helps these.",
            screen=facts.screen,
            at_mm=rest[0].at_mm,
            also_at_mm=tuple(d.at_mm for d in rest[1:]),
            count=len(rest),
        )


def _words(job: Job, facts: UnderColours, detail: Detail) -> tuple[str, str, str]:
    """Give whose part it is, what becomes of its base, and what to do: alike for parts alike."""
    units = job.shop.units
    best, *others = detail.ways
    instead = "; ".join(_as_clause(way.what) for way in others)
    made = "no base" if detail.left_mm <= 0.0 else f"{length(detail.left_mm, units)} of base"
    whole = "nothing" if detail.whole_mm <= 0.0 else length(detail.whole_mm, units)
    return (
        job.screen(detail.colour).ink,
        f"the whole choke of {length(facts.choke_mm, units)} a side would leave {whole} of base;"
        f" {made} lies there.",
        f"{best.what} Or: {instead}.",
    )


def _detail(
    job: Job, facts: UnderColours, words: tuple[str, ...], alike: Sequence[Detail]
) -> Finding:
    """Tell parts of the same words once, with all their places.

    :param alike: parts of the same words, the worst first
    """
    worst, *others = alike
    ink, becomes, do = words
    units = job.shop.units
    low, high = (length(pick(detail.width_mm for detail in alike), units) for pick in (min, max))
    wide = low if low == high else f"{low.split()[0]} to {high}"
    many = f" in {len(alike)} parts" if others else ""
    return Finding(
        "at risk" if worst.left_mm < job.settings(Base).thinnest_mm else "note",
        "choke starves a narrow part",
        what=f"{ink} is {wide} wide{many}: {becomes}",
        why="Too thin a base can't be cut and weeded, and where it lacks the shirt shows through.",
        do=do,
        screen=facts.screen,
        colour=worst.colour,
        at_mm=worst.at_mm,
        also_at_mm=tuple(detail.at_mm for detail in others),
        size_mm=worst.width_mm,
        count=sum(detail.places for detail in alike),
    )


def _as_clause(sentence: str) -> str:
    return sentence[0].lower() + sentence[1:].rstrip(".")


def _left_out(job: Job, facts: UnderColours) -> Iterator[Finding]:
    places = facts.left_out_mm
    if not places:
        return
    many = len(places)
    yield Finding(
        "at risk",
        "part without a base",
        what=(
            f"{many} {'part' if many == 1 else 'parts'} of colours got no base: less than"
            f" {length(job.settings(Base).thinnest_mm, job.shop.units)} of it would have been left."
        ),
        why="The shirt shows through there, so that the colour turns dull or vanishes.",
        do="Draw them thicker, choke less (choke under [base]), or leave them to the shirt.",
        screen=facts.screen,
        at_mm=places[0],
        also_at_mm=places[1:],
        count=many,
    )
