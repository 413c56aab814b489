"""``prep plan``: the run card on the screen, or as JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from prep.console import out, out_table, progress, say

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep.job import Ask, Job
    from prep.request import Request
    from prep.sections import Block, Section
    from prep_plan.answers import WorkPlan


def run(request: Request, as_json: bool) -> int:
    """Print the run card of every set-up of an order; give the exit status.

    :raises PluginFailed: a plugin failed, also while answering another
    """
    from prep.line import open_line
    from prep_plan.answers import WorkPlan
    from prep_plan.whole_order import order_section
    from prep_plan.wording import card

    with progress() as tell, open_line(request, tell=tell) as line:
        jobs = [line.job(setup) for setup in line.setups]
        line.session.begin()
        asks = [line.ask(job) for job in jobs]
        plans = [ask(WorkPlan) for ask in asks]
        cards = [
            list(card(job, ask, plan)) for job, ask, plan in zip(jobs, asks, plans, strict=True)
        ]
        whole = {
            "schema": "firstpull.plan/1",
            "setups": [
                _document(job, ask, plan, told)
                for job, ask, plan, told in zip(jobs, asks, plans, cards, strict=True)
            ],
        }
        planned = list(zip(jobs, plans, strict=True))
        whole |= _whole_order(planned)
        if line.session.failures:
            raise line.session.failures[0]
    if as_json:
        out(json.dumps(whole, indent=2, ensure_ascii=False))
        return 0
    for job, sections in zip(jobs, cards, strict=True):
        out(f"{job.order.name}: {job.setup.name}")
        for section in sections:
            _tell(section)
    if len(planned) > 1:
        out(jobs[0].order.name)
        _tell(order_section(planned))
    for note in dict.fromkeys(note for job in jobs for note in job.notes):
        say(f"- {note}")
    return 0


def _tell(section: Section) -> None:
    out()
    out(section.title.upper())
    for block in section.blocks:
        _tell_block(block)


def _tell_block(block: Block) -> None:
    from prep.sections import Caution, CheckList, Paragraph, Table

    if isinstance(block, Table):
        out_table(block.head, block.rows, block.align)
        if block.caption:
            out(block.caption)
    elif isinstance(block, Paragraph):
        out(block.text)
    elif isinstance(block, CheckList):
        for number, step in enumerate(block.steps, start=1):
            out(f"[ ] {number}. {step}")
    elif isinstance(block, Caution):
        out(f"Caution. {block.text}")


def _whole_order(planned: Sequence[tuple[Job, WorkPlan]]) -> dict[str, Any]:
    """Give the hours of all set-ups together, inks of several mixed once."""
    from prep_plan.whole_order import whole_order

    order = whole_order(planned)
    return {
        "order": {
            **_figures("before_h", order.before, 3),
            **_figures("press_h", order.press, 3),
            **_figures("whole_h", order.whole, 3),
            "mixings_saved": order.once,
            "days": round(order.days, 2),
        }
    }


def _document(job: Job, ask: Ask, plan: WorkPlan, card: Sequence[Section]) -> dict[str, Any]:
    """Give one set-up of the document ``firstpull.plan/1``.

    Its steps and cautions are those of the card; where each part has its own set-up, that stands among the
    steps of the order of work.
    """
    from prep.sections import Caution, CheckList
    from prep_plan.drying_record import drying_document
    from prep_plan.order_of_work import ORDER_OF_WORK
    from prep_plan.wording import AFTERWARDS, SET_UP, set_up_of

    steps = {
        section.title: [
            step for block in section.blocks if isinstance(block, CheckList) for step in block.steps
        ]
        for section in card
    }
    cautions = (b.text for section in card for b in section.blocks if isinstance(b, Caution))

    return {
        "setup": job.setup.name,
        "shirts": job.setup.shirts,
        "screens": [
            {
                "screen": one.screen.key,
                "number": one.screen.number,
                "ink": one.screen.ink,
                "mesh": one.screen.mesh,
                "frame": one.frame,
                "squeegee_mm": one.squeegee_mm,
                "off_contact_mm": one.off_contact_mm,
                "passes": one.screen.passes,
                "ink_at_first_g": None if one.load_g is None else round(one.load_g, 1),
            }
            for one in set_up_of(job, ask)
        ],
        "set_up": steps[SET_UP] or steps.get(ORDER_OF_WORK, []),
        "hours": [
            {"when": e.when, "step": e.what, "what": e.rests, **_figures("hours", e.hours, 3)}
            for e in plan.table.entries
        ],
        **_figures("whole_h", plan.table.whole, 3),
        **_figures("per_shirt_s", plan.per_shirt_s, 1),
        "cured_by": plan.cured_by,
        "waiting": plan.waiting,
        "rack": plan.rack,
        "order_of_work": [
            {
                "screens": list(part.screens),
                "steps": [
                    {"does": step.does, "screen": step.screen, "takes_s": step.takes_s}
                    for step in part.steps
                ],
            }
            for part in plan.parts
        ],
        "clean_up": steps[AFTERWARDS],
        "cautions": list(dict.fromkeys(cautions)),
        "now_and_then": [
            {
                "part": line.part + 1,
                "screen": line.screen or None,
                "before": line.before,
                "before_shirts": list(line.shirts),
                "counted": line.counted,
                "do": line.do,
            }
            for line in plan.lines
        ],
        "days": plan.days,
        "day_h": plan.day_h,
        "by_day": [
            [
                {
                    "part": stretch.part + 1,
                    "first_shirt": stretch.first,
                    "last_shirt": stretch.last,
                    "hours": round(stretch.hours, 3),
                }
                for stretch in day
            ]
            for day in plan.table.days
        ],
        "lacking": list(plan.lacking),
        **drying_document(job, ask),
    }


def _figures(name: str, estimate: Estimate, decimals: int) -> dict[str, float]:
    return {
        name: round(estimate.value, decimals),
        f"{name}_low": round(estimate.low, decimals),
        f"{name}_high": round(estimate.high, decimals),
    }
