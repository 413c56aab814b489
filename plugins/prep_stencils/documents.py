"""The cut files of a job, each read back before it is handed over."""

from __future__ import annotations

from collections.abc import Iterator

from prep.errors import OurFault
from prep.job import Job, Report
from prep.sections import Document
from prep_stencils.dxffile import layer_name, read_dxf, write_dxf
from prep_stencils.film import Cut, Film, film_of
from prep_stencils.outlines import layer, open_rings
from prep_stencils.proof import disagreements
from prep_stencils.sheet import Points
from prep_stencils.svgfile import read_svg, write_svg

FOLDER = "stencils"


def documents_of(report: Report) -> Iterator[Document]:
    """Give one SVG and one DXF for each film.

    :raises OurFault: a file read back isn't what is printed through it
    """
    job = report.job
    film = film_of(job, report.marks)
    if film is None:
        return
    edge = [film.sheet.edge()]
    marks = open_rings(film.marks)
    for cut in film.cuts:
        wanted = [("openings", open_rings(cut.region)), ("marks", marks), ("sheet-edge", edge)]
        yield from _files(job, film, cut, f"{FOLDER}/{cut.stem}", wanted)


def _files(
    job: Job, film: Film, cut: Cut, name: str, wanted: list[tuple[str, list[Points]]]
) -> Iterator[Document]:
    sheet = film.sheet
    layers = [layer(purpose, rings, sheet) for purpose, rings in wanted]
    title, about = title_of(job, film, cut), about_of(job, film)
    size = {"across_mm": sheet.across_mm, "along_mm": sheet.along_mm}

    svg = write_svg(layers, title=title, about=about, **size)
    _prove(f"{name}.svg", disagreements(wanted, *read_svg(svg), sheet))
    yield Document(f"{name}.svg", svg)

    dxf = write_dxf(layers, title=title, about=about, **size)
    in_dxf = [(layer_name(purpose), rings) for purpose, rings in wanted]
    _prove(f"{name}.dxf", disagreements(in_dxf, *read_dxf(dxf), sheet))
    yield Document(f"{name}.dxf", dxf)


def _prove(name: str, wrong: list[str]) -> None:
    if wrong:
        raise OurFault(f"{name}, read back, isn't the screen: {'; '.join(wrong)}")


def title_of(job: Job, film: Film, cut: Cut) -> str:
    """Say which film it is and which way round."""
    sheet = film.sheet
    which = cut.numbers[0].upper() + cut.numbers[1:]
    return (
        f"{which} of {len(job.screens)}, {cut.ink}: {film.facing}, "
        f"film on the {job.shop.film.side} side, {sheet.across_mm:.0f} × {sheet.along_mm:.0f} mm"
    )


def about_of(job: Job, film: Film) -> str:
    """Say what whoever opens the file must know."""
    up = "face up, liner below" if job.shop.film.cut_face_up else "face down, liner up"
    turn = " The print lies a quarter turn clockwise." if film.sheet.turned else ""
    return (
        f"Cut at 100 %, film {up}. As seen in the cutter, the image is "
        f"{'mirrored' if film.sheet.mirrored else 'not mirrored: it reads right'}.{turn} One unit is "
        "one millimetre; the outer edge has the size in the title. Curves are straight steps, at most "
        f"{job.artwork.flattening_mm:g} mm off. On the screen, seen from the squeegee side, the "
        "image reads right and the snipped corner is at the upper right; the notches mark the "
        "print's centre lines."
    )
