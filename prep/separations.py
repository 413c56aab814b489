"""From painted shapes to what is visible of each colour."""

from __future__ import annotations

from dataclasses import dataclass

from shapely import MultiPolygon

from prep.artwork import Artwork
from prep.digest import digest_of


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
    """Give what is visible of each colour, in the order the colours are first painted."""
    raise NotImplementedError
