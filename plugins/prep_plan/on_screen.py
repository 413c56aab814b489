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
"""The last on the front of a screen's page, after the steps at the press."""
FLOODED = "Flood the screen after every print, so that no ink dries in the mesh."
CLEARED = (
    "Don't flood: this run is reckoned with the screen left cleared between prints. Print the next shirt"
    " soon."
)


def screen_sections(job: Job, drying: Drying, plan: WorkPlan) -> Iterator[Section]:
    """Give what is done with each screen between prints, as the run was reckoned."""
    for screen in job.screens:
        own = [line for line in plan.lines if line.screen == screen.key]
        steps = (
            f"Begin with {drying.run[screen.key].load_g.value:.0f} g of {screen.ink} on the screen.",
            FLOODED if drying.flooded else CLEARED,
            *(f"Before {line.before}: {line.do}." for line in own),
        )
        yield Section("screen", "Between prints", (CheckList(steps),), rank=RANK, screen=screen.key)
