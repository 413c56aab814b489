"""Lengths of frames and squeegees in words: never rounded to the side that doesn't fit."""

from __future__ import annotations

from fractions import Fraction

from prep.phrases import at_least, at_most

_NEAR = 0.07
"""Share by which a length may differ from the sixteenth it is told as: a hand sets no finer. Our choice."""


def fine(mm: float, units: str) -> str:
    """Write a small length as it is; in inches as the sixteenth that a rule shows, where it is near one.

    >>> fine(3.0, "metric"), fine(2.5, "metric"), fine(3.175, "inch")
    ('3 mm', '2.5 mm', '1/8 in')
    >>> fine(3.0, "inch"), fine(25.4, "inch"), fine(38.1, "inch"), fine(0.4, "inch")
    ('1/8 in', '1 in', '1 1/2 in', '0.0157 in')
    """
    if units != "inch":
        return f"{mm:g} mm"
    sixteenths = round(mm / 25.4 * 16)
    if not sixteenths or abs(sixteenths * 25.4 / 16 - mm) > _NEAR * mm:
        return f"{mm / 25.4:.3g} in"
    whole, rest = divmod(Fraction(sixteenths, 16), 1)
    return f"{' '.join(str(part) for part in (whole, rest) if part)} in"


def size_at_least(width_mm: float, height_mm: float, units: str) -> str:
    """Write width × height, both rounded up.

    >>> size_at_least(385.2, 400.0, "metric")
    '386 × 400 mm'
    """
    return _size(at_least(width_mm, units), at_least(height_mm, units))


def size_at_most(width_mm: float, height_mm: float, units: str) -> str:
    """Write width × height, both rounded down."""
    return _size(at_most(width_mm, units), at_most(height_mm, units))


def _size(width: str, height: str) -> str:
    return f"{width.rpartition(' ')[0]} × {height}"
