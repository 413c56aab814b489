"""File names made of ink names in any script. Imports nothing of prep."""

from __future__ import annotations

import unicodedata
from typing import Literal

Units = Literal["metric", "inch"]
_LONGEST = 40


def safe_name(ink: str) -> str:
    """Give an ink's name as part of a file name: letters, marks and digits of any script, else hyphens.

    ``"Deep blue / 2"`` becomes ``"Deep-blue-2"``; a name with nothing of that becomes ``"ink"``.
    """
    composed = unicodedata.normalize("NFC", ink)
    kept = "".join(c if unicodedata.category(c)[0] in "LNM" else "-" for c in composed)
    words = "-".join(word for word in kept.split("-") if word)[:_LONGEST].strip("-")
    return words if any(unicodedata.category(c)[0] in "LN" for c in words) else "ink"


def _size(across_mm: float, along_mm: float, units: Units) -> str:
    if units == "inch":
        return f"{across_mm / 25.4:.2f}x{along_mm / 25.4:.2f}in"
    return f"{across_mm:.0f}x{along_mm:.0f}mm"


def spares_stem(
    number: int, ink: str, across_mm: float, along_mm: float, units: Units = "metric"
) -> str:
    """Give the file name of spare islands without ending: ``01-deep-blue-spares-120x20mm``."""
    return f"{number:02d}-{safe_name(ink)}-spares-{_size(across_mm, along_mm, units)}"


def stem_of(
    number: int,
    ink: str,
    *,
    part: tuple[int, int] = (1, 1),
    across_mm: float,
    along_mm: float,
    side: str,
    units: Units = "metric",
) -> str:
    """Give a film's file name without ending: ``01-deep-blue-380x291mm-shirt-side``, or in inches.

    :param number: of the film's first screen, in print order; makes names differ
    :param part: (number, of how many) of a sheet that is parted
    """
    which = "" if part[1] == 1 else f"-part-{part[0]}-of-{part[1]}"
    size = _size(across_mm, along_mm, units)
    return f"{number:02d}-{safe_name(ink)}{which}-{size}-{side}-side"
