"""Fine lengths, places, shares and lists as people write them, alike in all that is said."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable

_CELSIUS = re.compile(r"(-?\d+(?:\.\d+)?) °C( cooler| warmer)?")
_HAIR = 1e-6


def length(mm: float, units: str) -> str:
    """Write a fine length to 0.01 mm or 0.001 in.

    >>> length(0.35, "metric"), length(0.35, "inch")
    ('0.35 mm', '0.014 in')
    """
    return f"{mm / 25.4:.3f} in" if units == "inch" else f"{mm:.2f} mm"


def at_least(mm: float, units: str) -> str:
    """Write a length rounded up: whole mm, or 0.1 in.

    >>> at_least(385.2, "metric"), at_least(386.0, "metric"), at_least(254.0, "inch")
    ('386 mm', '386 mm', '10 in')
    """
    if units == "inch":
        return f"{math.ceil(mm / 2.54 - _HAIR) / 10.0:g} in"
    return f"{math.ceil(mm - _HAIR)} mm"


def at_most(mm: float, units: str) -> str:
    """Write a length rounded down: whole mm, or 0.1 in.

    >>> at_most(385.7, "metric"), at_most(386.0, "metric"), at_most(255.0, "inch")
    ('385 mm', '386 mm', '10 in')
    """
    if units == "inch":
        return f"{math.floor(mm / 2.54 + _HAIR) / 10.0:g} in"
    return f"{math.floor(mm + _HAIR)} mm"


def temperatures(text: str, units: str) -> str:
    """Write the temperatures of a text for readers of inches: °F, with °C in brackets.

    >>> temperatures("above some 40 °C film lifts", "inch")
    'above some 104 °F (40 °C) film lifts'
    >>> temperatures("at 20 °C", "metric")
    'at 20 °C'
    >>> temperatures("air 3 °C cooler", "inch")
    'air 5 °F (3 °C) cooler'
    """
    if units != "inch":
        return text

    def fahrenheit(found: re.Match[str]) -> str:
        apart = found[2] or ""
        said = float(found[1]) * 1.8 + (0.0 if apart else 32.0)
        return f"{said:.0f} °F ({found[1]} °C){apart}"

    return _CELSIUS.sub(fahrenheit, text)


def place(at_mm: tuple[float, float], units: str) -> str:
    """Write a place of the artwork, from its top left.

    >>> place((12.3, 45.6), "metric"), place((25.4, 12.7), "inch")
    ('(12, 46) mm', '(1.00, 0.50) in')
    """
    x, y = at_mm
    return f"({x / 25.4:.2f}, {y / 25.4:.2f}) in" if units == "inch" else f"({x:.0f}, {y:.0f}) mm"


def percent(share: float) -> str:
    """Write a share reckoned by draws, small and large ones as bounds that draws can tell.

    >>> [percent(share) for share in (0.0, 0.001, 0.25, 0.999, 1.0)]
    ['0 %', 'under 1 %', '25 %', 'over 99 %', '100 %']
    """
    if 0.0 < share < 0.005:
        return "under 1 %"
    if 0.995 < share < 1.0:
        return "over 99 %"
    return f"{100.0 * share:.0f} %"


def several(names: Iterable[str]) -> str:
    """Write names as a list; none as nothing.

    >>> several(["red"]), several(["red", "teal"]), several(["red", "teal", "navy"])
    ('red', 'red and teal', 'red, teal and navy')
    """
    *others, last = tuple(names) or ("",)
    return f"{', '.join(others)} and {last}" if others else last


def spelt(unit: str) -> str:
    """Spell a unit as it is printed; kelvins, which only differences are in, as degrees.

    >>> spelt("um"), spelt("mm2"), spelt("W/m2"), spelt("K"), spelt("g")
    ('µm', 'mm²', 'W/m²', '°C', 'g')
    """
    return {"um": "µm", "K": "°C"}.get(unit, unit.replace("m2", "m²"))
