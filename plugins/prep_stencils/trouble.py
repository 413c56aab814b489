"""What can go wrong with the films as a whole."""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely

from prep.findings import Finding
from prep.job import Job
from prep.screens import Mark
from prep_stencils.film import Film, film_of, fits, largest_print_width

_LEAST_AREA_MM2 = 1e-6


def findings_of(job: Job, marks: tuple[Mark, ...]) -> Iterator[Finding]:
    """Say where a film doesn't fit, lies on the risky side, or is cut by a mark across the print."""
    film = film_of(job, marks)
    if film is None:
        return
    if job.shop.film.side == "squeegee":
        yield Finding(
            severity="at risk",
            kind="film on the squeegee side",
            what="The film goes on the squeegee side of the mesh.",
            why="The squeegee rubs on the film and peels it from its edges, islands first.",
            do='Set film.side to "shirt"; else use a soft squeegee, and look at the edges every few '
            "shirts.",
        )
    if not fits(job, film):
        yield _too_wide(job, film, marks)
    yield from _no_frame(job)
    yield from _crossing(job, marks)


_BESIDE_MM = 53.0
"""Least frame beside the print: 13 mm of squeegee (two suppliers' advice, 1/2-1 in) and 40 mm to the
frame (common practice, no source)."""
_BEFORE_MM = 40.0
"""Least frame above and below the print, for the stroke to begin (common practice, no source)."""


def _no_frame(job: Job) -> Iterator[Finding]:
    """Say when no frame in stock holds the print; without frames in shop.toml there is no telling."""
    regions = [screen.region for screen in job.screens if not screen.region.is_empty]
    if not job.shop.frame or not regions:
        return
    x0, y0, x1, y1 = (float(v) for v in shapely.total_bounds(regions))
    across, along = x1 - x0, y1 - y0
    wide, high = across + 2 * _BESIDE_MM, along + 2 * _BEFORE_MM
    frames = job.shop.frame
    if any(f.inside_width_mm >= wide and f.inside_height_mm >= high for f in frames):
        return
    largest = max(frames, key=lambda f: f.inside_width_mm * f.inside_height_mm)
    shrink = max(
        min(
            (f.inside_width_mm - 2 * _BESIDE_MM) / across,
            (f.inside_height_mm - 2 * _BEFORE_MM) / along,
        )
        for f in frames
    )
    do = "Take a larger frame"
    if shrink > 0:
        do += f", or print at most {math.floor(job.artwork.width_mm * shrink)} mm wide"
    yield Finding(
        severity="will fail",
        kind="no frame holds the print",
        size_mm=across,
        what=f"The print needs a frame of {wide:.0f} × {high:.0f} mm inside; the largest in stock,"
        f" {largest.name}, has {largest.inside_width_mm:.0f} × {largest.inside_height_mm:.0f} mm.",
        why="The squeegee needs room beside the print, and the stroke before and after it.",
        do=f"{do}.",
    )


def _too_wide(job: Job, film: Film, marks: tuple[Mark, ...]) -> Finding:
    sheet, width = film.sheet, job.shop.film.width_mm
    most = largest_print_width(job, film)
    ways = []
    if most > 0:
        ways.append(f'print at most {most:.0f} mm wide (--width "{most:.0f} mm")')
    alone = film_of(job, ()) if marks else None
    if alone is not None and fits(job, alone):
        ways.append("cut no marks (without them it fits)")
    ways.append("take wider film")
    ways.append("set a smaller film.margin and tape the rest of the mesh")
    return Finding(
        severity="will fail",
        kind="film sheet wider than the film",
        size_mm=sheet.across_mm,
        what=f"The sheet with {film.margin_mm:g} mm of film around the print is "
        f"{sheet.width_mm:.0f} × {sheet.height_mm:.0f} mm; the film is {width:g} mm wide.",
        why="It doesn't fit across the film, turned or not."
        if most > 0
        else "Two margins alone leave no room across the film, so no print would fit.",
        do=_sentence(ways),
    )


def _sentence(ways: list[str]) -> str:
    text = f"{', '.join(ways[:-1])}, or {ways[-1]}."
    return text[0].upper() + text[1:]


def _crossing(job: Job, marks: tuple[Mark, ...]) -> Iterator[Finding]:
    for mark in marks:
        for screen in job.screens:
            shared = shapely.intersection(mark.region, screen.region)
            if shared.area > _LEAST_AREA_MM2:
                at = shared.representative_point()
                yield Finding(
                    severity="will fail",
                    kind="mark across the print",
                    screen=screen.key,
                    at_mm=(at.x, at.y),
                    what=f"Mark {mark.name} lies across openings of the print.",
                    why="Its outline cuts through them, and it can't be covered without covering "
                    "the print.",
                    do="Move the mark, or leave its plugin out.",
                )
