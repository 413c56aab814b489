"""How much room lies beside a detail, straight across from it: what thickening it would take from."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon

from prep.remembered import remembered
from prep_fill_in.judge import Floats, Ints

_ROUND_WAYS = 8
_SAME_MM = 1e-6
_FAR_MM = 12.0


@remembered(kept=64)
def beside_mm(region: MultiPolygon, at_mm: Floats, width_mm: Floats, *, round_: bool) -> Floats:
    """Give how wide what lies beside each detail is: film beside openings, openings beside film.

    A narrow place is looked at across, on both sides; what is small all over in eight directions. From
    the second edge met back to the first.

    :param region: openings in mm
    :param at_mm: (N, 2) middles
    :param width_mm: (N,)
    :param round_: small all over
    :return: (N,) the narrower side; infinite where nothing is met within 12 mm
    """
    count = len(at_mm)
    found = np.full(count, np.inf)
    rings = shapely.get_rings(shapely.get_parts(region))
    if not count or not len(rings):
        return found
    tree = shapely.STRtree(rings)
    ways = _ways(tree, at_mm, round_=round_)
    each = ways.shape[1]
    start = np.repeat(at_mm, each, axis=0)
    end = start + ways.reshape(-1, 2) * (_FAR_MM + np.repeat(width_mm, each))[:, None]
    rays = np.asarray(shapely.linestrings(np.stack([start, end], axis=1)), dtype=object)
    ray, ring = tree.query(rays, predicate="intersects")
    met = shapely.intersection(rays[ray], rings[ring])
    points, of = shapely.get_coordinates(met, return_index=True)
    of_ray = ray[of]
    distance = np.hypot(*(points - start[of_ray]).T)
    order = np.lexsort((distance, of_ray))
    of_ray, distance = of_ray[order], distance[order]
    new = np.r_[True, (np.diff(of_ray) != 0) | (np.diff(distance) > _SAME_MM)][: len(order)]
    of_ray, distance = of_ray[new], distance[new]
    first = np.r_[True, np.diff(of_ray) != 0][: len(of_ray)]
    second = np.flatnonzero(np.r_[False, first[:-1]] & ~first)
    np.minimum.at(found, of_ray[second] // each, distance[second] - distance[second - 1])
    return found


def _ways(tree: shapely.STRtree, at_mm: Floats, *, round_: bool) -> NDArray[np.float64]:
    """Give unit vectors in which to look, (N, W, 2)."""
    if round_:
        turn = np.arange(_ROUND_WAYS) * 2.0 * np.pi / _ROUND_WAYS
        around = np.stack([np.cos(turn), np.sin(turn)], axis=1)
        return np.broadcast_to(around, (len(at_mm), _ROUND_WAYS, 2))
    points = np.asarray(shapely.get_parts(shapely.multipoints(at_mm)), dtype=object)
    nearest: Ints = tree.query_nearest(points, all_matches=False)[1]
    ends = shapely.get_coordinates(shapely.shortest_line(points, tree.geometries[nearest]))
    across = ends[1::2] - ends[::2]
    length = np.hypot(*across.T)
    across = np.where(
        length[:, None] > _SAME_MM, across / np.maximum(length, _SAME_MM)[:, None], [1, 0]
    )
    return np.stack([across, -across], axis=1)
