"""How a job goes through its days: parts, what breaks them, and where each day ends.

A part is all shirts once through, with some screens set up together. It begins with lining up and test
pulls and ends with clean-up; parted over days, each stretch of it does. Imports nothing of prep but
estimates.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from prep.estimate import Estimate


@dataclass(frozen=True, slots=True)
class Stop:
    """Something that is done now and then between shirts.

    :param what: the step, for the timetable
    :param takes_s: each time
    :param times: first and last shirt of a stretch -> how often, as expected
    """

    what: str
    takes_s: Estimate
    times: Callable[[int, int], float]


@dataclass(frozen=True, slots=True)
class Part:
    """All shirts once through.

    :param films: lined up together, and cleaned
    :param cycle_s: from one shirt to the next
    :param flash_s: flashing among it; ``None`` where nothing is known of it
    :param cool_s: cooling among it
    :param cure_s: one shirt's cure, of the printer's time; ``None`` where it comes in a later part
    """

    films: int
    cycle_s: Estimate
    stops: tuple[Stop, ...] = ()
    flash_s: Estimate | None = None
    cool_s: Estimate | None = None
    cure_s: Estimate | None = None


@dataclass(frozen=True, slots=True)
class Stretch:
    """Shirts of a part that are printed without a night between.

    :param part: its place among the parts, from 0
    :param first: shirt it begins with, from 1; spoilt ones are counted too
    :param last: shirt it ends with
    :param hours: lining up, test pulls, printing, stops, cure and clean-up, as likeliest
    """

    part: int
    first: int
    last: int
    hours: float

    @property
    def shirts(self) -> int:
        """How many shirts it prints."""
        return self.last - self.first + 1


Day = tuple[Stretch, ...]


def pieces(first: int, last: int, washed_after: int) -> tuple[tuple[int, int], ...]:
    """Part a stretch where screens are washed out after every so many shirts; 0 = they aren't.

    >>> pieces(5, 12, 3), pieces(5, 12, 0)
    (((5, 7), (8, 10), (11, 12)), ((5, 12),))
    """
    step = washed_after or last - first + 1
    return tuple((start, min(start + step - 1, last)) for start in range(first, last + 1, step))


def in_one_go(parts: Sequence[Part], shirts: int, tests: int, one: Times) -> tuple[Stretch, ...]:
    """Give a stretch for each part, as if no day ever ended."""
    return tuple(
        Stretch(k, 1, shirts, _takes_s(part, 1, shirts, tests, one) / 3600.0)
        for k, part in enumerate(parts)
    )


def in_days(
    parts: Sequence[Part], shirts: int, tests: int, one: Times, day_h: float
) -> tuple[Day, ...] | None:
    """Fill one day after the other with as many shirts as it holds, by likeliest times.

    What is printed in a day's last part is cured on that day. ``None``: a day doesn't hold lining up, test
    pulls, one shirt and clean-up.

    :raises ValueError: no shirts
    """
    if shirts < 1:
        raise ValueError(f"a run prints something, not {shirts} shirts")
    days: list[list[Stretch]] = [[]]
    for k, part in enumerate(parts):
        first = 1
        while first <= shirts:
            free_s = 3600.0 * (day_h - sum(stretch.hours for stretch in days[-1])) + 1e-6
            last = _last(part, first, shirts, tests, one, free_s)
            if last >= first:
                hours = _takes_s(part, first, last, tests, one) / 3600.0
                days[-1].append(Stretch(k, first, last, hours))
                first = last + 1
            elif not days[-1]:
                return None
            if first <= shirts:
                days.append([])
    return tuple(tuple(day) for day in days)


def timed_again(
    days: Sequence[Day], parts: Sequence[Part], tests: int, one: Times
) -> tuple[Day, ...]:
    """Give the same shirts on the same days, with their hours as parts have them now."""
    return tuple(
        tuple(
            replace(s, hours=_takes_s(parts[s.part], s.first, s.last, tests, one) / 3600.0)
            for s in day
        )
        for day in days
    )


@dataclass(frozen=True, slots=True)
class Times:
    """Seconds of lining up and of cleaning one screen, as likeliest."""

    line_up: float
    clean: float


def _takes_s(part: Part, first: int, last: int, tests: int, one: Times) -> float:
    each = part.cycle_s.value + (0.0 if part.cure_s is None else part.cure_s.value)
    stops = sum(stop.takes_s.value * stop.times(first, last) for stop in part.stops)
    set_up = part.films * one.line_up + tests * part.cycle_s.value
    return set_up + (last - first + 1) * each + stops + part.films * one.clean


def _last(part: Part, first: int, most: int, tests: int, one: Times, free_s: float) -> int:
    """Give the last shirt, up to some number, that time allows; before the first = not even that one."""
    low, high = first - 1, most
    while low < high:
        middle = (low + high + 1) // 2
        if _takes_s(part, first, middle, tests, one) <= free_s:
            low = middle
        else:
            high = middle - 1
    return low
