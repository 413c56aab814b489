"""What the sheet says about the films."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from prep.job import Job
from prep.screens import Mark
from prep.sections import Caution, CheckList, Drawing, Figures, Paragraph, Section, Table
from prep_stencils.drawings import facing_picture, film_picture
from prep_stencils.film import Cut, Film, Pieces, film_of, pieces_of
from prep_stencils.outlines import open_rings, ring_lengths

_BLADES = (
    "Keep hands out of the running cutter. Point hook and knife away from the other hand; used blades go "
    "into a closed box."
)
_CHEMICALS = (
    "Degreaser, filler, adhesive: gloves, fresh air, the supplier's safety data sheet. Air above some "
    "40 °C lifts film and can give off fumes."
)


def sections_of(job: Job, marks: tuple[Mark, ...]) -> Iterator[Section]:
    """Give the films' table on the job page and a section for each screen."""
    film = film_of(job, marks)
    if film is None:
        return
    pieces = [pieces_of(cut, film.marks) for cut in film.cuts]
    lengths = [_cut_length(film, cut) for cut in film.cuts]
    yield _overview(job, film, pieces, lengths)
    for cut, counted, length in zip(film.cuts, pieces, lengths, strict=True):
        first, *others = cut.screens
        shared = () if not others else (Paragraph(_shared(cut)),)
        yield Section(
            "screen",
            "Film",
            (
                *shared,
                Drawing(film_picture(film, cut), _caption(job, film)),
                Figures(_figures(job, film, cut.stem, counted, length)),
                Caution(_BLADES),
                CheckList(_cutting(job, film, cut.stem, counted)),
                Caution(_CHEMICALS),
                CheckList(_laying(job, counted)),
            ),
            rank=45,
            screen=first.key,
        )
        for screen in others:
            text = f"No film of its own: {_shared(cut)} It is cut with screen {first.number}."
            yield Section("screen", "Film", (Paragraph(text),), rank=45, screen=screen.key)


def _shared(cut: Cut) -> str:
    """Say that several screens are printed through one film, and how."""
    regions = {shapely.to_wkb(screen.region) for screen in cut.screens}
    how = (
        "one after another, the frame left where it is"
        if len(regions) == 1
        else "side by side, each ink under a squeegee of its own or the other part taped off"
    )
    return f"One film serves {cut.numbers}: {how}."


def _cut_length(film: Film, cut: Cut) -> float:
    rings = [*open_rings(cut.region), *open_rings(film.marks), film.sheet.edge()]
    return float(ring_lengths(rings).sum())


def _overview(job: Job, film: Film, pieces: list[Pieces], lengths: list[float]) -> Section:
    settings, units = job.shop.film, job.shop.units
    rows = tuple(
        (
            cut.numbers.partition(" ")[2],
            cut.ink,
            f"{cut.stem}.svg, .dxf",
            str(counted.weeded),
            str(counted.islands),
            long_text(length, units),
        )
        for cut, counted, length in zip(film.cuts, pieces, lengths, strict=True)
    )
    turn = ", print turned a quarter clockwise" if film.sheet.turned else ""
    beside = "Every film of this job has the same size and lies the same way." if rows[1:] else ""
    return Section(
        "job",
        "Film",
        (
            Table(
                ("", "ink", "file in stencils/", "weed", "islands", "cut"),
                rows,
                "rllrrr",
                caption=f"Each sheet {_size(film, units)}{turn}; {settings.name} "
                f"{short_text(settings.width_mm, units)} wide; {long_text(film.length_mm, units)} of "
                f"it off the roll. {beside}".strip(),
            ),
            Paragraph(_why_facing(job, film)),
            Drawing(
                facing_picture(settings.side, settings.cut_face_up, film.sheet.mirrored),
                scale=0.75,
            ),
        ),
        rank=20,
    )


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


def _caption(job: Job, film: Film) -> str:
    up = "face up" if job.shop.film.cut_face_up else "face down"
    return f"The film {up} in the cutter, {film.facing}; grey stays, white is weeded."


def _figures(
    job: Job, film: Film, stem: str, counted: Pieces, length_mm: float
) -> tuple[tuple[str, str, str], ...]:
    units = job.shop.units
    smallest = (
        "none"
        if counted.smallest_island_mm2 is None
        else f"{counted.islands}, the smallest {_area(counted.smallest_island_mm2, units)}"
    )
    return (
        ("Cut file", stem, f"SVG and DXF, {film.facing}, true size"),
        (
            "Sheet",
            _size(film, units),
            f"{short_text(film.margin_mm, units)} of film around openings and marks",
        ),
        ("Cut length", long_text(length_mm, units), "openings, marks and the sheet's edge"),
        ("Pieces to weed", str(counted.weeded), "" if film.marks.is_empty else "marks included"),
        ("Islands to place", smallest, ""),
    )


def _cutting(job: Job, film: Film, stem: str, counted: Pieces) -> tuple[str, ...]:
    settings, units = job.shop.film, job.shop.units
    up = "face up, liner below" if settings.cut_face_up else "face down, liner up"
    plugs = " Keep the marks' plugs on a scrap of liner." if not film.marks.is_empty else ""
    return (
        f"Load the film {up}, straight. Cut {stem} at 100 %.",
        f"Measure the cut sheet: {_size(film, units)}. If it differs, stop: the scale is wrong.",
        f"Weed {_many(counted.weeded, 'piece')}; compare with the picture.{plugs}",
    )


def _laying(job: Job, counted: Pieces) -> tuple[str, ...]:
    settings, inside = job.shop.film, job.shop.film.side == "shirt"
    tape = "" if settings.cut_face_up else "Turn the film over, face up. "
    tape += "Lay low-tack tape flat over the face, rub it on, and lift film and tape off the liner"
    tape += f": {_many(counted.islands, 'island')} must come along." if counted.islands else "."
    burnish = "from inside, the film" if inside else "over the tape, the mesh"
    islands = f"Count {_many(counted.islands, 'island')}; press" if counted.islands else "Press"
    return (
        "Degrease the mesh, rinse, and let it dry fully.",
        tape,
        f"Lay the adhesive to the mesh on the {settings.side} side: notches to the frame's centre lines, "
        "the snipped corner at the upper right seen from the squeegee side.",
        f"Burnish {burnish} on a flat support, from the middle outwards.",
        f"Peel the tape slowly, flat back on itself. {islands} down what lifts, and peel again.",
        "Let it rest as long as the film's supplier says, before anything wet touches it.",
        "Tape bare mesh and the film's edge to the frame, on both sides.",
        "Fill pinholes by brush, and let the filler dry.",
        "Hold the screen to the light: from the squeegee side it reads right, and nothing more and "
        "nothing less is open than in the picture of what it prints.",
    )


def _many(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _size(film: Film, units: str) -> str:
    sheet = film.sheet
    if units == "inch":
        return f"{sheet.across_mm / 25.4:.2f} × {sheet.along_mm / 25.4:.2f} in"
    return f"{sheet.across_mm:.0f} × {sheet.along_mm:.0f} mm"


def short_text(length_mm: float, units: str) -> str:
    """Write a length of a hand or so: whole millimetres where they are whole, or 0.01 in."""
    return f"{length_mm / 25.4:.2f} in" if units == "inch" else f"{length_mm:.4g} mm"


def long_text(length_mm: float, units: str) -> str:
    """Write a length of an arm or more."""
    return f"{length_mm / 304.8:.1f} ft" if units == "inch" else f"{length_mm / 1000.0:.2f} m"


def _area(area_mm2: float, units: str) -> str:
    if units == "inch":
        if area_mm2 < 0.05:
            return "under 0.0001 in²"
        return f"{area_mm2 / 645.16:.2f} in²" if area_mm2 >= 32 else f"{area_mm2 / 645.16:.4f} in²"
    if area_mm2 >= 1000:
        return f"{area_mm2 / 100:.0f} cm²"
    if area_mm2 < 0.05:
        return "under 0.1 mm²"
    return f"{area_mm2:.0f} mm²" if area_mm2 >= 10 else f"{area_mm2:.1f} mm²"
