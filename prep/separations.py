"""From painted shapes to what is visible of each colour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import MultiPolygon

from prep.digest import digest_of
from prep.errors import OurFault
from prep.knock_out import knock_out

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from prep.artwork import Artwork

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
    layers = knock_out(regions, codes, len(colours))
    if not _adds_up(layers, regions):
        # where edges all but coincide, a union may lose a part; on a grid it is complete
        layers = knock_out(regions, codes, len(colours), _GRID_MM)
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
