"""Pictures of films: as cut, and which way round they lie."""

from __future__ import annotations

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from prep.pictures import Canvas, Picture, simplified
from prep_stencils.facing import Side
from prep_stencils.film import Cut, Film

_FILM, _OPEN, _LINE = "#c9d3dc", "#ffffff", "#1a1a1a"


def film_picture(film: Film, cut: Cut) -> Picture:
    """Draw one film as it is cut: grey stays, white is weeded."""
    sheet = film.sheet
    edge = shapely.Polygon(sheet.edge())
    text = 0.05 * max(sheet.across_mm, 0.7 * sheet.along_mm)
    line = text / 16.0
    canvas = Canvas((-line, -1.6 * text, sheet.across_mm + line, sheet.along_mm + line))
    head = f"as cut: {film.facing}" + (", turned" if sheet.turned else "")
    canvas.text(head, (0.0, -0.5 * text), height_mm=text)
    canvas.region(_as_cut(edge, film), fill=_FILM, stroke=_LINE, stroke_mm=line)
    for region in (simplified(cut.region), film.marks):
        canvas.region(_as_cut(region, film), fill=_OPEN, stroke=_LINE, stroke_mm=line)
    return canvas.picture(f"Film of {cut.numbers}, {cut.ink}, as it is cut ({film.facing}).")


def _as_cut(region: BaseGeometry, film: Film) -> BaseGeometry:
    return shapely.transform(region, film.sheet.to_film)


def facing_picture(side: Side, cut_face_up: bool, mirrored: bool) -> Picture:
    """Draw how the film lies in the cutter, on the mesh, and seen from the squeegee side."""
    canvas = Canvas((0.0, 0.0, 168.0, 48.0))
    _panel(canvas, 3.0, "in the cutter", mirrored=mirrored, mesh=False)
    up, low = ("face up", "liner below") if cut_face_up else ("liner up", "face below")
    canvas.text(f"{up}, {low}", (22.0, 46.0), height_mm=3.0, anchor="middle")
    _section(canvas, 47.0, side)
    _panel(canvas, 127.0, "from the squeegee side", mirrored=False, mesh=True)
    canvas.text("reads right", (146.0, 46.0), height_mm=3.0, anchor="middle")
    facing = "mirrored" if mirrored else "not mirrored"
    return canvas.picture(
        f"Three sketches: the film in the cutter, {up}, {facing}; the film on the {side} side of the mesh "
        "with its adhesive against the mesh; and the screen seen from the squeegee side, where the image "
        "reads right and the snipped corner is at the upper right."
    )


def _panel(canvas: Canvas, left: float, head: str, *, mirrored: bool, mesh: bool) -> None:
    """Draw a sheet with an F in it, 38 mm wide."""
    sheet = shapely.Polygon([(0, 0), (31, 0), (38, 7), (38, 32), (0, 32)])
    letter = shapely.union_all(
        [shapely.box(13, 7, 17, 27), shapely.box(17, 7, 27, 11), shapely.box(17, 15, 24, 19)]
    )
    shapes: list[BaseGeometry] = [sheet, letter]
    if mirrored:
        shapes = [affinity.scale(shape, -1, 1, origin=(19, 0)) for shape in shapes]
    sheet_there, letter_there = (affinity.translate(shape, left, 8.0) for shape in shapes)
    canvas.text(head, (left + 19.0, 5.0), height_mm=3.0, anchor="middle")
    canvas.region(sheet_there, fill=_FILM, stroke=_LINE, stroke_mm=0.3)
    canvas.region(letter_there, fill=_OPEN, stroke=_LINE, stroke_mm=0.3)
    if mesh:
        for step in range(1, 10):
            y = 8.0 + 3.2 * step
            canvas.line(((left, y), (left + 38.0, y)), stroke="#8a8a8a", stroke_mm=0.1)


def _section(canvas: Canvas, left: float, side: Side) -> None:
    """Draw squeegee, mesh, film and shirt from the side, 72 mm wide."""
    canvas.text("on the screen, from the side", (left + 36.0, 5.0), height_mm=3.0, anchor="middle")
    blade = shapely.Polygon([(16, 10), (21, 9), (25, 19), (22, 20)])
    canvas.region(affinity.translate(blade, left, 0.0), fill="#7a7a7a")
    canvas.text("squeegee", (left + 28.0, 14.0), height_mm=3.0)
    mesh_y, film_y = (24.0, 26.4) if side == "shirt" else (26.4, 24.0)
    canvas.line(((left + 2, mesh_y), (left + 48, mesh_y)), stroke_mm=0.8, dash_mm=(1.0, 0.8))
    for x0, x1 in ((2.0, 18.0), (30.0, 48.0)):
        canvas.rectangle(
            (left + x0, film_y - 0.9, left + x1, film_y + 0.9),
            fill=_FILM,
            stroke=_LINE,
            stroke_mm=0.2,
        )
    canvas.text("mesh", (left + 51.0, mesh_y + (-0.6 if side == "shirt" else 2.6)), height_mm=3.0)
    canvas.text("film", (left + 51.0, film_y + (2.6 if side == "shirt" else -0.6)), height_mm=3.0)
    canvas.rectangle((left + 2, 32.0, left + 48, 36.0), fill="#dcd3c3", stroke=_LINE, stroke_mm=0.2)
    canvas.text("shirt", (left + 51.0, 35.2), height_mm=3.0)
    canvas.text("adhesive against the mesh", (left + 36.0, 46.0), height_mm=3.0, anchor="middle")
