"""Values as the shop measures: settings keep millimetres, seconds and °C, people don't all."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

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


_OWN_UNITS: Mapping[str, Mapping[str, str]] = {"metric": {}, "inch": {"mm": "in", "C": "F"}}
_BARE = re.compile(r"[+-]?(?:\d+(?:[.,]\d+)?|[.,]\d+|(?:\d+(?:\s+|-))?\d+\s*/\s*\d+)")
Units = str | Mapping[str, str]
"""A unit, or those of a table's keys."""


def unit_here(unit: str, units: str) -> str:
    """Give the unit that a number alone is taken in, where the shop measures in ``units``."""
    return _OWN_UNITS.get(units, {}).get(unit, unit)


def with_unit(value: Any, unit: Units) -> Any:
    """Give a value, or each of a list or table, its unit where it was typed without one.

    Numbers that are typed as such stay shares.

    >>> with_unit("10,5", "in"), with_unit("10 cm", "in"), with_unit({"S": 9}, "mm"), with_unit(0.1, "%")
    ('10,5 in', '10 cm', {'S': '9 mm'}, 0.1)
    """
    if isinstance(value, Mapping):
        own = {key: unit if isinstance(unit, str) else unit.get(key, "") for key in value}
        return {key: with_unit(one, own[key]) for key, one in value.items()}
    if isinstance(value, list):
        return [with_unit(one, unit) for one in value]
    if not isinstance(unit, str) or not unit or isinstance(value, bool):
        return value
    if isinstance(value, str):
        text = value.strip()
        return f"{text} {unit}" if _BARE.fullmatch(text) else value
    if isinstance(value, int | float) and unit != "%":
        return f"{value:.12g} {unit}"
    return value


_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_MM = r"\d+(?:\.\d+)?(?: ?[x×] ?\d+(?:\.\d+)?)? mm"
_SPELT = re.compile(rf'(?P<like>\blike )?"(?P<quoted>[^"]*)"|(?<!y )(?<![\w.])(?P<mm>{_MM})\b')


def lengths(text: str, units: str) -> str:
    """Write the millimetres of a sentence in inches where these are read; what is quoted stays as typed.

    :param units: ``"metric"`` or ``"inch"``

    >>> lengths("front, 203.2 mm, on dark", "inch"), lengths("172.7 × 162.6 mm", "inch")
    ('front, 8 in, on dark', '6.8 × 6.4 in')
    >>> lengths('"9000 mm" must be at most 5000 mm; write it like "280 mm"', "inch")
    '"9000 mm" must be at most 196.85 in; write it like "11 in"'
    """
    if units != "inch":
        return text

    def inches(found: re.Match[str]) -> str:
        if found["mm"] is not None:
            return _NUMBER.sub(lambda one: _few(float(one[0])), found["mm"])[:-2] + "in"
        example = found["like"] and _VALUE.fullmatch(found["quoted"])
        if not example or example[2] not in ("mm", "C"):
            return found[0]
        value = float(example[1])
        own = f"{value * 1.8 + 32.0:.0f} F" if example[2] == "C" else f"{_plain(value)} in"
        return f'{found["like"]}"{own}"'

    return _SPELT.sub(inches, text)


def _few(mm: float) -> str:
    inch = mm / _MM_PER_INCH
    return f"{round(inch, 2):g}" if inch >= 1.0 else f"{inch:.2g}"


def _plain(mm: float) -> str:
    inch = mm / _MM_PER_INCH
    return f"{inch:.0f}" if inch >= 2.0 else f"{inch:.1g}"
