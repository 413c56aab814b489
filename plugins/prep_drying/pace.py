"""When each screen is pulled: the gaps between its pulls, by the way shirts are worked through.

Plain values and arrays of any number of worlds; imports nothing of prep.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Doing:
    """One step of a shirt.

    :param screen: printed, or printed last before a flash
    :param takes_s: flashing and cooling by the clock; 0 for other steps
    """

    does: Literal["print", "flash", "take off"]
    screen: str
    takes_s: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Times:
    """How long the steps take, each (D,).

    :param print_s: one pass of one screen
    :param lay_s: taking a shirt off and laying the next
    :param flash: flashing and cooling, as a multiple of the clock's
    """

    print_s: Floats
    lay_s: Floats
    flash: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Round:
    """All shirts once through, with some screens in use at the same time.

    :param screens: keys
    :param cycle_s: (D,) time from shirt to shirt
    :param dried_s: (D,) flashing and cooling among it
    :param gaps_s: key -> time before each of its pulls on a shirt, since the pull before; (D,) each
    """

    screens: tuple[str, ...]
    cycle_s: Floats
    dried_s: Floats
    gaps_s: Mapping[str, tuple[Floats, ...]]


def shirt_by_shirt(steps: Sequence[Doing], times: Times) -> tuple[Round, ...]:
    """Work each shirt through all steps while it lies there; all shirts again after it was taken off."""
    rounds: list[list[Doing]] = [[]]
    for step in steps:
        if step.does == "take off":
            rounds.append([])
        else:
            rounds[-1].append(step)
    return tuple(_round(part, times) for part in rounds if part)


def colour_by_colour(
    steps: Sequence[Doing], times: Times, films: Mapping[str, str]
) -> tuple[Round, ...]:
    """Print all shirts through one film, then all through the next, each laid again.

    Between films shirts dry off the press; only flashes between passes of one film stay.

    :param films: key of a screen -> its film
    """
    parts: dict[str, list[Doing]] = {}
    for step in steps:
        if step.does == "take off":
            continue
        of_film = parts.setdefault(films[step.screen], [])
        of_film.append(step)
    rounds = []
    for part in parts.values():
        while part and part[-1].does == "flash":
            part.pop()
        if part:
            rounds.append(_round(part, times))
    return tuple(rounds)


def _round(steps: Sequence[Doing], times: Times) -> Round:
    clock, dried = np.array(times.lay_s), np.zeros_like(times.lay_s)
    at: dict[str, list[Floats]] = {}
    for step in steps:
        if step.does == "print":
            at.setdefault(step.screen, []).append(clock)
            clock = clock + times.print_s
        else:
            takes_s = step.takes_s * times.flash
            clock, dried = clock + takes_s, dried + takes_s
    gaps = {
        screen: tuple(
            start - (starts[k - 1] if k else starts[-1] - clock) for k, start in enumerate(starts)
        )
        for screen, starts in at.items()
    }
    return Round(tuple(at), clock, dried, gaps)
