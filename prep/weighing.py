"""How finely a balance weighs, and the smallest dose it tells. Plain arithmetic.

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
