"""What other plugins may ask of the work. Imports no numpy."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep_plan.timetable import Timetable


@dataclass(frozen=True, slots=True)
class WorkPlan:
    """The hours of a set-up, and what is dried and cured.

    :param table: step by step
    :param per_shirt_s: from one shirt to the next at the press
    :param cured_by: what shirts are cured with
    :param waiting: shirts that wait to be cured when the last is printed
    :param rack: shirts that can lie or hang to dry; ``None`` where the shop doesn't say
    :param days: of the shop's length that press work, cure and clean-up take
    :param lacking: what is missing in it and why, sentences
    """

    table: Timetable
    per_shirt_s: Estimate
    cured_by: str
    waiting: int
    rack: int | None
    days: int
    lacking: tuple[str, ...]
