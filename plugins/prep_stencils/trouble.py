"""What can go wrong with the films as a whole."""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely

from prep.findings import Finding
from prep.job import Ask, Job
from prep.phrases import at_most
from prep.screens import Mark
from prep_stencils.film import Cut, Film, film_of, largest_print_width, margin_that_fits, sharp_in
from prep_stencils.holding import Wear
from prep_stencils.life import lasting, run_of
from prep_stencils.settings import Stencils
from prep_stencils.texts import short_text, size_text

TOO_LARGE = "film sheet larger than the film"
"""Kind of the finding for a film that isn't cut."""
_LEAST_AREA_MM2 = 1e-6
_LEAST_PRINT_MM = 20.0
"""No narrower print is proposed. Our choice."""


def findings_of(job: Job, marks: tuple[Mark, ...], ask: Ask) -> Iterator[Finding]:
    """Say where a film doesn't fit, lies on the risky side, wears out, or can't be cut as drawn."""
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
    if not film.fits:
        yield _too_wide(job, film, marks)
    if film.parted:
        yield _in_strips(job, film)
    yield from _crossing(job, marks)
    yield from _sharp(job, film)
    yield from _worn(job, film, ask)


_PLACES = 200
"""Sharp corners that are told with their places; the others are counted."""


def _in_strips(job: Job, film: Film) -> Finding:
    chosen, units = job.settings(Stencils), job.shop.units
    most = max(len(cut.parts) for cut in film.cuts)
    named = [f"{cut.numbers} in {len(cut.parts)} strips" for cut in film.cuts if len(cut.parts) > 1]
    return Finding(
        severity="at risk",
        kind="film in strips",
        size_mm=film.sheet.across_mm,
        what=(
            f"The sheet of {size_text(film.sheet.width_mm, film.sheet.height_mm, units)} is wider than"
            f" the film: {'; '.join(named)}, which overlap by"
            f" {short_text(chosen.seam_overlap_mm, units)}."
        ),
        why="Strips must be laid to each other as exactly as colours, and ink can creep into the step of"
        " the overlap.",
        do=(
            "Lay the notches of both strips over each other, press the overlap down well, and tape it on"
            " the squeegee side; or take film that is wide enough for one sheet."
            f"{_smaller(job, film)}"
        ),
        count=most - 1,
    )


def _smaller(job: Job, film: Film) -> str:
    most = largest_print_width(job, film)
    if most < _LEAST_PRINT_MM:
        return ""
    return f" Whole, it would fit up to a print {at_most(most, job.shop.units)} wide."


def _sharp(job: Job, film: Film) -> Iterator[Finding]:
    """List corners that the blade can't turn."""
    chosen = job.settings(Stencils)
    for cut in film.cuts:
        found = sharp_in(cut.region, chosen.blade_offset_mm, chosen.sharpest_corner_deg)
        if not len(found):
            continue
        places = [(float(x), float(y)) for x, y in found.at[:_PLACES]]
        corners = "1 corner is" if len(found) == 1 else f"{len(found)} corners are"
        yield Finding(
            severity="note",
            kind="corner sharper than the blade turns",
            screen=cut.screens[0].key,
            colour=cut.screens[0].colour,
            at_mm=places[0],
            also_at_mm=tuple(places[1:]),
            count=len(found),
            what=(
                f"{cut.ink}: {corners} sharper than {chosen.sharpest_corner_deg:g}°, the sharpest"
                f" {found.angle_deg[0]:.0f}°."
            ),
            why=(
                f"A blade whose tip trails by {short_text(chosen.blade_offset_mm, job.shop.units)} drags"
                " the film there, and the point tears or stays uncut."
            ),
            do=(
                "Look at these points when weeding and cut them free by hand; or cut slower there, draw"
                " them blunter, or set sharpest_corner under [stencils] to what your blade turns."
            ),
        )


def _worn(job: Job, film: Film, ask: Ask) -> Iterator[Finding]:
    """Say where one stencil doesn't last the run."""
    run = run_of(job, ask)
    for cut in film.cuts:
        held = lasting(job, cut, run)
        if held.wear.stencils < 2:
            continue
        yield _wears_out(job, cut, held.wear)


def _wears_out(job: Job, cut: Cut, wear: Wear) -> Finding:
    adhesive = job.shop.film.adhesive
    return Finding(
        severity="at risk",
        kind="stencil wears out",
        screen=cut.screens[0].key,
        colour=cut.screens[0].colour,
        what=(
            f"{cut.ink}: {wear.strokes} strokes and some {wear.wet_s / 3600:.1f} h wet; with"
            f" {adhesive} adhesive a stencil is reckoned to last {wear.lasts_strokes} strokes and"
            f" {wear.lasts_s / 3600:.1f} h."
        ),
        why="Wet ink creeps under the film from its edges; islands come off first, and none is replaced in"
        " the middle of a run without a stop.",
        do=(
            f"Cut {wear.stencils} stencils of this film before you begin"
            + (", take film with wet-proof adhesive" if adhesive == "removable" else "")
            + ", or set holds and holds_pulls under [stencils] to what your film has lasted."
        ),
        count=wear.stencils - 1,
    )


def _too_wide(job: Job, film: Film, marks: tuple[Mark, ...]) -> Finding:
    sheet, units = film.sheet, job.shop.units
    length = job.settings(Stencils).sheet_length_mm
    most = largest_print_width(job, film)
    ways = []
    if most >= _LEAST_PRINT_MM:
        typed = at_most(most, units)
        ways.append(f'print at most {typed} wide (--width "{typed}")')
    alone = film_of(job, ()) if marks else None
    if alone is not None and alone.fits:
        ways.append("cut no marks (registration.cut = false; without them it fits)")
    ways.append("take wider film" if length is None else "take larger film")
    margin = margin_that_fits(sheet, job.shop.film.width_mm, math.inf if length is None else length)
    if margin > 0:
        ways.append(f'set film.margin to "{margin:.0f} mm" and tape the rest of the mesh')
    has = f"{short_text(job.shop.film.width_mm, units)} wide"
    if length is not None:
        has += f" and {short_text(length, units)} long"
    if most > 0:
        why = (
            "It doesn't fit the film, turned or not, and can't be parted by straight seams through solid"
            " film into few strips, so no file is made for it."
            if margin == 0.0
            else "It doesn't fit the film with that margin, turned or not, so no file is made for it."
        )
    else:
        why = "Two margins alone leave no room on the film, so no print would fit and no file is made."
    return Finding(
        severity="will fail",
        kind=TOO_LARGE,
        size_mm=sheet.across_mm,
        what=(
            f"The sheet with {short_text(film.margin_mm, units)} of film around the print is"
            f" {size_text(sheet.width_mm, sheet.height_mm, units)}; the film is {has}."
        ),
        why=why,
        do=_sentence(ways),
        fits_up_to_mm=most if most >= _LEAST_PRINT_MM else None,
    )


def _sentence(ways: list[str]) -> str:
    *others, last = ways
    text = f"{', '.join(others)}, or {last}." if others else f"{last}."
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
