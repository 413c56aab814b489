"""What other plugins may ask of drying. Imports no numpy.

Times are in seconds and never beyond a day. Prints are counted from 1, test pulls first; shirts are counted
from 1, and 0 stands for a test pull.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep.shop import Working
    from prep_drying.run import Course

Climate = Literal[
    "still room",
    "fan on the screens",
    "flash dryer beside the press",
    "warm platen under the screen",
]
Misting = Literal["never", "as needed", "always"]
Range = tuple[float, float, float]
"""10, 50 and 90 % points."""


@dataclass(frozen=True, slots=True)
class Air:
    """The climate at the screens.

    :param climate: what holds there
    :param assumed: why it is taken to hold; empty where shop or order says it
    :param room_c: temperature of the room
    :param room_humidity: 0..1
    :param at_screen_c: air at the screens
    :param humidity: of the air at the screens, 0..1; it holds as much vapour as the room's
    :param air_speed_m_s: at the screens
    :param film_c: temperature of the wet ink
    :param flux_kg_m2_h: water that leaves it
    :param outside: where figures lie outside the range the formulas were made for, sentences
    """

    climate: tuple[Climate, ...]
    assumed: str
    room_c: float
    room_humidity: float
    at_screen_c: Estimate
    humidity: Estimate
    air_speed_m_s: Estimate
    film_c: Estimate
    flux_kg_m2_h: Estimate
    outside: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OpenTime:
    """How long an idle screen stays fit to print.

    :param width_mm: of the opening
    :param cleared_s: where the mesh was cleared by a print stroke
    :param flooded_s: where it was flooded
    """

    width_mm: float
    cleared_s: Estimate
    flooded_s: Estimate


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one parameter adds to the uncertainty of a figure.

    :param parameter: its name
    :param words: what the uncertainty comes from
    :param share: of the whole, 0..1
    :param remedy: what the printer can do to know it better, a sentence; empty = nothing simple
    :param value: the figure reckoned with, which lies between ``low`` and ``high`` eight times in ten
    :param unit: plain text, empty for a bare number
    :param status: how well founded it is
    :param source: where it comes from
    """

    parameter: str
    words: str
    share: float
    remedy: str
    value: float
    low: float
    high: float
    unit: str
    status: str
    source: str


@dataclass(frozen=True, slots=True)
class Lost:
    """The chance that openings of a width clog in the run.

    :param widths_mm: rising
    :param chances: of each, 0..1
    :param shirts: of each: shirt before which it has clogged, over the draws in which it does; ``None``
        where it does in none
    """

    widths_mm: tuple[float, ...]
    chances: tuple[float, ...]
    shirts: tuple[Range | None, ...]

    def __call__(self, width_mm: float) -> float:
        """Give the chance at a width, between those reckoned by the logarithm of the width."""
        widths, chances = self.widths_mm, self.chances
        if width_mm <= widths[0]:
            return chances[0]
        if width_mm >= widths[-1]:
            return chances[-1]
        k = bisect_left(widths, width_mm)
        over = math.log(width_mm / widths[k - 1]) / math.log(widths[k] / widths[k - 1])
        return chances[k - 1] + over * (chances[k] - chances[k - 1])


@dataclass(frozen=True, slots=True)
class Curve:
    """Water share of ink at every print: 10, 50 and 90 % points over the draws, each (P,)."""

    low: tuple[float, ...]
    middle: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Repeats:
    """How a top-up is done again: before the shirt it says, and each so many shirts on.

    :param every: shirts from one to the next
    :param until: shirt before which it is done last
    :param last_g: how much then, for what is left of the run
    :param last_is_less: that is less by a tenth or more
    """

    every: int
    until: int
    last_g: Range
    last_is_less: bool


@dataclass(frozen=True, slots=True)
class TopUp:
    """Fresh ink put on a screen.

    :param chance: that it comes to it in this run
    :param shirt: before which; never beyond the last shirt, nor earlier than the top-up before. Draws in
        which it doesn't come to it count as the last shirt
    :param grams: how much, over the draws in which it comes to it
    :param repeats: how it is done again and again; ``None`` = once
    """

    chance: float
    shirt: Range
    grams: Range
    repeats: Repeats | None = None

    def shirts(self) -> tuple[int, ...]:
        """Give the shirts before which it is done; the middle of the range where it is done once."""
        first = round(self.shirt[1])
        if self.repeats is None:
            return (first,)
        return tuple(range(first, self.repeats.until + 1, self.repeats.every))


@dataclass(frozen=True, slots=True)
class ScreenRun:
    """One screen in the run.

    :param fits: chance that its finest opening stays open and the ink before the blade fluid
    :param lost: chance by width that openings clog
    :param dries_out: chance that the ink before the blade thickens beyond use
    :param dried_shirt: shirt before which it has, over the draws in which it does
    :param prints: 1 .. P, as far as the run is followed
    :param bead: water share of the ink before the blade
    :param well: of the ink in the finest openings, before each print, when it is driest
    :param clogs_below: water share at which it clogs
    :param load_g: ink put on the screen at first, and topped up to
    :param top_ups: in order, at most eight; where there are more, one that is repeated
    :param between_s: from print to print, the usual time
    :param pause_s: longest time from one print to the next that the finest opening stands; plan by its
        low end
    :param wipe_before: shirt before which to wipe the finest openings out, so that they have clogged with
        a chance of no more than a tenth; 0 = they clog on test pulls already, which wiping won't help;
        ``None`` = there is no need
    :param thickens: chance that the ink before the blade loses half of what it may
    :param mist_from: shirt before which it has, over the draws in which it does: from here on it is misted,
        where that is done as needed
    :param mist_g_per_h: water that holds it there
    :param misted_g: water stirred in over the run, as the order has it misted
    """

    screen: str
    fits: float
    lost: Lost
    dries_out: float
    dried_shirt: Range | None
    prints: tuple[int, ...]
    bead: Curve
    well: Curve
    clogs_below: Estimate
    load_g: Estimate
    top_ups: tuple[TopUp, ...]
    between_s: Estimate
    pause_s: Estimate
    wipe_before: int | None
    thickens: float
    mist_from: Range | None
    mist_g_per_h: Estimate
    misted_g: Estimate


@dataclass(frozen=True, slots=True)
class Together:
    """Screens in use at the same time.

    :param screens: keys, in print order
    :param cycle_s: time from one shirt to the next
    :param dried_s: flashing and cooling among it
    :param followed: prints between two washings of the screens, as far as they are followed
    :param last_shirt: the last shirt among them, good ones only
    """

    screens: tuple[str, ...]
    cycle_s: Estimate
    dried_s: Estimate
    followed: int
    last_shirt: int


@dataclass(frozen=True, slots=True)
class RunOf:
    """The whole run, worked in one way.

    Worked colour by colour, shirts dry off the press between films. The climate is the same all the same: a
    dryer that stands beside the press then is one that shirts are taken to.

    :param parts: screens in use at the same time, one after the other
    :param shirt_s: time each shirt takes on the press, over all screens
    :param run_s: time of the printing, test pulls, shirts spoilt and planned pauses among it; beyond a day
        too, without what each further day begins with
    :param wet_s: key -> time it lies wet, planned pauses too; each part has its own
    :param fits: chance that every screen's finest opening stays open as far as the run is followed
    :param first_lost: shirt before which the first opening of any screen has clogged, over the draws in
        which one does
    :param by_screen: key -> what becomes of it
    """

    working: Working
    parts: tuple[Together, ...]
    shirt_s: Estimate
    run_s: Estimate
    wet_s: Mapping[str, Estimate]
    fits: float
    first_lost: Range | None
    by_screen: Mapping[str, ScreenRun]

    @property
    def last_shirt(self) -> int:
        """The shirt to which the run is followed; of several parts the one that leads farthest."""
        return max(part.last_shirt for part in self.parts)

    def part_of(self, screen: str) -> Together:
        """Give the screens in use at the same time as the one with this key."""
        return next(part for part in self.parts if screen in part.screens)

    def __getitem__(self, screen: str) -> ScreenRun:
        """Give the screen with this key."""
        return self.by_screen[screen]


@dataclass(frozen=True, slots=True)
class IdleScreen:
    """One screen left alone.

    :param finest_mm: its finest opening, or the width up to which none was found
    :param retarder: its ink holds retarder
    :param finest: open times there
    :param by_width: and by width of the opening, rising
    :param uncertainty: what the range of the finest's time comes from, flooded or cleared as the job is
        worked, largest share first
    """

    screen: str
    finest_mm: float
    retarder: bool
    finest: OpenTime
    by_width: tuple[OpenTime, ...]
    uncertainty: tuple[Contribution, ...]


@dataclass(frozen=True, slots=True)
class Drying:
    """How a job dries on its screens.

    :param flooded: screens are flooded after each print
    :param mist: when water is stirred into the ink before the blade
    :param idle: key of a screen -> its open times
    :param runs: the ways it can be worked, the one that is chosen first
    :param test_pulls: prints before the first shirt
    :param whole: screens aren't washed out before the last shirt; else the run is followed to where they
        are, and begins anew after
    :param says: what was taken for granted or left out, sentences
    """

    air: Air
    flooded: bool
    mist: Misting
    idle: Mapping[str, IdleScreen]
    runs: tuple[RunOf, ...]
    test_pulls: int
    whole: bool
    says: tuple[str, ...]

    @property
    def run(self) -> RunOf:
        """The run as it is worked."""
        return self.runs[0]

    @property
    def last_shirt(self) -> int:
        """The shirt to which the run is followed; of several parts the one that leads farthest."""
        return self.run.last_shirt

    @property
    def upto(self) -> str:
        """How far chances are told, to stand after "stays open to" or "before"."""
        if self.whole:
            return "the last shirt"
        ends = {part.last_shirt for part in self.run.parts}
        last = f"shirt {ends.pop()}" if len(ends) == 1 else "the last shirt of a part"
        return f"{last} (then screens are washed out)"


@dataclass(frozen=True, slots=True)
class DryingUncut:
    """How a job would dry in days that hold nothing but printing: what days are parted by.

    :param courses: of each way what its parts go through
    """

    drying: Drying
    courses: Mapping[Working, tuple[Course, ...]]


@dataclass(frozen=True, slots=True)
class Help:
    """What one thing changed does to the run.

    :param what: a few words, what to do
    :param fits: chance that the run fits with it
    :param gained: that much more than without
    :param pause_s: longest time from print to print that all finest openings stand with it: what nine
        draws in ten allow
    :param pause_gained_s: that much more than without
    :param costs: what it costs or what stands against it, a sentence
    """

    what: str
    fits: float
    gained: float
    pause_s: float
    pause_gained_s: float
    costs: str


@dataclass(frozen=True, slots=True)
class Helps:
    """What helps most, best first: by the chance gained, then by the pause gained.

    :param fits: chance that the run fits as it is
    :param pause_s: longest time from print to print as it is; see :class:`Help`
    """

    fits: float
    pause_s: float
    helps: tuple[Help, ...]
