"""Lengths in words."""

from __future__ import annotations

import math

_HAIR = 1e-6


def short(mm: float, units: str) -> str:
    """Write a length of a hand or so: whole mm, or 0.1 in.

    >>> short(75.0, "metric"), short(76.2, "inch"), short(7.5, "metric")
    ('75 mm', '3 in', '7.5 mm')
    """
    if units == "inch":
        return f"{round(mm / 25.4, 1):g} in"
    return f"{round(mm):d} mm" if mm >= 10.0 else f"{round(mm, 1):g} mm"


def spread(low_mm: float, high_mm: float, units: str) -> str:
    """Write from and to.

    >>> spread(60.0, 90.0, "metric")
    '60 to 90 mm'
    """
    return f"{short(low_mm, units).rpartition(' ')[0]} to {short(high_mm, units)}"


def at_least(mm: float, units: str) -> str:
    """Write a length rounded up: whole mm, or 0.1 in.

    >>> at_least(411.2, "metric"), at_least(412.0, "metric"), at_least(255.0, "inch")
    ('412 mm', '412 mm', '10.1 in')
    """
    if units == "inch":
        return f"{math.ceil(mm / 2.54 - _HAIR) / 10.0:g} in"
    return f"{math.ceil(mm - _HAIR)} mm"


def at_most(mm: float, units: str) -> str:
    """Write a length rounded down: whole mm, or 0.1 in.

    >>> at_most(411.7, "metric"), at_most(255.0, "inch")
    ('411 mm', '10 in')
    """
    if units == "inch":
        return f"{math.floor(mm / 2.54 + _HAIR) / 10.0:g} in"
    return f"{math.floor(mm + _HAIR)} mm"
