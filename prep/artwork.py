"""Artwork as it was read: painted shapes in paint order, in millimetres, y downwards."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import MultiPolygon

from prep.digest import digest_of


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """One painted shape.

    :param region: what it paints, valid, in mm, y downwards, curves flattened
    :param colour: ``#rrggbb`` in lower case
    :param source: how to find its element in the drawing: ``path "mast", line 12``
    """

    region: MultiPolygon
    colour: str
    source: str


@dataclass(frozen=True, slots=True)
class PrintSize:
    """The size asked for by the order; ``None`` leaves it to the other side or to the file."""

    width_mm: float | None = None
    height_mm: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Artwork:
    """A drawing read faithfully.

    :param name: file name without folder, for messages
    :param width_mm: width of the artboard; shapes are cut off at its edge
    :param height_mm: height of the artboard
    :param shapes: painted shapes, bottom first
    :param flattening_mm: largest distance between a curve and the polygon that stands for it
    :param notes: what the printer should know of the reading, whole sentences
    :param size_assumed: true when no one said how large the print is and 96 units to the inch
        were taken; every sheet says so
    :param tints: colours that only tints made solid have, among them some that may be hidden
    """

    name: str
    width_mm: float
    height_mm: float
    shapes: tuple[Shape, ...]
    flattening_mm: float
    notes: tuple[str, ...] = ()
    size_assumed: bool = False
    tints: tuple[str, ...] = ()

    def digest(self) -> str:
        """Digest of all that later steps can read from it."""
        return digest_of(
            (
                self.name,
                self.width_mm,
                self.height_mm,
                tuple((s.region, s.colour, s.source) for s in self.shapes),
                self.notes,
                self.size_assumed,
                self.tints,
            )
        )


def assumed_size(artwork: Artwork) -> str:
    """Say beside a size or a set-up that nobody told the print's size; nothing where it was told."""
    if not artwork.size_assumed:
        return ""
    return f"; size assumed, {artwork.width_mm:.1f} × {artwork.height_mm:.1f} mm, as none is given"


_NOTABLE_BLANK = 0.1  # of the width; less is a drawing's usual margin


def blank_margins(artwork: Artwork) -> tuple[str, ...]:
    """Say when what is painted is clearly narrower than the artboard, since the width is the artboard's.

    :return: a sentence, or nothing
    """
    regions = [shape.region for shape in artwork.shapes if not shape.region.is_empty]
    if not regions:
        return ()
    x0, y0, x1, y1 = (float(v) for v in shapely.total_bounds(regions))
    across = x1 - x0
    if not 0 < across < (1 - _NOTABLE_BLANK) * artwork.width_mm:
        return ()
    wider = artwork.width_mm**2 / across
    return (
        f"The width of {artwork.width_mm:.1f} mm is that of the whole drawing with its blank margins;"
        f" what is painted measures {across:.1f} × {y1 - y0:.1f} mm. For {artwork.width_mm:.0f} mm of"
        f" paint, crop the drawing or ask for a width of {wider:.0f} mm.",
    )
