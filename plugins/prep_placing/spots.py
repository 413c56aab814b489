"""From a job to where its print goes on each garment."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import shapely

from prep.errors import Unanswered
from prep.garments import Build, build_of, style_of
from prep.job import Ask, Job
from prep.order import Batch, Style
from prep_placing.rules import (
    HOODIE_TALLEST_MM,
    LONG_SLEEVE_MM,
    SHORT_SLEEVE_MM,
    SHOULDER_MM,
    USUAL,
    Place,
    Side,
    Status,
    Usual,
    place_of,
    sides_of,
)
from prep_placing.settings import PlaceTable, PlacingOrder, PlacingShop, Reads, Spot

Bounds = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Spotted:
    """Where the print goes on garments alike.

    :param garment: its name
    :param colour: its ``#rrggbb``
    :param sizes: as the order writes them
    :param unknown: those whose words aren't known; they are taken as adults'
    :param away_mm: collar's seam to the print's top; on a sleeve hem to its bottom
    :param range_mm: from and to; ``None`` where the shop states its own distance
    :param wide_mm: how wide such prints usually are, from and to
    :param widest_mm: what is told of as wide; the shop's own or the usual
    :param tallest_mm: the same for height; ``None`` = no limit
    """

    garment: str
    colour: str
    style: Style
    build: Build
    sizes: tuple[str, ...]
    unknown: tuple[str, ...]
    away_mm: float
    range_mm: tuple[float, float] | None
    status: Status
    wide_mm: tuple[float, float]
    widest_mm: float
    wide_status: Status
    tallest_mm: float | None
    tall_status: Status
    aside_mm: float

    @property
    def sleeve_mm(self) -> float:
        """Length of the sleeve along its upper fold, from hem or cuff's seam to the shoulder's. Guess."""
        return (SHORT_SLEEVE_MM if self.style == "tee" else LONG_SLEEVE_MM)[self.build]

    @property
    def sleeve_ends(self) -> str:
        """What the sleeve ends with, from which distances are measured."""
        return "hem" if self.style == "tee" else "cuff"


@dataclass(frozen=True, slots=True)
class Guide:
    """Where the print of a set-up goes.

    :param place: by whose values
    :param known: whether the order's words for the place are known; else the front's values are taken
    :param side: of the wearer; the left where the order names none, as is usual on the chest
    :param print_mm: bounds of the openings of all screens, in mm of the artwork
    :param reads: how the print lies on a sleeve; ``None`` elsewhere
    """

    place: Place
    known: bool
    side: Side
    print_mm: Bounds
    reads: Reads | None
    spots: tuple[Spotted, ...]

    @property
    def width_mm(self) -> float:
        """Of the print as it lies in the artwork."""
        return self.print_mm[2] - self.print_mm[0]

    @property
    def height_mm(self) -> float:
        """Of the print as it lies in the artwork."""
        return self.print_mm[3] - self.print_mm[1]

    @property
    def middle_mm(self) -> tuple[float, float]:
        """Where the print's centre lines cross."""
        x0, y0, x1, y1 = self.print_mm
        return (x0 + x1) / 2.0, (y0 + y1) / 2.0


def guide_of(job: Job) -> Guide | None:
    """Give where the print goes; ``None`` when nothing is printed."""
    regions = [screen.region for screen in job.screens if not screen.region.is_empty]
    if not regions:
        return None
    x0, y0, x1, y1 = (float(v) for v in shapely.total_bounds(regions))
    found = place_of(job.setup.place)
    place: Place = found or "front"
    spots = tuple(one for batch in job.setup.batches for one in _spots(job, batch, place))
    reads = None
    if place == "sleeve":
        reads = _reads(job, x1 - x0, y1 - y0, max(spot.widest_mm for spot in spots))
    sides = sides_of(job.setup.place)
    side = sides[0] if len(sides) == 1 else "left"
    return Guide(place, found is not None, side, (x0, y0, x1, y1), reads, spots)


def _reads(job: Job, width_mm: float, height_mm: float, widest_mm: float) -> Reads:
    asked = job.settings(PlacingOrder).sleeve_reads
    if asked is not None:
        return asked
    return "down the arm" if width_mm > widest_mm >= height_mm else "upright"


def _spots(job: Job, batch: Batch, place: Place) -> Iterator[Spotted]:
    """Give the spots of one make, sizes of the same values together in the order written."""
    table: PlaceTable = getattr(job.settings(PlacingShop), place) or PlaceTable()
    groups: dict[tuple[Build, Spot], list[tuple[str, bool]]] = {}
    for size, _ in batch.sizes:
        known = build_of(size, batch.garment)
        build: Build = known or "adult"
        own = _merged(_of_build(table, build), table.by_size.get(size))
        groups.setdefault((build, own), []).append((size, known is not None))
    for (build, own), sizes in groups.items():
        yield _spotted(batch, place, build, own, sizes)


def _spotted(
    batch: Batch, place: Place, build: Build, own: Spot, sizes: list[tuple[str, bool]]
) -> Spotted:
    usual: Usual = USUAL[place][build]
    style = style_of(batch)
    tallest, tall_status = None, usual.wide_status
    if style == "hoodie" and place == "front":
        tallest, tall_status = HOODIE_TALLEST_MM[build]
    away = usual.away_mm if own.away_mm is None else own.away_mm
    if place == "sleeve":
        long = (SHORT_SLEEVE_MM if style == "tee" else LONG_SLEEVE_MM)[build]
        tallest, tall_status = max(0.0, long - away - SHOULDER_MM), "guess"
    if own.tallest_mm is not None:
        tallest, tall_status = own.tallest_mm, "yours"
    return Spotted(
        garment=batch.garment,
        colour=batch.colour,
        style=style,
        build=build,
        sizes=tuple(size for size, _ in sizes),
        unknown=tuple(size for size, known in sizes if not known),
        away_mm=away,
        range_mm=(usual.least_mm, usual.most_mm) if own.away_mm is None else None,
        status=usual.status if own.away_mm is None else "yours",
        wide_mm=usual.wide_mm,
        widest_mm=usual.wide_mm[1] if own.widest_mm is None else own.widest_mm,
        wide_status=usual.wide_status if own.widest_mm is None else "yours",
        tallest_mm=tallest,
        tall_status=tall_status,
        aside_mm=usual.aside_mm if own.aside_mm is None else own.aside_mm,
    )


def _merged(build: Spot | None, size: Spot | None) -> Spot:
    """Give a build's own distances with those of one size over them."""
    stated = {} if size is None else {k: v for k, v in size if v is not None}
    return (build or Spot()).model_copy(update=stated)


def _of_build(table: PlaceTable, build: Build) -> Spot | None:
    match build:
        case "adult":
            return table.adult
        case "youth M and up":
            return table.youth
        case "youth XS-S":
            return table.youth_small
        case "toddler":
            return table.toddler


def laid_mm(guide: Guide) -> tuple[float, float]:
    """Give the print's (width, height) as it lies on the garment, which on a sleeve may be turned."""
    if guide.reads in ("down the arm", "up the arm"):
        return guide.height_mm, guide.width_mm
    return guide.width_mm, guide.height_mm


def insides_of(ask: Ask) -> tuple[tuple[str, float, float], ...]:
    """Give name and (width, height) inside of each frame the films hang in, largest first."""
    try:
        from prep_squeegee.answers import Pulls

        pulls = ask(Pulls).pulls
    except (ModuleNotFoundError, Unanswered):
        return ()
    found = {
        pull.frame: pull.inside_mm
        for pull in pulls
        if pull.frame is not None and pull.inside_mm is not None
    }
    sized = [(name, *inside) for name, inside in found.items()]
    return tuple(sorted(sized, key=lambda one: (-one[1] * one[2], one[0])))
