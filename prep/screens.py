"""What is physically made and printed: a screen, and how plugins add screens and change regions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from shapely import MultiPolygon

from prep.measures import Measures

if TYPE_CHECKING:
    from prep.shop import InkKind, Shop

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
    """A further screen: a base, a second hit, or one that prints what others would have printed.

    :param key: distinct within the job; that of a screen it replaces will do
    :param colour: ``#rrggbb`` of its ink
    :param replaces: keys of screens that aren't made, as this one prints what they would
    :param film: name of the film it is printed through; screens of one name share film and frame
        (one after another, or side by side under two squeegees). None: a film of its own
    :param kind: of its ink, where the shop's list can't be asked for it. None: as the list says
    """

    key: str
    ink: str
    colour: str
    region: MultiPolygon
    does: Does
    reason: str
    mesh: str | None = None
    passes: int = 1
    replaces: tuple[str, ...] = ()
    film: str | None = None
    kind: InkKind | None = None
    by: str = ""


@dataclass(frozen=True, slots=True)
class PrintOrder:
    """The order of printing: every screen's key, first printed first, and why.

    :param reasons: key -> why this screen stands where it stands, a sentence
    :param passes: key -> times it is printed, for screens of which the order says nothing
    """

    keys: tuple[str, ...]
    reason: str
    reasons: Mapping[str, str] = field(default_factory=dict)
    passes: Mapping[str, int] = field(default_factory=dict)
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
    :param placed: why it stands where it stands in the order of printing
    :param film: name of the film it is printed through; its own key unless it shares one
    :param kind: of its ink, where the shop's list can't be asked for it; see :func:`ink_kind`
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
    placed: str = ""
    film: str = ""
    kind: InkKind | None = None

    def __post_init__(self) -> None:
        """Name the film after the screen where it has one of its own."""
        object.__setattr__(self, "film", self.film or self.key)

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
                self.placed,
                self.film,
                self.kind,
            )
        )


def ink_kind(screen: Screen, shop: Shop) -> tuple[InkKind, bool]:
    """Give the kind of a screen's ink: as the shop lists it, else as the screen was made for.

    An ink of which nobody says more is taken as opaque: as opaque white where it is white or a base.

    :return: the kind, and whether it was assumed
    """
    listed = shop.listed_ink(screen.ink)
    kind = screen.kind if listed is None else shop.kind_of(listed)
    if kind is not None:
        return kind, False
    return assumed_kind("#ffffff" if screen.does != "colour" else screen.colour), True


def assumed_kind(colour: str) -> InkKind:
    """Give the kind that an ink of a colour is taken for where nobody says it."""
    return "opaque white" if colour == "#ffffff" else "opaque colour"


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
