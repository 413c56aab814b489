"""Figures as text: never more digits than they are good for, never without their interval."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from prep.ounces import GRAMS_PER_OUNCE, ML_PER_US_FLUID_OUNCE
from prep.phrases import spelt

if TYPE_CHECKING:
    from prep.estimate import Estimate


LEAST_G = 0.001
"""Grams under it are told as no more than that."""


def decimals(value: float) -> int:
    """Give how many decimals leave two digits that count; none from 10 on.

    >>> decimals(0.0342), decimals(1.449), decimals(43.4)
    (3, 1, 0)
    """
    return max(0, 1 - math.floor(math.log10(abs(value) * 1.005))) if value else 0


def figure(value: float) -> str:
    """Write a number with two digits that count, whole from 10 on.

    >>> figure(0.0342), figure(1.04), figure(9.96), figure(43.4)
    ('0.034', '1.0', '10', '43')
    """
    return f"{value:.{decimals(value)}f}"


def between(estimate: Estimate) -> str:
    """Write an estimate, its bounds as finely as its value: ``1.5 g (0.9 to 2.6)``.

    Grams that no scale of a shop shows are told as too few, without bounds.
    """
    if estimate.unit == "g" and estimate.high < LEAST_G:
        return f"under {LEAST_G:g} g"
    unit = f" {spelt(estimate.unit)}" if estimate.unit else ""
    digits = decimals(estimate.value)
    return f"{estimate.value:.{digits}f}{unit} ({estimate.low:.{digits}f} to {estimate.high:.{digits}f})"


def percent(share: float) -> str:
    """Write a share.

    >>> percent(0.93)
    '93 %'
    """
    return f"{100 * share:.0f} %"


def weight(grams: float, units: str) -> str:
    """Write a weighed amount; in ounces by weight first, where the shop reads those.

    >>> weight(265, "metric"), weight(265, "inch")
    ('265 g', '9.35 oz by weight (265 g)')
    """
    if units == "metric":
        return f"{grams:g} g"
    return f"{grams / GRAMS_PER_OUNCE:.2f} oz by weight ({grams:.{0 if grams >= 100 else 1}f} g)"


def volume(grams: float, density_g_per_ml: float, units: str) -> str:
    """Write the volume of a weighed amount, in US fluid ounces where the shop reads those.

    >>> volume(265, 1.06, "metric"), volume(265, 1.06, "inch")
    ('250 ml', '8.5 fl oz')
    """
    ml = grams / density_g_per_ml
    if units == "metric":
        return f"{figure(ml)} ml"
    return f"{ml / ML_PER_US_FLUID_OUNCE:.1f} fl oz"


def duration(seconds: float) -> str:
    """Write a time in hours, days from two on, or minutes under one hour.

    >>> duration(2700), duration(21600), duration(864000)
    ('45 min', '6 h', '10 days')
    """
    hours = seconds / 3600.0
    if hours < 1:
        return f"{seconds / 60.0:.0f} min"
    return f"{hours:.3g} h" if hours < 48 else f"{hours / 24.0:.0f} days"
