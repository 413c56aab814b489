"""Regions to time the measures on: made here, the same every time, and layers of real drawings."""

from __future__ import annotations

import functools
import json
import math
from pathlib import Path

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

_BOARD_MM = 300.0
_CORNERS = 60
_MAP_WIDTH_MM = 280.0
_ART_WIDTH_MM = 280.0


def blobs(vertices: int) -> MultiPolygon:
    """Give wavy blobs in a grid over 300 mm, every third with a hole; more vertices, finer detail.

    Gaps and necks run from nothing to the blob's size.
    """
    random = np.random.default_rng(5)
    side = blobs_a_side(vertices)
    step = _BOARD_MM / side
    turn = np.linspace(0, 2 * math.pi, _CORNERS, endpoint=False)
    shapes = []
    for k in range(side * side):
        centre = np.array([k % side + 0.5, k // side + 0.5]) * step
        waves, phase, depth = random.integers(2, 7), random.uniform(0, 6.3), random.uniform(0, 0.35)
        radius = (
            step * random.uniform(0.3, 0.49) * (1 - depth + depth * np.sin(waves * turn + phase))
        )
        ring = centre + radius[:, None] * np.stack([np.cos(turn), np.sin(turn)], axis=1)
        hole = centre + (ring - centre) * random.uniform(0.2, 0.8)
        shapes.append(Polygon(ring, [hole] if k % 3 == 0 else None))
    return MultiPolygon(shapes)


def blobs_a_side(vertices: int) -> int:
    """Give how many blobs stand in a row."""
    return max(1, round(math.sqrt(vertices / (_CORNERS * 4 / 3))))


def spiral(vertices: int) -> MultiPolygon:
    """Give a line 0.5 wide wound up, 0.4 apart, both edges flattened far finer than needed."""
    turn = np.linspace(0, 2 * math.pi * 10, vertices // 2)
    radius = 2 + 0.9 * turn / (2 * math.pi)
    way = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    outer, inner = way * (radius + 0.25)[:, None], way * (radius - 0.25)[:, None]
    return MultiPolygon([Polygon(np.concatenate([outer, inner[::-1]]))])


def coast(vertices: int) -> MultiPolygon:
    """Give ragged islands, each edge broken again and again at random: spikes, fjords, slivers."""
    random = np.random.default_rng(11)
    islands: list[Polygon] = []
    each = min(4000, vertices)
    for k in range(max(1, vertices // each)):
        turn = np.linspace(0, 2 * math.pi, 12, endpoint=False)
        way = np.stack([np.cos(turn), np.sin(turn)], axis=1)
        points = 16 * random.uniform(0.6, 1, 12)[:, None] * way
        while len(points) < each:
            ahead = np.roll(points, -1, axis=0)
            edge = ahead - points
            across = np.stack([-edge[:, 1], edge[:, 0]], axis=1)
            off = across * random.normal(0, 0.16, len(points))[:, None]
            points = np.stack([points, (points + ahead) / 2 + off], axis=1).reshape(-1, 2)
        island = shapely.make_valid(Polygon(points + np.array([k % 6, k // 6]) * 42.0))
        islands += [p for p in shapely.get_parts(island) if p.geom_type == "Polygon"]
    return MultiPolygon(islands)


def land(file: Path, straying_mm: float) -> MultiPolygon:
    """Give the world's land 280 mm wide, longitude and latitude taken as they are.

    :param file: ``land-10m.json`` as fetch_map.py lays it down (TopoJSON: arcs as differences of
        whole numbers; a ring is a run of arcs, ~n being arc n backwards)
    :param straying_mm: the coast is simplified by so much, as a drawing of this size would be
    """
    topology = json.loads(file.read_text(encoding="utf-8"))
    scale, move = (np.array(topology["transform"][k]) for k in ("scale", "translate"))
    arcs = [np.cumsum(arc, axis=0) * scale + move for arc in topology["arcs"]]

    def ring(numbers: list[int]) -> np.ndarray:
        runs = [arcs[n] if n >= 0 else arcs[~n][::-1] for n in numbers]
        return np.concatenate([runs[0], *(run[1:] for run in runs[1:])])

    (whole,) = topology["objects"]["land"]["geometries"]
    parts = [
        Polygon(ring(shell), [ring(hole) for hole in holes]) for shell, *holes in whole["arcs"]
    ]
    drawn = shapely.transform(
        np.array(parts, dtype=object), lambda xy: (xy * (1, -1) + (180, 90)) * _MAP_WIDTH_MM / 360
    )
    joined = shapely.union_all(shapely.make_valid(drawn)).simplify(straying_mm)
    return MultiPolygon([p for p in shapely.get_parts(joined) if p.geom_type == "Polygon"])


@functools.cache
def layers(file: Path) -> dict[str, MultiPolygon]:
    """Give the separations of a drawing, printed 280 mm wide, by colour."""
    from prep.artwork import PrintSize
    from prep.separations import separate
    from prep.svg import read_svg

    art = read_svg(file.read_bytes(), name=file.name, size=PrintSize(width_mm=_ART_WIDTH_MM))
    return {one.colour: one.region for one in separate(art)}


def vertices_of(region: shapely.Geometry) -> int:
    """Give how many edges, hence how many different vertices, a region has."""
    return int(
        shapely.get_num_coordinates(region) - len(shapely.get_rings(shapely.get_parts(region)))
    )
