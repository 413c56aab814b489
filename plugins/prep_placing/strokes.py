"""The lines of a paper master, in millimetres of the artwork, seen from above and reading right."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import shapely
from shapely.geometry.base import BaseGeometry

from prep.errors import Unanswered
from prep.job import Ask, Job
from prep.phrases import several
from prep.pictures import simplified
from prep.screens import Mark, Screen
from prep_placing.answers import Asides
from prep_placing.rules import LEAST_PLATEN_EDGE_MM
from prep_placing.settings import PlacingShop
from prep_placing.spots import Bounds, Guide, Spotted, guide_of, insides_of
from prep_placing.words import short

Kind = Literal["ink", "centre", "target", "frame", "stop", "platen", "collar"]

_DASHES: tuple[tuple[float, ...], ...] = (
    (),
    (4.0, 1.5),
    (0.8, 1.0),
    (6.0, 1.2, 0.8, 1.2),
    (2.0, 0.8),
    (6.0, 1.0, 0.8, 1.0, 0.8, 1.0),
    (0.8, 2.2),
    (9.0, 3.0),
)
_DARK = "#1a1a1a"
_STOP_MM = 8.0
_COLLAR_HALF_MM = 70.0
_COARSE_MM = 0.05
"""How far outlines on paper stray from what is cut: well under the width of their lines."""


@dataclass(frozen=True, slots=True)
class Style:
    """How a line is drawn, in mm of paper."""

    colour: str
    wide_mm: float
    dash_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """Lines of one meaning.

    :param lines: open or closed, in mm of the artwork
    :param label: written beside them on each tile; empty = none
    """

    kind: Kind
    lines: BaseGeometry
    style: Style
    label: str = ""


def ink_styles(screens: tuple[Screen, ...]) -> tuple[Style, ...]:
    """Give each screen a style of its own, told apart by dashes and width and not by colour alone.

    The longest outlines, mostly the finest, are drawn without dashes, which would break small shapes up.
    The colour is the ink's own, darkened until it shows on white paper.
    """
    longest = sorted(range(len(screens)), key=lambda i: (-screens[i].region.length, i))
    ranks = {i: rank for rank, i in enumerate(longest)}
    return tuple(
        Style(
            _dark(screen.colour),
            0.3 + 0.3 * (ranks[i] // len(_DASHES)),
            _DASHES[ranks[i] % len(_DASHES)],
        )
        for i, screen in enumerate(screens)
    )


def strokes_of(job: Job, marks: tuple[Mark, ...], ask: Ask, guide: Guide) -> tuple[Stroke, ...]:
    """Give all lines of the master, those of the inks first."""
    cut = cut_bounds(guide, marks)
    frames = tuple(_frames(ask, guide))
    platen = tuple(_platen(job, guide, cut))
    collars = tuple(_collars(job, guide))
    inks = tuple(
        Stroke("ink", shapely.boundary(simplified(screen.region, _COARSE_MM)), style)
        for screen, style in zip(job.screens, ink_styles(job.screens), strict=True)
        if not screen.region.is_empty
    )
    targets = tuple(_targets(marks))
    others = (*targets, *frames, *platen, *collars)
    x0, y0, x1, y1 = _bounds([s.lines for s in (*inks, *others)])
    x, y = guide.middle_mm
    centre = Style("#7a7a7a", 0.15, (9.0, 1.5, 1.5, 1.5))
    lines = (
        Stroke("centre", shapely.LineString([(x, y0), (x, y1)]), centre, "print's centre"),
        Stroke("centre", shapely.LineString([(x0, y), (x1, y)]), centre, "print's centre"),
    )
    return (*inks, *lines, *others)


def cut_bounds(guide: Guide, marks: tuple[Mark, ...]) -> Bounds:
    """Give the bounds of print and marks."""
    return _bounds([shapely.box(*guide.print_mm), *(mark.region for mark in marks)])


def platen_bounds(
    job: Job, guide: Guide, cut: Bounds, spot: Spotted | None = None
) -> Bounds | None:
    """Give where the platen lies; ``None`` where its size isn't stated, or for a sleeve, which has its own.

    Its end lies at the collar of a garment, where targets stay on it so, and the print as far from its
    ends as is advised; else what is cut lies in the middle of its length.

    :param spot: where the print goes on that garment; ``None`` = the first ones
    """
    wide, high = job.shop.press.platen_width_mm, job.shop.press.platen_height_mm
    if wide is None or high is None or guide.place == "sleeve":
        return None
    spot = spot or guide.spots[0]
    x = guide.middle_mm[0] - aside_of(guide, spot)
    top = guide.print_mm[1] - spot.away_mm
    advised = job.settings(PlacingShop).platen_edge_mm
    ends = min(guide.print_mm[1] - top, top + high - guide.print_mm[3])
    if ends < advised or min(cut[1] - top, top + high - cut[3]) < LEAST_PLATEN_EDGE_MM:
        top = (cut[1] + cut[3] - high) / 2.0
    return x - wide / 2.0, top, x + wide / 2.0, top + high


def aside_of(guide: Guide, spot: Spotted) -> float:
    """Give how far right of the garment's centre line the print's own lies, seen from above.

    The wearer's left lies at the right when the front is up.
    """
    if guide.place != "chest":
        return 0.0
    return spot.aside_mm if guide.side == "left" else -spot.aside_mm


def asides_of(job: Job) -> Asides:
    """Answer how far beside the platen's centre line the print lies.

    :raises Unanswered: nothing is printed
    """
    guide = guide_of(job)
    if guide is None:
        raise Unanswered("nothing is printed, so it lies nowhere")
    return Asides(tuple(sorted({aside_of(guide, spot) for spot in guide.spots})))


def _targets(marks: tuple[Mark, ...]) -> Iterator[Stroke]:
    style = Style(_DARK, 0.2)
    for mark in marks:
        if not mark.region.is_empty:
            yield Stroke("target", shapely.boundary(mark.region), style, mark.name)


def _frames(ask: Ask, guide: Guide) -> Iterator[Stroke]:
    """Give each frame's inside edge and its three stops: two on a long side, one on a short one."""
    x, y = guide.middle_mm
    style = Style(_DARK, 0.45)
    for name, wide, high in insides_of(ask):
        x0, y0, x1, y1 = x - wide / 2.0, y - high / 2.0, x + wide / 2.0, y + high / 2.0
        for side in _sides((x0, y0, x1, y1)):
            yield Stroke("frame", side, style, f"frame {name}, inside")
        for number, triangle in enumerate(_stops((x0, y0, x1, y1)), 1):
            yield Stroke("stop", triangle, style, f"stop {number}")


def _stops(inside: Bounds) -> list[BaseGeometry]:
    """Give three triangles that touch a frame's inside edge from outside."""
    x0, y0, x1, y1 = inside
    x, y, half = (x0 + x1) / 2.0, (y0 + y1) / 2.0, _STOP_MM / 2.0

    def left(at: float) -> BaseGeometry:
        out = x0 - _STOP_MM
        return shapely.LinearRing([(x0, at), (out, at - half), (out, at + half)])

    def below(at: float) -> BaseGeometry:
        out = y1 + _STOP_MM
        return shapely.LinearRing([(at, y1), (at - half, out), (at + half, out)])

    if y1 - y0 >= x1 - x0:
        return [left((y0 + y) / 2.0), left((y + y1) / 2.0), below(x)]
    return [below((x0 + x) / 2.0), below((x + x1) / 2.0), left(y)]


def _platen(job: Job, guide: Guide, cut: Bounds) -> Iterator[Stroke]:
    bounds = platen_bounds(job, guide, cut)
    if bounds is not None:
        style = Style(_DARK, 0.35, (10.0, 2.0, 2.0, 2.0, 2.0, 2.0))
        for side in _sides(bounds):
            yield Stroke("platen", side, style, "platen")


def _collars(job: Job, guide: Guide) -> Iterator[Stroke]:
    """Give a line for each distance from collar, or hem of a sleeve, to print."""
    x0, y0, x1, y1 = guide.print_mm
    x, y = guide.middle_mm
    style, half = Style(_DARK, 0.5), _COLLAR_HALF_MM
    several_makes = len({spot.garment for spot in guide.spots}) > 1
    groups: dict[tuple[float, float], list[str]] = {}
    for spot in guide.spots:
        named = ", ".join(spot.sizes)
        named = f"{spot.garment} {named}" if several_makes else named
        groups.setdefault((spot.away_mm, aside_of(guide, spot)), []).append(named)
    ends_of = {
        (spot.away_mm, aside_of(guide, spot)): spot.sleeve_ends for spot in reversed(guide.spots)
    }
    for (away, aside), sizes in groups.items():
        said = f"{several(sizes)}: {short(away, job.shop.units)} to print"
        ends = ends_of[away, aside]
        match guide.reads:
            case None:
                line = [(x - aside - half, y0 - away), (x - aside + half, y0 - away)]
                yield Stroke("collar", shapely.LineString(line), style, f"collar, {said}")
                if aside:
                    centre = [(x - aside, y0 - away), (x - aside, y1)]
                    label = f"garment's centre, {several(sizes)}"
                    yield Stroke("collar", shapely.LineString(centre), Style(_DARK, 0.2), label)
            case "upright":
                line = [(x - half, y1 + away), (x + half, y1 + away)]
                yield Stroke("collar", shapely.LineString(line), style, f"{ends}, {said}")
            case "down the arm":
                line = [(x1 + away, y - half), (x1 + away, y + half)]
                yield Stroke("collar", shapely.LineString(line), style, f"{ends}, {said}")
            case "up the arm":
                line = [(x0 - away, y - half), (x0 - away, y + half)]
                yield Stroke("collar", shapely.LineString(line), style, f"{ends}, {said}")


def _sides(bounds: Bounds) -> list[BaseGeometry]:
    x0, y0, x1, y1 = bounds
    corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
    return [shapely.LineString(corners[i : i + 2]) for i in range(4)]


def _dark(colour: str) -> str:
    """Darken a colour until it shows on white paper: its luma at most 0.35 (our choice)."""
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    luma = (0.2126 * red + 0.7152 * green + 0.0722 * blue) / 255.0
    share = min(1.0, 0.35 / luma) if luma > 0 else 1.0
    return "#" + "".join(f"{round(level * share):02x}" for level in (red, green, blue))


def _bounds(shapes: list[BaseGeometry]) -> Bounds:
    x0, y0, x1, y1 = (float(v) for v in shapely.total_bounds(shapes))
    return x0, y0, x1, y1
