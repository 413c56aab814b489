"""From a job to its targets."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from prep.job import Job
from prep.screens import Mark
from prep_registration.answers import Target, Targets
from prep_registration.settings import Registration
from prep_registration.target import Bounds, Placed, placed


def print_bounds(job: Job) -> Bounds | None:
    """Give the bounds of the openings of all screens, ``None`` when nothing is printed."""
    regions = [screen.region for screen in job.screens if not screen.region.is_empty]
    if not regions:
        return None
    x0, y0, x1, y1 = (float(v) for v in shapely.total_bounds(regions))
    return x0, y0, x1, y1


def why_none(job: Job) -> str:
    """Say why no targets are cut; empty when they are."""
    if len(job.screens) < 2:
        return "One screen needs no lining up, so no targets are cut."
    if not job.settings(Registration).cut:
        return "The shop's settings say that no targets are cut."
    if print_bounds(job) is None:
        return "Nothing is printed, so there is nothing to line up."
    return ""


def placed_of(job: Job) -> tuple[Placed, ...]:
    """Give the job's targets, top one first; none for a single screen or when they aren't wanted."""
    bounds = print_bounds(job)
    if bounds is None or why_none(job):
        return ()
    chosen = job.settings(Registration)
    return placed(
        bounds, size_mm=chosen.size_mm, bar_mm=chosen.bar_mm, distance_mm=chosen.distance_mm
    )


def marks_of(job: Job) -> tuple[Mark, ...]:
    """Give the targets as marks."""
    return tuple(
        Mark(
            name=target.name,
            region=target.region,
            prints=True,
            what_for="line each screen up with the first on the test pulls, then cover it",
        )
        for target in placed_of(job)
    )


def targets_of(job: Job) -> Targets:
    """Answer where the targets stand."""
    return Targets(
        tuple(
            Target(target.name, target.at_mm, _bounds(target.region)) for target in placed_of(job)
        ),
        why_none(job),
    )


def _bounds(region: BaseGeometry) -> Bounds:
    x0, y0, x1, y1 = (float(v) for v in region.bounds)
    return x0, y0, x1, y1
