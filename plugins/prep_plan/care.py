"""What is done now and then between shirts: top-ups, misting, wiping, pauses, emptying the rack.

Each is a :class:`~prep_plan.course.Stop` with its time for the timetable, and a line for the run card.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from prep_plan.answers import Again, Line
from prep_plan.course import Stop, pieces
from prep_plan.words import at_most_minutes, chance, decimals, grams, listed, shirts

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep_drying.answers import Repeats, ScreenRun

MIST_EVERY_S = 900.0
"""Misting is told by the clock, every quarter of an hour. A guess."""
Times = Callable[[int, int], float]


@dataclass(frozen=True, slots=True)
class Asked:
    """What the order asks for, besides what the ink needs.

    Its pauses and wipings go by the prints of the whole run, test pulls of its first day counted.

    :param tests: prints on scrap before the first shirt
    :param pause_s: planned idle time; 0 = none
    :param pause_every: prints between pauses; 0 = none
    :param wipe_every: prints after which openings are wiped out; 0 = never
    """

    tests: int
    pause_s: float = 0.0
    pause_every: int = 0
    wipe_every: int = 0


@dataclass(frozen=True, slots=True)
class Rack:
    """Room to dry that is smaller than the run.

    :param holds: shirts
    :param takes_s: emptying it when it is full, each time, while screens stand idle
    :param costs_s: what of that isn't in the hours of curing; ``None`` = nothing
    :param washed: screens are washed out meanwhile, so that all begins anew
    :param do: what is done, to stand in a list
    """

    holds: int
    takes_s: Estimate
    costs_s: Estimate | None
    washed: bool
    do: str


def falls_due(every: int, tests: int, first: int, last: int) -> tuple[int, ...]:
    """Give the shirts of a stretch before which something is done that comes after every so many prints.

    Prints are counted over the run, test pulls before its first shirt among them; what falls due among
    these is given as a shirt before the first. What falls due before a later stretch begins, when screens
    are washed out and inked anyway, isn't done.

    >>> falls_due(10, 4, 1, 25), falls_due(3, 4, 1, 6), falls_due(10, 4, 17, 40)
    ((7, 17), (0, 3, 6), (27, 37))
    """
    made = 1 if first == 1 else tests + first
    due = range(-(-made // every) * every, tests + last, every)
    return tuple(prints - tests + 1 for prints in due)


def looked_at_every(one: ScreenRun, asked: Asked) -> int:
    """Give after how many prints a screen's openings are looked at, 0 = never.

    Not where the order has them wiped out. It is as many as can pass before they clog, the most often that
    looking at them is worth while: wiped out they are filled anew, but with ink that has thickened
    meanwhile, so that they may clog sooner again.
    """
    if asked.wipe_every or not one.wipe_before:
        return 0
    return one.wipe_before - 1 + asked.tests


def stops_of(
    runs: Mapping[str, ScreenRun],
    mist: str,
    asked: Asked,
    cycle_s: Estimate,
    one: Mapping[str, Estimate],
) -> Iterator[Stop]:
    """Give what ink needs now and then on screens that are set up together.

    :param runs: key -> what becomes of it
    :param mist: ``never``, ``as needed`` or ``always``
    :param cycle_s: from one shirt to the next
    :param one: seconds of ``wipe``, ``mist`` and ``top_up``, each time
    """
    for run in runs.values():
        every = looked_at_every(run, asked)
        if every:
            yield Stop("wipe openings out", one["wipe"], _each(every, asked.tests))
        if run.top_ups:
            yield Stop("top up", one["top_up"], _top_ups(run))
        if mist != "never":
            yield Stop("mist the ink", one["mist"], _mists(run, mist, asked.tests, cycle_s.value))


def asked_for(
    asked: Asked, screens: int, washed_after: int, wipe_s: Estimate, second: Estimate
) -> Iterator[Stop]:
    """Give the pauses and wipings the order plans.

    :param screens: that are set up together, each of which is wiped out
    :param washed_after: shirts after which they are washed out for a full rack; 0 = they aren't
    :param wipe_s: wiping one of them
    :param second: one second
    """

    def often(every: int, each: int) -> Times:
        def times(first: int, last: int) -> float:
            spans = pieces(first, last, washed_after)
            return each * sum(len(falls_due(every, asked.tests, *span)) for span in spans)

        return times

    if asked.pause_every:
        yield Stop("planned pauses", second * asked.pause_s, often(asked.pause_every, 1))
    if asked.wipe_every:
        yield Stop("wipe openings out", wipe_s, often(asked.wipe_every, screens))


def again(every: int, tests: int, spans: Sequence[tuple[int, int]]) -> Again:
    """Tell how often something comes that is done after every so many prints; 0 = never.

    It is told for the longest span; where it comes in others alone, for the first of these.
    """
    if not every:
        return Again(0, 0)
    due = [falls_due(every, tests, *span) for span in spans]
    longest = max(range(len(spans)), key=lambda k: spans[k][1] - spans[k][0])
    there = longest if due[longest] else next((k for k, shirts_ in enumerate(due) if shirts_), None)
    after = 0 if there is None else tests + due[there][0] - spans[there][0]
    return Again(sum(map(len, due)), after, in_longest=there == longest)


def emptied(rack: Rack) -> Iterator[Stop]:
    """Give what emptying the rack costs besides the curing."""
    if rack.costs_s is not None:
        yield Stop(
            "empty the rack in between",
            rack.costs_s,
            lambda first, last: (last - first) // rack.holds,
        )


def anew(stop: Stop, shirts_: int) -> Stop:
    """Give a stop where screens are washed out after every so many shirts."""

    def times(first: int, last: int) -> float:
        whole, rest = divmod(last - first + 1, shirts_)
        return whole * stop.times(1, shirts_) + (stop.times(1, rest) if rest else 0.0)

    return replace(stop, times=times)


def _each(every: int, tests: int) -> Times:
    return lambda first, last: (tests + last - first) // every


def _top_ups(run: ScreenRun) -> Times:
    return lambda first, last: sum(
        one.chance * sum(shirt <= last - first + 1 for shirt in one.shirts()) for one in run.top_ups
    )


def _mists(run: ScreenRun, mist: str, tests: int, cycle_s: float) -> Times:
    def times(first: int, last: int) -> float:
        count = last - first + 1
        if mist == "always":
            return (tests + count) * cycle_s / MIST_EVERY_S
        if run.mist_from is None:
            return 0.0
        return run.thickens * max(0.0, count + 1 - run.mist_from[1]) * cycle_s / MIST_EVERY_S

    return times


def lines_asked_for(
    part: int, asked: Asked, screens: Sequence[str], spans: Sequence[tuple[int, int]]
) -> Iterator[Line]:
    """Give the run card's lines of what the order plans, by the run's shirts.

    :param spans: first and last shirt between two washings
    """

    def due(every: int) -> tuple[int, ...]:
        found = (shirt for span in spans for shirt in falls_due(every, asked.tests, *span))
        return tuple(shirt for shirt in found if shirt >= 1)

    def when(shirts_: tuple[int, ...]) -> str:
        return f"shirt {listed(shirts_)}{'' if len(spans) == 1 else ' of the run'}"

    pauses = due(asked.pause_every) if asked.pause_every else ()
    if pauses:
        do = f"planned pause, {at_most_minutes(asked.pause_s)}"
        yield Line(part, "", pauses[0], when(pauses), pauses, do, "over the run")
    wipes = due(asked.wipe_every) if asked.wipe_every else ()
    if wipes:
        do = "wipe openings out from both sides, pull on scrap"
        for key in screens:
            yield Line(part, key, wipes[0], when(wipes), wipes, do, "over the run")


def lines_of(
    part: int,
    runs: Mapping[str, ScreenRun],
    mist: str,
    asked: Asked,
    count: int,
    step_g: float = 0.1,
) -> Iterator[Line]:
    """Give the run card's lines of what a part's ink needs, counted from its set-up.

    :param runs: key of a screen -> what becomes of it
    :param count: shirts until the next set-up
    :param step_g: what the shop's balance shows at least
    """
    for run in runs.values():
        yield from _of_screen(part, run, mist, asked, count, step_g)


def _of_screen(
    part: int, run: ScreenRun, mist: str, asked: Asked, count: int, step_g: float
) -> Iterator[Line]:
    for number, top_up in enumerate(run.top_ups):
        first = top_up.shirt[0]
        if top_up.shirt[1] > count:
            continue
        do = f"top up with {grams(top_up.grams, step_g)}"
        low, middle, high = top_up.shirt
        when = shirts((low, middle, min(high, float(count))))
        done: tuple[int, ...] = ()
        if top_up.chance < 0.5:
            do += f", may be needed, {chance(top_up.chance)}"
        elif top_up.chance < 0.95:
            do += f", needed {chance(top_up.chance)}"
        if top_up.repeats is not None:
            done = tuple(shirt for shirt in top_up.shirts() if shirt <= count)
            when, do = _again_and_again(top_up.repeats, done, do, step_g)
        yield Line(part, run.screen, first + number * 1e-3, when, done, do)
    every, early = looked_at_every(run, asked), run.wipe_before
    due = falls_due(every, asked.tests, 1, count) if every else ()
    if due:
        do = "look at the finest openings: wipe out what prints thin, pull on scrap"
        yield Line(part, run.screen, due[0], f"shirt {listed(due)}", due, do)
    if asked.wipe_every and early and early <= count:
        planned = falls_due(asked.wipe_every, asked.tests, 1, count)
        if early not in planned:
            do = "wipe out here too: openings may clog before the next wiping"
            yield Line(part, run.screen, early, f"shirt {early}", (early,), do)
    if early == 0:
        do = 'may clog already, and wiping won\'t help: see "What helps most here"'
        yield Line(part, run.screen, 0.0, "the test pulls", (), do)
    if mist == "always" or (mist != "never" and run.mist_from is not None):
        since = (0.0, 0.0, 0.0) if mist == "always" or run.mist_from is None else run.mist_from
        if since[0] > count:
            return
        share = MIST_EVERY_S / 3600.0
        low, high = run.mist_g_per_h.low * share, run.mist_g_per_h.high * share
        digits = decimals(high, step_g)
        told = list(dict.fromkeys(f"{end:.{digits}f}" for end in (low, high)))
        least = f"{max(step_g, 1.0 if digits == 0 else 0.1):g}"
        amount = " to ".join(told) if float(told[-1]) > 0 else f"under {least}"
        do = f"from here on mist {amount} g of water every {MIST_EVERY_S / 60:.0f} min, stir it in"
        when = shirts((since[0], since[1], min(since[2], float(count))))
        yield Line(part, run.screen, since[0] + 0.5, when, (), do)


def _again_and_again(
    repeats: Repeats, due: tuple[int, ...], do: str, step_g: float
) -> tuple[str, str]:
    """Word a rule: before which shirts, and what is done."""
    if len(due) < 2:
        return f"shirt {due[0]}", do
    every = "each" if repeats.every == 1 else f"every {repeats.every}"
    if due[-1] == repeats.until and repeats.last_is_less:
        do += f", the last time {grams(repeats.last_g, step_g)}"
    return f"shirt {due[0]}, then {every}, to {due[-1]}", do


def rack_line(part: int, rack: Rack, count: int, *, parted: bool) -> Iterator[Line]:
    """Give the line of when the rack is full.

    :param count: shirts of the longest day
    :param parted: each day counts from its first, or screens are washed out meanwhile
    """
    due = tuple(range(rack.holds + 1, count + 1, rack.holds))
    if due:
        when = f"shirt {listed(due)}{' of the day' if parted else ''}"
        yield Line(part, "", due[0], when, due, rack.do, "in the day")
