"""Sketches of garments with the print on them, all to one scale. The outlines are sketches only."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from prep.colour_difference import difference, lab_of
from prep.job import Job
from prep.phrases import several
from prep.pictures import Canvas, Picture, simplified
from prep_placing.rules import BODY_MM, POUCH_MM, Build
from prep_placing.spots import Guide, Spotted, laid_mm
from prep_placing.strokes import aside_of
from prep_placing.words import short

_LINE, _SOFT, _LIGHT, _BETWEEN = "#1a1a1a", "#8a857f", "#f4f4f4", "#808080"
_ALIKE = 12.0
"""CIEDE2000 under which a print is drawn with an outline. Our choice."""
_DARK_LIGHTNESS = 55.0
"""CIELAB lightness of cloth under which what lies on it is drawn light. Our choice."""
_PAPER_WIDE_MM, _PAPER_HIGH_MM = 170.0, 66.0
_LETTER_MM = 2.5
_COARSE_MM = 0.4  # a twentieth of a millimetre on paper
_SLEEVE = {"adult": 1.0, "youth M and up": 0.85, "youth XS-S": 0.75, "toddler": 0.6}
_SLEEVE_MM = {"hem": (210.0, 175.0), "cuff": (220.0, 95.0)}
"""Width at the shoulder and at the end of an adult's sleeve laid flat, by what it ends with. Guess."""
_CUFF_MM = 55.0
_BESIDE_MM = (8.0, 15.0)
"""Paper left and right of a sleeve, for what is written there."""

Point = tuple[float, float]


def sketch_of(job: Job, guide: Guide) -> tuple[Picture, float]:
    """Draw one garment for each build and distance, side by side.

    :return: the picture in mm of the garment, and the scale it is made for
    """
    shown = list(_different(guide))
    boxes = [_extent(guide, spot) for spot, _ in shown]
    gap = 60.0
    wide = sum(x1 - x0 for x0, _, x1, _ in boxes) + gap * (len(boxes) + 1)
    top, bottom = min(b[1] for b in boxes), max(b[3] for b in boxes)
    share = min(1.0, 0.5 * _PAPER_WIDE_MM / (len(boxes) * sum(_BESIDE_MM)))
    before, after = (share * mm if guide.place == "sleeve" else 0.0 for mm in _BESIDE_MM)
    free = _PAPER_WIDE_MM - len(boxes) * (before + after)
    scale = min(free / wide, (_PAPER_HIGH_MM - 3.8 * _LETTER_MM) / (bottom - top), 0.5)
    letter = (share if before else 1.0) * _LETTER_MM / scale
    wide += len(boxes) * (before + after) / scale
    canvas = Canvas((0.0, top - 1.8 * letter, wide, bottom + 2.0 * letter))
    x = gap
    for (spot, sizes), (x0, _, x1, _) in zip(shown, boxes, strict=True):
        x += before / scale
        _draw(canvas, job, guide, spot, x - x0, letter)
        canvas.text(
            _shortened(sizes, (x1 - x0 + gap + (before + after) / scale) / letter),
            (x + (x1 - x0) / 2.0, bottom + 1.4 * letter),
            height_mm=letter,
            anchor="middle",
        )
        x += x1 - x0 + after / scale + gap
    what = several(
        f"{spot.style} for {sizes.removeprefix(spot.style).strip()}" for spot, sizes in shown
    )
    return canvas.picture(f"Where the print goes: {what}, with the distances of the table."), scale


def _different(guide: Guide) -> Iterator[tuple[Spotted, str]]:
    groups: dict[tuple[object, ...], list[Spotted]] = {}
    for spot in guide.spots:
        key = (spot.style, spot.build, spot.away_mm, spot.aside_mm)
        groups.setdefault(key, []).append(spot)
    several_styles = len({spot.style for spot in guide.spots}) > 1
    for spots in groups.values():
        sizes = ", ".join(dict.fromkeys(size for spot in spots for size in spot.sizes))
        yield spots[0], f"{spots[0].style} {sizes}" if several_styles else sizes


def _hooded(guide: Guide, spot: Spotted) -> bool:
    return spot.style == "hoodie" and guide.place != "sleeve"


def _shortened(text: str, letters: float) -> str:
    most = max(6, int(letters / 0.6))
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _extent(guide: Guide, spot: Spotted) -> tuple[float, float, float, float]:
    """Give the bounds of a sketch: garment and print; its origin is the collar, or a sleeve's hem."""
    shapes = [_outline(guide, spot), shapely.box(*_print_box(guide, spot)), *_cuffs(guide, spot)]
    if _hooded(guide, spot):
        shapes.append(_hood(spot.build))
    x0, y0, x1, y1 = (float(v) for v in shapely.total_bounds(shapes))
    return x0, y0, x1, y1


def _print_box(guide: Guide, spot: Spotted) -> tuple[float, float, float, float]:
    wide, high = laid_mm(guide)
    x = aside_of(guide, spot)
    top = -spot.away_mm - high if guide.place == "sleeve" else spot.away_mm
    return x - wide / 2.0, top, x + wide / 2.0, top + high


def _outline(guide: Guide, spot: Spotted) -> BaseGeometry:
    if guide.place == "sleeve":
        shoulder, hem = (mm * _SLEEVE[spot.build] for mm in _SLEEVE_MM[spot.sleeve_ends])
        long = spot.sleeve_mm
        cap = min(0.25 * long, 0.3 * shoulder)
        return shapely.Polygon(
            [
                (-hem / 2, 0),
                (-shoulder / 2, cap - long),
                (-shoulder / 4, 0.16 * cap - long),
                (0, -long),
                (shoulder / 4, 0.16 * cap - long),
                (shoulder / 2, cap - long),
                (hem / 2, 0),
            ]
        )
    wide, long = BODY_MM[spot.build]
    neck, drop = 0.18 * wide, (0.03 if guide.place == "back" else 0.11) * wide
    collar = [
        (x / 8.0 * neck, -drop * (x / 8.0) ** 2)
        for x in range(8, -9, -1)  # a parabola from the right end of the collar to the left
    ]
    side = wide / 2.0
    if spot.style == "tee":
        arm = [(-0.8 * wide, 0.26 * wide), (-0.68 * wide, 0.42 * wide)]
    else:
        arm = [(-0.86 * wide, 0.78 * long), (-0.69 * wide, 0.82 * long)]
    left = [(-side * 0.92, -drop + 0.1 * wide), *arm, (-side, 0.36 * wide), (-side, long)]
    right = [(-x, y) for x, y in reversed(left)]
    return shapely.Polygon([*collar, *left, *right])


def _cuffs(guide: Guide, spot: Spotted) -> list[BaseGeometry]:
    """Give the cuff below the seam that distances are measured from; none on a short sleeve."""
    if guide.place != "sleeve" or spot.sleeve_ends != "cuff":
        return []
    share = _SLEEVE[spot.build]
    half = 0.42 * _SLEEVE_MM["cuff"][1] * share
    return [shapely.box(-half, 0.0, half, _CUFF_MM * share)]


@dataclass(frozen=True, slots=True)
class _Tones:
    """Colours of a sketch, by that of its garment.

    :param edge: of outlines, seen on white paper and beside the cloth
    :param on: of what is drawn on the cloth
    """

    cloth: str
    edge: str
    on: str


def _tones_of(spot: Spotted) -> _Tones:
    dark = lab_of(spot.colour)[0] < _DARK_LIGHTNESS
    return _Tones(spot.colour, _SOFT if dark else _LINE, _LIGHT if dark else _LINE)


def _draw(
    canvas: Canvas, job: Job, guide: Guide, spot: Spotted, shift: float, letter: float
) -> None:
    thin, tones, outline = letter / 14.0, _tones_of(spot), _outline(guide, spot)

    def at(shape: BaseGeometry) -> BaseGeometry:
        return affinity.translate(shape, shift, 0.0)

    hoods = [_hood(spot.build)] if _hooded(guide, spot) else []
    for shape in (*hoods, *_cuffs(guide, spot), outline):
        canvas.region(at(shape), fill=tones.cloth, stroke=tones.edge, stroke_mm=1.5 * thin)
    x0, y0, x1, y1 = _print_box(guide, spot)
    inside = outline.covers(shapely.box(x0, y0, x1, y1))
    _centre_line(canvas, guide, spot, shift, thin, tones.on)
    for shape, colour in _print(job, guide, (x0, y0)):
        alike = not inside or difference(colour, spot.colour) < _ALIKE
        edge = _BETWEEN if alike else "none"
        canvas.region(at(shape), fill=colour, stroke=edge, stroke_mm=thin)
    canvas.rectangle(
        (x0 + shift, y0, x1 + shift, y1),
        stroke=tones.on if inside else _BETWEEN,
        stroke_mm=thin,
        dash_mm=(4 * thin, 4 * thin),
    )
    if spot.style == "hoodie" and guide.place == "front":
        _pouch_and_cords(canvas, spot, shift, thin, tones.on)
    said = short(spot.away_mm, job.shop.units)
    if guide.place == "sleeve":
        _beside_sleeve(canvas, guide, spot, shift, letter, said)
    else:
        middle = (x0 + x1) / 2.0 + shift
        inwards = "end" if x0 + x1 > 0.0 else "start"
        _dimension(canvas, middle, (0.0, y0), said, letter, tones.on, tones.cloth, inwards)


def _beside_sleeve(
    canvas: Canvas, guide: Guide, spot: Spotted, shift: float, letter: float, said: str
) -> None:
    """Write beside a sleeve where its seams lie and how far the print is from its end."""
    left, _, right, _ = _extent(guide, spot)
    _, top, _, _ = _outline(guide, spot).bounds
    _, _, x1, y1 = _print_box(guide, spot)
    thin, out = letter / 14.0, right + letter
    for y, x in ((y1, x1), (0.0, 0.0), (top, 0.0)):
        end = out if y != top else right + 0.3 * letter
        line = ((x + shift, y), (end + shift, y))
        canvas.line(line, stroke=_BETWEEN, stroke_mm=thin, dash_mm=(3 * thin, 3 * thin))
    _dimension(canvas, out + shift, (y1, 0.0), said, letter, _LINE, "#ffffff")
    canvas.text("shoulder", (right + 0.5 * letter + shift, top + 0.36 * letter), height_mm=letter)
    at = (left - 0.5 * letter + shift, 0.36 * letter)
    canvas.text(spot.sleeve_ends, at, height_mm=letter, anchor="end")


def _centre_line(
    canvas: Canvas, guide: Guide, spot: Spotted, shift: float, thin: float, ink: str
) -> None:
    _, y0, _, y1 = (float(v) for v in _outline(guide, spot).bounds)
    top = y0 if guide.place == "sleeve" else 0.0
    canvas.line(
        ((shift, top), (shift, y1)), stroke=ink, stroke_mm=thin, dash_mm=(9 * thin, 4 * thin)
    )


def _print(job: Job, guide: Guide, corner: Point) -> list[tuple[BaseGeometry, str]]:
    """Give what each screen prints as it lies on the garment, and its colour, in print order.

    :param corner: where the print's upper left lies
    """
    shapes = [(simplified(screen.region, _COARSE_MM), screen.colour) for screen in job.screens]
    whole: BaseGeometry = shapely.box(*guide.print_mm)
    match guide.reads:
        case "down the arm":  # the artwork's left lies at the shoulder
            turn = (0, -1, 1, 0, 0, 0)
        case "up the arm":
            turn = (0, 1, -1, 0, 0, 0)
        case _:
            turn = (1, 0, 0, 1, 0, 0)
    x0, y0, _, _ = affinity.affine_transform(whole, turn).bounds
    return [
        (
            affinity.translate(
                affinity.affine_transform(shape, turn), corner[0] - x0, corner[1] - y0
            ),
            colour,
        )
        for shape, colour in shapes
        if not shape.is_empty
    ]


def _hood(build: Build) -> BaseGeometry:
    wide, _ = BODY_MM[build]
    circle = shapely.Point(0.0, 0.0).buffer(1.0, quad_segs=16)
    return affinity.translate(affinity.scale(circle, 0.24 * wide, 0.2 * wide), 0.0, -0.14 * wide)


def _pouch_and_cords(canvas: Canvas, spot: Spotted, shift: float, thin: float, ink: str) -> None:
    wide, long = BODY_MM[spot.build]
    top = spot.away_mm + (spot.tallest_mm or 0.0) + sum(POUCH_MM) / 2.0
    half = 0.32 * wide
    points = [(-half * 0.7, top), (half * 0.7, top), (half, (top + long) / 2), (half, long - 50)]
    pouch = [*points, (-half, long - 50), (-half, (top + long) / 2), points[0]]
    canvas.line(tuple((x + shift, y) for x, y in pouch), stroke=ink, stroke_mm=thin)
    for side in (-1.0, 1.0):
        cord = ((side * 0.05 * wide + shift, -5.0), (side * 0.13 * wide + shift, -0.16 * wide))
        canvas.line(cord, stroke=ink, stroke_mm=1.5 * thin)


def _dimension(
    canvas: Canvas,
    x: float,
    ends: tuple[float, float],
    text: str,
    letter: float,
    ink: str,
    halo: str,
    anchor: str = "start",
) -> None:
    """Draw a measure between two heights, its figure beside it: at its right, or where it is to end."""
    thin, tick, (y0, y1) = letter / 10.0, letter / 3.0, ends
    canvas.line(((x, y0), (x, y1)), stroke=ink, stroke_mm=thin)
    for y in ends:
        canvas.line(((x - tick, y), (x + tick, y)), stroke=ink, stroke_mm=thin)
    beside = x + (0.5 if anchor == "start" else -0.5) * letter
    at = (beside, (y0 + y1) / 2.0 + 0.36 * letter)
    canvas.text(text, at, height_mm=letter, fill=ink, halo=halo, anchor=anchor)
