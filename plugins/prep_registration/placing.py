"""From a job to its targets."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely
from shapely.geometry.base import BaseGeometry

from prep.errors import Unanswered
from prep.job import Ask, Job
from prep.screens import Mark
from prep_registration.answers import Target, Targets
from prep_registration.settings import Registration
from prep_registration.target import Bounds, Placed, placed

if TYPE_CHECKING:
    from prep_squeegee.answers import FrameRoom

TO_PLATEN_EDGE_MM = 6.0
"""Least between what is printed and the platen's edge (a supplier's advice)."""

Holds = Callable[[Bounds], bool]


@dataclass(frozen=True, slots=True)
class Choice:
    """Where targets stand, or why they don't.

    :param targets: top or left one first; empty when none are cut
    :param why_none: a sentence when there are none, else empty
    :param no_room: targets are wanted, and neither above and below nor beside the print is room
    """

    targets: tuple[Placed, ...]
    why_none: str = ""
    no_room: bool = False


def print_bounds(job: Job) -> Bounds | None:
    """Give the bounds of the openings of all screens, ``None`` when nothing is printed."""
    regions = [screen.region for screen in job.screens if not screen.region.is_empty]
    if not regions:
        return None
    x0, y0, x1, y1 = (float(v) for v in shapely.total_bounds(regions))
    return x0, y0, x1, y1


def chosen(job: Job, ask: Ask) -> Choice:
    """Choose where the targets stand: above and below, else left and right, else nowhere.

    They must be reached by the squeegee and lie on the platen. A frame or platen that doesn't even hold
    the print itself isn't asked: that is said elsewhere, and targets don't make it worse.
    """
    if len(job.films) < 2:
        what = "One screen" if len(job.screens) < 2 else "One film that all screens share"
        return Choice((), f"{what} needs no lining up, so no targets are cut.")
    table = job.settings(Registration)
    if not table.cut:
        return Choice((), "The shop's settings say that no targets are cut.")
    bounds = print_bounds(job)
    if bounds is None:
        return Choice((), "Nothing is printed, so there is nothing to line up.")
    rules = [holds for holds in _rules(job, ask, bounds) if holds(bounds)]
    for beside in (False, True):
        targets = placed(
            bounds,
            size_mm=table.size_mm,
            bar_mm=table.bar_mm,
            distance_mm=table.distance_mm,
            beside=beside,
        )
        if all(holds(with_targets(bounds, targets)) for holds in rules):
            return Choice(targets)
    return Choice(
        (),
        "No targets are cut: neither above and below nor beside the print can squeegee and platen reach"
        " them.",
        no_room=True,
    )


def with_targets(bounds: Bounds, targets: tuple[Placed, ...]) -> Bounds:
    """Give the bounds of print and targets together."""
    shapes = [shapely.box(*bounds), *(target.region for target in targets)]
    x0, y0, x1, y1 = (float(v) for v in shapely.total_bounds(shapes))
    return x0, y0, x1, y1


def _rules(job: Job, ask: Ask, print_mm: Bounds) -> list[Holds]:
    """Give what must hold the bounds of what is cut, the print in the middle."""
    middle = (print_mm[0] + print_mm[2]) / 2.0, (print_mm[1] + print_mm[3]) / 2.0
    asides = asides_of(ask)
    rules: list[Holds] = [lambda cut: on_platen(job, cut, middle[0], asides)]
    room = frame_room(ask)
    if room is not None:
        rules.append(lambda cut: room.held(cut, middle))
    return rules


def frame_room(ask: Ask) -> FrameRoom | None:
    """Give what the shop's frames hold; ``None`` where no plugin tells."""
    try:
        from prep_squeegee.answers import FrameRoom

        return ask(FrameRoom)
    except (ModuleNotFoundError, Unanswered):
        return None


def asides_of(ask: Ask) -> tuple[float, ...]:
    """Give how far right of the platen's centre line the print's lies; on it where no plugin tells."""
    try:
        from prep_placing.answers import Asides

        return ask(Asides).asides_mm
    except (ModuleNotFoundError, Unanswered):
        return (0.0,)


def on_platen(job: Job, cut: Bounds, print_x_mm: float, asides_mm: tuple[float, ...]) -> bool:
    """Tell whether what is cut lies on the platen; true where its size isn't stated.

    :param print_x_mm: where the print's centre line stands
    :param asides_mm: how far right of the platen's it lies, for each kind of garment
    """
    centres = [print_x_mm - aside for aside in asides_mm]
    sides = (
        (
            job.shop.press.platen_width_mm,
            2.0 * max(max(cut[2] - x, x - cut[0]) for x in centres),
        ),
        (
            job.shop.press.platen_height_mm,
            cut[3] - cut[1],
        ),
    )
    return all(
        platen is None or size + 2.0 * TO_PLATEN_EDGE_MM <= platen + 1e-6 for platen, size in sides
    )


def placed_of(job: Job, ask: Ask) -> tuple[Placed, ...]:
    """Give the job's targets, top or left one first; none for a single screen or when not wanted."""
    return chosen(job, ask).targets


def marks_of(job: Job, ask: Ask) -> tuple[Mark, ...]:
    """Give the targets as marks."""
    return tuple(
        Mark(
            name=target.name,
            region=target.region,
            prints=True,
            what_for="line each screen up with the first on the test pulls, then cover it",
        )
        for target in placed_of(job, ask)
    )


def targets_of(job: Job, ask: Ask) -> Targets:
    """Answer where the targets stand."""
    choice = chosen(job, ask)
    return Targets(
        tuple(Target(t.name, t.at_mm, _bounds(t.region)) for t in choice.targets),
        choice.why_none,
    )


def _bounds(region: BaseGeometry) -> Bounds:
    x0, y0, x1, y1 = (float(v) for v in region.bounds)
    return x0, y0, x1, y1
