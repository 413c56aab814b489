"""How ways to print are weighed, and how the base's choke is worked out."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.errors import Unanswered
from prep.misses import SAMPLING
from prep.phrases import length, percent
from prep.press_worked import pair_worked
from prep.worked import (
    Given,
    Standing,
    Worked,
    in_units,
    length_given,
    parameter_given,
    section_of,
    standing,
)
from prep_base.answers import UnderColours, WaysToPrint
from prep_base.counting import pace
from prep_base.planning import DRAWS
from prep_base.settings import Base
from prep_base.ways import DRAWS as DRAWS_OF_A_WAY

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.sections import Section
    from prep_base.answers import Peek, Way
    from prep_base.counting import Pace

_SPREAD = "Misses spread normally, alike both ways; a share may be off by"
_HOLDS = f"{_SPREAD} {100 * SAMPLING:g} % by chance."
_HOLDS_OF_A_WAY = f"{_SPREAD} {100 * SAMPLING * math.sqrt(DRAWS / DRAWS_OF_A_WAY):g} % by chance."
_PRACTICE: tuple[Standing, str] = "common practice", "no source"


def why_sections(job: Job, ask: Ask) -> Iterator[Section]:
    """Give how each way's hours and the choke are worked out; nothing where neither is told."""
    worked = tuple(worked_of(job, ask))
    if worked:
        yield section_of(
            "How ways to print and the base are worked out",
            worked,
            "Ways that show the drawing without a trial come first, then the one that weighs least; of"
            " equal ones the one of fewer films.",
        )


def worked_of(job: Job, ask: Ask) -> Iterator[Worked]:
    """Give the figures of each way, where several are told, and of the base."""
    ways = ask(WaysToPrint)
    if len(ways.ways) > 1 or ways.fell_away:
        one = pace(job)
        for way in ways.ways:
            yield _miss(job, way)
            yield _hours(job, way, one)
            yield _weighed(job, way)
    try:
        facts = ask(UnderColours)
    except Unanswered:
        return
    if facts.peeks:
        yield pair_worked(job.shop.press, len(job.films), job.shop.units)
        yield _choke(job, facts)
    for peek in facts.peeks:
        yield from _peek(job, peek)
    yield from _left(job, facts)


def _seconds(job: Job, field: str, words: str) -> Given:
    table = job.settings(Base)
    told = standing(table, field, f"base.{field.removesuffix('_s')} in shop.toml", "guess", "")
    return Given(words, getattr(table, field), "s", *told)


def _times(job: Job, one: Pace) -> dict[str, Given]:
    """Give the times that other parts of the shop's settings may state, as :func:`pace` takes them."""
    steps = {"line_up": "lining up a screen", "clean": "washing a screen", "mix": "mixing an ink"}
    given = {key: Given(words, getattr(one, key), "s", "guess") for key, words in steps.items()}
    with contextlib.suppress(ModuleNotFoundError):
        from prep_plan.parameters import in_force
        from prep_plan.settings import Plan

        taken = in_force(job.settings(Plan))
        given = {key: parameter_given(words, taken[key]) for key, words in steps.items()}
    given["print"] = _seconds(job, "print_time_s", "a pass")
    given["lay"] = _seconds(job, "lay_time_s", "laying a shirt")
    with contextlib.suppress(ModuleNotFoundError):
        from prep_drying.settings import Drying

        timed = job.settings(Drying)
        for key, own in (("print", timed.print_time_s), ("lay", timed.laying_time_s)):
            if own is not None:
                given[key] = Given(
                    given[key].words, own.value, "s", "measured here", "drying in shop.toml"
                )
    return given


def _hours(job: Job, way: Way, one: Pace) -> Worked:
    given = {
        "films": Given("films", float(way.films), "", "worked out", "by the way"),
        "film": _seconds(job, "film_time_s", "a film cut, weeded and laid"),
        "inks": Given("inks", float(way.inks), "", "worked out", "by the way"),
        "tests": Given("test pulls", float(one.tests), "", "from the order", "or usual, see ink"),
        "shirts": Given(
            "shirts, spoilt ones too", float(one.prints), "", "from the order", "see ink"
        ),
        "passes": Given("passes on a shirt", float(way.passes), "", "worked out", "by the way"),
        "drying": Given(
            "flashing and cooling a shirt",
            way.drying_s,
            "s",
            "worked out",
            "by the steps of printing",
        ),
        "rounds": Given("times a shirt is laid", float(way.rounds), "", "worked out", "by the way"),
        **_times(job, one),
        "washes": Given(
            "washes between two inks", float(way.washes), "", "worked out", "by the way"
        ),
        "wash": _seconds(job, "wash_time_s", "a wash between two inks"),
    }
    formula = (
        "({films} × ({film} + {line_up} + {clean}) + {inks} × {mix} + ({tests} + {shirts}) ×"
        " ({passes} × {print} + {drying} + {rounds} × {lay}) + {washes} × {wash}) ÷ 3600"
    )
    if not way.washes:
        formula = formula.replace(" + {washes} × {wash}", "")
        del given["washes"], given["wash"]
    said = f"{way.hours:.1f}"
    holds = (
        "To weigh ways against each other: without curing, topping up, wiping, pauses and nights."
    )
    return Worked("Hours", formula, given, way.hours, "h", said, holds, "adds up steps", way.name)


def _weighed(job: Job, way: Way) -> Worked:
    given = {
        "hours": Given("hours", way.hours, "h", "worked out", "as told here"),
        "miss": Given("share of prints with a miss", way.miss, "", "worked out", "as told here"),
        "shirts": Given("shirts ordered", float(job.setup.shirts), "", "from the order"),
        "counts": _seconds(job, "miss_time_s", "what a print with a miss counts as"),
    }
    formula = "{hours} + {miss} × {shirts} × {counts} ÷ 3600"
    said = f"{way.cost_hours:.1f}"
    return Worked("Weighed", formula, given, way.cost_hours, "h", said, "", "our choice", way.name)


def _drawn(job: Job, draws: int) -> dict[str, Given]:
    """Give what prints are drawn by."""
    press, units = job.shop.press, job.shop.units
    told = standing(press, "visible_gap_mm", "press.visible_gap in shop.toml", "usual", "no source")
    return {
        "draws": Given("prints drawn", float(draws), "", "usual", "our choice"),
        "visible": length_given("what shows", press.visible_gap_mm, units, *told),
        **pair_worked(press, len(job.films), units).given,
    }


def _miss(job: Job, way: Way) -> Worked:
    formula = (
        "of {draws} prints drawn by chance, each screen with its own miss ({set_up}; {scatter}; and turns),"
        " the share in which a gap or the base wider than {visible} shows anywhere"
    )
    said = percent(way.miss)
    return Worked(
        "Prints with a miss", formula, _drawn(job, DRAWS_OF_A_WAY), 100.0 * way.miss, "%", said,
        _HOLDS_OF_A_WAY, "counted over draws", way.name, counted=True,
    )  # fmt: skip


def _choke(job: Job, facts: UnderColours) -> Worked:
    units, chosen = job.shop.units, job.settings(Base)
    said = length(facts.choke_mm, units)
    if facts.stated:
        formula = "as the order asks"
        return Worked(
            "Choke", formula, {}, facts.choke_mm, "mm", said, source="the order", counted=True
        )
    wanted = (
        f"the least even choke with which no colour shows the base on more than {percent(facts.wanted)} of"
        " prints drawn by chance"
    )
    given = {
        "needed": length_given(
            "choke the press's error asks for", facts.needed_mm, units, "worked out", wanted
        )
    }
    if facts.needed_mm <= 0.0:
        formula = "none where {needed} is nothing"
        return Worked("Choke", formula, given, 0.0, "mm", said, source="our choice", counted=True)
    for key, words in (("least", "narrowest choke"), ("most", "widest choke")):
        told = standing(chosen, f"{key}_mm", f"base.{key} in shop.toml", *_PRACTICE)
        given[key] = length_given(words, getattr(chosen, f"{key}_mm"), units, *told)
    formula = "smaller of (larger of ({needed}; {least}); {most})"
    holds = "Where parts are wide enough; narrow ones are choked less, or have no base."
    return Worked(
        "Choke", formula, given, *in_units(facts.choke_mm, units), said, holds, "our choice"
    )


def _peek(job: Job, peek: Peek) -> Iterator[Worked]:
    units, of = job.shop.units, job.screen(peek.colour).ink
    shows = (
        "of {draws} prints drawn by chance, the share in which more than {visible} of the base shows beside"
        " the colour: the miss square to its edge ({set_up}; {scatter}; and turns) less the choke there"
    )
    bad = "the same with the set-up's part alone: the share of runs in which every print shows it"
    widest = "the mean over these prints of the widest strip of base of each"
    for name, formula, value, unit, said in (
        ("Prints with base beside it", shows, 100.0 * peek.print_any, "%", percent(peek.print_any)),
        ("Bad runs", bad, 100.0 * peek.run_bad, "%", percent(peek.run_bad)),
        ("Widest", widest, peek.worst_mm, "mm", length(peek.worst_mm, units)),
    ):
        yield Worked(
            name,
            formula,
            _drawn(job, DRAWS),
            value,
            unit,
            said,
            _HOLDS,
            "counted over draws",
            of,
            counted=True,
        )


def _left(job: Job, facts: UnderColours) -> Iterator[Worked]:
    """Tell what the whole choke would leave of the narrow parts that are listed."""
    from prep_base.wording import ROWS

    units = job.shop.units
    for number, detail in enumerate(facts.details[:ROWS], start=1):
        given = {
            "wide": length_given(
                "width of the narrow part", detail.width_mm, units, "from the artwork"
            ),
            "choke": length_given("choke", facts.choke_mm, units, "worked out", "as told here"),
        }
        said = length(detail.whole_mm, units) if detail.whole_mm > 0.0 else "none"
        of = f"{job.screen(detail.colour).ink}, line {number}"
        formula = "larger of (0; {wide} − 2 × {choke})"
        value = in_units(detail.whole_mm, units)
        yield Worked("Whole choke leaves", formula, given, *value, said, "", "geometry", of)
