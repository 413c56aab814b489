"""How long a full rack is emptied, which screens wait for. Asked before anything is known of drying."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from prep_plan.parameters import in_force
from prep_plan.timetable import seconds

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep_plan.settings import Plan


@dataclass(frozen=True, slots=True)
class Emptying:
    """What is done each time the rack is full.

    :param holds: shirts
    :param takes_s: curing them, or drying them to the touch and stacking them
    """

    holds: int
    takes_s: Estimate


def emptying(plan: Plan, *, last: bool) -> Emptying | None:
    """Give how the rack is emptied; ``None`` where that isn't stated, or a belt takes shirts as they come.

    :param last: after the last part of the work shirts are cured, before it they are dried to the touch
    """
    if plan.rack is None or (last and plan.cure_by == "conveyor dryer"):
        return None
    one = in_force(plan)["cure" if last else "dry"]
    return Emptying(plan.rack, seconds(one) * plan.rack)
