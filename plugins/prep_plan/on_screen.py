"""What is done with each screen between prints: it stands on the screen's own page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.errors import Unanswered
from prep.sections import CheckList, Section
from prep.setups import expand

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep_drying.answers import Drying

RANK = 44
"""That of the steps at the press, which these join."""
FLOODED = "flood after every print, so that no ink dries in the mesh."
CLEARED = "don't flood between prints: the run is reckoned without."


def screen_sections(job: Job, ask: Ask, drying: Drying) -> Iterator[Section]:
    """Give what each screen begins with, and whether it is flooded, as the run was reckoned."""
    rests = _rests(job, ask, drying)
    for screen in job.screens:
        load = drying.run[screen.key].load_g.value
        step = f"Begin with {load:.0f} g of ink; {FLOODED if drying.flooded else CLEARED}"
        steps = (step, rests[screen.ink]) if screen.ink in rests else (step,)
        yield Section("screen", "Between prints", (CheckList(steps),), rank=RANK, screen=screen.key)


def _rests(job: Job, ask: Ask, drying: Drying) -> dict[str, str]:
    """Say of each ink what becomes of what is mixed and isn't put on its screens at first."""
    try:
        from prep_ink.answers import InkOnScreens

        inks = ask(InkOnScreens).inks
    except (ModuleNotFoundError, Unanswered):
        return {}
    told: dict[str, str] = {}
    several_setups = len(expand(job.order, dark_below=job.shop.dark_below)) > 1
    for one in inks:
        on = sum(round(drying.run[key].load_g.value) for key in one.screens)
        rest = round(one.to_mix_g) - on
        if several_setups:
            told[one.ink] = (
                f"Keep the rest of {one.ink} covered: for topping up, and for its other prints."
            )
        elif rest > 0:
            told[one.ink] = f"Keep the other {rest} g of {one.ink} covered, for topping up."
    return told
