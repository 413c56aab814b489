"""What a balance can weigh. Plain arithmetic.

A reading to the readability d is uncertain by d / sqrt(12) (rectangular, as in the guide to the
expression of uncertainty in measurement, JCGM 100, from memory); a dose is the difference of two readings,
so by d / sqrt(6) = 0.408 d. Errors at two sigma are twice that.
"""

from __future__ import annotations

import math

SIGMAS = 2.0
"""Errors are told and limited at this many sigma."""


def weighing_error_g(readability_g: float) -> float:
    """Give the error of one dose, one sigma.

    :raises ValueError: a balance that reads nothing

    >>> round(weighing_error_g(0.1), 4)
    0.0408
    """
    if not readability_g > 0:
        raise ValueError("a balance must read something; give its readability, like 0.1 g")
    return readability_g / math.sqrt(6.0)


def least_dose_g(readability_g: float, error: float) -> float:
    """Give the smallest dose that is weighed to within a relative error, at two sigma.

    :param error: relative, more than 0
    :raises ValueError: a balance that reads nothing, or no error is allowed

    >>> round(least_dose_g(0.1, 0.05), 3)
    1.633
    """
    if not error > 0:
        raise ValueError("no dose is weighed without any error; allow some, like 5 %")
    return SIGMAS * weighing_error_g(readability_g) / error


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


def as_shown(steps: int, readability_g: float) -> float:
    """Give a number of steps as a mass, without the dust of binary fractions."""
    return float(f"{steps * readability_g:.12g}")
