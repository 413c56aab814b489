"""The hours of a set-up, step by step, with their range. Imports nothing of prep but estimates.

Each step takes a count of things times the time of one; one printer does one step after another, except
that a belt cures by itself while the next shirt is printed.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from prep.estimate import DRAWS, Estimate, Parameter

When = Literal["before", "at the press", "after"]


@dataclass(frozen=True, slots=True)
class Work:
    """What is to be done.

    :param films: minutes that each film takes from file to screen
    :param screens: lined up and cleaned
    :param inks: mixed
    :param tests: prints on scrap
    :param shirts: good and spoilt
    :param shirt_s: from one shirt to the next at the press, all passes and flashing in it
    :param cured: shirts that are cured
    :param pauses_s: planned pauses, all together
    :param alone: the dryer works by itself while shirts are printed
    """

    films: tuple[Estimate, ...]
    screens: int
    inks: int
    tests: int
    shirts: int
    shirt_s: Estimate
    cured: int
    pauses_s: float
    alone: bool


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
    """

    entries: tuple[Entry, ...]
    whole: Estimate

    def hours(self, *when: When) -> Estimate:
        """Give the hours of some parts of the work; all where none is named."""
        return _sum([e.hours for e in self.entries if not when or e.when in when])


def timetable(work: Work, times: Mapping[str, Parameter]) -> Timetable:
    """Reckon the timetable.

    :param times: ``line_up``, ``mix``, ``clean``, ``cure``, in seconds
    :raises ValueError: no screens or shirts, or a count below zero
    """
    if min(work.screens, work.shirts) < 1:
        raise ValueError(f"a run needs screens and shirts: {work}")
    if min(work.inks, work.tests, work.cured) < 0:
        raise ValueError(f"nothing can be done less than not at all: {work}")
    one = {key: seconds(parameter) for key, parameter in times.items()}
    shirt = work.shirt_s
    cure = one["cure"] * work.cured
    entries = []
    if work.films:
        films = _sum(work.films) * (1.0 / 60.0)
        entries.append(
            Entry(
                "before", "cut, weed and lay films", _many(len(work.films), "film"), _hours(films)
            )
        )
    entries += [
        Entry("before", "mix inks", _many(work.inks, "ink"), _in_hours(one["mix"] * work.inks)),
        Entry(
            "at the press", "line up", _many(work.screens, "screen"),
            _in_hours(one["line_up"] * work.screens),
        ),
        Entry("at the press", "test pulls", f"{work.tests} on scrap", _in_hours(shirt * work.tests)),
        Entry("at the press", "print", _many(work.shirts, "shirt"), _in_hours(shirt * work.shirts)),
        Entry("at the press", "planned pauses", "", _fixed(work.pauses_s / 3600.0)),
        Entry(
            "after", "cure", f"{work.cured} shirts{', the belt by itself' if work.alone else ''}",
            _in_hours(cure),
        ),
        Entry("after", "clean up", _many(work.screens, "screen"), _in_hours(one["clean"] * work.screens)),
    ]  # fmt: skip
    done = tuple(entry for entry in entries if entry.hours.value > 0)
    return Timetable(done, _sum([entry.hours for entry in done]))


def cut_into_days(table: Timetable, day_h: float) -> int:
    """Give the days that press work, cure and clean-up take, by their likeliest hours."""
    hours = table.hours("at the press", "after").value
    return max(1, math.ceil(hours / day_h - 1e-9))


def _many(count: int, thing: str) -> str:
    return f"{count} {thing}{'' if count == 1 else 's'}"


def seconds(parameter: Parameter) -> Estimate:
    """Give a time as an estimate."""
    return Estimate(parameter.default, "s", parameter.draws())


def _fixed(hours: float) -> Estimate:
    return Estimate(hours, "h", np.full(DRAWS, hours))


def _in_hours(seconds: Estimate) -> Estimate:
    return _hours(seconds * (1.0 / 3600.0))


def _hours(estimate: Estimate) -> Estimate:
    return Estimate(estimate.value, "h", estimate.draws)


def _sum(estimates: Sequence[Estimate]) -> Estimate:
    first, *others = estimates
    for other in others:
        first = first + other
    return first
