"""Numbers as text, in the shop's units, and names made fit to print. Imports nothing of prep."""

from __future__ import annotations

import re
from typing import Literal

Units = Literal["metric", "inch"]

_MM_PER_IN = 25.4
# control characters, and those that turn the direction of what follows
_UNSEEN = re.compile(
    "[\x00-\x1f\x7f-\x9f\u2028\u2029\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff]+"
)
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_MILLIMETRES = re.compile(r"(\d+(?:\.\d+)?(?: [x×] \d+(?:\.\d+)?)?) mm\b")
_LONG_RUN = re.compile(r"[^\s\u200b]{25,}")
_LONGEST_PART = 25
_LONE = re.compile("[\ud800-\udfff]")


def clean(text: str) -> str:
    """Give text on one line, without control characters and with long runs made breakable."""
    seen = _LONE.sub("\ufffd", _UNSEEN.sub(" ", text)).strip()
    return _LONG_RUN.sub(_breakable, seen)


def _breakable(run: re.Match[str]) -> str:
    """Let a run break where its name has joints; where a part of it is long still, every 12 letters."""
    parts = re.findall(r"[^-_/]*[-_/]+|[^-_/]+", run[0])
    return "\u200b".join(
        piece
        for part in parts
        for piece in (re.findall(r".{1,12}", part) if len(part) >= _LONGEST_PART else [part])
    )


def lengths(text: str, units: Units) -> str:
    """Write the millimetres of a text made elsewhere, like a set-up's name, in inches where these are read.

    >>> lengths("front, 203.2 mm, on dark", "inch"), lengths("172.7 × 162.6 mm", "inch")
    ('front, 8 in, on dark', '6.8 × 6.4 in')
    """
    if units != "inch":
        return text

    def inches(found: re.Match[str]) -> str:
        return (
            _NUMBER.sub(lambda one: f"{round(float(one[0]) / _MM_PER_IN, 2):g}", found[1]) + " in"
        )

    return _MILLIMETRES.sub(inches, text)


def letter(number: int) -> str:
    """Give A, B, ... Z, AA, AB ... for 0, 1, ..."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def size(width_mm: float, height_mm: float, units: Units) -> str:
    """Say a size: ``280.0 × 190.5 mm`` or ``11.02 × 7.50 in``.

    In inches, too, it is that of tenths of a millimetre, as sentences tell it.
    """
    if units == "inch":
        wide_in, high_in = (round(side_mm, 1) / _MM_PER_IN for side_mm in (width_mm, height_mm))
        return f"{wide_in:.2f} × {high_in:.2f} in"
    return f"{width_mm:.1f} × {height_mm:.1f} mm"


def fine(width_mm: float, units: Units) -> str:
    """Say a fine width: ``0.41 mm``, or ``0.016 in (0.41 mm)``."""
    if units == "inch":
        width_in = width_mm / _MM_PER_IN
        said = f"{width_in:.3f} in" if width_in >= 5e-4 else "under 0.001 in"
        return f"{said} ({width_mm:.2f} mm)"
    return f"{width_mm:.2f} mm" if width_mm >= 5e-3 else "under 0.01 mm"


def span(width_mm: float, units: Units) -> str:
    """Say a round figure of a fine width: ``3 mm``, ``0.118 in``."""
    return f"{width_mm / _MM_PER_IN:.3f} in" if units == "inch" else f"{width_mm:g} mm"


def length(length_mm: float, units: Units) -> str:
    """Say how long a line is that is followed by hand or knife: ``2.21 m`` or ``87 in``."""
    if units == "inch":
        return f"{length_mm / _MM_PER_IN:.0f} in"
    return f"{length_mm / 1000:.2f} m" if length_mm >= 1000 else f"{length_mm:.0f} mm"


def area(area_mm2: float, units: Units) -> str:
    """Say an area: ``51.2 cm²``, ``0.04 cm²`` or ``7.94 in²``; never as nothing."""
    if units == "inch":
        area_in2 = area_mm2 / _MM_PER_IN**2
        return f"{area_in2:.2f} in²" if area_in2 >= 0.005 else "under 0.01 in²"
    area_cm2 = area_mm2 / 100.0
    if area_cm2 < 0.005:
        return "under 0.01 cm²"
    return f"{area_cm2:.2f} cm²" if area_cm2 < 1.0 else f"{area_cm2:.1f} cm²"


def place(at_mm: tuple[float, float], units: Units) -> str:
    """Say where: ``101.2 mm from the left, 44.0 mm from the top``."""
    if units == "inch":
        x, y = (value / _MM_PER_IN for value in at_mm)
        return f"{x:.2f} in from the left, {y:.2f} in from the top"
    return f"{at_mm[0]:.1f} mm from the left, {at_mm[1]:.1f} mm from the top"


def percent(share: float) -> str:
    """Say a share: ``14 %``, ``2.3 %``, ``under 0.1 %``."""
    value = 100.0 * share
    if 0.0 < value < 0.1:
        return "under 0.1 %"
    return f"{value:.1f} %" if value < 10 else f"{value:.0f} %"


def count(number: int, one: str, more: str = "") -> str:
    """Say how many: ``1 shirt``, ``48 shirts``."""
    return f"{number} {one if number == 1 else more or one + 's'}"
