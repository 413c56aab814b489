"""How long cutting, weeding and placing a film take: by count and length, within a wide range."""

from __future__ import annotations

from dataclasses import dataclass

from prep.estimate import Estimate, Parameter

_GUESS = "guess; weed a film of yours by the clock"
PIECE_S = Parameter("stencils.piece", 6.0, 3.0, 15.0, "s", _GUESS, "guess")
ISLAND_S = Parameter("stencils.island", 15.0, 5.0, 40.0, "s", _GUESS, "guess")
LIFTED = Parameter(
    "stencils.lifted", 2.0, 1.0, 4.0, "", "guess: the lifted blade goes faster", "guess"
)
LIFT_S = Parameter("stencils.lift", 0.3, 0.1, 0.6, "s", "guess", "guess")


@dataclass(frozen=True, slots=True, eq=False)
class Times:
    """Minutes for one film."""

    cut: Estimate
    weed: Estimate
    place: Estimate


def times_of(
    cut_mm: float, travel_mm: float, strokes: int, pieces: int, islands: int, speed_mm_per_s: float
) -> Times:
    """Estimate the time of a film.

    :param cut_mm: way of the blade in the film, ``travel_mm`` of the lifted blade
    :param strokes: times it is lifted
    :param pieces: that are weeded
    :param islands: that are looked after when the film is laid
    """
    speed = speed_mm_per_s
    cut = (cut_mm / speed + travel_mm / (speed * LIFTED.default) + strokes * LIFT_S.default) / 60
    drawn = (cut_mm / speed + travel_mm / (speed * LIFTED.draws()) + strokes * LIFT_S.draws()) / 60
    return Times(
        Estimate(cut, "min", drawn, (f"the blade's speed of {speed:g} mm/s is taken as stated",)),
        _each(pieces, PIECE_S),
        _each(islands, ISLAND_S),
    )


def _each(count: int, takes: Parameter) -> Estimate:
    basis = (f"{takes.default:g} s each ({takes.low:g} to {takes.high:g}): {takes.source}",)
    return Estimate(count * takes.default / 60.0, "min", count * takes.draws() / 60.0, basis)
