"""Lengths of frames and squeegees in words: never rounded to the side that doesn't fit."""

from __future__ import annotations

from prep.phrases import at_least, at_most


def fine(mm: float, units: str) -> str:
    """Write a small length as it is.

    >>> fine(3.0, "metric"), fine(2.5, "metric"), fine(3.175, "inch")
    ('3 mm', '2.5 mm', '0.125 in')
    """
    return f"{mm / 25.4:.3g} in" if units == "inch" else f"{mm:g} mm"


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
