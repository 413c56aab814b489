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
class Film:
    """The films of a job: one sheet for all, and a file name for each screen.

    :param marks: openings of all marks, in mm of the artwork
    :param print_bounds_mm: of the openings of all screens
    :param all_bounds_mm: of openings and marks
    :param stems: file names without ending, in the order of the job's screens
    """

    sheet: Sheet
    marks: MultiPolygon
    print_bounds_mm: Bounds
    all_bounds_mm: Bounds
    stems: tuple[str, ...]
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
    return Film(
        sheet=sheet,
        marks=cut,
        print_bounds_mm=shown,
        all_bounds_mm=whole,
        stems=stems(
            [(screen.number, screen.ink) for screen in job.screens],
            across_mm=sheet.across_mm,
            along_mm=sheet.along_mm,
            side=film.side,
        ),
        length_mm=film_length(sheet, len(job.screens), film.width_mm),
    )


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


def pieces_of(screen: Screen, marks: MultiPolygon) -> Pieces:
    """Count what is weeded and what must be placed."""
    loose = [island.area_mm2 for island in screen.measures.islands if island.held_by_mm is None]
    return Pieces(
        weeded=screen.measures.pieces + len(shapely.get_parts(marks)),
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
                stem=stem,
            )
            for screen, stem in zip(job.screens, film.stems, strict=True)
        ),
        film.length_mm,
    )


def _bounds(regions: list[MultiPolygon]) -> Bounds:
    x0, y0, x1, y1 = (float(v) for v in shapely.total_bounds(regions))
    return x0, y0, x1, y1
