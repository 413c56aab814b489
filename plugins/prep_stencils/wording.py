"""What the sheet says about the films."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from prep.job import Ask, Job
from prep.phrases import several, temperatures
from prep.pictures import Picture
from prep.screens import Mark
from prep.sections import (
    Block,
    Caution,
    CheckList,
    Column,
    Drawing,
    Figures,
    Paragraph,
    Section,
    Table,
)
from prep_stencils.drawings import (
    Written,
    facing_picture,
    film_picture,
    islands_picture,
    packing_picture,
    strips_picture,
)
from prep_stencils.film import Cut, Film, Part, film_of
from prep_stencils.life import Lasting, run_of
from prep_stencils.settings import Stencils
from prep_stencils.texts import area_text, long_text, many, minutes_text, short_text, size_text
from prep_stencils.told import Told
from prep_stencils.why import why_section

_BLADES = (
    "Keep hands out of the running cutter. Point hook and knife away from the other hand; used blades go "
    "into a closed box."
)
_ROLL_HIGH_MM, _ROLL_WIDE_MM = 26.0, 120.0
_CHEMICALS = (
    "Degreaser, filler, adhesive: gloves, fresh air, the supplier's safety data sheet. Air above some "
    "40 °C lifts film and can give off fumes."
)


def sections_of(job: Job, marks: tuple[Mark, ...], ask: Ask) -> Iterator[Section]:
    """Give the films' table on the job page and a section for each screen."""
    film = film_of(job, marks)
    if film is None:
        return
    run = run_of(job, ask)
    films = [Told.of(job, cut, run) for cut in film.cuts]
    yield _overview(job, film, films)
    for told in films:
        cut = told.cut
        first, *others = cut.screens
        shared = () if not others else (Paragraph(_shared(cut)),)
        if not cut.parts:
            text = "No file is made for it: its sheet is larger than the film. See what to look out for."
            yield Section("screen", "Film", (*shared, Paragraph(text)), rank=45, screen=first.key)
        else:
            yield Section(
                "screen",
                "Film",
                (
                    *shared,
                    *_pictures(job, film, told),
                    Figures(_figures(job, film, told)),
                    Caution(_BLADES),
                    CheckList(_cutting(job, film, told)),
                    Caution(temperatures(_CHEMICALS, job.shop.units)),
                    CheckList(_laying(job, told)),
                ),
                rank=45,
                screen=first.key,
            )
        for screen in others:
            text = f"No film of its own: {_shared(cut)} It is cut with screen {first.number}."
            yield Section("screen", "Film", (Paragraph(text),), rank=45, screen=screen.key)
    if film.parts:
        yield why_section(job, film, films, run)


def _shared(cut: Cut) -> str:
    """Say that several screens are printed through one film, and how."""
    regions = {shapely.to_wkb(screen.region) for screen in cut.screens}
    how = (
        "one after another, the frame left where it is"
        if len(regions) == 1
        else "side by side, each ink under a squeegee of its own or the other part taped off"
    )
    return f"One film serves {cut.numbers}: {how}."


def _overview(job: Job, film: Film, films: list[Told]) -> Section:
    settings, chosen, units = job.shop.film, job.settings(Stencils), job.shop.units
    rows = tuple(
        (
            told.cut.numbers.partition(" ")[2] + part.label[len(str(told.cut.screens[0].number)) :],
            told.cut.ink,
            part.stem,
            str(part.weeding.pieces + len(part.marks.geoms)),
            str(told.pieces.islands) if part is told.cut.parts[0] else "",
            long_text(told.cut_mm, units) if part is told.cut.parts[0] else "",
        )
        for told in films
        for part in told.cut.parts
    )
    if not rows:
        return Section(
            "job", "Film", (Paragraph("No film is cut: none fits. See what to look out for."),), 20
        )
    caption = (
        f"Each film {size_text(film.sheet.width_mm, film.sheet.height_mm, units)} as it lies on the mesh"
        f"{', cut a quarter turned' if film.parts[0].sheet.turned else ''}; as SVG, DXF and true-size"
        f" PDF in stencils/, with a test square for the cutter. {_off_the_film(job, film)}"
    )
    picture = packing_picture(film, settings.width_mm, chosen.sheet_length_mm)
    return Section(
        "job",
        "Film",
        (
            Table(
                ("", "ink", "file in stencils/", "weed", "islands", "cut"),
                rows,
                "rllrrr",
                caption=caption,
            ),
            Paragraph(_why_facing(job, film)),
            Drawing(
                facing_picture(settings.side, settings.cut_face_up, film.sheet.mirrored),
                scale=0.75,
            ),
            *(
                ()
                if picture is None
                else (Drawing(picture, _packing_words(film), _small(picture)),)
            ),
        ),
        rank=21,
        columns=(Column("Film", tuple(_sizes(job, films)), 40),),
    )


def _sizes(job: Job, films: list[Told]) -> Iterator[tuple[str, str]]:
    """Give the size of each screen's film, or the screen it shares one with."""
    units = job.shop.units
    for told in films:
        first, *others = told.cut.screens
        parts = told.cut.parts
        said = several(
            size_text(part.sheet.across_mm, part.sheet.along_mm, units) for part in parts
        )
        yield first.key, said or "none fits"
        for screen in others:
            yield screen.key, f"with screen {first.number}"


def _small(picture: Picture) -> float:
    """Give the scale at which a picture of the roll takes little room on the page."""
    return min(_ROLL_HIGH_MM / picture.height_mm, _ROLL_WIDE_MM / picture.width_mm)


def _off_the_film(job: Job, film: Film) -> str:
    settings, chosen, units = job.shop.film, job.settings(Stencils), job.shop.units
    packing = film.packing
    if packing is None:
        return ""
    wide = f"{settings.name} {short_text(settings.width_mm, units)} wide"
    waste = f"{100 * packing.waste:.0f} % of it is left over"
    if chosen.sheet_length_mm is None:
        return f"{long_text(packing.length_mm, units)} off the roll, {wide}; {waste}."
    sheets = many(packing.sheets, "sheet")
    return f"{sheets} of {wide} and {short_text(chosen.sheet_length_mm, units)} long; {waste}."


def _packing_words(film: Film) -> str:
    alike = "All lie the same way, so that what film and cutter stretch, they stretch alike."
    return f"The films on the roll or sheet, by screen. {alike}" if film.packing else ""


def _pictures(job: Job, film: Film, told: Told) -> Iterator[Block]:
    """Give the film as it is cut, its islands numbered as they are placed.

    Film cut face up lies in the cutter as it is seen while it is laid on; else, and for strips, the
    islands have a picture of their own.
    """
    held, cut, side = told.lasting, told.cut, job.shop.film.side
    weak = sum(held.weak)
    if job.shop.film.cut_face_up and len(cut.parts) == 1:
        (part,) = cut.parts
        picture, written = film_picture(film, cut, part, held.islands, held.weak)
        yield Drawing(
            picture, f"{_caption(job, film, cut, part)}{_islands_words(held, weak, written)}"
        )
        return
    first = cut.parts[0]
    if len(cut.parts) > 1:
        yield Drawing(strips_picture(film, cut), _caption(job, film, cut, first))
    else:
        yield Drawing(film_picture(film, cut, first)[0], _caption(job, film, cut, first))
    if held.islands:
        picture, written = islands_picture(cut, held.islands, held.weak, side)
        yield Drawing(picture, f"Seen from the {side} side.{_islands_words(held, weak, written)}")


_ORDINAL = {2: "second", 5: "fifth", 10: "tenth"}


def _islands_words(held: Lasting, weak: int, written: Written) -> str:
    if not held.islands:
        return ""
    ringed = f"; {weak} ringed may come off" if weak else ""
    if written.every > 1:
        which = _ORDINAL.get(written.every, f"{written.every}th")
        ringed += f"; they lie close: every {which} has a dot and its number, count on between"
    none = f"; no room for {many(written.bare, 'number')}" if written.bare else ""
    return f" Islands are numbered as they are placed{ringed}{none}."


def _why_facing(job: Job, film: Film) -> str:
    settings = job.shop.film
    seen = "its adhesive" if settings.side == "shirt" else "its bare face"
    sees = "the bare face" if settings.cut_face_up else "the adhesive side"
    same = "the other side" if film.sheet.mirrored else "the same side"
    how = "mirrored" if film.sheet.mirrored else "not mirrored: it reads right"
    return (
        f"The film goes on the {settings.side} side, adhesive against the mesh. From the squeegee side one "
        f"sees {seen}, and there the image must read right. The cutter sees {sees}, {same}: the cut files "
        f"are {how}."
    )


def _caption(job: Job, film: Film, cut: Cut, part: Part) -> str:
    up = "face up" if job.shop.film.cut_face_up else "face down"
    lined = any(len(one.weeding.lines) for one in cut.parts)
    lines = ", dashed: weeding lines" if lined else ""
    lead = ""
    if len(cut.parts) > 1:
        lead = (
            f"Strips are counted from the {'top' if part.sheet.turned else 'left'} of the print. "
        )
    return f"{lead}The film {up} in the cutter, {film.facing}; grey stays, white is weeded{lines}."


def _figures(job: Job, film: Film, told: Told) -> tuple[tuple[str, str, str], ...]:
    units, pieces = job.shop.units, told.pieces
    smallest = (
        "none"
        if pieces.smallest_island_mm2 is None
        else f"{pieces.islands}, the smallest {area_text(pieces.smallest_island_mm2, units)}"
    )
    times = told.times
    parts = told.cut.parts
    sizes = several(size_text(part.sheet.across_mm, part.sheet.along_mm, units) for part in parts)
    files = parts[0].stem if len(parts) == 1 else f"{parts[0].stem} and {len(parts) - 1} more"
    worn = told.lasting.wear
    rows = [
        ("Cut file", files, f"SVG, DXF, PDF; {film.facing}, true size"),
        ("Cut to", sizes, f"margin {short_text(film.margin_mm, units)}"),
        ("Cut length", long_text(told.cut_mm, units), "all outlines and weeding lines"),
        ("Pieces to weed", str(pieces.weeded), "marks included" if len(film.marks.geoms) else ""),
        ("Islands to place", smallest, ""),
    ]
    if told.sharp:
        limit = f"under {job.settings(Stencils).sharpest_corner_deg:g}°; cut free by hand"
        rows.append(("Sharp corners", str(told.sharp), limit))
    if worn.stencils > 1:
        rows.append(("Stencils", str(worn.stencils), "one doesn't last the run"))
    total = (times.cut, times.weed, times.place)
    said = ", ".join(
        f"{name} {minutes_text(each.low, each.high)}"
        for name, each in zip(("cut", "weed", "islands"), total, strict=True)
        if each.value > 0.0
    )
    rows.append(("Time", said, "guesses, 8 times out of 10"))
    return tuple(rows)


def _cutting(job: Job, film: Film, told: Told) -> tuple[str, ...]:
    settings, units = job.shop.film, job.shop.units
    up = "face up, liner below" if settings.cut_face_up else "face down, liner up"
    plugs = " Keep the marks' plugs on a scrap of liner." if len(film.marks.geoms) else ""
    lines = any(len(part.weeding.lines) for part in told.cut.parts)
    weed = "Weed along the dashed lines, from a corner, flat back: " if lines else "Weed "
    made = [
        f"Load the film {up}, straight. Cut {part.stem} at 100 %. Measure what is cut:"
        f" {size_text(part.sheet.across_mm, part.sheet.along_mm, units)}; if it differs, stop: the scale is"
        " wrong, or the film stretches (test square)."
        for part in told.cut.parts
    ]
    weak = sum(told.lasting.weak)
    spare = (
        (
            f"Cut the spares of the {many(weak, 'ringed island')} from a scrap (the file with spares in"
            " its name), and keep them on their liner beside the press.",
        )
        if told.lasting.spared
        else ()
    )
    return (
        *made,
        f"{weed}{many(told.pieces.weeded, 'piece')}; compare with the picture.{plugs}",
        *spare,
    )


def _without_corner(told: Told) -> str:
    if len(told.cut.parts) < 2:
        return ""
    return "; a strip without it has a notch more, near its upper right"


def _laying(job: Job, told: Told) -> tuple[str, ...]:
    settings, inside = job.shop.film, job.shop.film.side == "shirt"
    islands = told.pieces.islands
    tape = "" if settings.cut_face_up else "Turn the film over, face up. "
    tape += "Lay low-tack tape flat over the face, rub it on, and lift film and tape off the liner"
    tape += f": {many(islands, 'island')} must come along." if islands else "."
    burnish = "from inside, the film" if inside else "over the tape, the mesh"
    counted = "Press"
    if islands:
        counted = (
            f"Count {many(islands, 'island')} against the picture, in its order, and set each that stayed"
            " behind back in its place; press"
        )
    strips = (
        (
            "Lay the further strips the same way: the notches at the overlap on those of the strip that"
            " lies there, solid film on solid film. Press the overlap down.",
        )
        if len(told.cut.parts) > 1
        else ()
    )
    return (
        "Degrease the mesh, rinse, and let it dry fully.",
        tape,
        f"Lay the adhesive to the mesh on the {settings.side} side: notches to the frame's centre lines, "
        f"the snipped corner at the upper right seen from the squeegee side{_without_corner(told)}.",
        f"Burnish {burnish} on a flat support, from the middle outwards.",
        f"Peel the tape slowly, flat back on itself. {counted} down what lifts, and peel again.",
        *strips,
        "Let it rest as long as the film's supplier says, before anything wet touches it.",
        "Tape bare mesh and the film's edge to the frame, on both sides.",
        "Fill pinholes by brush, and let the filler dry.",
        "Hold the screen to the light: from the squeegee side it reads right, and nothing more and "
        "nothing less is open than in the picture of what it prints.",
    )
