"""From the bytes of a file to an Artwork."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass

import numpy as np
import shapely

from prep.artwork import Artwork, PrintSize, Shape
from prep.errors import ArtworkRefused, InputError
from prep.svg.artboard import Artboard, artboard_of
from prep.svg.document import Element, parse
from prep.svg.fills import as_region
from prep.svg.fonts import FontFile
from prep.svg.notation import Length
from prep.svg.report import Report
from prep.svg.scene import Content, Context, Painted
from prep.svg.styles import INITIAL, Cascade
from prep.svg.tints import TooManyTints, made_solid
from prep.svg.walk import Stop, Walk

_FLATTENING_MM = 0.01
_FLATTENING_SHARE = 40_000
_SEEN_MM = 0.05
"""What reaches less far over the artboard's edge is no reason for a note: finer than any knife cuts or mesh
prints (threads of fine meshes lie some 0.13 mm apart; common practice, no source)."""


@dataclass(frozen=True, slots=True)
class ReadingOptions:
    """How to read what is not plain flat colour.

    :param solid_tints_on: colour of the garment, ``#rrggbb``: translucent flat paint becomes the
        solid colours it shows over this and over what lies beneath; None refuses such paint
    :param fonts: font files to outline text with; without any, text is refused
    """

    solid_tints_on: str | None = None
    fonts: tuple[FontFile, ...] = ()


_AS_IT_IS = ReadingOptions()
_NO_NEW_COLOUR = (
    "What the translucent shapes show is all in colours that the drawing has besides:"
    " no new screen."
)
_NO_TINTS = (
    "Nothing in the drawing is translucent: solid_tints changes nothing, and without it garments of"
    " one shade share their screens."
)


def read_svg(
    data: bytes, *, name: str, size: PrintSize, options: ReadingOptions = _AS_IT_IS
) -> Artwork:
    """Read a drawing.

    :param data: the file, gzipped or not
    :param name: file name without folder, for messages
    :param size: the print's size as asked for; goes before the file's
    :raises ArtworkRefused: it holds what can't be read as drawn; carries every reason
    :raises InputError: it is no SVG, or has no size or no shapes
    """
    try:
        return _read(parse(data, name), name, size, options)
    except (
        RecursionError
    ) as error:  # elements have a limit of their own; brackets in styles have none
        raise InputError(
            "has brackets within brackets in its styles, too deep to be read",
            where=name,
            do="export with plain styles or attributes",
        ) from error


def page_px(root: Element, name: str) -> tuple[float, float]:
    """Give width and height of a drawing's page in user units.

    :raises InputError: no size, or one that can't be
    """
    return _board(root, Cascade(root, Report()), PrintSize(), name).units


def size_mm(data: bytes, name: str, size: PrintSize) -> tuple[float, float]:
    """Give width and height of a drawing as printed, without reading its shapes.

    :param size: as asked for; goes before the file's
    :raises InputError: it is no SVG, or has no size
    """
    root = parse(data, name)
    board = _board(root, Cascade(root, Report()), size, name)
    return board.width_mm, board.height_mm


def _board(root: Element, cascade: Cascade, size: PrintSize, name: str) -> Artboard:
    declared = cascade.declared_side(root, "width"), cascade.declared_side(root, "height")
    font = cascade.style(root, INITIAL)["font-size"]
    font_px = font.number if isinstance(font, Length) else None
    return artboard_of(root, declared, size, name, font_px)


def _read(root: Element, name: str, size: PrintSize, options: ReadingOptions) -> Artwork:
    report = Report()
    try:
        cascade = Cascade(root, report)
    except InputError as error:
        raise InputError(error.what, where=name, do=error.do) from error
    board = _board(root, cascade, size, name)
    tolerance = min(_FLATTENING_MM, max(board.width_mm, board.height_mm) / _FLATTENING_SHARE)
    ground = options.solid_tints_on
    walk = Walk(
        root, cascade, report, tolerance, solid_tints=ground is not None, fonts=options.fonts
    )
    content = Content()
    with contextlib.suppress(Stop):  # the reason is in the report
        content = walk.page(Context(board.matrix, INITIAL, board.units))
    if ground is None:
        for one in content.painted:
            if one.alpha < 1:
                report.refuse("translucent", one.tint or one.source)
    if report.reasons:
        raise ArtworkRefused(report.reasons, where=name)
    tints: tuple[str, ...] = ()
    tinted = any(one.alpha < 1 for one in content.painted)
    if ground is not None and tinted:
        for one in content.painted:
            if one.alpha < 1:
                report.note("tint", one.tint or one.source)
        # edges that should meet may stray from each other by the flattening of both
        try:
            content.painted, tints = made_solid(
                content.painted,
                ground.lower(),
                2 * tolerance,
                shapely.box(0.0, 0.0, board.width_mm, board.height_mm),
            )
        except TooManyTints as error:
            report.refuse("tints", error.element, error.limit)
            raise ArtworkRefused(report.reasons, where=name) from error
    shapes = _on_board(content.painted, board, report)
    if not shapes:
        raise InputError(
            "has no shapes that print on its artboard",
            where=name,
            do="draw some, or check the page size",
        )
    of_tints: tuple[str, ...] = ()
    if ground is not None and not tints:
        of_tints = (_NO_NEW_COLOUR if tinted else _NO_TINTS,)
    return Artwork(
        name=name,
        width_mm=board.width_mm,
        height_mm=board.height_mm,
        shapes=shapes,
        flattening_mm=tolerance,
        notes=(*board.notes, *of_tints, *report.notes),
        size_assumed=board.size_assumed,
        tints=tints,
    )


def _on_board(painted: list[Painted], board: Artboard, report: Report) -> tuple[Shape, ...]:
    """Cut all shapes at the artboard's edge, and say which lay across or outside."""
    if not painted:
        return ()
    page = shapely.box(0.0, 0.0, board.width_mm, board.height_mm)
    shapely.prepare(page)
    regions = np.array([one.region for one in painted], dtype=object)
    across = ~shapely.covers(page, regions)
    told = ~shapely.covers(shapely.buffer(page, _SEEN_MM, join_style="mitre"), regions)
    regions[across] = shapely.intersection(regions[across], page)
    shapes = []
    for one, cut, tell in zip(painted, regions, told, strict=True):
        region = as_region(cut)
        if region.area <= 0:
            report.note("outside", one.source)
            continue
        if tell:
            report.note("cut", one.source)
        shapes.append(Shape(region, one.colour, one.source))
    return tuple(shapes)
