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
    """

    per_unit: float
    at_zero: float
    off: float | None


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
    return Slope(rise, float(y.mean() - rise * x.mean()), off)
