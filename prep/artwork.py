"""Artwork as it was read: painted shapes in paint order, in millimetres, y downwards."""

from __future__ import annotations

from dataclasses import dataclass

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
    """

    name: str
    width_mm: float
    height_mm: float
    shapes: tuple[Shape, ...]
    flattening_mm: float
    notes: tuple[str, ...] = ()
    size_assumed: bool = False

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
            )
        )
