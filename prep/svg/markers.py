"""Markers: arrow heads and the like at the vertices of a path (SVG 2, 13.7)."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from prep.svg.curves import directions
from prep.svg.document import SVG, Element, hint, local_name, namespace
from prep.svg.notation import (
    IDENTITY,
    Box,
    Length,
    multiply,
    parse_fitting,
    parse_length,
    rotation,
    scaling,
    translation,
)
from prep.svg.paths import Path
from prep.svg.scene import Context, Painted, Painter
from prep.svg.styles import Reference, Style, Unread, found_by, target_of

if TYPE_CHECKING:
    from prep.svg.walk import Walk

# SVG 1.1, 11.6.2 gives markers to these alone, SVG 2, 13.7 to every shape; viewers follow either
_MARKED = frozenset(("path", "line", "polyline", "polygon"))
_BACK_RAD = 1e-9
_DEGREES = {"": 1.0, "deg": 1.0, "rad": 180 / math.pi, "grad": 0.9, "turn": 360.0}


@dataclass(frozen=True, slots=True)
class _Vertex:
    x: float
    y: float
    degrees: float
    unsure: bool = False  # viewers don't agree on the degrees


def paint_markers(
    walk: Walk, element: Element, style: Style, context: Context, path: Path
) -> list[Painted]:
    """Paint the markers of a path, in the order of its vertices."""
    links = [style["marker-start"], style["marker-mid"], style["marker-end"]]
    if not any(links):
        return []
    markers = [_marker(walk, link, element, context) for link in links]
    if local_name(element) not in _MARKED:
        if any(marker is not None for marker in markers):
            walk.report.refuse("marked shape", hint(element))
        return []
    if path.halts and markers[1] is not None:  # its vertices are more than its segments tell
        walk.report.refuse("marker place", hint(element))
        return []
    vertices = list(_vertices(path))
    painted: list[Painted] = []
    for number, vertex in enumerate(vertices):
        # a lone vertex is both first and last
        parts = []
        if number == 0:
            parts.append(0)
        if 0 < number < len(vertices) - 1:
            parts.append(1)
        if number == len(vertices) - 1:
            parts.append(2)
        for part in parts:
            marker = markers[part]
            if marker is not None:
                painted += _instance(walk, marker, element, style, context, vertex, part == 0)
    return painted


def _marker(walk: Walk, link: object, element: Element, context: Context) -> Element | None:
    if isinstance(link, Unread):
        walk.report.refuse(link.feature, hint(element), link.text[:60])
        return None
    if not isinstance(link, Reference):
        return None
    identity = target_of(link.target)
    if identity is None:
        walk.report.refuse("elsewhere", hint(element), link.target[:60])
        return None
    found = found_by(walk.ids, identity)
    if found is None or namespace(found) != SVG or local_name(found) != "marker":
        walk.report.note("no target", hint(element), f"#{identity[:60]}")
        return None
    if found in context.chain:
        walk.report.refuse("itself", hint(element), f"#{identity[:60]}")
        return None
    return found


def _instance(
    walk: Walk,
    marker: Element,
    element: Element,
    style: Style,
    context: Context,
    vertex: _Vertex,
    first: bool,
) -> list[Painted]:
    walk.count_use(element, cost=3)
    own = walk.cascade.style_in_place(marker)
    three = Length(3.0, "")
    width = walk.length(marker, "markerWidth", three, context.viewport[0], own)
    height = walk.length(marker, "markerHeight", three, context.viewport[1], own)
    if width <= 0 or height <= 0:
        return []
    turned = _orientation(walk, marker, vertex, first)
    view = walk.view_box(marker)
    if turned is None or view is False:
        return []
    frame = Box(0.0, 0.0, width, height)
    fit, units = IDENTITY, (width, height)
    if isinstance(view, Box):
        fit = parse_fitting(marker.get("preserveAspectRatio")).matrix(view, frame)
        units = (view.width, view.height)
    if any("%" in (marker.get(name) or "") for name in ("refX", "refY")):
        walk.report.refuse("marker place", hint(marker))
        return []
    ref_x = walk.length(marker, "refX", None, units[0], own)
    ref_y = walk.length(marker, "refY", None, units[1], own)
    scale = 1.0
    if marker.get("markerUnits") != "userSpaceOnUse":
        scale = walk.px(style["stroke-width"], context.diagonal, style, element)
        if scale <= 0:
            return []
    at_x = fit[0] * ref_x + fit[4]
    at_y = fit[3] * ref_y + fit[5]
    matrix = context.matrix
    for step in (
        translation(vertex.x, vertex.y),
        rotation(turned),
        scaling(scale, scale),
        translation(-at_x, -at_y),
    ):
        matrix = multiply(matrix, step)
    painter = Painter(style, context.painter)
    inner = Context(multiply(matrix, fit), own, units, (*context.chain, marker), painter)
    content = walk.children_of(marker, inner)
    if own["overflow"] in (None, "hidden", "scroll", "clip"):
        walk.cut(content, walk.rectangle(frame, matrix))
    walk.effects(marker, own, replace(inner, matrix=matrix), content)
    return content.painted


def _orientation(walk: Walk, marker: Element, vertex: _Vertex, first: bool) -> float | None:
    text = (marker.get("orient") or "0").strip()
    if vertex.unsure and text in ("auto", "auto-start-reverse"):
        walk.report.refuse("marker place", hint(marker))
        return None
    if text == "auto":
        return vertex.degrees
    if text == "auto-start-reverse":
        return vertex.degrees + (180 if first else 0)
    try:
        angle = parse_length(text)
    except OverflowError:
        angle = None
    if angle is None or angle.unit not in _DEGREES:
        walk.report.note("bad value", hint(marker), f"orient: {text[:60]}")
        return 0.0
    return angle.number * _DEGREES[angle.unit]


def _vertices(path: Path) -> Iterator[_Vertex]:
    """Give the vertices of a path with the directions markers take there (SVG 2, 13.7.4)."""
    n = len(path)
    if n:
        leave = directions(path.control, np.zeros(n))
        reach = directions(path.control, np.ones(n))
    for part, closed in path.subpaths():
        numbers = range(part.start, part.stop)
        last = part.stop - 1
        for number in numbers:
            if number == part.start or path.knots[number - 1]:
                come = reach[number - 1] if number > part.start else None
                if number == part.start and closed:
                    come = reach[last]
                yield _vertex(path.control[number, 0], come, leave[number])
        yield _vertex(path.control[last, 3], reach[last], leave[part.start] if closed else None)
    for x, y in path.lone.tolist():
        yield _Vertex(x, y, 0.0)


def _vertex(point: np.ndarray, come: np.ndarray | None, go: np.ndarray | None) -> _Vertex:
    unsure = False
    if come is not None and go is not None:
        a, b = math.atan2(come[1], come[0]), math.atan2(go[1], go[0])
        # half way between both, on the shorter side; where the path turns back on the spot both sides
        # are as short, and viewers take the mean: of angles from 0 to 360 degrees, or from -180 to 180.
        # These are the same for a path that goes level alone
        turn = (b - a + math.pi) % (2 * math.pi) - math.pi
        angle = a + turn / 2
        if math.pi - abs(turn) < _BACK_RAD:
            unsure = come[1] != 0 or go[1] != 0
            angle = math.pi / 2
    else:
        way = come if come is not None else go
        assert way is not None
        angle = math.atan2(way[1], way[0])
    return _Vertex(float(point[0]), float(point[1]), math.degrees(angle), unsure)
