"""Traps as changes of screens."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import MultiPolygon

from prep.job import Job
from prep.screens import Delta
from prep_trap.planning import plan_of, spread_of
from prep_trap.wording import length


def deltas_of(job: Job) -> Iterator[Delta]:
    """Give what each screen is spread by, one change for each pair."""
    for pair in plan_of(job).pairs:
        trap = spread_of(job, pair).trap
        if not trap.is_empty:
            width = length(pair.width_mm, job.shop.units)
            verb = "spread" if pair.do == "spread" else "printed on by"
            reason = f"{verb} {width} under {pair.later.ink}"
            yield Delta(pair.earlier.key, trap, MultiPolygon(), reason)
