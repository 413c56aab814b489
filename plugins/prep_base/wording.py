"""What the sheet says of ways to print and of the base."""

from __future__ import annotations

from collections.abc import Iterator

from prep.errors import Unanswered
from prep.job import Ask, Job
from prep.phrases import length, percent, place, several
from prep.press_error import press_error
from prep.sections import Block, Caution, Paragraph, Section, Table
from prep_base.answers import Detail, UnderColours, Way, WaysToPrint
from prep_base.counting import pace
from prep_base.possible import press_holds
from prep_base.settings import Base

ROWS = 10
"""Narrow parts listed at most; the others are counted."""


def sections_of(job: Job, ask: Ask) -> Iterator[Section]:
    """Give the table of ways, and the base with what it shows and starves."""
    ways = ask(WaysToPrint)
    if len(ways.ways) > 1 or ways.fell_away:
        yield Section("job", "Ways to print", tuple(_ways(job, ways)), rank=22)
    try:
        facts = ask(UnderColours)
    except Unanswered:
        return  # no base is made, or its film is the colour's own
    yield Section("job", "The base", tuple(_base(job, facts, ways)), rank=24)


def _ways(job: Job, ways: WaysToPrint) -> Iterator[Block]:
    head = (
        "Way",
        "What is made",
        "Films",
        "Passes",
        "Flashes",
        "Laid",
        "Prints with a miss",
        "Hours",
        "Weighed",
    )
    rows = tuple(_way(way, ways) for way in ways.ways)
    chosen = job.settings(Base)
    caption = (
        "Best first: ways that show the drawing without a trial, then by hours with what prints that show"
        f" a gap or the base count as ({chosen.miss_time_s / 60.0:g} min each). {_reckoned(job)} Gaps are"
        f" reckoned with traps of up to {length(chosen.most_mm, job.shop.units)}."
    )
    yield Table(head, rows, "llrrrrrrr", caption)
    way = ways.way
    by = "the order asks for it" if ways.stated else "the best of these"
    yield Paragraph(f"Made: {way.name}, {by}. {way.why} {way.asks}")
    for caution in way.cautions:
        yield Caution(caution)
    others = [other for other in ways.ways if other.name != ways.chosen]
    said = tuple((other.name, other.why, other.asks) for other in others)
    caption = "The order can name another of these ways."
    if said:
        yield Table(("Other way", "For and against", "What it asks"), said, "lll", caption)
    if ways.fell_away:
        fell = several([f"{way.name} ({way.films} films)" for way in ways.fell_away])
        yield Paragraph(f"Not possible: {fell}, as {press_holds(job)}.")
    for caution in dict.fromkeys(c for other in others for c in other.cautions):
        if caution not in way.cautions:
            yield Caution(caution)


def _reckoned(job: Job) -> str:
    """Say what the hours hold and what they don't."""
    chosen, one = job.settings(Base), pace(job)
    flash = "each flash as told by the steps of printing"
    if chosen.flash_time_s is not None:
        flash = f"{chosen.flash_time_s:g} s a flash"
    tests = f"{one.tests} test pulls and " if one.tests else ""
    return (
        f"Hours hold {one.film / 60.0:g} min a film, {one.mix / 60.0:g} min an ink, {one.line_up / 60.0:g}"
        f" min lining up and {one.clean / 60.0:g} min clean-up a screen; for {tests}{one.prints} shirts,"
        f" spoilt ones too, {one.print:g} s a pass, {flash}, {one.lay:g} s each time a shirt is laid; and"
        f" {chosen.wash_time_s / 60.0:g} min a wash between two inks: guesses until the shop has set its"
        f" own. {_worked(job)} Curing isn't in them, nor topping up, wiping,"
        " pauses and nights: the plan's hours have these, for the way that is made, and its films by their"
        " outlines."
    )


def _worked(job: Job) -> str:
    if job.shop.press.working == "colour by colour":
        return (
            "The job is worked colour by colour: each shirt is laid again for every film, which is what"
            " prints with a miss are reckoned with."
        )
    return "Each shirt is worked to its end where the press holds the frames."


def _way(way: Way, ways: WaysToPrint) -> tuple[str, ...]:
    return (
        f"{way.name} (made)" if way.name == ways.chosen else way.name,
        way.what,
        str(way.films),
        str(way.passes),
        str(way.flashes),
        str(way.rounds),
        percent(way.miss),
        f"{way.hours:.1f}",
        f"{way.cost_hours:.1f}",
    )


def _base(job: Job, facts: UnderColours, ways: WaysToPrint) -> Iterator[Block]:
    units = job.shop.units
    under = several([job.screen(colour).ink for colour in facts.colours])
    yield Paragraph(f"Under {under} goes {job.screen(facts.screen).ink}. {_choke(job, facts)}")
    head = ("Colour", "Bad runs", "Prints with base beside it", "Widest", "Where")
    rows = tuple(
        (
            job.screen(peek.colour).ink,
            percent(peek.run_bad),
            percent(peek.print_any),
            length(peek.worst_mm, units),
            place(peek.at_mm, units) if peek.print_any > 0.0 else "nowhere",
        )
        for peek in facts.peeks
    )
    if rows:
        caption = (
            f"More than {length(facts.visible_mm, units)} of the base beside a colour counts. Bad runs"
            " show it from the first print to the last. Widest: of a print, on average."
        )
        if not ways.error_stated:
            error = press_error(job.shop.press, len(job.films))
            caption += (
                f" What isn't stated of the press's error is usual for a {job.shop.press.kind}"
            )
            caption += " with shirts laid again" if error.laid_again else ""
            caption += f": {several(error.lacking)} under [press]."
        yield Table(head, rows, "lrrrl", caption)
    if facts.details:
        yield _details(job, facts)


def _choke(job: Job, facts: UnderColours) -> str:
    units, error = job.shop.units, press_error(job.shop.press, len(job.films))
    if not facts.peeks:
        return (
            "White or other colours on it lie along their edges or close by, so it needs no choke."
        )
    if facts.stated:
        because = "as the order asks"
    elif facts.needed_mm > facts.choke_mm + 1e-9:
        because = f"the most that makes sense; the press's error asks for {length(facts.needed_mm, units)}"
    elif facts.needed_mm < facts.choke_mm - 1e-9:
        because = f"the least; the press's error asks for {length(facts.needed_mm, units)}"
    else:
        because = (
            f"so that, where it has the whole choke, no more than {percent(facts.wanted)} of the prints"
            " show it"
        )
    return (
        f"It is choked by {length(facts.choke_mm, units)} along edges to bare shirt and to colours without"
        f" a base, {because}. Two screens miss each other by {length(error.pair_mm, units)} each way (one"
        " standard deviation)."
    )


def _details(job: Job, facts: UnderColours) -> Table:
    units = job.shop.units
    head = ("Narrow part of", "Wide", "Base left", "Whole choke leaves", "Where", "Best way out")
    listed = facts.details[:ROWS]
    rows = tuple(
        (
            job.screen(detail.colour).ink,
            length(detail.width_mm, units),
            _or_none(detail.left_mm, units),
            _or_none(detail.whole_mm, units),
            place(detail.at_mm, units),
            _best(detail),
        )
        for detail in listed
    )
    rest = len(facts.details) - len(listed)
    caption = f"{rest} more are less starved." if rest else ""
    return Table(head, rows, "lrrrll", caption)


def _or_none(mm: float, units: str) -> str:
    return length(mm, units) if mm > 0.0 else "none"


def _best(detail: Detail) -> str:
    return detail.ways[0].what
