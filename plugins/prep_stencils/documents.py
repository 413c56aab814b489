"""The cut files of a job, each read back before it is handed over."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import shapely

from prep.errors import OurFault
from prep.job import Ask, Job, Report
from prep.paper import document
from prep.sections import Document
from prep_stencils.drawings import true_size
from prep_stencils.dxffile import layer_name, read_dxf, write_dxf
from prep_stencils.film import Cut, Film, Part, film_of, strip_words, strokes_in
from prep_stencils.holding import SPARES
from prep_stencils.life import Lasting, lasting, run_of
from prep_stencils.names import spares_stem
from prep_stencils.outlines import Layer, open_rings, rounded_ring
from prep_stencils.proof import disagreements
from prep_stencils.settings import TEST_SQUARE_MM, Stencils
from prep_stencils.sheet import Sheet
from prep_stencils.spares import has_room, laid_out
from prep_stencils.strokes import Strokes, Wanted, outlines_of
from prep_stencils.svgfile import read_svg, write_svg

FOLDER = "stencils"


def documents_of(report: Report, ask: Ask) -> Iterator[Document]:
    """Give SVG, DXF and PDF of each film or strip, spare islands, and a test square for the cutter.

    :raises OurFault: a file read back isn't what is printed through it
    """
    job = report.job
    film = film_of(job, report.marks)
    if film is None or not film.fits:
        return
    run = run_of(job, ask)
    for cut in film.cuts:
        for part in cut.parts:
            yield from _files(job, film, cut, part)
        yield from _spares(job, cut, lasting(job, cut, run))
    yield from test_square(film.sheet)


def _files(job: Job, film: Film, cut: Cut, part: Part) -> Iterator[Document]:
    name, sheet = f"{FOLDER}/{part.stem}", part.sheet
    strokes = strokes_in(part, job.settings(Stencils).overcut_mm)
    title, about = title_of(job, film, cut, part), about_of(job, part)
    yield from cut_files(name, strokes, sheet, title=title, about=about)
    yield document(name, [true_size(job, film, cut, part)], title=title)


def _spares(job: Job, cut: Cut, held: Lasting) -> Iterator[Document]:
    """Give the islands that may come off, each cut as it lies in the film, as often as is spared."""
    if not held.spared:
        return
    whole = cut.parts[0].sheet
    film_mm = job.shop.film.width_mm
    longest = job.settings(Stencils).sheet_length_mm or math.inf
    weak = [(n, i) for n, i in enumerate(held.islands, 1) if held.weak[n - 1]]
    laid = [(n, shapely.transform(island.region, whole.to_true)) for n, island in weak]
    chosen = [(n, shape) for n, shape in laid if has_room(shape, film_mm, longest)]
    shapes = [shape for _, shape in chosen]
    if not shapes:
        return
    region, (wide, high) = laid_out(shapes, SPARES, film_mm)
    sheet = replace(
        whole,
        left_mm=0.0,
        top_mm=0.0,
        width_mm=math.ceil(wide),
        height_mm=math.ceil(high),
        mirrored=False,
        turned=False,
        snipped=False,
        seams_mm=(),
    )
    edge = np.array([(0, 0), (sheet.width_mm, 0), (sheet.width_mm, sheet.height_mm)])
    edge = np.vstack([edge, [(0.0, sheet.height_mm)]])
    strokes = outlines_of("islands", open_rings(region), edge, sheet)
    stem = spares_stem(
        cut.screens[0].number, cut.ink, sheet.width_mm, sheet.height_mm, job.shop.units
    )
    numbers = ", ".join(str(number) for number, _ in chosen)
    title = f"Spare islands of {cut.numbers}, {cut.ink}: {numbers}, each {SPARES} times"
    about = (
        "Cut from a scrap of the same film, at 100 %, the same side up as the film itself. They stand in"
        " rows, the highest first; numbers are those of the film's picture. What lies within the outlines"
        " stays, as film."
    )
    if len(chosen) < len(weak):
        about += f" {len(weak) - len(chosen)} more are too long for this film."
    yield from cut_files(f"{FOLDER}/{stem}", strokes, sheet, title=title, about=about)


def cut_files(
    name: str, strokes: Strokes, sheet: Sheet, *, title: str, about: str
) -> Iterator[Document]:
    """Give SVG and DXF, each read back by a plain parser and held against what was asked for.

    :raises OurFault: they disagree
    """
    wide, high = sheet.file_mm
    size = {"across_mm": wide, "along_mm": high}
    svg = write_svg(strokes.layers, title=title, about=about, **size)
    _prove(f"{name}.svg", disagreements(strokes.wanted, *read_svg(svg), sheet))
    yield Document(f"{name}.svg", svg)
    dxf = write_dxf(strokes.layers, title=title, about=about, **size)
    in_dxf = [replace(one, name=layer_name(one.name)) for one in strokes.wanted]
    _prove(f"{name}.dxf", disagreements(in_dxf, *read_dxf(dxf), sheet))
    yield Document(f"{name}.dxf", dxf)


def _prove(name: str, wrong: list[str]) -> None:
    if wrong:
        raise OurFault(f"{name}, read back, isn't the screen: {'; '.join(wrong)}")


def test_square(sheet: Sheet) -> Iterator[Document]:
    """Give a square to cut once and measure: what it measures goes into shop.toml.

    It isn't stretched, whatever shop.toml says. The side across the film bears one notch, the side along
    it two, all near one corner, so that it can't be read the wrong way round.
    """
    square = replace(
        sheet,
        left_mm=0.0,
        top_mm=0.0,
        width_mm=TEST_SQUARE_MM,
        height_mm=TEST_SQUARE_MM,
        mirrored=False,
        turned=False,
        stretch=(1.0, 1.0),
        seams_mm=(),
    )
    size, deep = TEST_SQUARE_MM, 3.0
    outline = [(0.0, 0.0), (15.0, 0.0), (15.0 + deep, deep), (15.0 + 2 * deep, 0.0), (size, 0.0)]
    outline += [(size, size), (0.0, size)]
    for at in (30.0, 15.0):
        outline += [(0.0, at + 2 * deep), (deep, at + deep), (0.0, at)]
    ring = np.array(outline)
    strokes = Strokes(
        (Layer("test-square", (rounded_ring(ring),)),), (Wanted("test-square", (ring,)),), 0.0, 0.0
    )
    name = f"{FOLDER}/00-test-square-{size:.0f}x{size:.0f}mm"
    about = (
        f"Cut it at 100 % from the film of this job, and measure both sides of the hole or of the piece. "
        f"The side with one notch is {size:g} mm across the film, the side with two {size:g} mm along it. "
        "Write what they measure into shop.toml: test_across and test_along under [stencils]."
    )
    yield from cut_files(name, strokes, square, title="Test square of the cutter", about=about)


def title_of(job: Job, film: Film, cut: Cut, part: Part) -> str:
    """Say which film it is and which way round."""
    sheet = part.sheet
    which = cut.numbers[0].upper() + cut.numbers[1:]
    strip = strip_words(cut, part)
    return (
        f"{which} of {len(job.screens)}, {cut.ink}{strip and f', {strip}'}: {film.facing}, "
        f"film on the {job.shop.film.side} side, {sheet.across_mm:.0f} × {sheet.along_mm:.0f} mm"
    )


def _corner(sheet: Sheet) -> str:
    if sheet.snipped:
        return "the snipped corner at the upper right"
    side = "in the right side near its top" if sheet.turned else "in the upper side near its right"
    return f"with a notch more {side}"


def about_of(job: Job, part: Part) -> str:
    """Say what whoever opens the file must know."""
    sheet, chosen = part.sheet, job.settings(Stencils)
    up = "face up, liner below" if job.shop.film.cut_face_up else "face down, liner up"
    turn = " The print lies a quarter turn clockwise." if sheet.turned else ""
    stretch = ""
    if sheet.stretch != (1.0, 1.0):
        wide, high = sheet.stretch
        stretch = (
            f" Lengths are drawn {100 * (wide - 1):+.2f} % across and {100 * (high - 1):+.2f} % along,"
            " so that they come out true on this cutter, as its test square says."
        )
    overcut = (
        f" Outlines go on {chosen.overcut_mm:g} mm over their beginning."
        if chosen.overcut_mm
        else ""
    )
    return (
        f"Cut at 100 %, film {up}. As seen in the cutter, the image is "
        f"{'mirrored' if sheet.mirrored else 'not mirrored: it reads right'}.{turn} One unit is "
        f"one millimetre; the outer edge has the size in the title once cut.{stretch} Curves are straight"
        f" steps, at most {job.artwork.flattening_mm:g} mm off.{overcut} On the screen, seen from the"
        f" squeegee side, the image reads right, {_corner(sheet)}; notches mark the print's centre lines"
        f"{' and the middles of overlaps' if sheet.seams_mm else ''}. Cut in this order: "
        "weeding lines in the waste, marks, openings, the sheet's edge."
    )
