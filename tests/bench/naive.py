"""Plain ways to do what the reader and the separation do, to compare with.

Reading: svgelements parses the drawing and gives paths; these are flattened to the tolerance ours keeps,
each ring becomes a shapely polygon, rings are put together by the even-odd rule, strokes are buffers.
Separating: from the top down, each shape is cut by a cover that grows by it; or, by KLayout's booleans,
halves of the paint order are separated and put together, half over half.
"""

from __future__ import annotations

import io

import klayout.db as kdb
import numpy as np
import shapely
import svgelements
from shapely import MultiPolygon

from prep.artwork import Artwork
from tests.bench.measuring import GRID_MM, klayout_region

Painted = list[tuple[str, shapely.Geometry]]
_CAPS = {"butt": "flat", "round": "round", "square": "square"}
_JOINS = {"miter": "mitre", "round": "round", "bevel": "bevel"}


def read(data: bytes, width_mm: float, tolerance_mm: float) -> Painted:
    """Read a drawing with svgelements: colours and regions in mm, bottom first."""
    svg = svgelements.SVG.parse(io.BytesIO(data), reify=True)
    scale = width_mm / float(svg.width)
    painted: Painted = []
    for element in svg.elements():
        if not isinstance(element, svgelements.Shape):
            continue
        if str(element.values.get("visibility", "visible")) != "visible":
            continue
        lines = _lines(abs(svgelements.Path(element)), scale, tolerance_mm)
        if element.fill.value is not None:
            region: shapely.Geometry = MultiPolygon()
            for line in lines:
                if len(line) > 2:
                    ring = shapely.make_valid(shapely.Polygon(line))
                    region = shapely.symmetric_difference(region, ring)
            painted.append((element.fill.hex, region))
        if element.stroke.value is not None and element.stroke_width:
            half = float(element.stroke_width) * scale / 2
            steps = int(np.ceil(np.pi / 4 / np.arccos(max(1 - tolerance_mm / half, 0.5))))
            region = shapely.union_all(
                [
                    shapely.buffer(
                        shapely.LineString(line),
                        half,
                        quad_segs=steps,
                        cap_style=_CAPS[element.values.get("stroke-linecap", "butt")],
                        join_style=_JOINS[element.values.get("stroke-linejoin", "miter")],
                        mitre_limit=float(element.values.get("stroke-miterlimit", 4)),
                    )
                    for line in lines
                    if len(line) > 1
                ]
            )
            painted.append((element.stroke.hex, region))
    return painted


def _lines(path: svgelements.Path, scale: float, tolerance_mm: float) -> list[np.ndarray]:
    """Flatten the sub-paths of a path, in mm."""
    path.approximate_arcs_with_cubics()
    lines: list[np.ndarray] = []
    for part in path.as_subpaths():
        points: list[np.ndarray] = []
        for segment in part:
            if segment.end is None or segment.start is None:
                continue
            if isinstance(segment, svgelements.CubicBezier | svgelements.QuadraticBezier):
                corners = np.array([[p.x, p.y] for p in segment]) * scale
                bend = np.hypot(*np.diff(corners, 2, axis=0).T).max()
                order = len(corners) - 1
                number = np.sqrt(order * (order - 1) / 8 * bend / tolerance_mm)
                steps = np.linspace(0, 1, max(1, int(np.ceil(number))) + 1)[1:]
                points.append(np.array(segment.npoint(steps)) * scale)
            else:
                points.append(np.array([[segment.end.x, segment.end.y]]) * scale)
        first = part[0].end
        lines.append(np.concatenate([np.array([[first.x, first.y]]) * scale, *points]))
    return lines


def separated(painted: Painted, page: shapely.Geometry | None = None) -> dict[str, float]:
    """Separate by a growing cover; give each colour's visible area in mm².

    :param page: what shows; None for all
    """
    cover: shapely.Geometry = MultiPolygon()
    seen: dict[str, list[shapely.Geometry]] = {}
    for colour, region in reversed(painted):
        seen.setdefault(colour, []).append(shapely.difference(region, cover))
        cover = shapely.union(cover, region)
    areas = {}
    for colour, parts in seen.items():
        layer = shapely.union_all(parts)
        areas[colour] = (layer if page is None else shapely.intersection(layer, page)).area
    return {colour: area for colour, area in areas.items() if area > 0}


def painted_of(artwork: Artwork) -> Painted:
    """Give an artwork's shapes."""
    return [(shape.colour, shape.region) for shape in artwork.shapes]


def separated_by_klayout(painted: Painted) -> dict[str, float]:
    """Separate by KLayout's booleans, half over half; give each colour's visible area in mm²."""
    layers = _halves([(colour, klayout_region(region)) for colour, region in painted])
    return {
        colour: area
        for colour, layer in layers.items()
        if (area := layer.merged().area() * GRID_MM**2) > 0
    }


def _halves(painted: list[tuple[str, kdb.Region]]) -> dict[str, kdb.Region]:
    if len(painted) == 1:
        return dict(painted)
    middle = len(painted) // 2
    lower, upper = _halves(painted[:middle]), _halves(painted[middle:])
    for colour, layer in lower.items():
        above = kdb.Region()
        for other, over in upper.items():
            if other != colour:
                above += over
        left = layer - above
        upper_same = upper.get(colour)
        lower[colour] = left if upper_same is None else (left + upper_same).merged()
    return {**upper, **lower}
