"""What the sheet says about frames, squeegees and off-contact."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from prep.garments import style_of
from prep.job import Ask, Job
from prep.phrases import at_least, at_most, length, several
from prep.screens import Screen
from prep.sections import Caution, Figures, Paragraph, Section
from prep_squeegee.choosing import (
    FLEECE_ADDS_MM,
    Hung,
    blade_of,
    hardness,
    hung_of,
    limits_of,
    of_fleece,
    off_contact,
    own_on,
    wells_of,
)
from prep_squeegee.room import FrameSize, stretch_mm
from prep_squeegee.settings import Squeegee
from prep_squeegee.why import WIDE_ENOUGH, why_section
from prep_squeegee.words import fine, size_at_least, size_at_most

_CAUTION = (
    "A raised screen that falls crushes fingers: prop or clamp it before reaching under it. Stretched mesh"
    " can tear with force: eye protection at the frame."
)


def sections_of(job: Job, ask: Ask) -> Iterator[Section]:
    """Give the frames' line on the job page and the figures of each screen."""
    films = hung_of(job, ask)
    if not films:
        return
    yield Section("job", "Frames", (Paragraph(_hang(job, films)), Caution(_CAUTION)), rank=32)
    for film in films:
        for screen in film.screens:
            rows = tuple(_rows(job, film, screen))
            yield Section(
                "screen", "Frame and squeegee", (Figures(rows),), rank=32, screen=screen.key
            )
    yield why_section(job, ask)


def _hang(job: Job, films: tuple[Hung, ...]) -> str:
    units = job.shop.units
    if not job.shop.frame:
        width, height = (max(film.whole_mm[side] for film in films) for side in (0, 1))
        return (
            "The shop's settings state no frames. Inside, each must have"
            f" {size_at_least(width, height, units)} or more for film, squeegee and ink."
        )
    held = job.shop.press.holds
    at_once = min(held or len(films), len(films))
    used = Counter(film.frame.name for film in films[:at_once] if film.frame is not None)
    what = several(f"{count} × {name}" for name, count in used.items()) or "none that would do"
    films_hang = "One film hangs" if at_once == 1 else f"{at_once} films hang"
    turns = "" if at_once == len(films) else f", of {len(films)} in all, printed in turns"
    return f"{films_hang} at a time{turns}. Frames for these: {what}. {_rests(job)}{_narrow(job, films)}"


def _rests(job: Job) -> str:
    """Say what the widths around a print rest on, once for all screens."""
    units, limits, chosen = job.shop.units, limits_of(job), job.settings(Squeegee)
    return (
        f"Each holds the film, the squeegee with {at_most(limits.to_frame_mm, units)} on each side, and ink"
        " above and below the print, all common practice without a source, like the blades' hardness. A"
        f" squeegee reaches {fine(chosen.overhang_mm, units).rpartition(' ')[0]} to"
        f" {fine(chosen.good_overhang_mm, units)} beyond the print on each side, as two suppliers advise."
    )


def _rows(job: Job, film: Hung, screen: Screen) -> Iterator[tuple[str, str, str]]:
    units, frame = job.shop.units, film.frame
    needs = f"needs {size_at_least(*film.whole_mm, units)} inside"
    if frame is None:
        none = "none in stock will do" if job.shop.frame else "none stated"
        yield "Frame", none, needs
    else:
        inside = size_at_most(frame.width_mm, frame.height_mm, units)
        yield "Frame", f"{frame.name}, {inside}", needs
        yield "Ink above, below", *_wells(job, film, screen, frame.height_mm)
    yield "Squeegee", *_squeegee(job, film, screen)
    (low, high), why = hardness(job, screen)
    yield (
        "Hardness",
        f"{low} shore A" if low == high else f"{low}-{high} shore A",
        why,
    )
    height, rests = off_contact(job)
    yield (
        "Off-contact",
        fine(height, units),
        f"above the fabric; {rests}{_stretch(height, frame, units)}{_fleece(job)}",
    )


def _stretch(height_mm: float, frame: FrameSize | None, units: str) -> str:
    """Say how much longer the print gets by it, where that is worth knowing for lining up."""
    if frame is None:
        return ""
    longer = stretch_mm(height_mm, frame.height_mm)
    return f"; stretches the mesh by {length(longer, units)}" if longer >= 0.01 else ""


def _narrow(job: Job, films: tuple[Hung, ...]) -> str:
    """Say once where frames are narrower than advised for their squeegees."""
    wanted = [
        WIDE_ENOUGH * blade
        for film in films
        for screen in film.screens
        if film.frame is not None
        and (blade := blade_of(job, film, screen)) is not None
        and film.frame.width_mm < WIDE_ENOUGH * blade - 1e-6
    ]
    if not wanted:
        return ""
    return (
        f" {at_least(max(wanted), job.shop.units)} inside, 1.5 times the squeegee, is advised (a trade"
        " association): in narrower frames the mesh gives less, so look at the print's sides."
    )


def _squeegee(job: Job, film: Hung, screen: Screen) -> tuple[str, str]:
    """Give the squeegee's length, and how it lies over the print."""
    units, chosen = job.shop.units, job.settings(Squeegee)
    blade, own = blade_of(job, film, screen), own_on(film, screen)
    wide = film.path.width_mm if own is None else own.width_mm
    if blade is None:
        least = at_least(wide + 2.0 * chosen.overhang_mm, units)
        of = "print and targets" if own is None else "its openings"
        return "none will do", f"{at_least(wide, units)} of {of} take {least} or more"
    over = (blade - wide) / 2.0
    if own is None:
        return at_most(blade, units), f"{at_most(over, units)} beyond the print on each side"
    left, _, right, _ = own.room_mm
    kept = " and ".join(
        f"{at_most(room, units)} on the {side}"
        for room, side in ((left, "left"), (right, "right"))
        if room < math.inf
    )
    lane = f", at most {kept}: half the lane to the other ink" if kept else ""
    if over > min(left, right) + 1e-6:
        longer = f"{at_most(blade - wide, units)} longer than its own openings, not in their middle"
        return at_most(blade, units), f"{longer}{lane}"
    return at_most(blade, units), f"{at_most(over, units)} beyond its own openings{lane}"


def _wells(job: Job, film: Hung, screen: Screen, inside_mm: float) -> tuple[str, str]:
    """Give the room for ink above and below, and what of it is little."""
    units, chosen = job.shop.units, job.settings(Squeegee)
    own = own_on(film, screen)
    above, below = wells_of(film, screen, inside_mm)
    said = (
        f"{at_most(chosen.good_well_mm, units)} advised: little ink at a time, and mind both ends"
    )
    if own is not None and min(own.room_mm[1], own.room_mm[3]) < math.inf:
        said = (
            "a short stroke: its ink stands between the inks of this film, half the lane for each"
        )
        return f"{at_most(above, units)}, {at_most(below, units)}", said
    short = min(above, below) < chosen.good_well_mm
    return f"{at_most(above, units)}, {at_most(below, units)}", said if short else ""


def _fleece(job: Job) -> str:
    if not of_fleece(job):
        return ""
    low, high = (fine(mm, job.shop.units) for mm in FLEECE_ADDS_MM)
    mixed = any(style_of(batch) == "tee" for batch in job.setup.batches)
    when = "Between tees and fleece, change it" if mixed else "Set it with a garment on the platen"
    return f". {when}: fleece is {low.rpartition(' ')[0]} to {high} thicker"
