"""What other plugins may ask of the work. Imports no numpy."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from prep.estimate import Estimate
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
class Line:
    """Something to be done at a shirt's number, counted from the last set-up.

    :param part: its place among the parts, from 0
    :param screen: key; empty = all that are set up
    :param from_shirt: the earliest; 0 = test pulls
    :param before: when, in words
    :param shirts: before which, where that is known exactly
    :param do: what
    """

    part: int
    screen: str
    from_shirt: float
    before: str
    shirts: tuple[int, ...]
    do: str


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
