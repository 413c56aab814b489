"""From a job and its marks to the films."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from prep.errors import Unanswered
from prep.job import Ask, Job
from prep.measures import Island, Limits, Measures, measure
from prep.remembered import remembered
from prep.screens import Mark, Screen
from prep.shop import Shop
from prep_stencils.answers import FilmSheet, FilmSheets
from prep_stencils.corners import Corners, sharp_corners
from prep_stencils.facing import facing_words, is_mirrored
from prep_stencils.names import stem_of
from prep_stencils.outlines import cut_outlines, open_rings
from prep_stencils.packing import HAIR_MM, Packing, packed
from prep_stencils.seams import seams
from prep_stencils.settings import Stencils
from prep_stencils.sheet import Bounds, Sheet, largest_scale, lay_out
from prep_stencils.strokes import Strokes, strokes_of
from prep_stencils.weeding import Weeding, weeding

_CLEAR_MM = 0.3
"""Between the end of a weeding line and film that stays: what an entering blade needs. Guess."""
_LEAST_MARGIN_MM = 25.0
"""Film around the print that the squeegee needs on each side (two suppliers' advice, up to 1 in)."""
_MOST_STRIPS = 3
"""More strips than these aren't laid true to each other. Guess."""
_WORTH_TURNING = 0.2
"""Share of film saved for which films that fit upright are turned. Our choice."""


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """What is cut as one piece: a whole film, or one strip of it.

    :param region: openings, in mm of the artwork
    :param marks: openings of marks, likewise
    :param weeding: lines that part large waste, and the pieces of openings that are lifted
    :param stem: file name without ending
    :param label: which film it is where there is little room, like ``2`` or ``2 b``
    """

    sheet: Sheet
    region: MultiPolygon
    marks: MultiPolygon
    weeding: Weeding
    stem: str
    label: str


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """One film that is cut, and what is printed through it.

    :param screens: in print order; several where they are printed through one film
    :param region: openings, in mm of the artwork
    :param parts: one, or the strips of a sheet that is parted; empty where it doesn't fit the film
    """

    screens: tuple[Screen, ...]
    region: MultiPolygon
    parts: tuple[Part, ...]

    @property
    def numbers(self) -> str:
        """Say which screens: ``screen 2`` or ``screens 1 and 3``."""
        return screens_text(self.screens)

    @property
    def ink(self) -> str:
        """Name its inks, each once."""
        return _inks(self.screens)


def strip_words(cut: Cut, part: Part) -> str:
    """Say which strip of a film a part is, as printed: ``strip 1 of 2, from the left``; else nothing."""
    if len(cut.parts) < 2:
        return ""
    side = "top" if part.sheet.turned else "left"
    return f"strip {cut.parts.index(part) + 1} of {len(cut.parts)}, from the {side} of the print"


@dataclass(frozen=True, slots=True, eq=False)
class Film:
    """The films of a job: one sheet for all, and a cut for each film.

    :param sheet: as if the film were as wide as it takes
    :param marks: openings of all marks, in mm of the artwork
    :param print_bounds_mm: of the openings of all screens
    :param all_bounds_mm: of openings and marks
    :param cuts: in the print order of their first screens
    :param packing: of all parts on the roll or on sheets; ``None`` where they don't fit
    """

    sheet: Sheet
    marks: MultiPolygon
    print_bounds_mm: Bounds
    all_bounds_mm: Bounds
    cuts: tuple[Cut, ...]
    packing: Packing | None

    @property
    def facing(self) -> str:
        """``mirrored`` or ``reads right``."""
        return facing_words(self.sheet.mirrored)

    @property
    def margin_mm(self) -> float:
        """Film asked for around openings and marks."""
        return self.sheet.margin_mm

    @property
    def fits(self) -> bool:
        """Whether every film can be cut, whole or in strips."""
        return self.packing is not None

    @property
    def parted(self) -> bool:
        """Whether sheets are cut in strips."""
        return any(len(cut.parts) > 1 for cut in self.cuts)

    @property
    def parts(self) -> tuple[Part, ...]:
        """All that is cut, film after film."""
        return tuple(part for cut in self.cuts for part in cut.parts)


@dataclass(frozen=True, slots=True)
class Pieces:
    """What is weeded out of a film and what must be put in its place.

    :param weeded: loose pieces to lift out, marks included
    :param islands: pieces of film with openings all around, carried over on tape
    :param smallest_island_mm2: film of the smallest one, ``None`` without islands
    """

    weeded: int
    islands: int
    smallest_island_mm2: float | None


def film_of(job: Job, marks: tuple[Mark, ...]) -> Film | None:
    """Lay out the films of a job; ``None`` when nothing is printed."""
    regions = [screen.region for screen in job.screens if not screen.region.is_empty]
    if not regions:
        return None
    cut = _polygons(shapely.union_all([m.region for m in marks]))
    shown, whole = _bounds(regions), _bounds([*regions, cut])
    film, chosen = job.shop.film, job.settings(Stencils)
    longest = math.inf if chosen.sheet_length_mm is None else chosen.sheet_length_mm
    sheet = lay_out(
        shown,
        whole,
        margin_mm=film.margin_mm,
        film_width_mm=film.width_mm,
        mirrored=is_mirrored(film.side, film.cut_face_up),
        stretch=chosen.stretch,
        longest_mm=longest,
    )
    openings = [_openings(screens) for screens in job.films]
    sheets = _sheets(
        sheet, [_one(region, cut) for region in openings], film.width_mm, longest, chosen
    )
    cuts = tuple(
        Cut(screens, region, tuple(_parts(screens, region, cut, own, job.shop, chosen)))
        for screens, region, own in zip(
            job.films, openings, sheets or [()] * len(openings), strict=True
        )
    )
    sizes = [(p.sheet.across_mm, p.sheet.along_mm) for c in cuts for p in c.parts]
    packing = packed(sizes, film.width_mm, longest) if sheets else None
    return Film(sheet, cut, shown, whole, cuts, packing)


def _sheets(
    sheet: Sheet,
    openings: Sequence[MultiPolygon],
    film_mm: float,
    longest_mm: float,
    chosen: Stencils,
) -> list[tuple[Sheet, ...]] | None:
    """Give what each film is cut as: the sheet, turned if that saves film, else the fewest strips.

    All films are turned alike.

    A sheet that fits with a smaller margin isn't parted, nor one for film narrower than its margins.

    :param openings: of each film, marks included
    :return: ``None`` where no seam through solid film lets them fit
    """
    lying = [replace(sheet, turned=turned) for turned in (False, True)]
    whole = [one for one in lying if _goes_on(one, film_mm, longest_mm)]
    if whole:
        first, *other = whole  # upright where it goes on so
        takes = [_takes_mm(one, len(openings), film_mm, longest_mm) for one in whole]
        turned = bool(other) and takes[1] <= (1.0 - _WORTH_TURNING) * takes[0]
        return [(whole[1] if turned else first,)] * len(openings)
    if margin_that_fits(sheet, film_mm, longest_mm) > 0.0:
        return None  # a smaller margin is better than a seam
    found = []
    for one in lying:
        if one.along_mm > longest_mm + HAIR_MM:
            continue
        made = [_strips(one, region, film_mm, chosen) for region in openings]
        if all(0 < len(strips) <= _MOST_STRIPS for strips in made):
            found.append(made)
    return min(found, key=lambda made: sum(map(len, made)), default=None)


def _goes_on(sheet: Sheet, film_mm: float, longest_mm: float) -> bool:
    return sheet.across_mm <= film_mm + HAIR_MM and sheet.along_mm <= longest_mm + HAIR_MM


def _takes_mm(sheet: Sheet, count: int, film_mm: float, longest_mm: float) -> float:
    return packed([(sheet.across_mm, sheet.along_mm)] * count, film_mm, longest_mm).length_mm


def margin_that_fits(sheet: Sheet, film_mm: float, longest_mm: float = math.inf) -> float:
    """Give the largest margin, in whole mm, with which a sheet fits the film; 0 if it is too small."""
    wide, high = (side - 2.0 * sheet.margin_mm for side in (sheet.width_mm, sheet.height_mm))
    upright = min(film_mm - wide, longest_mm - high)
    lying = min(film_mm - high, longest_mm - wide)
    most = math.floor(max(upright, lying) / 2.0)
    if most < _LEAST_MARGIN_MM:
        return 0.0
    # sheets are whole millimetres wide
    sides = ((wide, high), (high, wide))
    while not any(
        math.ceil(w + 2 * most - HAIR_MM) <= film_mm
        and math.ceil(h + 2 * most - HAIR_MM) <= longest_mm
        for w, h in sides
    ):
        most -= 1
    return float(most) if most >= _LEAST_MARGIN_MM else 0.0


def _strips(
    sheet: Sheet, region: MultiPolygon, film_mm: float, chosen: Stencils
) -> tuple[Sheet, ...]:
    """Part a sheet through solid film; nothing where that can't be."""
    if film_mm <= 2.0 * sheet.margin_mm:
        return ()
    low, high = (1, 3) if sheet.turned else (0, 2)
    first = sheet.top_mm if sheet.turned else sheet.left_mm
    bounds = shapely.bounds(shapely.get_parts(region))
    at = seams(
        first,
        first + sheet.across_mm,
        [(float(a), float(b)) for a, b in bounds[:, (low, high)]],
        film_mm,
        chosen.seam_overlap_mm,
        chosen.seam_clear_mm,
    )
    return () if at is None else sheet.strips(at, chosen.seam_overlap_mm)


def _parts(
    screens: tuple[Screen, ...],
    region: MultiPolygon,
    marks: MultiPolygon,
    sheets: Sequence[Sheet],
    shop: Shop,
    chosen: Stencils,
) -> Iterator[Part]:
    """Give each strip what lies on it; a seam runs through solid film, so nothing lies on two."""
    for number, sheet in enumerate(sheets, start=1):
        own, its_marks = _on(sheet, region), _on(sheet, marks)
        waste = Weeding.none(own)
        if chosen.weeding_lines:
            waste = _weeding(own, chosen.weeding_piece_mm, _CLEAR_MM)
        stem = stem_of(
            screens[0].number,
            _inks(screens),
            part=(number, len(sheets)),
            across_mm=sheet.across_mm,
            along_mm=sheet.along_mm,
            side=shop.film.side,
            units=shop.units,
        )
        label = str(screens[0].number) + ("" if len(sheets) == 1 else f" {_letters(number)}")
        yield Part(sheet, own, its_marks, waste, stem, label)


_weeding = remembered(kept=32)(weeding)


def _letters(number: int) -> str:
    return chr(ord("a") + number - 1) if number <= 26 else str(number)


def _on(sheet: Sheet, region: MultiPolygon) -> MultiPolygon:
    parts = shapely.get_parts(region)
    at = shapely.bounds(parts).reshape(-1, 4)
    x1, y1 = sheet.left_mm + sheet.width_mm, sheet.top_mm + sheet.height_mm
    inside = (at[:, 0] >= sheet.left_mm) & (at[:, 1] >= sheet.top_mm)
    inside &= (at[:, 2] <= x1) & (at[:, 3] <= y1)
    return region if inside.all() else MultiPolygon(parts[inside].tolist())


def _one(*regions: MultiPolygon) -> MultiPolygon:
    return MultiPolygon([part for region in regions for part in region.geoms])


def _polygons(shape: BaseGeometry) -> MultiPolygon:
    return MultiPolygon([p for p in shapely.get_parts(shape) if isinstance(p, shapely.Polygon)])


def screens_text(screens: tuple[Screen, ...]) -> str:
    """Say which screens: ``screen 2`` or ``screens 1 and 3``."""
    numbers = [str(screen.number) for screen in screens]
    if len(numbers) == 1:
        return f"screen {numbers[0]}"
    return f"screens {', '.join(numbers[:-1])} and {numbers[-1]}"


def _inks(screens: tuple[Screen, ...]) -> str:
    return " and ".join(dict.fromkeys(screen.ink for screen in screens))


def _openings(screens: tuple[Screen, ...]) -> MultiPolygon:
    """Give what is cut: all that is printed through the film."""
    different = {shapely.to_wkb(screen.region): screen.region for screen in screens}
    if len(different) == 1:
        return screens[0].region
    return _polygons(shapely.union_all(list(different.values())))


def largest_print_width(job: Job, film: Film) -> float:
    """Give the largest print width, in whole mm, whose sheet fits the film whole; 0 when none does."""
    length = job.settings(Stencils).sheet_length_mm
    scale = largest_scale(
        film.print_bounds_mm,
        film.all_bounds_mm,
        margin_mm=film.margin_mm,
        film_width_mm=job.shop.film.width_mm,
        longest_mm=math.inf if length is None else length,
    )
    return max(0.0, float(int(job.artwork.width_mm * scale + HAIR_MM)))


def pieces_of(cut: Cut) -> Pieces:
    """Count what is weeded and what must be placed."""
    loose = [island.area_mm2 for island in free_islands(cut)]
    return Pieces(
        weeded=sum(part.weeding.pieces + len(part.marks.geoms) for part in cut.parts),
        islands=len(loose),
        smallest_island_mm2=min(loose, default=None),
    )


@remembered(kept=32)
def strokes_in(part: Part, overcut_mm: float) -> Strokes:
    """Give what the blade does for one film or strip."""
    to_file = part.sheet.to_film
    return strokes_of(
        part.weeding.lines,
        cut_outlines(part.marks, to_file),
        cut_outlines(part.region, to_file),
        part.sheet,
        overcut_mm,
    )


def free_islands(cut: Cut) -> tuple[Island, ...]:
    """Give the pieces of a film that openings enclose on all sides."""
    different = {shapely.to_wkb(screen.region) for screen in cut.screens}
    measures = cut.screens[0].measures if len(different) == 1 else _measured(cut.region)
    return tuple(island for island in measures.islands if island.held_by_mm is None)


@remembered(kept=16)
def _measured(region: MultiPolygon) -> Measures:
    return measure(region, Limits())


@remembered(kept=32)
def sharp_in(region: MultiPolygon, offset_mm: float, sharpest_deg: float) -> Corners:
    """Find corners of openings that a blade can't turn; see :func:`prep_stencils.corners.sharp_corners`."""
    return sharp_corners(open_rings(region), offset_mm, sharpest_deg)


def film_asked(job: Job, ask: Ask) -> Film | None:
    """Give the films of a job; ``None`` where nothing is printed.

    An answer is asked for without marks, so the targets come from their own answer; marks of other
    plugins aren't known here. The documents go by the marks themselves.
    """
    try:
        from prep_registration.answers import Targets

        targets = ask(Targets).targets
    except (ModuleNotFoundError, Unanswered):
        targets = ()
    return film_of(
        job,
        tuple(
            Mark(t.name, MultiPolygon([shapely.box(*t.bounds_mm)]), prints=True, what_for="")
            for t in targets
        ),
    )


def film_sheets(job: Job, ask: Ask) -> FilmSheets:
    """Answer the films' sizes and names; see :func:`film_asked`.

    :raises Unanswered: nothing is printed
    """
    film = film_asked(job, ask)
    if film is None:
        raise Unanswered("nothing is printed, so no film is cut")
    return FilmSheets(
        tuple(
            FilmSheet(
                screen=screen.key,
                across_mm=part.sheet.across_mm,
                along_mm=part.sheet.along_mm,
                mirrored=part.sheet.mirrored,
                turned=part.sheet.turned,
                stem=part.stem,
            )
            for screen in job.screens
            for cut in film.cuts
            if screen in cut.screens
            for part in cut.parts
        ),
        film.sheet.width_mm,
        film.sheet.height_mm,
        0.0 if film.packing is None else film.packing.length_mm,
    )


def _bounds(regions: list[MultiPolygon]) -> Bounds:
    x0, y0, x1, y1 = (float(v) for v in shapely.total_bounds(regions))
    return x0, y0, x1, y1
