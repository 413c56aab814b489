"""What is done now and then between shirts: top-ups, misting, wiping, pauses, emptying the rack.

Each is a :class:`~prep_plan.course.Stop` with its time for the timetable, and a line for the run card.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from prep_plan.answers import Line
from prep_plan.course import Stop
from prep_plan.words import at_most_minutes, chance, grams, listed, shirts

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep_drying.answers import Drying, Repeats, ScreenRun

MIST_EVERY_S = 900.0
"""Misting is told by the clock, every quarter of an hour. A guess."""
SELDOM = 0.1
"""What comes to it less often isn't told."""
Times = Callable[[int], float]


@dataclass(frozen=True, slots=True)
class Asked:
    """What the order asks for, besides what the ink needs.

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


def falls_due(every: int, tests: int, count: int) -> tuple[int, ...]:
    """Give the shirts before which something is done that comes after every so many prints.

    Test pulls are prints; what falls due among them has no shirt.

    >>> falls_due(10, 4, 25), falls_due(3, 4, 6)
    ((7, 17), (3, 6))
    """
    due = range(every + 1 - tests, count + 1, every)
    return tuple(shirt for shirt in due if shirt >= 1)


def wiped_every(one: ScreenRun, asked: Asked) -> int:
    """Give after how many prints a screen is wiped out, 0 = never.

    It is what the order asks for. Else it is as many as can pass before its openings clog, the most often
    that looking at them is worth while: wiped out they are filled anew, but with ink that has thickened
    meanwhile, so that they may clog sooner again.
    """
    if asked.wipe_every:
        return asked.wipe_every
    return one.wipe_before - 1 + asked.tests if one.wipe_before else 0


def stops_of(
    runs: Mapping[str, ScreenRun],
    mist: str,
    asked: Asked,
    cycle_s: Estimate,
    one: Mapping[str, Estimate],
) -> Iterator[Stop]:
    """Give what is done now and then with screens that are set up together.

    :param runs: key -> what becomes of it
    :param mist: ``never``, ``as needed`` or ``always``
    :param cycle_s: from one shirt to the next
    :param one: seconds of ``wipe``, ``mist`` and ``top_up``, each time
    """
    for run in runs.values():
        every = wiped_every(run, asked)
        if every:
            yield Stop("wipe openings out", one["wipe"], _each(every, asked.tests))
        if run.top_ups:
            yield Stop("top up", one["top_up"], _top_ups(run))
        if mist != "never":
            yield Stop("mist the ink", one["mist"], _mists(run, mist, asked.tests, cycle_s.value))


def pauses(asked: Asked, one_s: Estimate) -> Iterator[Stop]:
    """Give the pauses the order plans.

    :param one_s: a second
    """
    if asked.pause_every:
        yield Stop("planned pauses", one_s * asked.pause_s, _each(asked.pause_every, asked.tests))


def emptied(rack: Rack) -> Iterator[Stop]:
    """Give what emptying the rack costs besides the curing."""
    if rack.costs_s is not None:
        yield Stop("empty the rack in between", rack.costs_s, lambda n: (n - 1) // rack.holds)


def anew(stop: Stop, shirts_: int) -> Stop:
    """Give a stop where screens are washed out after every so many shirts."""

    def times(count: int) -> float:
        whole, rest = divmod(count, shirts_)
        return whole * stop.times(shirts_) + (stop.times(rest) if rest else 0.0)

    return replace(stop, times=times)


def _each(every: int, tests: int) -> Times:
    return lambda count: (tests + count - 1) // every


def _top_ups(run: ScreenRun) -> Times:
    return lambda count: sum(
        one.chance * sum(shirt <= count for shirt in one.shirts()) for one in run.top_ups
    )


def _mists(run: ScreenRun, mist: str, tests: int, cycle_s: float) -> Times:
    def times(count: int) -> float:
        if mist == "always":
            return (tests + count) * cycle_s / MIST_EVERY_S
        if run.mist_from is None:
            return 0.0
        return run.thickens * max(0.0, count + 1 - run.mist_from[1]) * cycle_s / MIST_EVERY_S

    return times


def lines_of(
    part: int, drying: Drying, screens: tuple[str, ...], asked: Asked, count: int
) -> Iterator[Line]:
    """Give the run card's lines of a part, counted from its set-up.

    :param count: shirts until the next set-up
    """
    if asked.pause_every:
        due = falls_due(asked.pause_every, asked.tests, count)
        if due:
            long = at_most_minutes(asked.pause_s)
            yield Line(part, "", due[0], f"shirt {listed(due)}", due, f"planned pause, {long}")
    for key in screens:
        yield from _of_screen(part, drying.run[key], drying.mist, asked, count)


def _of_screen(part: int, run: ScreenRun, mist: str, asked: Asked, count: int) -> Iterator[Line]:
    for number, top_up in enumerate(run.top_ups):
        first = top_up.shirt[0]
        if top_up.shirt[1] > count or top_up.chance < SELDOM:
            continue
        do = f"top up with {grams(top_up.grams)}"
        low, middle, high = top_up.shirt
        when = shirts((low, middle, min(high, float(count))))
        done: tuple[int, ...] = ()
        if top_up.chance < 0.95:
            do += f", needed {chance(top_up.chance)}"
        if top_up.repeats is not None:
            done = tuple(shirt for shirt in top_up.shirts() if shirt <= count)
            when, do = _again_and_again(top_up.repeats, done, do)
        yield Line(part, run.screen, first + number * 1e-3, when, done, do)
    every = wiped_every(run, asked)
    due = falls_due(every, asked.tests, count) if every else ()
    if due:
        do = (
            "wipe openings out from both sides, pull on scrap"
            if asked.wipe_every
            else "look at the finest openings: wipe out what prints thin, pull on scrap"
        )
        yield Line(part, run.screen, due[0], f"shirt {listed(due)}", due, do)
    early = run.wipe_before
    if asked.wipe_every and early and early <= count and early not in due:
        do = "wipe out here too: openings may clog before the next wiping"
        yield Line(part, run.screen, early, f"shirt {early}", (early,), do)
    if early == 0:
        do = "may clog already, and wiping won't help: see what helps most"
        yield Line(part, run.screen, 0.0, "the test pulls", (), do)
    if mist == "always" or (mist != "never" and run.mist_from is not None):
        since = (0.0, 0.0, 0.0) if mist == "always" or run.mist_from is None else run.mist_from
        if since[0] > count:
            return
        share = MIST_EVERY_S / 3600.0
        low, high = run.mist_g_per_h.low * share, run.mist_g_per_h.high * share
        digits = 0 if high >= 9.5 else 1
        do = (
            f"from here on mist {low:.{digits}f} to {high:.{digits}f} g of water every"
            f" {MIST_EVERY_S / 60:.0f} min, stir it in"
        )
        when = shirts((since[0], since[1], min(since[2], float(count))))
        yield Line(part, run.screen, since[0] + 0.5, when, (), do)


def _again_and_again(repeats: Repeats, due: tuple[int, ...], do: str) -> tuple[str, str]:
    """Word a rule: before which shirts, and what is done."""
    if len(due) < 2:
        return f"shirt {due[0]}", do
    every = "each" if repeats.every == 1 else f"every {repeats.every}"
    if due[-1] == repeats.until and repeats.last_is_less:
        do += f", the last time {grams(repeats.last_g)}"
    return f"shirt {due[0]}, then {every}, to {due[-1]}", do


def rack_line(part: int, rack: Rack, count: int) -> Iterator[Line]:
    """Give the line of when the rack is full."""
    due = tuple(range(rack.holds + 1, count + 1, rack.holds))
    if due:
        yield Line(part, "", due[0], f"shirt {listed(due)}", due, rack.do)
