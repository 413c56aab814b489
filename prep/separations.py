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
    separations = tuple(
        Separation(colour, layer, names.index(colour))
        for colour, layer in zip(colours, layers, strict=True)
        if not layer.is_empty
    )
    _check_areas(artwork.name, [s.region for s in separations], regions)
    return separations


def _knock_out(
    regions: NDArray[np.object_], codes: NDArray[np.int64], count: int
) -> list[MultiPolygon]:
    """Subtract from each shape the shapes above it that touch it and have another colour."""
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
        cover = regions[above[0]] if len(above) == 1 else shapely.union_all(regions[above])
        visible[shape] = shapely.difference(regions[shape], cover)
    return [_tidy(shapely.union_all(visible[codes == code])) for code in range(count)]


def _tidy(geometry: shapely.Geometry) -> MultiPolygon:
    """Keep the areas of a geometry, without parts and holes too small to have been drawn."""
    parts = shapely.get_parts(shapely.get_parts(geometry))
    parts = parts[(shapely.get_type_id(parts) == 3) & (shapely.area(parts) >= _SLIVER_MM2)]
    kept = []
    for part in parts:
        holes = [hole for hole in part.interiors if Polygon(hole).area >= _SLIVER_MM2]
        kept.append(part if len(holes) == len(part.interiors) else Polygon(part.exterior, holes))
    return MultiPolygon(kept)


def _check_areas(name: str, layers: Sequence[MultiPolygon], regions: NDArray[np.object_]) -> None:
    total = float(sum(layer.area for layer in layers))
    covered = float(shapely.union_all(regions).area)
    if abs(total - covered) > _AREA_ABSOLUTE_MM2 + _AREA_RELATIVE * covered:
        raise OurFault(
            f"{name}: the separated colours cover {total:.6f} mm² but the shapes cover "
            f"{covered:.6f} mm²; please keep the file and report this"
        )
