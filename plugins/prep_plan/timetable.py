"""The hours of a set-up, step by step, with their range. Imports nothing of prep but estimates.

Each step takes a count of things times the time of one; one printer does one step after another, except
that a belt cures by itself while the next shirt is printed.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from prep.estimate import Estimate, Parameter
from prep_plan.course import Day, Part, Stretch, Times, in_days, in_one_go, timed_again

When = Literal["before", "at the press", "after"]


@dataclass(frozen=True, slots=True)
class Work:
    """What is to be done.

    :param films: minutes that each film takes from file to screen
    :param inks: mixed
    :param tests: prints on scrap, with each part's screens and each day again
    :param shirts: good and spoilt
    :param parts: all shirts once through, in order; they are cured after the last
    :param alone: the dryer works by itself while shirts are printed
    """

    films: tuple[Estimate, ...]
    inks: int
    tests: int
    shirts: int
    parts: tuple[Part, ...]
    alone: bool

    @property
    def shirt_s(self) -> Estimate:
        """From one shirt to the next at the press, all parts together."""
        return sum_of([part.cycle_s for part in self.parts])


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the timetable.

    :param what: the step
    :param rests: what it is reckoned from
    :param hours: it takes
    """

    when: When
    what: str
    rests: str
    hours: Estimate


@dataclass(frozen=True, slots=True)
class Timetable:
    """The hours of a set-up.

    :param entries: in working order
    :param whole: all of them
    :param days: what is done on each; empty where a day is too short for any shirt
    :param one_go_h: press work, cure and clean-up if it weren't parted, as likeliest
    :param too_short: a day doesn't hold lining up, test pulls, a shirt and clean-up, so that the work isn't
        parted
    """

    entries: tuple[Entry, ...]
    whole: Estimate
    days: tuple[Day, ...]
    one_go_h: float
    too_short: bool

    def hours(self, *when: When) -> Estimate:
        """Give the hours of some parts of the work; all where none is named."""
        return sum_of([e.hours for e in self.entries if not when or e.when in when])

    def count_days(self, day_h: float) -> int:
        """Give the days that press work, cure and clean-up take, by their likeliest hours."""
        if self.days:
            return len(self.days)
        return math.ceil(self.hours("at the press", "after").value / day_h - 1e-9)


def days_of(work: Work, times: Mapping[str, Parameter], day_h: float = math.inf) -> tuple[Day, ...]:
    """Part the work into days.

    :param times: ``line_up``, ``clean``, ``cure``, in seconds
    :param day_h: hours after which work ends for the day
    :return: none where a day is too short for any shirt
    :raises ValueError: no parts or shirts, or a count below zero
    """
    _check(work)
    one = {key: seconds(parameter) for key, parameter in times.items()}
    return in_days(cured(work, one), work.shirts, work.tests, likely(one), day_h) or ()


def timetable(
    work: Work, times: Mapping[str, Parameter], cut: Sequence[Day] | None = None
) -> Timetable:
    """Reckon the timetable.

    :param times: ``line_up``, ``mix``, ``clean``, ``cure``, in seconds
    :param cut: which shirts are printed on which day, see :func:`days_of`; ``None`` = all on one
    :raises ValueError: no parts or shirts, or a count below zero
    """
    _check(work)
    one = {key: seconds(parameter) for key, parameter in times.items()}
    parts, usual = cured(work, one), likely(one)
    cut = days_of(work, times) if cut is None else cut
    days = timed_again(cut, parts, work.tests, usual)
    one_go = in_one_go(parts, work.shirts, work.tests, usual)
    stretches = tuple(stretch for day in days for stretch in day) or one_go
    screens = sum(part.films for part in parts)
    entries = []
    if work.films:
        films = sum_of(work.films) * (1.0 / 60.0)
        entries.append(
            Entry(
                "before", "cut, weed and lay films", _many(len(work.films), "film"), _hours(films)
            )
        )
    tests = f"{work.tests} on scrap"
    entries += [
        Entry("before", "mix inks", _many(work.inks, "ink"), in_hours(one["mix"] * work.inks)),
        Entry(
            "at the press", "line up", _many(screens, "screen"), in_hours(one["line_up"] * screens)
        ),
        Entry(
            "at the press", "test pulls",
            f"{tests}, for each of {len(parts)} parts" if len(parts) > 1 else tests,
            in_hours(work.shirt_s * work.tests),
        ),
        *_printing(work),
        *_stops(parts, stretches),
        *_anew(work, parts, stretches, one),
        Entry(
            "after", "cure", f"{_many(work.shirts, 'shirt')}{', the belt by itself' if work.alone else ''}",
            in_hours(one["cure"] * work.shirts),
        ),
        Entry("after", "clean up", _many(screens, "screen"), in_hours(one["clean"] * screens)),
    ]  # fmt: skip
    done = tuple(entry for entry in entries if entry.hours.value > 0)
    return Timetable(
        done,
        sum_of([e.hours for e in done]),
        days,
        sum(stretch.hours for stretch in one_go),
        not days,
    )


def _check(work: Work) -> None:
    if min(len(work.parts), work.shirts) < 1 or any(part.films < 1 for part in work.parts):
        raise ValueError(f"a run needs screens and shirts: {work}")
    if min(work.inks, work.tests) < 0:
        raise ValueError(f"nothing can be done less than not at all: {work}")


def cured(work: Work, one: Mapping[str, Estimate]) -> tuple[Part, ...]:
    """Give the parts of the work, the last with the time of curing a shirt."""
    *before, last = work.parts
    return (*before, replace(last, cure_s=one["cure"]))


def likely(one: Mapping[str, Estimate]) -> Times:
    """Give the likeliest times of lining up and cleaning a screen."""
    return Times(one["line_up"].value, one["clean"].value)


def _printing(work: Work) -> list[Entry]:
    """Give a line each for printing with laying, flashing and cooling."""
    shirts, dried = _many(work.shirts, "shirt"), []
    print_s = work.shirt_s
    for what, of in (
        ("flash", [part.flash_s for part in work.parts if part.flash_s is not None]),
        ("cool", [part.cool_s for part in work.parts if part.cool_s is not None]),
    ):
        if of and any(one.value > 0 for one in of):
            takes_s = sum_of(of)
            print_s = print_s + takes_s * -1.0
            dried.append(Entry("at the press", what, shirts, in_hours(takes_s * work.shirts)))
    return [Entry("at the press", "print", shirts, in_hours(print_s * work.shirts)), *dried]


def _stops(parts: Sequence[Part], stretches: Sequence[Stretch]) -> list[Entry]:
    """Give a line for each thing that is done now and then, over all stretches."""
    lines: dict[str, list[tuple[float, Estimate]]] = {}
    for stretch in stretches:
        for stop in parts[stretch.part].stops:
            lines.setdefault(stop.what, []).append(
                (stop.times(stretch.first, stretch.last), stop.takes_s)
            )
    entries = []
    for what, of in lines.items():
        often = sum(times for times, _ in of)
        rests = f"{_often(often)}, as expected" if often % 1 > 1e-9 else _often(often)
        takes = sum_of([takes_s * times for times, takes_s in of])
        entries.append(Entry("at the press", what, rests, in_hours(takes)))
    return entries


def _anew(
    work: Work, parts: Sequence[Part], stretches: Sequence[Stretch], one: Mapping[str, Estimate]
) -> list[Entry]:
    """Give what parting the run over days takes besides: washed out, lined up and tried again."""
    begun: set[int] = set()
    again: list[Estimate] = []
    for stretch in stretches:
        part = parts[stretch.part]
        if stretch.part in begun:
            screens = (one["line_up"] + one["clean"]) * part.films
            again.append(screens + part.cycle_s * work.tests)
        begun.add(stretch.part)
    if not again:
        return []
    rests = f"{_often(len(again))}: washed out, lined up, {work.tests} on scrap"
    return [
        Entry("at the press", "begin anew the next day", rests, in_hours(sum_of(again))),
    ]


def _often(times: float) -> str:
    whole = round(times)
    return {0: "less than once", 1: "once"}.get(whole, f"{whole} times")


def _many(count: int, thing: str) -> str:
    return f"{count} {thing}{'' if count == 1 else 's'}"


def seconds(parameter: Parameter) -> Estimate:
    """Give a time as an estimate."""
    return Estimate(parameter.default, "s", parameter.draws())


def in_hours(seconds: Estimate) -> Estimate:
    """Give seconds as hours."""
    return _hours(seconds * (1.0 / 3600.0))


def _hours(estimate: Estimate) -> Estimate:
    return Estimate(estimate.value, "h", estimate.draws)


def sum_of(estimates: Sequence[Estimate]) -> Estimate:
    """Add estimates, draw by draw."""
    first, *others = estimates
    for other in others:
        first = first + other
    return first
