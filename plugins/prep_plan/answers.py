"""What other plugins may ask of the work. Imports no numpy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep.shop import Working
    from prep_plan.course import Day
    from prep_plan.timetable import Timetable
    from prep_sequence.answers import Step


@dataclass(frozen=True, slots=True)
class PartOfWork:
    """All shirts once through, with some screens set up together.

    :param screens: keys, in print order
    :param steps: what is done to each shirt while it lies there; empty where nobody tells
    :param lot: shirts that stay put while the one screen is washed between its inks; 0 = it isn't
    """

    screens: tuple[str, ...]
    steps: tuple[Step, ...]
    lot: int = 0


@dataclass(frozen=True, slots=True)
class Again:
    """How often something comes that the order has done after every so many prints of the run.

    :param times: over a whole part; where screens are washed out anyway it isn't done
    :param after: prints between two washings, test pulls first, after which it comes; 0 = never
    :param in_longest: that is so where most is printed between two washings
    """

    times: int
    after: int
    in_longest: bool = False


@dataclass(frozen=True, slots=True)
class BetweenWashings:
    """What of a part is printed between two washings of its screens.

    :param screens: keys
    :param spans: first and last shirt of each time, from 1; spoilt ones are counted too
    :param washed: screens are washed out while a full rack is emptied
    :param pauses: those that are planned
    :param wipes: those that are planned
    """

    screens: tuple[str, ...]
    spans: tuple[tuple[int, int], ...]
    washed: bool
    pauses: Again
    wipes: Again

    @property
    def shirts(self) -> int:
        """The most that are printed between two washings."""
        return max(last - first + 1 for first, last in self.spans)


@dataclass(frozen=True, slots=True)
class CutInDays:
    """How the work is parted.

    :param days: what is printed on each; empty where a day is too short for any shirt
    :param parts: in working order
    """

    days: tuple[Day, ...]
    parts: tuple[BetweenWashings, ...]


@dataclass(frozen=True, slots=True)
class Stretches:
    """How a set-up's work is parted by days and by washing screens out, in each way it can be worked."""

    by_way: Mapping[Working, CutInDays]


Counted = Literal["from the set-up", "in the day", "over the run"]


@dataclass(frozen=True, slots=True)
class Line:
    """Something to be done at a shirt's number.

    :param part: its place among the parts, from 0
    :param screen: key; empty = all that are set up
    :param from_shirt: the earliest; 0 = test pulls
    :param before: when, in words
    :param shirts: before which, where that is known exactly
    :param do: what
    :param counted: from where shirts are; the set-up is the last one, after washing screens out
    """

    part: int
    screen: str
    from_shirt: float
    before: str
    shirts: tuple[int, ...]
    do: str
    counted: Counted = "from the set-up"


@dataclass(frozen=True, slots=True)
class WorkPlan:
    """The hours of a set-up, and what is dried and cured.

    :param table: step by step
    :param parts: in working order
    :param lines: what is done at which shirt, part after part
    :param by_colour: all shirts are printed in one colour and laid again for the next
    :param tests: prints on scrap with each part's screens
    :param shirts: printed, spoilt ones too
    :param per_shirt_s: from one shirt to the next at the press, over all parts
    :param cured_by: what shirts are cured with
    :param waiting: shirts that lie to dry at a time, if there is room: a day's, or all between colours
    :param rack: shirts that can lie or hang to dry; ``None`` where the shop doesn't say
    :param days: of the shop's length that press work, cure and clean-up take
    :param day_h: hours of a day
    :param lacking: what is missing in it and why, sentences
    """

    table: Timetable
    parts: tuple[PartOfWork, ...]
    lines: tuple[Line, ...]
    by_colour: bool
    tests: int
    shirts: int
    per_shirt_s: Estimate
    cured_by: str
    waiting: int
    rack: int | None
    days: int
    day_h: float
    lacking: tuple[str, ...]

    @property
    def longer_by_days(self) -> bool:
        """Whether parting the work over days makes it longer than in one go, by what is worth telling."""
        press = self.table.hours("at the press", "after").value
        return len(self.table.days) > 1 and self.table.one_go_h < press - 0.05
