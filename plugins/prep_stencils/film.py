"""From a job and its marks to the films."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import MultiPolygon

from prep.errors import Unanswered
from prep.job import Ask, Job
from prep.screens import Mark, Screen
from prep_stencils.answers import FilmSheet, FilmSheets
from prep_stencils.facing import facing_words, is_mirrored
from prep_stencils.names import stems
from prep_stencils.sheet import Bounds, Sheet, film_length, largest_scale, lay_out


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """One film that is cut, and what is printed through it.

    :param screens: in print order; several where they are printed through one film
    :param region: openings, in mm of the artwork
    :param stem: file name without ending
    """

    screens: tuple[Screen, ...]
    region: MultiPolygon
    stem: str

    @property
    def numbers(self) -> str:
        """Say which screens: ``screen 2`` or ``screens 1 and 3``."""
        return screens_text(self.screens)

    @property
    def ink(self) -> str:
        """Name its inks, each once."""
        return _inks(self.screens)


@dataclass(frozen=True, slots=True, eq=False)
class Film:
    """The films of a job: one sheet for all, and a cut for each film.

    :param marks: openings of all marks, in mm of the artwork
    :param print_bounds_mm: of the openings of all screens
    :param all_bounds_mm: of openings and marks
    :param cuts: in the print order of their first screens
    """

    sheet: Sheet
    marks: MultiPolygon
    print_bounds_mm: Bounds
    all_bounds_mm: Bounds
    cuts: tuple[Cut, ...]
    length_mm: float

    @property
    def facing(self) -> str:
        """``mirrored`` or ``reads right``."""
        return facing_words(self.sheet.mirrored)

    @property
    def margin_mm(self) -> float:
        """Film asked for around openings and marks."""
        return self.sheet.margin_mm


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
    cut = MultiPolygon(list(shapely.get_parts(shapely.union_all([m.region for m in marks]))))
    shown = _bounds(regions)
    whole = _bounds([*regions, cut])
    film = job.shop.film
    sheet = lay_out(
        shown,
        whole,
        margin_mm=film.margin_mm,
        film_width_mm=film.width_mm,
        mirrored=is_mirrored(film.side, film.cut_face_up),
    )
    names = stems(
        [(screens[0].number, _inks(screens)) for screens in job.films],
        across_mm=sheet.across_mm,
        along_mm=sheet.along_mm,
        side=film.side,
    )
    cuts = tuple(
        Cut(screens, _openings(screens), stem)
        for screens, stem in zip(job.films, names, strict=True)
    )
    return Film(
        sheet=sheet,
        marks=cut,
        print_bounds_mm=shown,
        all_bounds_mm=whole,
        cuts=cuts,
        length_mm=film_length(sheet, len(cuts), film.width_mm),
    )


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
    parts = shapely.get_parts(shapely.union_all(list(different.values())))
    return MultiPolygon([part for part in parts if isinstance(part, shapely.Polygon)])


def fits(job: Job, film: Film) -> bool:
    """Say whether the sheet goes across the shop's film."""
    return film.sheet.across_mm <= job.shop.film.width_mm + 1e-6


def largest_print_width(job: Job, film: Film) -> float:
    """Give the largest print width, in whole mm, whose sheet fits the film; 0 when none does."""
    scale = largest_scale(
        film.print_bounds_mm,
        film.all_bounds_mm,
        margin_mm=film.margin_mm,
        film_width_mm=job.shop.film.width_mm,
    )
    return max(0.0, float(int(job.artwork.width_mm * scale + 1e-6)))


def pieces_of(cut: Cut, marks: MultiPolygon) -> Pieces:
    """Count what is weeded and what must be placed."""
    different = {shapely.to_wkb(screen.region): screen.measures for screen in cut.screens}.values()
    loose = [
        island.area_mm2
        for measures in different
        for island in measures.islands
        if island.held_by_mm is None
    ]
    return Pieces(
        weeded=sum(measures.pieces for measures in different) + len(shapely.get_parts(marks)),
        islands=len(loose),
        smallest_island_mm2=min(loose, default=None),
    )


def film_sheets(job: Job, ask: Ask) -> FilmSheets:
    """Answer the films' sizes and names.

    An answer is asked for without marks, so the targets come from their own answer; marks of other
    plugins aren't known here. The documents go by the marks themselves.

    :raises Unanswered: nothing is printed
    """
    from prep_registration.answers import Targets

    try:
        targets = ask(Targets).targets
    except Unanswered:
        targets = ()
    film = film_of(
        job,
        tuple(
            Mark(t.name, MultiPolygon([shapely.box(*t.bounds_mm)]), prints=True, what_for="")
            for t in targets
        ),
    )
    if film is None:
        raise Unanswered("nothing is printed, so no film is cut")
    return FilmSheets(
        tuple(
            FilmSheet(
                screen=screen.key,
                across_mm=film.sheet.across_mm,
                along_mm=film.sheet.along_mm,
                mirrored=film.sheet.mirrored,
                turned=film.sheet.turned,
                stem=cut.stem,
            )
            for screen in job.screens
            for cut in film.cuts
            if screen in cut.screens
        ),
        film.length_mm,
    )


def _bounds(regions: list[MultiPolygon]) -> Bounds:
    x0, y0, x1, y1 = (float(v) for v in shapely.total_bounds(regions))
    return x0, y0, x1, y1
