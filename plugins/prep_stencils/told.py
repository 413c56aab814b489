"""What is reckoned of one film before it is told."""

from __future__ import annotations

from dataclasses import dataclass

from prep.job import Job
from prep_stencils.film import Cut, Pieces, pieces_of, sharp_in, strokes_in
from prep_stencils.life import Lasting, Run, lasting
from prep_stencils.settings import Stencils
from prep_stencils.times import Times
from prep_stencils.timing import times_on


@dataclass(frozen=True, slots=True, eq=False)
class Told:
    """All that is said of one film.

    :param cut_mm: way of the blade in the film, ``travel_mm`` of the lifted blade
    :param lifts: times it is lifted
    :param sharp: corners that are sharper than the blade turns
    """

    cut: Cut
    pieces: Pieces
    lasting: Lasting
    cut_mm: float
    travel_mm: float
    lifts: int
    times: Times
    sharp: int

    @classmethod
    def of(cls, job: Job, cut: Cut, run: Run) -> Told:
        """Reckon it."""
        chosen = job.settings(Stencils)
        strokes = [strokes_in(part, chosen.overcut_mm) for part in cut.parts]
        way, lifted = (sum(each.cut_mm for each in strokes), sum(s.travel_mm for s in strokes))
        lifts = sum(len(layer.strokes) for each in strokes for layer in each.layers)
        times = times_on(job, cut, strokes)
        sharp = sharp_in(cut.region, chosen.blade_offset_mm, chosen.sharpest_corner_deg)
        held = lasting(job, cut, run)
        return cls(cut, pieces_of(cut), held, way, lifted, lifts, times, len(sharp))
