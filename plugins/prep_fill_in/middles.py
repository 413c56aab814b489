"""The middles of narrow parts: centres of the largest discs in them, drawn together to lines."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from prep.measures.edges import edges_of, simplified_rings
from prep.measures.shrinking import ROUND_DEG, Shrinking, seen_apart
from prep_fill_in.narrow import Floats, Geometries, Ints, holding

STEP_MM = 0.1
_FACING_DEG = 120.0
"""A disc counts where two of its contacts lie so far apart, as in measuring."""
_FAN_DEG = 10.0
_STRAYS_MM = 0.001
"""By how much a middle is drawn simpler than it was found."""
_FAR = 3.0
"""Centres farther from each other than so many steps are of different stretches."""


def middles_of(
    whole: Geometries, parts: Geometries, least_mm: Floats, below_mm: float
) -> Geometries:
    """Give the middle of each narrow part of a region, as far as it is narrower than a width.

    :param whole: polygons of the region, mm
    :param parts: (N,) its narrow parts
    :param least_mm: (N,) what is narrower in a part is left out, as the tip of a needle
    :return: (N,) points and lines; empty where there are none
    """
    found = np.full(len(parts), shapely.MultiPoint(), dtype=object)
    rings = simplified_rings(shapely.get_rings(shapely.orient_polygons(whole)))
    edges = edges_of(rings, STEP_MM, fan_deg=_FAN_DEG)
    every = (edges.start + edges.end) / 2.0
    near, _ = shapely.STRtree(parts).query(
        shapely.points(every), predicate="dwithin", distance=below_mm
    )
    near = np.unique(near)
    if not len(near):
        return found
    discs, at, inward = Shrinking.along(edges), every[near], edges.inward[near]
    most = np.full(len(near), 0.55 * below_mm)
    radius, held_by = discs.shrink(near, at, most, least_deg=ROUND_DEG)
    centre = at + inward * radius[:, None]
    apart = np.where(held_by >= 0, seen_apart(edges, centre, radius, held_by, inward), 0.0)
    apart = np.maximum(apart, discs.across(centre, radius, inward))
    # discs that reach in from the broad cover a part's mouth, and its middle goes on there
    part = holding(parts, centre, below_mm)
    counts = (apart >= _FACING_DEG) & (2.0 * radius < below_mm) & (part >= 0)
    counts[counts] &= 2.0 * radius[counts] >= least_mm[part[counts]] - 2e-3
    lines, of_line = _joined(near, edges.after, centre, part, counts)
    points = shapely.points(centre[counts])
    for number in np.unique(part[counts]).tolist():
        drawn = shapely.line_merge(shapely.MultiLineString(lines[of_line == number].tolist()))
        light = shapely.simplify(shapely.get_parts(drawn), _STRAYS_MM, preserve_topology=False)
        single = points[part[counts] == number]
        single = single[shapely.distance(drawn, single) > STEP_MM] if len(light) else single[:1]
        found[number] = shapely.GeometryCollection([*light, *single])
    return found


def _joined(
    near: Ints, after: Ints, centre: Floats, part: Ints, counts: NDArray[np.bool_]
) -> tuple[Geometries, Ints]:
    """Give lines from each centre to that of the next sample along the edge, with their parts."""
    here = np.flatnonzero(counts)
    row = np.searchsorted(near, after[near[here]])
    row = np.minimum(row, len(near) - 1)
    goes_on = (near[row] == after[near[here]]) & counts[row] & (part[row] == part[here])
    goes_on &= np.hypot(*(centre[row] - centre[here]).T) <= _FAR * STEP_MM
    here, row = here[goes_on], row[goes_on]
    lines = shapely.linestrings(np.stack([centre[here], centre[row]], axis=1))
    return np.asarray(lines, dtype=object), part[here]
