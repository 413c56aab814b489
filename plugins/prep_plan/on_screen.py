"""What is done with each screen between prints: it stands on the screen's own page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.sections import CheckList, Section

if TYPE_CHECKING:
    from prep.job import Job
    from prep_drying.answers import Drying

RANK = 44
"""That of the steps at the press, which these join."""
FLOODED = "flood after every print, so that no ink dries in the mesh."
CLEARED = "don't flood between prints: the run is reckoned without."


def screen_sections(job: Job, drying: Drying) -> Iterator[Section]:
    """Give what each screen begins with, and whether it is flooded, as the run was reckoned."""
    for screen in job.screens:
        load = drying.run[screen.key].load_g.value
        step = f"Begin with {load:.0f} g of ink; {FLOODED if drying.flooded else CLEARED}"
        yield Section(
            "screen", "Between prints", (CheckList((step,)),), rank=RANK, screen=screen.key
        )
