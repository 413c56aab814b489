"""The finest strip by trying every pair and every three of a small polygon's edges and corners.

Nothing here is shared with the program: all discs that touch three sites are solved for in closed
form, all chords square to the edge at both ends are listed, and each is checked against the whole
edge.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import shapely

Disc = tuple[float, float, float]


def finest(region: shapely.Geometry, *, film: bool, below: float) -> float | None:
    """Give the least local width (separation angle 120° or more) that isn't the end of a tip.

    A piece without one is as wide as its largest disc.
    """
    edges = []
    for polygon in shapely.get_parts(shapely.orient_polygons(region)):
        for ring in (polygon.exterior, *polygon.interiors):
            points = np.array(ring.coords)[:: -1 if film else 1]
            edges += [(points[k], points[k + 1]) for k in range(len(points) - 1)]
    start = np.array([e[0] for e in edges])
    end = np.array([e[1] for e in edges])
    discs = _opposite(start, end) + _of_three(start, end, below)
    discs = [d for d in discs if 1e-9 < 2 * d[2] < below]
    inside = shapely.contains_xy(region, np.array(discs).reshape(-1, 3)[:, :2])
    discs = [d for d, within in zip(discs, inside, strict=True) if within != film]
    counted = [d for d in discs if _counts(*d, start, end)]
    pieces = shapely.get_parts(region)
    if film:
        filled = shapely.union_all(shapely.polygons(shapely.get_exterior_ring(pieces)))
        pieces = shapely.get_parts(filled.difference(region))
    pieces = pieces[(shapely.get_type_id(pieces) == 3) & (shapely.area(pieces) > 0)]
    at = shapely.points(np.array(counted).reshape(-1, 3)[:, :2])
    alone = pieces[[not shapely.dwithin(at, piece, 1e-6).any() for piece in pieces]]
    largest = 2 * shapely.length(shapely.maximum_inscribed_circle(alone, 1e-7))
    found = [*(2 * d[2] for d in counted), *largest[largest < below].tolist()]
    return min(found, default=None)


def _contacts(x: float, y: float, start: np.ndarray, end: np.ndarray) -> np.ndarray:
    along = end - start
    share = ((np.array([x, y]) - start) * along).sum(axis=1) / (along**2).sum(axis=1)
    return start + along * np.clip(share, 0, 1)[:, None] - (x, y)


def _counts(x: float, y: float, r: float, start: np.ndarray, end: np.ndarray) -> bool:
    """Say whether a disc is empty and stands where the local width is least.

    Between two neighbouring contacts a branch of the axis leaves; the width falls along it when
    they are less than half a turn apart. It counts along that branch when they are 120° apart or
    more, so none such may leave, and some two contacts must be 120° apart or more. Two opposite
    contacts always do.
    """
    to = _contacts(x, y, start, end)
    distance = np.hypot(*to.T)
    if abs(distance.min() - r) > 1e-8:
        return False
    touching = np.flatnonzero(distance < r + 1e-8)
    angles = sorted({round(math.atan2(to[k][1], to[k][0]), 6) for k in touching})
    apart = [abs(a - b) for a, b in itertools.combinations(angles, 2)]
    apart = [min(d, 2 * math.pi - d) for d in apart]
    if not apart or max(apart) < math.radians(120):
        return False
    if max(apart) > math.pi - 1e-5:
        return True
    gaps = [b - a for a, b in itertools.pairwise([*angles, angles[0] + 2 * math.pi])]
    near = [g for g in gaps if g < math.pi]
    # two contacts on one curve: there the width ceases to count, and goes on falling
    return max(near) < math.radians(120) and min(near) > math.radians(30)


def _opposite(start: np.ndarray, end: np.ndarray) -> list[Disc]:
    """Give discs on chords from a corner to a corner or square to an edge."""
    discs = []
    for k, corner in enumerate(start):
        feet = _contacts(*corner, start, end) + corner
        discs += [(*(corner + foot) / 2, math.dist(corner, foot) / 2) for foot in feet]
        discs += [(*(corner + other) / 2, math.dist(corner, other) / 2) for other in start[k + 1 :]]
    return discs


def _of_three(start: np.ndarray, end: np.ndarray, below: float) -> list[Disc]:
    """Give the discs that touch three sites, each a line on its asked side or a corner."""
    along = (end - start) / np.hypot(*(end - start).T)[:, None]
    normal = np.stack([-along[:, 1], along[:, 0]], axis=1)
    lines = [("line", normal[k], float(normal[k] @ start[k])) for k in range(len(start))]
    corners = [("corner", start[k], 0.0) for k in range(len(start))]
    discs: list[Disc] = []
    for three in itertools.combinations([*lines, *corners], 3):
        flat = [s for s in three if s[0] == "line"]
        round_ = [s[1] for s in three if s[0] == "corner"]
        # every site gives one equation: line n·x - r = c; corner |x|² - 2 p·x + |p|² = r²
        rows = [[*n, -1.0, c] for _, n, c in flat]
        rows += [
            [*(2 * (round_[m] - round_[0])), 0.0, round_[m] @ round_[m] - round_[0] @ round_[0]]
            for m in range(1, len(round_))
        ]
        system = np.array(rows)
        if len(round_) == 0:
            if abs(np.linalg.det(system[:, :3])) > 1e-9:
                discs.append(tuple(np.linalg.solve(system[:, :3], system[:, 3])))
            continue
        if len(system) != 2:
            continue
        way = np.cross(system[0, :3], system[1, :3])
        if np.linalg.norm(way) < 1e-9:
            continue
        way /= np.linalg.norm(way)
        base = np.linalg.lstsq(system[:, :3], system[:, 3], rcond=None)[0]
        # |x - p|² = r² along base + s way
        off = base[:2] - round_[0]
        a = way[:2] @ way[:2] - way[2] ** 2
        b = 2 * (off @ way[:2] - base[2] * way[2])
        c = off @ off - base[2] ** 2
        if len(round_) == 3:
            continue
        roots = np.roots([a, b, c]) if abs(a) > 1e-12 else np.array([-c / b]) if b else []
        discs += [tuple(base + s.real * way) for s in roots if abs(s.imag) < 1e-9]
    three_corners = itertools.combinations(start, 3)
    discs += [d for d in map(_through, three_corners) if d is not None]
    return [d for d in discs if 0 < d[2] <= below / 2]


def _through(points: tuple[np.ndarray, ...]) -> Disc | None:
    p, q, s = points
    system = np.array([2 * (q - p), 2 * (s - p)])
    if abs(np.linalg.det(system)) < 1e-12:
        return None
    x, y = np.linalg.solve(system, [q @ q - p @ p, s @ s - p @ p])
    return float(x), float(y), math.dist((x, y), p)
