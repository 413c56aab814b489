"""From a job to what each of its screens is printed with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely

from prep.errors import Unanswered
from prep.garments import style_of
from prep.job import Ask, Job
from prep.screens import Screen, ink_kind
from prep_squeegee.answers import FrameRoom, Pull, Pulls
from prep_squeegee.room import (
    Bounds,
    FrameSize,
    Limits,
    Own,
    Path,
    hang,
    holds,
    longest_own_squeegee,
    longest_squeegee,
    needed,
    own_of,
    own_squeegee,
    squeegee_for,
)
from prep_squeegee.settings import Squeegee

OFF_CONTACT_MM = 3.0
"""Usual; handbooks give 1.6 to 3.2 mm (a print encyclopedia's entry, 1/16 to 1/8 in)."""
HAND_STRETCHED_MM = 4.0
"""Frames of 8 to 15 N/cm: 3 to 5 mm. Common practice, no source."""
FLEECE_ADDS_MM = (2.0, 3.0)
"""What fleece is thicker than a tee, which the frame hangs higher. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Hung:
    """One film in its frame.

    :param screens: printed through it
    :param path: what is printed through it and lies in the frame's middle
    :param needs_mm: (width, height) inside for squeegee and wells
    :param sheet_mm: (width, height) of its film as it lies on the mesh; ``None`` where no plugin tells
    :param frame: chosen; ``None`` where none in stock will do or none is stated
    """

    screens: tuple[Screen, ...]
    path: Path
    needs_mm: tuple[float, float]
    sheet_mm: tuple[float, float] | None
    frame: FrameSize | None = None

    @property
    def whole_mm(self) -> tuple[float, float]:
        """(width, height) inside for squeegee, wells and the film's sheet."""
        wide, high = self.needs_mm
        if self.sheet_mm is None:
            return wide, high
        return max(wide, self.sheet_mm[0]), max(high, self.sheet_mm[1])


def limits_of(job: Job) -> Limits:
    """Give the room that must be left, and the squeegees there are."""
    chosen = job.settings(Squeegee)
    return Limits(
        overhang_mm=chosen.overhang_mm,
        good_overhang_mm=chosen.good_overhang_mm,
        to_frame_mm=chosen.to_frame_mm,
        well_mm=chosen.well_mm,
        squeegees_mm=tuple(sorted(set(chosen.lengths_mm))),
    )


def frames_of(job: Job) -> tuple[FrameSize, ...]:
    """Give the frames in stock."""
    return tuple(
        FrameSize(f.name, f.inside_width_mm, f.inside_height_mm, f.count) for f in job.shop.frame
    )


def frame_room(job: Job) -> FrameRoom:
    """Answer what the shop's frames can hold."""
    return FrameRoom(frames_of(job), limits_of(job))


def print_bounds(job: Job) -> Bounds | None:
    """Give the bounds of the openings of all screens, ``None`` when nothing is printed."""
    return _bounds([s.region for s in job.screens if not s.region.is_empty])


def marks_bounds(ask: Ask) -> tuple[Bounds, ...]:
    """Give the bounds of the targets; none where no plugin tells."""
    try:
        from prep_registration.answers import Targets

        return tuple(target.bounds_mm for target in ask(Targets).targets)
    except (ModuleNotFoundError, Unanswered):
        return ()


def hung_of(job: Job, ask: Ask) -> tuple[Hung, ...]:
    """Give each film its frame, in print order; films without openings are left out.

    Films that hang at the same time take a frame each; where a press holds fewer than there are, those
    come next to each other in print order.
    """
    whole = print_bounds(job)
    if whole is None:
        return ()
    limits, frames = limits_of(job), frames_of(job)
    middle = (whole[0] + whole[2]) / 2.0, (whole[1] + whole[3]) / 2.0
    marks = [shapely.box(*bounds) for bounds in marks_bounds(ask)]
    sheet = _sheet(ask)
    films: list[Hung] = []
    for screens in job.films:
        cut = _bounds([*(s.region for s in screens if not s.region.is_empty), *marks])
        if cut is None:
            continue
        path = Path(cut, middle)
        films.append(Hung(screens, path, needed(path, _whole_limits(screens, limits)), sheet))
    at_once = job.shop.press.holds or len(films)
    found: list[Hung] = []
    for start in range(0, len(films), at_once):
        together = films[start : start + at_once]
        given = hang([film.whole_mm for film in together], frames)
        if None in given:  # a frame that holds the squeegee at least, rather than none
            least = [
                film.needs_mm if frame is None else film.whole_mm
                for film, frame in zip(together, given, strict=True)
            ]
            given = hang(least, frames)
        found += [replace(film, frame=frame) for film, frame in zip(together, given, strict=True)]
    return tuple(found)


def pulls_of(job: Job, ask: Ask) -> Pulls:
    """Answer what each screen is printed with.

    :raises Unanswered: nothing is printed
    """
    films = hung_of(job, ask)
    if not films:
        raise Unanswered("nothing is printed, so no frame is needed")
    found = {screen.key: pull_of(job, film, screen) for film in films for screen in film.screens}
    return Pulls(tuple(found[screen.key] for screen in job.screens if screen.key in found))


def pull_of(job: Job, film: Hung, screen: Screen) -> Pull:
    """Give what one screen is printed with."""
    frame = film.frame
    return Pull(
        screen=screen.key,
        frame=None if frame is None else frame.name,
        inside_mm=None if frame is None else (frame.width_mm, frame.height_mm),
        needs_mm=film.whole_mm,
        squeegee_mm=blade_of(job, film, screen),
        well_mm=_well(job, film, screen),
        hardness_shore_a=hardness(job, screen)[0],
        off_contact_mm=off_contact(job)[0],
        fleece_adds_mm=FLEECE_ADDS_MM if of_fleece(job) else None,
    )


def own_on(film: Hung, screen: Screen) -> Own | None:
    """Give what a screen prints beside other inks of its film; ``None`` where it has the film to itself."""
    return _own(film.screens, screen)


def blade_of(job: Job, film: Hung, screen: Screen) -> float | None:
    """Give the length of a screen's squeegee; ``None`` when none in stock will do."""
    wide, sheet = None if film.frame is None else film.frame.width_mm, film_width(job, film)
    own, limits = own_on(film, screen), limits_of(job)
    if own is not None:
        return own_squeegee(own, film.path, limits, frame_mm=wide, film_mm=sheet)
    return squeegee_for(film.path, limits, frame_mm=wide, film_mm=sheet)


def longest_blade(job: Job, film: Hung, screen: Screen) -> float:
    """Give the longest squeegee that frame, film and other inks of it leave a screen room for."""
    wide, sheet = None if film.frame is None else film.frame.width_mm, film_width(job, film)
    own, limits = own_on(film, screen), limits_of(job)
    if own is not None:
        return longest_own_squeegee(own, film.path, limits, frame_mm=wide, film_mm=sheet)
    return longest_squeegee(film.path, limits, frame_mm=wide, film_mm=sheet)


def wells_of(film: Hung, screen: Screen, inside_mm: float) -> tuple[float, float]:
    """Give the room for ink (above, below) what a screen prints.

    On a film with others above or below, the stroke ends half way to them.

    :param inside_mm: height of the frame inside
    """
    own, middle = own_on(film, screen), film.path.middle_mm[1]
    cut = film.path.cut_mm if own is None else own.cut_mm
    above = inside_mm / 2.0 - (middle - cut[1])
    below = inside_mm / 2.0 - (cut[3] - middle)
    if own is not None:
        above, below = min(above, own.room_mm[1]), min(below, own.room_mm[3])
    return above, below


def _well(job: Job, film: Hung, screen: Screen) -> float:
    least = limits_of(job).well_mm
    return least if film.frame is None else min(wells_of(film, screen, film.frame.height_mm))


def film_width(job: Job, film: Hung) -> float:
    """Give how wide a film is: what is cut and its margins, where no plugin tells the sheet's size."""
    if film.sheet_mm is None:
        return film.path.width_mm + 2.0 * job.shop.film.margin_mm
    return film.sheet_mm[0]


def limits_on(job: Job, film: Hung) -> Limits:
    """Give the room that a film must have as a whole: without stock where no squeegee prints it whole."""
    return _whole_limits(film.screens, limits_of(job))


def hardness(job: Job, screen: Screen) -> tuple[tuple[int, int], str]:
    """Give the squeegee's hardness in shore A, from and to, and why. Common practice, no source."""
    finest = screen.measures.finest_opening
    fine_below = job.settings(Squeegee).fine_below_mm
    fine = finest is not None and finest.width_mm < fine_below
    white = ink_kind(screen, job.shop)[0] == "opaque white"
    if white or of_fleece(job):
        what = "white" if white else "fleece"
        if fine:
            return (65, 70), f"{what} wants 60 to 65, fine detail more"
        return (60, 65), f"softer for {what}, which takes more ink"
    return ((75, 80), "harder for fine detail") if fine else ((70, 70), "for general work")


def off_contact(job: Job) -> tuple[float, str]:
    """Give how far the mesh hangs above the fabric, and what that rests on."""
    chosen = job.settings(Squeegee)
    if chosen.off_contact_mm is not None:
        return chosen.off_contact_mm, "yours"
    if chosen.hand_stretched:
        return HAND_STRETCHED_MM, "3 to 5 mm on hand-stretched frames"
    return OFF_CONTACT_MM, "usual"


def of_fleece(job: Job) -> bool:
    """Tell whether some garments are of fleece."""
    return any(style_of(batch) != "tee" for batch in job.setup.batches)


def fits_sheet(film: Hung) -> bool:
    """Tell whether the film's sheet lies inside its frame; true where either isn't known."""
    return film.frame is None or film.sheet_mm is None or holds(film.frame, *film.sheet_mm)


def _whole_limits(screens: Sequence[Screen], limits: Limits) -> Limits:
    shared = any(_own(screens, screen) is not None for screen in screens)
    return replace(limits, squeegees_mm=()) if shared else limits


def _own(screens: Sequence[Screen], screen: Screen) -> Own | None:
    cut = _bounds([] if screen.region.is_empty else [screen.region])
    others = [
        bounds
        for one in screens
        if one is not screen
        and not one.region.is_empty
        and not shapely.equals_exact(one.region, screen.region)
        and (bounds := _bounds([one.region])) is not None
    ]
    return own_of(cut, others) if cut is not None and others else None


def _sheet(ask: Ask) -> tuple[float, float] | None:
    """Give the (width, height) of the films as they lie on the mesh; ``None`` where no plugin tells."""
    try:
        from prep_stencils.answers import FilmSheets

        films = ask(FilmSheets)
    except (ModuleNotFoundError, Unanswered):
        return None
    return films.width_mm, films.height_mm


def _bounds(shapes: Sequence[shapely.Geometry]) -> Bounds | None:
    if not shapes:
        return None
    x0, y0, x1, y1 = (float(v) for v in shapely.total_bounds(shapes))
    return x0, y0, x1, y1
