"""The hours of all set-ups of an order together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from prep.sections import Section, Table
from prep_plan.parameters import in_force
from prep_plan.settings import Plan
from prep_plan.timetable import in_hours, seconds, sum_of
from prep_plan.words import hours

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep.job import Job
    from prep_plan.answers import WorkPlan


@dataclass(frozen=True, slots=True)
class WholeOrder:
    """The hours of an order, summed draw by draw: what takes longer in one set-up does so in all.

    :param before: films and inks
    :param press: press work, cure and clean-up
    :param once: times an ink is in the hours of several set-ups, but is mixed once
    :param whole: all of it, inks mixed once
    :param days: of the shop's length that it fills, as likeliest
    """

    before: Estimate
    press: Estimate
    once: int
    whole: Estimate
    days: float


def whole_order(planned: Sequence[tuple[Job, WorkPlan]]) -> WholeOrder:
    """Sum the hours of set-ups.

    :raises ValueError: no set-ups
    """
    if not planned:
        raise ValueError("an order without set-ups takes no time")
    inks = [{screen.ink for screen in job.screens} for job, _ in planned]
    once = sum(len(own) for own in inks) - len(set().union(*inks))
    mix = in_hours(seconds(in_force(planned[0][0].settings(Plan))["mix"]))
    whole = sum_of([plan.table.whole for _, plan in planned]) + mix * -float(once)
    press = sum_of([plan.table.hours("at the press", "after") for _, plan in planned])
    return WholeOrder(
        before=whole + press * -1.0,
        press=press,
        once=once,
        whole=whole,
        days=whole.value / planned[0][1].day_h,
    )


def order_section(planned: Sequence[tuple[Job, WorkPlan]]) -> Section:
    """Give the table for the page over all set-ups."""
    whole = whole_order(planned)
    rows = tuple(
        (
            f"{number}",
            job.setup.name,
            hours(plan.table.hours("before")),
            hours(plan.table.hours("at the press", "after")),
            hours(plan.table.whole),
        )
        for number, (job, plan) in enumerate(planned, start=1)
    )
    total = ("", "the whole order", hours(whole.before), hours(whole.press), hours(whole.whole))
    told = (
        f"Some {whole.days:.1f} days of {planned[0][1].day_h:.3g} h. In brackets: its range, eight times"
        " out of ten; the whole order's is that of the sum, not a sum of the bounds."
    )
    if whole.once:
        told += (
            " Inks of several set-ups are mixed once, so that the whole order takes"
            f" {whole.once} mixing{'' if whole.once == 1 else 's'} less than its set-ups by themselves."
        )
    head = ("", "Set-up", "Films and inks", "Press, cure, clean-up", "All")
    return Section(
        "job", "Hours of the whole order", (Table(head, (*rows, total), "llrrr", told),), rank=66
    )
