"""Sketches of garments with the print on them, all to one scale. The outlines are sketches only."""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from prep.job import Job
from prep.phrases import several
from prep.pictures import Canvas, Picture, simplified
from prep_placing.rules import BODY_MM, POUCH_MM, Build
from prep_placing.spots import Guide, Spotted, laid_mm
from prep_placing.strokes import aside_of
from prep_placing.words import short

_LINE, _SOFT, _CLOTH, _PRINT = "#1a1a1a", "#8a857f", "#f1ede6", "#6d7780"
_PAPER_WIDE_MM, _PAPER_HIGH_MM = 170.0, 66.0
_LETTER_MM = 2.5
_COARSE_MM = 0.4  # a twentieth of a millimetre on paper
_SLEEVE = {"adult": 1.0, "youth M and up": 0.85, "youth XS-S": 0.75, "toddler": 0.6}
_SLEEVE_MM = (210.0, 175.0, 230.0)
"""Width at the shoulder, width at the hem and length of an adult's short sleeve laid flat. Guess."""

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
    scale = min(_PAPER_WIDE_MM / wide, (_PAPER_HIGH_MM - 3.8 * _LETTER_MM) / (bottom - top), 0.5)
    letter = _LETTER_MM / scale
    canvas = Canvas((0.0, top - 1.8 * letter, wide, bottom + 2.0 * letter))
    x = gap
    for (spot, sizes), (x0, _, x1, _) in zip(shown, boxes, strict=True):
        _draw(canvas, job, guide, spot, x - x0, letter)
        middle = x + (x1 - x0) / 2.0
        canvas.text(
            _shortened(sizes, (x1 - x0 + gap) / letter),
            (middle, bottom + 1.4 * letter),
            height_mm=letter,
            anchor="middle",
        )
        x += x1 - x0 + gap
    what = several(f"{spot.style} for {sizes}" for spot, sizes in shown)
    return canvas.picture(f"Where the print goes: {what}, with the distances of the table."), scale


def _different(guide: Guide) -> Iterator[tuple[Spotted, str]]:
    groups: dict[tuple[object, ...], list[Spotted]] = {}
    for spot in guide.spots:
        key = (spot.style, spot.build, spot.away_mm, spot.aside_mm)
        groups.setdefault(key, []).append(spot)
    for spots in groups.values():
        sizes = dict.fromkeys(size for spot in spots for size in spot.sizes)
        yield spots[0], ", ".join(sizes)


def _hooded(guide: Guide, spot: Spotted) -> bool:
    return spot.style == "hoodie" and guide.place != "sleeve"


def _shortened(text: str, letters: float) -> str:
    most = max(6, int(letters / 0.6))
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _extent(guide: Guide, spot: Spotted) -> tuple[float, float, float, float]:
    """Give the bounds of a sketch: garment and print; its origin is the collar, or a sleeve's hem."""
    shapes = [_outline(guide, spot), shapely.box(*_print_box(guide, spot))]
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
        share = _SLEEVE[spot.build]
        shoulder, hem, long = (mm * share for mm in _SLEEVE_MM)
        return shapely.Polygon(
            [
                (-hem / 2, 0),
                (-shoulder / 2, -long * 0.75),
                (-shoulder / 4, -long * 0.96),
                (0, -long),
                (shoulder / 4, -long * 0.96),
                (shoulder / 2, -long * 0.75),
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


def _draw(
    canvas: Canvas, job: Job, guide: Guide, spot: Spotted, shift: float, letter: float
) -> None:
    thin = letter / 14.0

    def at(shape: BaseGeometry) -> BaseGeometry:
        return affinity.translate(shape, shift, 0.0)

    if _hooded(guide, spot):
        canvas.region(at(_hood(spot.build)), fill="#ffffff", stroke=_SOFT, stroke_mm=thin)
    canvas.region(at(_outline(guide, spot)), fill=_CLOTH, stroke=_LINE, stroke_mm=1.5 * thin)
    x0, y0, x1, y1 = _print_box(guide, spot)
    _centre_line(canvas, guide, spot, shift, thin)
    for shape in _print(job, guide, (x0, y0)):
        canvas.region(at(shape), fill=_PRINT)
    canvas.rectangle(
        (x0 + shift, y0, x1 + shift, y1), stroke=_LINE, stroke_mm=thin, dash_mm=(4 * thin, 4 * thin)
    )
    if spot.style == "hoodie" and guide.place == "front":
        _pouch_and_cords(canvas, spot, shift, thin)
    low, high = (y1, 0.0) if guide.place == "sleeve" else (0.0, y0)
    _dimension(
        canvas, (x0 + x1) / 2.0 + shift, low, high, short(spot.away_mm, job.shop.units), letter
    )
    if guide.place == "sleeve":
        _, top, _, _ = _outline(guide, spot).bounds
        hem = -0.5 * _SLEEVE_MM[1] * _SLEEVE[spot.build]
        canvas.text("shoulder", (shift, top - 0.4 * letter), height_mm=letter, anchor="middle")
        canvas.text("hem", (shift + hem + 0.5 * letter, -0.4 * letter), height_mm=0.9 * letter)


def _centre_line(canvas: Canvas, guide: Guide, spot: Spotted, shift: float, thin: float) -> None:
    _, y0, _, y1 = (float(v) for v in _outline(guide, spot).bounds)
    top = y0 if guide.place == "sleeve" else 0.0
    canvas.line(
        ((shift, top), (shift, y1)), stroke=_SOFT, stroke_mm=thin, dash_mm=(9 * thin, 4 * thin)
    )


def _print(job: Job, guide: Guide, corner: Point) -> list[BaseGeometry]:
    """Give what each screen prints as it lies on the garment, the print's upper left at a place."""
    shapes = [simplified(screen.region, _COARSE_MM) for screen in job.screens]
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
        affinity.translate(affinity.affine_transform(shape, turn), corner[0] - x0, corner[1] - y0)
        for shape in shapes
        if not shape.is_empty
    ]


def _hood(build: Build) -> BaseGeometry:
    wide, _ = BODY_MM[build]
    circle = shapely.Point(0.0, 0.0).buffer(1.0, quad_segs=16)
    return affinity.translate(affinity.scale(circle, 0.24 * wide, 0.2 * wide), 0.0, -0.14 * wide)


def _pouch_and_cords(canvas: Canvas, spot: Spotted, shift: float, thin: float) -> None:
    wide, long = BODY_MM[spot.build]
    top = spot.away_mm + (spot.tallest_mm or 0.0) + sum(POUCH_MM) / 2.0
    half = 0.32 * wide
    points = [(-half * 0.7, top), (half * 0.7, top), (half, (top + long) / 2), (half, long - 50)]
    pouch = [*points, (-half, long - 50), (-half, (top + long) / 2), points[0]]
    canvas.line(tuple((x + shift, y) for x, y in pouch), stroke=_LINE, stroke_mm=thin)
    for side in (-1.0, 1.0):
        cord = ((side * 0.05 * wide + shift, -5.0), (side * 0.13 * wide + shift, -0.16 * wide))
        canvas.line(cord, stroke=_LINE, stroke_mm=1.5 * thin)


def _dimension(canvas: Canvas, x: float, y0: float, y1: float, text: str, letter: float) -> None:
    """Draw a measure between two heights, its figure beside it."""
    thin, tick = letter / 10.0, letter / 3.0
    canvas.line(((x, y0), (x, y1)), stroke_mm=thin)
    for y in (y0, y1):
        canvas.line(((x - tick, y), (x + tick, y)), stroke_mm=thin)
    canvas.text(
        text, (x + 0.4 * letter, (y0 + y1) / 2.0 + 0.36 * letter), height_mm=letter, halo=_CLOTH
    )
