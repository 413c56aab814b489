"""How long the films of a job take, for whoever plans the work."""

from __future__ import annotations

from prep.errors import Unanswered
from prep.job import Ask, Job
from prep_stencils.answers import FilmTime, FilmTimes
from prep_stencils.film import Cut, film_asked, pieces_of, strokes_in
from prep_stencils.settings import Stencils
from prep_stencils.strokes import Strokes
from prep_stencils.times import Times, times_of


def times_on(job: Job, cut: Cut, strokes: list[Strokes]) -> Times:
    """Estimate the time of a film.

    :param strokes: of each of its parts
    """
    pieces = pieces_of(cut)
    return times_of(
        sum(each.cut_mm for each in strokes),
        sum(each.travel_mm for each in strokes),
        sum(len(layer.strokes) for each in strokes for layer in each.layers),
        pieces.weeded,
        pieces.islands,
        1000.0 * job.settings(Stencils).speed_m_per_s,
    )


def film_times(job: Job, ask: Ask) -> FilmTimes:
    """Answer how long the films take, the targets among what is cut.

    :raises Unanswered: nothing is printed
    """
    film = film_asked(job, ask)
    if film is None:
        raise Unanswered("nothing is printed, so no film is cut")
    overcut_mm = job.settings(Stencils).overcut_mm
    found = []
    for cut in film.cuts:
        times = times_on(job, cut, [strokes_in(part, overcut_mm) for part in cut.parts])
        found.append(FilmTime(cut.screens[0].key, times.cut, times.weed, times.place))
    return FilmTimes(tuple(found))
