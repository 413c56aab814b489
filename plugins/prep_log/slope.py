"""How fast a screen loses weight: a straight line through several readings of the balance."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Slope:
    """A straight line by least squares.

    :param per_unit: its slope
    :param at_zero: where it crosses zero
    :param off: standard deviation of the slope; ``None`` with two readings, which say nothing of it
    :param square: sum of squares of the places about their mean
    """

    per_unit: float
    at_zero: float
    off: float | None
    square: float

    def off_with(self, readability: float) -> float:
        """Give the slope's standard deviation where readings are also rounded.

        That of the residuals, and no less than what rounding to the last digit makes of it: each value is
        off by ``readability / sqrt(12)`` (rectangular). Of two readings only the latter is known.
        """
        rounded = readability / math.sqrt(12.0 * self.square)
        return max(rounded, self.off or 0.0)


def slope_of(at: Sequence[float], values: Sequence[float]) -> Slope:
    """Lay a line through readings.

    Ordinary least squares about the means; its standard deviation by the residuals over n - 2.

    :raises ValueError: fewer than two readings, or all at one time
    """
    x, y = np.asarray(at, dtype=float), np.asarray(values, dtype=float)
    if len(x) != len(y) or len(x) < 2 or float(np.ptp(x)) == 0.0:
        raise ValueError("a line needs readings at two times or more")
    across = x - x.mean()
    square = float((across**2).sum())
    rise = float((across * (y - y.mean())).sum()) / square
    left = y - y.mean() - rise * across
    freedom = len(x) - 2
    off = None if freedom == 0 else math.sqrt(float((left**2).sum()) / freedom / square)
    return Slope(rise, float(y.mean() - rise * x.mean()), off, square)
