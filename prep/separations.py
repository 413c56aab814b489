"""From painted shapes to what is visible of each colour."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import MultiPolygon

from prep.cracks import without_cracks
from prep.digest import digest_of
from prep.errors import OurFault
from prep.geometry_faults import in_words, place, placed_on_fault
from prep.knock_out import KnockOutFailed, knock_out
from prep.spot_check import astray

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

    On every artwork the areas of the separations are summed and held against the area of all shapes
    united, which is worked out apart from them: area that was lost, or shows in two colours, is told.
    Where errors cancel the sums still agree; so a point of each part of each shape and separation is
    looked at, too (:mod:`prep.spot_check`). What neither sees is an error that cancels and meets none of
    these points.

    :raises OurFault: when the two areas differ, a point doesn't show what was painted last, or the
        geometry library fails on a colour, on a grid too
    """
    if not artwork.shapes:
        return ()
    regions = np.array([shape.region for shape in artwork.shapes], dtype=object)
    names = [shape.colour for shape in artwork.shapes]
    colours = list(dict.fromkeys(names))
    codes = np.array([colours.index(name) for name in names])
    # where edges all but coincide, a union may lose a part; on a grid it is complete
    for grid_mm in (None, _GRID_MM):
        try:
            layers = knock_out(regions, codes, len(colours), grid_mm)
        except KnockOutFailed as failed:
            where = f"{colours[failed.code]}, {place(failed.bounds_mm)}"
            wrong = f"{where}: {in_words(failed.error)}"
            continue
        with placed_on_fault(lambda: artwork.name):
            wrong = _wrong(layers, regions, codes, colours, grid_mm)
        if not wrong:
            break
    else:
        raise OurFault(f"{artwork.name}: {wrong}; please report this with the file")
    shown = []
    for colour, layer in zip(colours, layers, strict=True):
        with placed_on_fault(partial("{}: {}".format, artwork.name, colour)):
            shown.append(without_cracks(layer))
    return tuple(
        Separation(colour, layer, names.index(colour))
        for colour, layer in zip(colours, shown, strict=True)
        if not layer.is_empty
    )


def _wrong(
    layers: Sequence[MultiPolygon],
    regions: NDArray[np.object_],
    codes: NDArray[np.int64],
    colours: Sequence[str],
    grid_mm: float | None,
) -> str:
    """Say what is wrong with the layers; empty if nothing is."""
    sums = _Sums.of(layers, regions, grid_mm)
    if not sums.agree:
        return (
            f"the colours add up to {sums.shown_mm2:.6f} mm², but the shapes cover "
            f"{sums.covered_mm2:.6f} mm²"
        )
    found = astray(layers, regions, codes)
    if found is None:
        return ""
    shown = " and ".join(colours[number] for number in found.shown) or "nothing"
    expected = "nothing" if found.expected < 0 else colours[found.expected]
    return f"at {found.x_mm:.3f}, {found.y_mm:.3f} mm {shown} shows in place of {expected}"


@dataclass(frozen=True, slots=True)
class _Sums:
    """What the layers show together, and what the shapes cover.

    :param slack_mm2: by how much the two may differ. On a sheet of at most 5 m a crossing is rounded by
        some 1e-12 mm, which over a kilometre of edges makes 1e-9 mm²; slivers below 1e-9 mm² are
        dropped, and a thousand of these make 1e-6 mm², the area of a dot a thousandth of a millimetre
        wide. Adding up 100,000 corners rounds by some 1e-11 of the area; 1e-9 leaves room. On a grid
        each edge may move by half a cell to either side.
    """

    shown_mm2: float
    covered_mm2: float
    slack_mm2: float

    @property
    def agree(self) -> bool:
        """Whether nothing is lost and nothing shows twice, but for errors that cancel."""
        return abs(self.shown_mm2 - self.covered_mm2) <= self.slack_mm2

    @classmethod
    def of(
        cls,
        layers: Sequence[MultiPolygon],
        regions: NDArray[np.object_],
        grid_mm: float | None = None,
    ) -> _Sums:
        """Add up the layers, and unite the shapes."""
        covered = float(shapely.union_all(regions, grid_size=grid_mm).area)
        slack = _AREA_ABSOLUTE_MM2 + _AREA_RELATIVE * covered
        if grid_mm is not None:
            slack += grid_mm * float(sum(layer.length for layer in layers))
        return cls(float(sum(layer.area for layer in layers)), covered, slack)
