"""What can go wrong with the targets."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from prep.findings import Finding
from prep.job import Ask, Job
from prep.phrases import several
from prep_registration.placing import (
    TO_PLATEN_EDGE_MM,
    asides_of,
    chosen,
    frame_room,
    on_platen,
    print_bounds,
    with_targets,
)
from prep_registration.settings import Registration
from prep_registration.target import PITCHES_ACROSS_A_BAR, Placed, placed

NEAR_MM = 8.0
"""Film a strip of tape or a plug needs beside a target. Guess: half of a 15-20 mm tape."""


def findings_of(job: Job, ask: Ask) -> Iterator[Finding]:
    """Say where targets are missing, too near, too fine for a mesh, or have no room."""
    table = job.settings(Registration)
    if len(job.films) > 1 and not table.cut:
        yield Finding(
            severity="note",
            kind="no registration targets",
            what=f"{len(job.films)} films are lined up without targets.",
            why="Opaque film can't be looked through, so a shift shows only in the print.",
            do="Set registration.cut to true, or line up by a detail that all colours share.",
        )
    choice = chosen(job, ask)
    if choice.no_room:
        yield _no_room(job, ask, table)
    if not choice.targets:
        return
    yield from _near(job, choice.targets)
    yield from _fine(job, table)


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


def _fine(job: Job, table: Registration) -> Iterator[Finding]:
    counts = {mesh.name: mesh.count_per_cm for mesh in job.shop.mesh}
    for screen in job.screens:
        count = counts.get(screen.mesh)
        if count is None:
            continue
        least = PITCHES_ACROSS_A_BAR * 10.0 / count
        if table.bar_mm < least:
            yield Finding(
                severity="at risk",
                kind="target too fine for the mesh",
                screen=screen.key,
                size_mm=table.bar_mm,
                what=f"The targets' bars are {table.bar_mm:g} mm wide on mesh {screen.mesh}.",
                why=f"A bar needs {PITCHES_ACROSS_A_BAR:g} threads across, here {least:.1f} mm, to "
                "print with a straight edge.",
                do=f'Set registration.bar to "{least:.1f} mm", or take a finer mesh.',
            )


def _no_room(job: Job, ask: Ask, table: Registration) -> Finding:
    """Say what keeps targets from above and below and from beside the print."""
    bounds = print_bounds(job)
    assert bounds is not None  # or there would be nothing to line up
    middle = (bounds[0] + bounds[2]) / 2.0, (bounds[1] + bounds[3]) / 2.0
    room, units, asides = frame_room(ask), job.shop.units, asides_of(ask)
    platen = "the platen beside whose middle it lies" if any(asides) else "the platen"
    said = []
    for beside, where, side in ((False, "above and below", "high"), (True, "beside", "wide")):
        targets = placed(
            bounds,
            size_mm=table.size_mm,
            bar_mm=table.bar_mm,
            distance_mm=table.distance_mm,
            beside=beside,
        )
        cut = with_targets(bounds, targets)
        long = cut[2] - cut[0] if beside else cut[3] - cut[1]
        off = [] if on_platen(job, cut, middle[0], asides) else [platen]
        if room is not None and not room.held(cut, middle):
            off.append("any frame")
        said.append(
            f"with targets {where} the print is {_whole(long, units)} {side}, too much for {several(off)}"
        )
    return Finding(
        severity="at risk",
        kind="no room for targets",
        what=f"No targets are cut for {len(job.films)} films: {'; '.join(said)}.",
        why="A target the squeegee doesn't reach, or less than"
        f" {_whole(TO_PLATEN_EDGE_MM, units)} from the platen's edge, doesn't print; without any, colours"
        " are lined up by eye.",
        do="Take a larger frame or platen, make registration.size or registration.distance smaller, or"
        " line up by a detail that all colours share and set registration.cut to false.",
    )


def _whole(mm: float, units: str) -> str:
    return f"{mm / 25.4:.1f} in" if units == "inch" else f"{mm:.0f} mm"
