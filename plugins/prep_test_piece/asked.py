"""What other plugins say of a test piece: its ink, and how long the work takes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from prep.errors import Unanswered
from prep.work_times import CLEAN_S, FILM_S, LAY_S, PRINT_S
from prep_test_piece.form import Printed
from prep_test_piece.timetable import Times

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.screens import Screen

_TRANSFER = "ink.transfer"


def screen_of(job: Job) -> Screen:
    """Give its one screen.

    :raises Unanswered: there are others, so that nothing read would be of one mesh and ink
    """
    if len(job.screens) != 1:
        raise Unanswered(f"a test piece has one screen, this order has {len(job.screens)}")
    return job.screens[0]


def printed_with(job: Job, ask: Ask) -> Printed:
    """Give what the form has to know.

    :raises Unanswered: nobody reckons ink, or the order has several screens
    """
    try:
        from prep_ink.answers import InkOnScreens
        from prep_ink.forecast import in_force
    except ModuleNotFoundError as error:
        raise Unanswered("no plugin that reckons ink is installed") from error
    screen = screen_of(job)
    ink = ask(InkOnScreens)[screen.key]
    transfer = next(
        known.parameter.default for known in in_force(job, ask) if known.parameter.name == _TRANSFER
    )
    return Printed(
        mesh=screen.mesh,
        ink=screen.ink,
        readability_g=job.shop.balance.readability_g,
        at_full_g=ink.per_print_g.value / transfer,
        inked_mm2=ink.swept_mm2,
    )


def times_on(job: Job, ask: Ask) -> Times:
    """Give the times of the work: as other plugins reckon them, else the usual ones."""
    cut, weed, lay = _film(ask)
    return Times(
        cut_s=cut,
        weed_s=weed,
        lay_s=lay,
        print_s=_own_print_s(job),
        laying_s=_own_laying_s(job),
        clean_s=_own_clean_s(job),
    )


def _film(ask: Ask) -> tuple[float, float, float]:
    try:
        from prep_stencils.answers import FilmTimes

        films = ask(FilmTimes).films
    except (ModuleNotFoundError, Unanswered):
        return FILM_S, 0.0, 0.0
    return (
        60.0 * sum(film.cut.value for film in films),
        60.0 * sum(film.weed.value for film in films),
        60.0 * sum(film.place.value for film in films),
    )


def _own_print_s(job: Job) -> float:
    try:
        from prep_drying.settings import Drying
    except ModuleNotFoundError:
        return PRINT_S
    own = job.settings(Drying).print_time_s
    return PRINT_S if own is None else own.value


def _own_laying_s(job: Job) -> float:
    try:
        from prep_drying.settings import Drying
    except ModuleNotFoundError:
        return LAY_S
    own = job.settings(Drying).laying_time_s
    return LAY_S if own is None else own.value


def _own_clean_s(job: Job) -> float:
    try:
        from prep_plan.settings import Plan
    except ModuleNotFoundError:
        return CLEAN_S
    own = job.settings(Plan).clean_s
    return CLEAN_S if own is None else own.value
