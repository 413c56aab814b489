"""How the films' figures are written: lengths of a hand or an arm, areas, counts. Plain Python."""

from __future__ import annotations


def many(count: int, what: str) -> str:
    """Write a count of things: ``1 piece``, ``4 pieces``."""
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def size_text(width_mm: float, height_mm: float, units: str) -> str:
    """Write a size in whole millimetres, or 0.01 in."""
    if units == "inch":
        return f"{width_mm / 25.4:.2f} × {height_mm / 25.4:.2f} in"
    return f"{width_mm:.0f} × {height_mm:.0f} mm"


def short_text(length_mm: float, units: str) -> str:
    """Write a length of a hand or so: whole millimetres where they are whole, or 0.01 in."""
    return f"{length_mm / 25.4:.2f} in" if units == "inch" else f"{length_mm:.4g} mm"


def long_text(length_mm: float, units: str) -> str:
    """Write a length of an arm or more."""
    return f"{length_mm / 304.8:.1f} ft" if units == "inch" else f"{length_mm / 1000.0:.2f} m"


def area_text(area_mm2: float, units: str) -> str:
    """Write an area from a speck to a sheet."""
    if units == "inch":
        area_in2 = area_mm2 / 645.16
        if area_mm2 >= 32.0:
            return f"{area_in2:.2f} in²"
        return f"{area_in2:.4f} in²" if area_in2 >= 5e-5 else "under 0.0001 in²"
    if area_mm2 >= 1000:
        return f"{area_mm2 / 100:.0f} cm²"
    if area_mm2 < 0.05:
        return "under 0.1 mm²"
    return f"{area_mm2:.0f} mm²" if area_mm2 >= 10 else f"{area_mm2:.1f} mm²"


def minutes_text(low: float, high: float) -> str:
    """Write a range of minutes: ``3-8 min``, ``1.2-2.5 h``."""
    if high < 1.0:
        return "under 1 min"
    if high >= 120.0:
        return f"{low / 60:.1f}-{high / 60:.1f} h"
    least, most = f"{low:.0f}", f"{high:.0f}"
    return f"{most} min" if least == most else f"{least}-{most} min"
