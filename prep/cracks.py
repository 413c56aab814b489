"""Lines without width that rounding leaves where outlines coincide, and how narrow nobody draws."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import MultiPolygon

from prep.errors import OurFault
from prep.remembered import remembered

CRACK_MM = 1e-6
"""Narrower than this, a slit or a strip is but what rounding left. Far below the flattening."""
HAIRLINE_MM = 0.3
"""What is wider is taken as drawn. Guess: under it no film can be weeded and few meshes print."""
_CHANGED_MM = 1e-3  # of outline, by which it shows that a layer had such cracks
_AREA_MM2 = 1e-6


@remembered(kept=64)
def without_cracks(layer: MultiPolygon) -> MultiPolygon:
    """Take away lines without width that shared outlines leave, and close slits.

    Where two shapes are cut by one outline, rounding can leave a corridor of some 1e-13 mm along it,
    which a knife would follow. On a grid of a thousandth of a micrometre such corridors vanish. A layer
    that has none is left as it is; what the others lose is held to the grid's own share.

    :raises OurFault: more than that was lost
    """
    layer = _without_hairs(layer)
    snapped = shapely.set_precision(layer, CRACK_MM)
    if abs(snapped.length - layer.length) <= _CHANGED_MM:
        return layer
    if abs(snapped.area - layer.area) > _AREA_MM2 + CRACK_MM * layer.length:
        raise OurFault(
            f"taking cracks from a layer changes it from {layer.area:.6f} to {snapped.area:.6f} mm²;"
            " please report this with the file"
        )
    parts = [p for p in shapely.get_parts(snapped) if isinstance(p, shapely.Polygon)]
    return _without_hairs(MultiPolygon(parts))


def _without_hairs(layer: MultiPolygon) -> MultiPolygon:
    """Take away parts and holes that are no wider, on average, than the grid lets them be."""
    rings, of = shapely.get_rings(shapely.get_parts(layer), return_index=True)
    area = shapely.area(shapely.polygons(rings))
    hair = area <= CRACK_MM * shapely.length(rings)  # twice the area by the length is the width
    if not hair.any():
        return layer
    kept = []
    for number in np.unique(of):
        own = np.flatnonzero(of == number)
        if not hair[own[0]]:
            kept.append(shapely.Polygon(rings[own[0]], list(rings[own[1:]][~hair[own[1:]]])))
    made = MultiPolygon(kept)
    if made.is_valid:
        return made
    merged = shapely.union_all(kept, grid_size=CRACK_MM)  # a part lay in a hole that went
    return MultiPolygon([p for p in shapely.get_parts(merged) if isinstance(p, shapely.Polygon)])
