"""What a balance shows, and what errors of masses make of a share. Plain arithmetic."""

from __future__ import annotations

import math


def share_error(share: float, own: float, rest: float) -> float:
    """Give the absolute error of a share of a mix, one sigma: f (1 - f) sqrt(own² + rest²).

    First order, both errors independent (the usual propagation of a / (a + m)).

    :param own: relative error of the mass whose share it is
    :param rest: relative error of all the rest together

    >>> round(100 * share_error(0.024390, 0.0408 / 4.99, 0.0), 4)
    0.0195
    """
    return share * (1.0 - share) * math.hypot(own, rest)


def on_balance(mass_g: float, readability_g: float) -> float:
    """Give the nearest mass that the balance shows.

    >>> on_balance(4.99, 0.1), on_balance(4.99, 1.0)
    (5.0, 5.0)
    """
    return as_shown(round(mass_g / readability_g), readability_g)


def above(mass_g: float, readability_g: float) -> float:
    """Give the smallest mass on the balance that isn't less than this; infinite where this is."""
    if not math.isfinite(mass_g / readability_g):
        return math.inf
    return as_shown(math.ceil(mass_g / readability_g - 1e-9), readability_g)


def below(mass_g: float, readability_g: float) -> float:
    """Give the largest mass on the balance that isn't more than this.

    >>> below(4.99, 0.1), below(4.9, 0.1)
    (4.9, 4.9)
    """
    return as_shown(math.floor(mass_g / readability_g + 1e-9), readability_g)


def as_shown(steps: int, readability_g: float) -> float:
    """Give a number of steps as a mass, without the dust of binary fractions."""
    return float(f"{steps * readability_g:.12g}")
