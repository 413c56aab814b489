"""Usual values as the shop measures: settings keep millimetres, seconds and °C, people don't all."""

from __future__ import annotations

import re
from collections.abc import Callable

_VALUE = re.compile(r"(-?\d+(?:\.\d+)?) (mm|mm2|C|s)")
_MM_PER_INCH = 25.4


def _inch(mm: float) -> str:
    return f"{mm / _MM_PER_INCH:.3f}".rstrip("0").rstrip(".") + " in"


def _square_inch(mm2: float) -> str:
    return f"{mm2 / _MM_PER_INCH**2:.3g} in2"


def _fahrenheit(degrees: float) -> str:
    return f"{round(degrees * 1.8 + 32.0, 2):g} F"


def _span(seconds: float) -> str:
    if seconds >= 3600.0 and seconds % 3600.0 == 0.0:
        return f"{seconds / 3600.0:g} h"
    if seconds >= 120.0 and seconds % 60.0 == 0.0:
        return f"{seconds / 60.0:g} min"
    return f"{seconds:g} s"


_INCHES: dict[str, Callable[[float], str]] = {
    "mm": _inch,
    "mm2": _square_inch,
    "C": _fahrenheit,
}


def as_measured(text: str, units: str) -> str:
    """Write a usual value in the units of the shop, lengths to 0.001 in; what is no such value stays.

    :param units: ``"metric"`` or ``"inch"``

    >>> as_measured("0.7 mm", "inch"), as_measured("21 C", "inch"), as_measured("25 mm2", "inch")
    ('0.028 in', '69.8 F', '0.0388 in2')
    >>> as_measured("0.7 mm", "metric"), as_measured("1380 s", "metric"), as_measured("28800 s", "inch")
    ('0.7 mm', '23 min', '8 h')
    """
    found = _VALUE.fullmatch(text)
    if found is None:
        return text
    value, unit = float(found[1]), found[2]
    if unit == "s":
        return _span(value)
    return _INCHES[unit](value) if units == "inch" else text
