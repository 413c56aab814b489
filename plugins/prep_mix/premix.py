"""A dose too small for the balance, weighed as part of a larger one. Plain arithmetic.

So much of it is stirred into so much of a carrier, and so much of that pre-mix taken as holds the dose.
With A and C weighed into the pre-mix and T taken of it, the relative error of the dose is

    sqrt( (C / (A + C))² ((u / A)² + (u / C)²) + (u / T)² )      u the error of one weighing

(first order, weighings independent), and what T carries of the carrier is taken off the rest.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from prep.weighing import SIGMAS, least_dose_g, weighing_error_g
from prep_mix.balance import above, as_shown, below, on_balance

_HAIR = 1e-9
MOST_CARRIER = 99
"""Parts of carrier to one of the dose that are tried; more are hard to stir evenly. Our choice."""


@dataclass(frozen=True, slots=True)
class PreMix:
    """How a dose is weighed by way of a pre-mix.

    :param dose_g: what is wanted
    :param own_g: of it into the pre-mix; as the balance shows
    :param carrier_g: of the carrier into the pre-mix; as the balance shows
    :param take_g: of the pre-mix for each pot, exact
    :param shown_g: the same as the balance shows
    :param error: of the dose, relative, at two sigma, from all three weighings; what rounding ``take_g``
        to the balance adds is not in it
    :param pots: it is made once for so many pots, as much being taken for each
    """

    dose_g: float
    own_g: float
    carrier_g: float
    take_g: float
    shown_g: float
    error: float
    pots: int = 1

    @property
    def strength(self) -> float:
        """Share of the pre-mix that is the dose's stuff."""
        return self.own_g / (self.own_g + self.carrier_g)

    @property
    def carried_g(self) -> float:
        """What is carried of the carrier into the batch."""
        return self.take_g - self.dose_g

    @property
    def carried_shown_g(self) -> float:
        """What is carried of the carrier when as much is taken as the balance shows."""
        return self.shown_g * (1.0 - self.strength)

    def carried_error_g(self, weighing_g: float) -> float:
        """Give the error of what is carried of the carrier, one sigma.

        It is T - T q, q the strength: off by (1 - q) u for what is taken, and by T times the error of q,
        which is that of the dose without its part q u for what is taken.

        :param weighing_g: error u of one weighing, one sigma
        """
        dose_g = self.dose_g * self.error / SIGMAS
        of_strength = dose_g**2 - (self.strength * weighing_g) ** 2
        return math.sqrt(((1.0 - self.strength) * weighing_g) ** 2 + max(0.0, of_strength))

    @property
    def left_g(self) -> float:
        """What is left of the pre-mix when as much as the balance shows is taken for every pot."""
        return self.whole_g - self.pots * self.shown_g

    @property
    def whole_g(self) -> float:
        """All of the pre-mix."""
        return self.own_g + self.carrier_g

    @property
    def rounding(self) -> float:
        """By how much the dose is off because the balance can't show it, relative, signed."""
        return self.shown_g / self.take_g - 1.0


def error_of(own_g: float, carrier_g: float, take_g: float, weighing_g: float) -> float:
    """Give the relative error of a dose by way of a pre-mix, one sigma.

    :param weighing_g: error of one weighing, one sigma

    >>> round(error_of(5.0, 45.0, 5.0, 0.0408), 4)
    0.011
    """
    carrier_share = carrier_g / (own_g + carrier_g)
    mixed = carrier_share * math.hypot(weighing_g / own_g, weighing_g / carrier_g)
    return math.hypot(mixed, weighing_g / take_g)


def pre_mix(
    dose_g: float,
    carrier_g: float,
    readability_g: float,
    limit: float,
    most_g: float = math.inf,
    pots: int = 1,
) -> PreMix | None:
    """Find the pre-mix that leaves least over, of those that keep to the limit; of equals the smallest.

    Of 1 to 99 parts of carrier to one of the dose, all weighings on the balance and each to the limit;
    the error at two sigma and the rounding of what is taken together stay within it. What is taken is
    rounded to the nearest step, or down where it would hold more than ``most_g``.

    :param carrier_g: of the carrier in the batch; what is left of it is still weighable
    :param limit: largest relative error at two sigma
    :param most_g: most of the dose's stuff that what is taken may hold
    :param pots: so many pots take of it, alike; ``dose_g``, ``carrier_g`` and ``most_g`` are of one
    :return: ``None`` where the batch has too little of the carrier, or nothing keeps to the limit
    """
    weighing_g, least_g = weighing_error_g(readability_g), least_dose_g(readability_g, limit)
    found: list[PreMix] = []
    for parts in range(1, MOST_CARRIER + 1):
        take_g = dose_g * (1 + parts)
        shown_g = on_balance(take_g, readability_g)
        if shown_g > most_g * (1 + parts) * (1 + _HAIR):
            shown_g = below(most_g * (1 + parts), readability_g)
        if shown_g < least_g or carrier_g - (take_g - dose_g) < least_g:
            continue
        left = (limit - abs(shown_g / take_g - 1.0)) / SIGMAS
        room = left**2 - (weighing_g / take_g) ** 2
        if left <= 0 or room <= 0:
            continue
        spread = parts / (1 + parts) * math.hypot(1.0, 1.0 / parts)
        needed_g = max(least_g, weighing_g * spread / math.sqrt(room), pots * shown_g / (1 + parts))
        own_g = above(needed_g, readability_g)
        into_g = as_shown(round(own_g / readability_g) * parts, readability_g)
        error = SIGMAS * error_of(own_g, into_g, take_g, weighing_g)
        found.append(PreMix(dose_g, own_g, into_g, take_g, shown_g, error, pots))
    return min(
        found, key=lambda one: (as_shown_left(one, readability_g), one.whole_g), default=None
    )


def as_shown_left(way: PreMix, readability_g: float) -> float:
    """Give what is left of a pre-mix in whole steps of the balance."""
    return as_shown(round(way.left_g / readability_g), readability_g)
