"""What a measurement gives: places, islands, areas. Frozen, arrays read-only."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any, Literal, Protocol

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from numpy.typing import NDArray
    from shapely import MultiPolygon, Polygon

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

Kind = Literal["strip", "tip", "touch"]
KINDS: tuple[Kind, ...] = ("strip", "tip", "touch")
STRIP, TIP, TOUCH = range(3)
AS_WIDE_MM = 0.01
"""A width that misses a limit by less has reached it, so that neither rounding nor the flattening of
curves decides on which side it falls. Our choice: under the accuracy of any plotter."""


@dataclass(frozen=True, slots=True)
class Place:
    """One narrow place.

    :param width_mm: local width; 0 for a tip, whose width runs down to nothing
    :param at_mm: middle of the stretch that lies within 0.0001 mm of that width; for a tip its apex
    :param length_mm: how long the place is, along its middle, as far as it is narrower than the
        limit of the search
    :param kind: a strip, the tip of a sharp corner, or a touch (nothing at all lies between)
    :param piece: number of the piece it belongs to; for gaps 0 is the film outside all openings
        and n the n-th island, counted from 1
    :param tip_angle_deg: angle of the corner; None unless a tip
    :param tip_lost_length_mm: how much shorter the tip gets when nothing narrower than
        ``Limits.tip_width_mm`` can be made; None unless a tip
    :param tip_lost_area_mm2: the area lost with it; None unless a tip
    """

    width_mm: float
    at_mm: tuple[float, float]
    length_mm: float
    kind: Kind
    piece: int
    tip_angle_deg: float | None = None
    tip_lost_length_mm: float | None = None
    tip_lost_area_mm2: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """Narrow places as arrays, narrowest first. See :class:`Place` for what each column means.

    :param width_mm: (n,)
    :param at_mm: (n, 2)
    :param length_mm: (n,)
    :param kind: (n,) ``STRIP``, ``TIP`` or ``TOUCH``
    :param piece: (n,)
    :param tip_angle_deg: (n,) nan where not a tip
    :param tip_lost_length_mm: (n,) nan where not a tip
    :param tip_lost_area_mm2: (n,) nan where not a tip
    """

    width_mm: Floats
    at_mm: Floats
    length_mm: Floats
    kind: Ints
    piece: Ints
    tip_angle_deg: Floats
    tip_lost_length_mm: Floats
    tip_lost_area_mm2: Floats

    def __post_init__(self) -> None:
        """Make the arrays read-only."""
        freeze_arrays(self)

    def __getstate__(self) -> dict[str, Any]:
        return {f.name: getattr(self, f.name) for f in fields(self)}

    def __setstate__(self, state: Mapping[str, Any]) -> None:
        restore(self, state)

    def __len__(self) -> int:
        return len(self.width_mm)

    def __iter__(self) -> Iterator[Place]:
        return (self[index] for index in range(len(self)))

    def __getitem__(self, index: int) -> Place:
        """Give one place.

        :raises IndexError: beyond the last
        """
        angle, length, area = (
            None if math.isnan(value) else float(value)
            for value in (
                self.tip_angle_deg[index],
                self.tip_lost_length_mm[index],
                self.tip_lost_area_mm2[index],
            )
        )
        return Place(
            width_mm=float(self.width_mm[index]),
            at_mm=(float(self.at_mm[index, 0]), float(self.at_mm[index, 1])),
            length_mm=float(self.length_mm[index]),
            kind=KINDS[int(self.kind[index])],
            piece=int(self.piece[index]),
            tip_angle_deg=angle,
            tip_lost_length_mm=length,
            tip_lost_area_mm2=area,
        )

    def take(self, which: NDArray[Any]) -> Places:
        """Give some of the places, by mask or index."""
        return Places(*(getattr(self, f.name)[which] for f in fields(self)))

    def and_others(self, *others: Places) -> Places:
        """Give these and others together, narrowest first."""
        columns = (
            np.concatenate([getattr(each, f.name) for each in (self, *others)])
            for f in fields(self)
        )
        every = Places(*columns)
        return every.take(np.argsort(every.width_mm, kind="stable"))

    def strips(self) -> Places:
        """Give the strips: the places that have a width."""
        return self.take(self.kind == STRIP)

    def tips(self) -> Places:
        """Give the tips of sharp corners."""
        return self.take(self.kind == TIP)

    def touches(self) -> Places:
        """Give the touches: kissing corners, cracks and slivers under the floor."""
        return self.take(self.kind == TOUCH)

    def narrower_than(self, width_mm: float) -> Places:
        """Give the places under a width; one that misses it by under 0.01 mm is as wide."""
        return self.take(self.width_mm < width_mm - AS_WIDE_MM)


@dataclass(frozen=True, slots=True, eq=False)
class Island:
    """Film enclosed by openings.

    :param area_mm2: its film, without openings inside it
    :param at_mm: a point inside the film
    :param bounds_mm: minx, miny, maxx, maxy
    :param narrowest_mm: its finest strip of film; None when none was found: all narrower than
        ``places_to_mm`` are
    :param held_by_mm: width of the neck of film it hangs on; None when it is free on all sides, 0
        when openings that touch in corners enclose it
    :param region: the film itself; several parts where openings in it cut it through
    :param depth: 1 for an island in an opening, 2 for one in an opening in an island, and so on
    """

    area_mm2: float
    at_mm: tuple[float, float]
    bounds_mm: tuple[float, float, float, float]
    narrowest_mm: float | None
    held_by_mm: float | None
    region: Polygon | MultiPolygon
    depth: int


@dataclass(frozen=True, slots=True, eq=False)
class Distribution:
    """How much of the openings is how wide.

    :param widths_mm: (k + 1,) limits of the classes of local width; the last class holds all wider
    :param area_mm2: (k,) area in each class: what lies behind facing edges of that distance; the
        last holds also what lies behind 50 mm of an edge and deeper, whatever bounds it
    :param axis_mm: (k,) length of the medial axis in each class; of what is more than 100 mm wide, none
    :param corners_mm2: area in corners, where no two edges face each other, less than 50 mm deep
    :param error_mm2: by how much all these areas together miss the area of the openings
    :param unsure_mm2: (k,) how much of each class may belong to another, or to corners: behind
        flattened curves, whose edges, taken one by one, don't tell, and where width begins to count
        between samples
    """

    widths_mm: Floats
    area_mm2: Floats
    axis_mm: Floats
    corners_mm2: float
    error_mm2: float
    unsure_mm2: Floats

    def __post_init__(self) -> None:
        """Make the arrays read-only."""
        freeze_arrays(self)

    def __getstate__(self) -> dict[str, Any]:
        return {f.name: getattr(self, f.name) for f in fields(self)}

    def __setstate__(self, state: Mapping[str, Any]) -> None:
        restore(self, state)

    def narrower_than(self, width_mm: float) -> float:
        """Give the area of the classes that lie wholly under a width, mm²."""
        return float(self.area_mm2[self.widths_mm[1:] <= width_mm + 1e-9].sum())


@dataclass(frozen=True, slots=True, eq=False)
class Bands:
    """A region parted by the distance from its edge, from the edge inwards.

    Bands are 0.01 mm deep near the edge and wider farther in. Area, mean and spread are enough for
    integrals over the region of what depends on the distance smoothly.

    :param area_mm2: (k,) area of each band, more than 0; together the region's
    :param depth_mm: (k,) distance from the edge that its area has on average
    :param spread_mm: (k,) and its standard deviation
    """

    area_mm2: Floats
    depth_mm: Floats
    spread_mm: Floats

    def __post_init__(self) -> None:
        """Make the arrays read-only."""
        freeze_arrays(self)

    def __getstate__(self) -> dict[str, Any]:
        return {f.name: getattr(self, f.name) for f in fields(self)}

    def __setstate__(self, state: Mapping[str, Any]) -> None:
        restore(self, state)


class NarrowPlaces(Protocol):
    """What is judged of a region by its details: part of :class:`Measures`."""

    @property
    def openings(self) -> Places:
        """Narrow places of the openings, narrowest first."""
        ...

    @property
    def gaps(self) -> Places:
        """Narrow places of the film."""
        ...

    @property
    def islands(self) -> tuple[Island, ...]:
        """Film enclosed by openings."""
        ...

    @property
    def places_to_mm(self) -> float:
        """All places narrower than this are listed."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class Narrow:
    """Narrow places and islands of a region alone; see :class:`Measures`."""

    openings: Places
    gaps: Places
    islands: tuple[Island, ...]
    places_to_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Measures:
    """All that is measured of one region of openings. Lengths in mm, areas in mm².

    :param area_mm2: area of the openings: what is printed
    :param perimeter_mm: length of their edge
    :param cut_length_mm: what the knife must follow: the edge, except where it lies on the edge
        of the sheet
    :param pieces: number of separate openings
    :param islands: film enclosed by openings, nested to any depth, in no other way held
    :param hanging: film that openings enclose but for necks narrower than ``places_to_mm``, or for
        corners in which they touch
    :param bounds_mm: minx, miny, maxx, maxy; four zeros when nothing is open
    :param openings: narrow places of the openings, narrowest first
    :param gaps: narrow places of the film
    :param places_to_mm: all places narrower than this are listed
    :param finest_opening: the narrowest strip of the openings; None when there is none below
        ``searched_to_mm``
    :param finest_gap: the narrowest strip of film; likewise
    :param searched_to_mm: nothing narrower than this was left out of the finest two
    :param insets_mm: (m,) distances from the edge, rising from 0
    :param inset_areas_mm2: (m,) area of the openings farther from the edge than that
    :param bands: the openings parted by distance from the edge, as deep as they go
    :param by_width: area and length of the openings by local width
    """

    area_mm2: float
    perimeter_mm: float
    cut_length_mm: float
    pieces: int
    islands: tuple[Island, ...]
    hanging: tuple[Island, ...]
    bounds_mm: tuple[float, float, float, float]
    openings: Places
    gaps: Places
    places_to_mm: float
    finest_opening: Place | None
    finest_gap: Place | None
    searched_to_mm: float
    insets_mm: Floats
    inset_areas_mm2: Floats
    bands: Bands
    by_width: Distribution

    def __post_init__(self) -> None:
        """Make the arrays read-only."""
        freeze_arrays(self)

    def __getstate__(self) -> dict[str, Any]:
        return {f.name: getattr(self, f.name) for f in fields(self)}

    def __setstate__(self, state: Mapping[str, Any]) -> None:
        restore(self, state)

    def digest(self) -> str:
        """Digest of every figure."""
        from prep.digest import digest_of

        return digest_of(tuple(getattr(self, f.name) for f in fields(self)))


def freeze_arrays(value: Any) -> None:
    """Make the arrays among a dataclass's fields read-only."""
    for field in fields(value):
        array = getattr(value, field.name)
        if isinstance(array, np.ndarray):
            array.flags.writeable = False


def restore(value: Any, state: Mapping[str, Any]) -> None:
    """Set the fields of a frozen dataclass after unpickling, arrays read-only again."""
    for name, part in state.items():
        object.__setattr__(value, name, part)
    freeze_arrays(value)


def tip_losses(angle_deg: Floats, width_mm: float) -> tuple[Floats, Floats]:
    """Give what a corner loses when nothing narrower than a width can be made.

    The widest disc that can't enter the corner has the diameter ``width_mm``. Length lost along
    the middle: (w/2)(1/sin(b/2) - 1); area: (w/2)²(cot(b/2) - (pi - b)/2). Derived by hand from the
    disc that touches both edges; exact for straight edges at least (w/2)cot(b/2) long.

    :param angle_deg: (n,) interior angle b, above 0 and below 180
    :return: lengths in mm, areas in mm²
    """
    half = np.radians(angle_deg) / 2
    radius = width_mm / 2
    return (
        np.asarray(radius * (1 / np.sin(half) - 1)),
        np.asarray(radius**2 * (1 / np.tan(half) - (np.pi - 2 * half) / 2)),
    )
