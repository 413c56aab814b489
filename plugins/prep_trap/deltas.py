"""Traps as changes of screens."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import MultiPolygon

from prep.job import Job
from prep.phrases import length
from prep.screens import Delta
from prep_trap.planning import added_to, plan_of


def deltas_of(job: Job) -> Iterator[Delta]:
    """Give what each screen is spread by, one change for each pair, and the film opened beside it."""
    nothing = MultiPolygon()
    for key, added in added_to(job, plan_of(job)).items():
        for pair, trap in added.traps:
            width = length(pair.width_mm, job.shop.units)
            verb = "spread" if pair.do == "spread" else "printed on by"
            yield Delta(key, trap, nothing, f"{verb} {width} under {pair.later.ink}")
        if not added.closed.is_empty:
            reason = "opened under later inks where the film would be too fine"
            yield Delta(key, added.closed, nothing, reason)
