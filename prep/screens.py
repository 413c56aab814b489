"""What is physically made and printed: a screen, and how plugins add screens and change regions."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from shapely import MultiPolygon

from prep.measures import Measures

Does = Literal["colour", "base", "base and colour"]


@dataclass(frozen=True, slots=True, eq=False)
class DesignRegion:
    """What one colour of the design covers, after asked-for changes.

    :param painted: place in the artwork's paint order, 0 = bottom
    """

    colour: str
    region: MultiPolygon
    painted: int
    measures: Measures

    def digest(self) -> str:
        """Digest of colour and region; measures follow from these."""
        from prep.digest import digest_of

        return digest_of((self.colour, self.region, self.painted))


@dataclass(frozen=True, slots=True)
class DesignEdit:
    """A change to the design: what one colour is to cover from now on.

    :param colour: the colour whose region changes
    :param region: its new region; empty = the colour is gone
    """

    colour: str
    region: MultiPolygon
    reason: str
    by: str = ""


@dataclass(frozen=True, slots=True)
class AddScreen:
    """A further screen: a base, a second hit.

    :param key: distinct within the job
    :param colour: ``#rrggbb`` of its ink
    """

    key: str
    ink: str
    colour: str
    region: MultiPolygon
    does: Does
    reason: str
    mesh: str | None = None
    passes: int = 1
    by: str = ""


@dataclass(frozen=True, slots=True)
class PrintOrder:
    """The order of printing: every screen's key, first printed first, and why."""

    keys: tuple[str, ...]
    reason: str
    by: str = ""


@dataclass(frozen=True, slots=True)
class Delta:
    """A change of a screen's region: what is added and what is taken away.

    New region = (old with all that is added) without all that is taken away, so the order of the
    plugins can't matter.
    """

    screen: str
    add: MultiPolygon
    remove: MultiPolygon
    reason: str
    by: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Screen:
    """One screen of a set-up.

    :param key: distinct within the set-up, like ``#1f3a5f`` or ``base``
    :param ink: name of the ink; a label only
    :param mesh: label of the mesh; a label only
    :param colour: ``#rrggbb`` the ink shows
    :param number: 1 = printed first
    :param region: openings of the film as printed (not mirrored), in mm of the artwork
    :param changes: reasons of what was added to or taken from the design
    """

    key: str
    ink: str
    mesh: str
    colour: str
    does: Does
    passes: int
    number: int
    region: MultiPolygon
    measures: Measures
    changes: tuple[str, ...] = ()

    def digest(self) -> str:
        """Digest of all but the measures, which follow from the region."""
        from prep.digest import digest_of

        return digest_of(
            (
                self.key,
                self.ink,
                self.mesh,
                self.colour,
                self.does,
                self.passes,
                self.number,
                self.region,
                self.changes,
            )
        )


@dataclass(frozen=True, slots=True)
class Mark:
    """Geometry cut beside the image, at the same place on every screen.

    :param region: openings it adds, in mm of the artwork (may lie outside the artboard)
    :param prints: true when ink goes through it on the test pulls
    """

    name: str
    region: MultiPolygon
    prints: bool
    what_for: str
    by: str = ""
