"""From painted shapes to what is visible of each colour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from prep.digest import digest_of
from prep.errors import OurFault

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from prep.artwork import Artwork

_SLIVER_MM2 = 1e-9  # parts and holes this small are rounding, not drawing
_AREA_RELATIVE = 1e-9
_AREA_ABSOLUTE_MM2 = 1e-6
_GRID_MM = 1e-7  # far below the flattening


@dataclass(frozen=True, slots=True, eq=False)
class Separation:
    """What shows of one colour.

    :param colour: ``#rrggbb``
    :param region: one valid MultiPolygon in mm; no two separations overlap
    :param painted: place of its lowest shape in the paint order, 0 = painted first
    """

    colour: str
    region: MultiPolygon
    painted: int

    def digest(self) -> str:
        """Digest of colour, region and place in the paint order."""
        return digest_of((self.colour, self.region, self.painted))


def separate(artwork: Artwork) -> tuple[Separation, ...]:
    """Give what is visible of each colour, in the order the colours are first painted.

    A shape hides what lies below it, as paint does. Shapes of one colour are merged; a colour that
    is wholly hidden has no separation. Parts and holes below 1e-9 mm² are dropped as rounding.

    :raises OurFault: when the separations together don't cover exactly what the shapes cover
    """
    if not artwork.shapes:
        return ()
    regions = np.array([shape.region for shape in artwork.shapes], dtype=object)
    names = [shape.colour for shape in artwork.shapes]
    colours = list(dict.fromkeys(names))
    codes = np.array([colours.index(name) for name in names])
    layers = _knock_out(regions, codes, len(colours))
    if not _adds_up(layers, regions):
        # where edges all but coincide, a union may lose a part; on a grid it is complete
        layers = _knock_out(regions, codes, len(colours), _GRID_MM)
        if not _adds_up(layers, regions, _GRID_MM):
            raise OurFault(
                f"{artwork.name}: the separated colours don't cover what the shapes cover; "
                "please keep the file and report this"
            )
    return tuple(
        Separation(colour, layer, names.index(colour))
        for colour, layer in zip(colours, layers, strict=True)
        if not layer.is_empty
    )


def _knock_out(
    regions: NDArray[np.object_],
    codes: NDArray[np.int64],
    count: int,
    grid_mm: float | None = None,
) -> list[MultiPolygon]:
    """Subtract from each shape the shapes above it that touch it and have another colour.

    :param grid_mm: grid the corners are rounded to; None leaves them as they are
    """
    tree = shapely.STRtree(regions)
    low, high = tree.query(regions, predicate="intersects")
    over = (high > low) & (codes[high] != codes[low])
    low, high = low[over], high[over]
    order = np.argsort(low, kind="stable")
    low, high = low[order], high[order]
    visible = regions.copy()
    covered, starts = np.unique(low, return_index=True)
    groups = np.split(high, starts[1:]) if len(covered) else []  # an empty split is one group
    for shape, above in zip(covered, groups, strict=True):
        cover = (
            regions[above[0]]
            if len(above) == 1
            else shapely.union_all(regions[above], grid_size=grid_mm)
        )
        visible[shape] = shapely.difference(regions[shape], cover, grid_size=grid_mm)
    return [
        _tidy(shapely.union_all(visible[codes == code], grid_size=grid_mm)) for code in range(count)
    ]


def _tidy(geometry: shapely.Geometry) -> MultiPolygon:
    """Keep the areas of a geometry, without parts and holes too small to have been drawn."""
    parts = shapely.get_parts(shapely.get_parts(geometry))
    parts = parts[(shapely.get_type_id(parts) == 3) & (shapely.area(parts) >= _SLIVER_MM2)]
    kept = []
    for part in parts:
        holes = [hole for hole in part.interiors if Polygon(hole).area >= _SLIVER_MM2]
        kept.append(part if len(holes) == len(part.interiors) else Polygon(part.exterior, holes))
    return MultiPolygon(kept)


def _adds_up(
    layers: Sequence[MultiPolygon], regions: NDArray[np.object_], grid_mm: float | None = None
) -> bool:
    """Say whether the layers together cover as much as the shapes do."""
    total = float(sum(layer.area for layer in layers))
    union = shapely.union_all(regions, grid_size=grid_mm)
    covered = float(union.area)
    slack = _AREA_ABSOLUTE_MM2 + _AREA_RELATIVE * covered
    if grid_mm is not None:
        slack += grid_mm * float(sum(layer.length for layer in layers))
    return abs(total - covered) <= slack
