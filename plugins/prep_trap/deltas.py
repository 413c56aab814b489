"""Traps as changes of screens."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import MultiPolygon

from prep.job import Job
from prep.phrases import length
from prep.screens import Delta
from prep_trap.planning import Pair, added_to, plan_of


def _reason(job: Job, pair: Pair) -> str:
    spread = f"spread {length(pair.width_mm, job.shop.units)}"
    if pair.through.is_empty:
        return f"{spread} under {pair.later.ink}"
    through = f"printed right through under {pair.later.ink}"
    if len(pair.through.geoms) == len(pair.second.region.geoms):
        return through
    return f"{through} where that lies within, else {spread}"


def deltas_of(job: Job) -> Iterator[Delta]:
    """Give what each screen is spread by, one change for each pair, and the film opened beside it."""
    nothing = MultiPolygon()
    for key, added in added_to(job, plan_of(job)).items():
        for pair, trap in added.traps:
            yield Delta(key, trap, nothing, _reason(job, pair))
        if not added.closed.is_empty:
            reason = "opened under later inks where the film would be too fine"
            yield Delta(key, added.closed, nothing, reason)
