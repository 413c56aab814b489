"""What is done with each screen between prints: it stands on the screen's own page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.sections import CheckList, Section

if TYPE_CHECKING:
    from prep.job import Job
    from prep_drying.answers import Drying
    from prep_plan.answers import WorkPlan

RANK = 44
"""That of the steps at the press, which these join."""
FLOODED = "flood the screen after every print, so that no ink dries in the mesh."
CLEARED = "don't flood between prints: this run is reckoned with the screen left cleared."


def screen_sections(job: Job, drying: Drying, plan: WorkPlan) -> Iterator[Section]:
    """Give what is done with each screen between prints, as the run was reckoned."""
    cared_for = {line.screen for line in plan.lines}
    for screen in job.screens:
        load = drying.run[screen.key].load_g.value
        step = f"Begin with {load:.0f} g of ink, and {FLOODED if drying.flooded else CLEARED}"
        if screen.key in cared_for:
            step += " What else it needs stands under Now and then, by shirt number."
        yield Section(
            "screen", "Between prints", (CheckList((step,)),), rank=RANK, screen=screen.key
        )
