"""What can go wrong with the targets."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from prep.findings import Finding
from prep.job import Job
from prep_registration.placing import placed_of, print_bounds
from prep_registration.settings import Registration
from prep_registration.target import PITCHES_ACROSS_A_BAR, Placed

NEAR_MM = 8.0
"""Film a strip of tape or a plug needs beside a target. Guess: half of a 15-20 mm tape."""

ROOM_IN_FRAME_MM = 40.0
"""Between what is printed and the inside of the frame, each side. Common practice, no source."""


def findings_of(job: Job) -> Iterator[Finding]:
    """Say where targets are missing, too near, too fine for a mesh, or don't fit a frame."""
    chosen = job.settings(Registration)
    if len(job.screens) > 1 and not chosen.cut:
        yield Finding(
            severity="note",
            kind="no registration targets",
            what=f"{len(job.screens)} screens are lined up without targets.",
            why="Opaque film can't be looked through, so a shift shows only in the print.",
            do="Set registration.cut to true, or line up by a detail that all colours share.",
        )
    targets = placed_of(job)
    if not targets:
        return
    yield from _near(job, targets)
    yield from _fine(job, chosen)
    yield from _frames(job, targets)


def _near(job: Job, targets: tuple[Placed, ...]) -> Iterator[Finding]:
    regions = [s.region for s in job.screens]
    for target in targets:
        clear = float(min(shapely.distance(regions, target.region)))
        if clear < NEAR_MM:
            yield Finding(
                severity="at risk",
                kind="target near the print",
                at_mm=target.at_mm,
                size_mm=clear,
                what=f"The {target.name} stands {clear:.1f} mm from the print.",
                why=f"Covering it takes some {NEAR_MM:g} mm of film beside it; less and the tape "
                "covers the print or the target prints on shirts.",
                do=f'Set registration.distance to "{NEAR_MM:g} mm" or more.',
            )


def _fine(job: Job, chosen: Registration) -> Iterator[Finding]:
    counts = {mesh.name: mesh.count_per_cm for mesh in job.shop.mesh}
    for screen in job.screens:
        count = counts.get(screen.mesh)
        if count is None:
            continue
        least = PITCHES_ACROSS_A_BAR * 10.0 / count
        if chosen.bar_mm < least:
            yield Finding(
                severity="at risk",
                kind="target too fine for the mesh",
                screen=screen.key,
                size_mm=chosen.bar_mm,
                what=f"The targets' bars are {chosen.bar_mm:g} mm wide on mesh {screen.mesh}.",
                why=f"A bar needs {PITCHES_ACROSS_A_BAR:g} threads across, here {least:.1f} mm, to "
                "print with a straight edge.",
                do=f'Set registration.bar to "{least:.1f} mm", or take a finer mesh.',
            )


def _frames(job: Job, targets: tuple[Placed, ...]) -> Iterator[Finding]:
    bounds = print_bounds(job)
    if bounds is None or not job.shop.frame:
        return
    whole = shapely.total_bounds([shapely.box(*bounds), *(t.region for t in targets)])
    width = float(whole[2] - whole[0]) + 2.0 * ROOM_IN_FRAME_MM
    height = float(whole[3] - whole[1]) + 2.0 * ROOM_IN_FRAME_MM
    alone = bounds[3] - bounds[1] + 2.0 * ROOM_IN_FRAME_MM
    wide = [frame for frame in job.shop.frame if frame.inside_width_mm >= width]
    holds_print = [frame for frame in wide if frame.inside_height_mm >= alone]
    if not holds_print or any(frame.inside_height_mm >= height for frame in holds_print):
        return  # a frame too small for the print itself is not the targets' affair
    tallest = max(holds_print, key=lambda frame: frame.inside_height_mm)
    yield Finding(
        severity="at risk",
        kind="targets don't fit the frame",
        size_mm=tallest.inside_height_mm,
        what=f"Print and targets need an inside height of {height:.0f} mm; frame {tallest.name} "
        f"has {tallest.inside_height_mm:.0f} mm.",
        why=f"Less than {ROOM_IN_FRAME_MM:g} mm between a target and the frame leaves no room for "
        "the squeegee to start and for ink to lie.",
        do="Take a longer frame, make registration.size or registration.distance smaller, or set "
        "registration.cut to false.",
    )
