"""Figures and lists as people write them."""

from __future__ import annotations

from collections.abc import Sequence


def length(mm: float, units: str) -> str:
    """Write a length to 0.01 mm or 0.001 in."""
    return f"{mm / 25.4:.3f} in" if units == "inch" else f"{mm:.2f} mm"


def place(at_mm: tuple[float, float], units: str) -> str:
    """Write a place of the artwork."""
    x, y = at_mm
    return f"({x / 25.4:.2f}, {y / 25.4:.2f}) in" if units == "inch" else f"({x:.0f}, {y:.0f}) mm"


def percent(share: float) -> str:
    """Write a share, small ones as a bound that draws can tell."""
    if 0.0 < share < 0.005:
        return "under 1 %"
    if 0.995 < share < 1.0:
        return "over 99 %"
    return f"{100.0 * share:.0f} %"


def several(names: Sequence[str]) -> str:
    """Write names as a list: ``red, teal and navy``."""
    *others, last = names
    return f"{', '.join(others)} and {last}" if others else last
