"""What other plugins may ask of bases and of ways to print. Imports no numpy."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from prep.findings import Unused

__all__ = [
    "Detail",
    "FellAway",
    "Narrow",
    "Peek",
    "UnderColours",
    "Way",
    "WayName",
    "WayOut",
    "WaysToPrint",
]

WayName = Literal[
    "plain", "base", "one film", "side by side", "two hits", "discharge", "white outline"
]
Narrow = Literal["less choke", "no base", "whole choke"]


@dataclass(frozen=True, slots=True)
class Way:
    """A way to print a set-up.

    :param films: films cut and lined up
    :param passes: passes on each shirt
    :param flashes: times each shirt is flashed
    :param rounds: times each shirt is laid on the board
    :param washes: times an ink is washed out of a screen for the next, for all shirts
    :param miss: share of prints that show a gap or the base anywhere
    :param hours: films, inks, lining up, test pulls, printing shirt by shirt, clean-up; no curing
    :param cost_hours: ``hours`` and what prints that show a miss count as; the rank goes by this
    :param as_drawn: what is seen is the drawing, in a manner that needs no trial
    :param what: what is made, a few words
    :param why: reason for it or against it, a sentence
    :param asks: what it asks of the printer, a sentence
    :param cautions: dangers, sentences
    :param inks: that are mixed for it
    :param drying_s: flashing and cooling of a shirt, all flashes together
    """

    name: WayName
    films: int
    passes: int
    flashes: int
    rounds: int
    washes: int
    miss: float
    hours: float
    cost_hours: float
    as_drawn: bool
    what: str
    why: str
    asks: str
    cautions: tuple[str, ...] = ()
    inks: int = 0
    drying_s: float = 0.0


@dataclass(frozen=True, slots=True)
class FellAway:
    """A way of more films than the press can ever take."""

    name: WayName
    films: int


@dataclass(frozen=True, slots=True)
class WaysToPrint:
    """The possible ways, best first.

    :param chosen: name of the one that is made
    :param stated: the order asked for it
    :param error_stated: false when the press's error is only what is usual for its kind
    :param unused: what the order says that has no use in this set-up
    :param fell_away: ways that the press can't take
    """

    ways: tuple[Way, ...]
    chosen: WayName
    stated: bool
    error_stated: bool
    unused: tuple[Unused, ...]
    fell_away: tuple[FellAway, ...] = ()

    @property
    def way(self) -> Way:
        """The one that is made."""
        return next(way for way in self.ways if way.name == self.chosen)


@dataclass(frozen=True, slots=True)
class Peek:
    """A colour on a base, and how often the base shows beside it.

    :param colour: ``#rrggbb``
    :param run_bad: chance that the set-up alone shows the base in every print of a run
    :param print_in_good: share of prints that show it in a run that isn't bad
    :param print_any: share of prints that show it, over all runs
    :param worst_mm: widest strip of base in a print, on average over prints
    :param at_mm: where it shows most often; the edge's middle where it never does
    """

    colour: str
    run_bad: float
    print_in_good: float
    print_any: float
    worst_mm: float
    at_mm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class WayOut:
    """What can be done where the choke starves a narrow part.

    :param what: a sentence
    :param peeks: share of prints that show the base there; ``None`` where it can't
    """

    what: str
    peeks: float | None


@dataclass(frozen=True, slots=True)
class Detail:
    """A narrow part that the whole choke would starve of its base.

    :param width_mm: of the colour, where it is finest
    :param left_mm: base below it there as made; 0 = none
    :param whole_mm: what the whole choke would leave; 0 = none
    :param places: narrow places in the same shape
    :param ways: ways out, best first
    """

    colour: str
    width_mm: float
    left_mm: float
    whole_mm: float
    at_mm: tuple[float, float]
    places: int
    ways: tuple[WayOut, ...]


@dataclass(frozen=True, slots=True)
class UnderColours:
    """The base as it is made.

    :param screen: key of its screen
    :param colours: those that lie on it, in the order painted
    :param choke_mm: where parts are wide enough
    :param needed_mm: even choke that the press's error asks for
    :param stated: the choke was asked for
    :param narrow: what was done where parts are narrow
    :param left_out_mm: places of parts of colours that got no base, where it would have been too thin;
        without those of a shape that has a detail without base
    """

    screen: str
    colours: tuple[str, ...]
    choke_mm: float
    needed_mm: float
    stated: bool
    narrow: Narrow
    visible_mm: float
    wanted: float
    peeks: tuple[Peek, ...]
    details: tuple[Detail, ...]
    left_out_mm: tuple[tuple[float, float], ...]
