"""Lengths in words."""

from __future__ import annotations


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


def edge(mm: float, units: str, where: str) -> str:
    """Say how far an edge lies from the print, or how far the print reaches over it.

    >>> edge(90.0, "metric", "beside"), edge(-5.0, "metric", "beside")
    ('90 mm beside', 'reaches 5 mm over beside')
    """
    if mm > -0.05:
        return f"{short(max(0.0, mm), units)} {where}"
    return f"reaches {short(-mm, units)} over {where}"
