"""File names made of ink names in any script. Imports nothing of prep."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

_LONGEST = 40


def safe_name(ink: str) -> str:
    """Give an ink's name as part of a file name: letters, marks and digits of any script, else hyphens.

    ``"Deep blue / 2"`` becomes ``"Deep-blue-2"``; a name with nothing of that becomes ``"ink"``.
    """
    composed = unicodedata.normalize("NFC", ink)
    kept = "".join(c if unicodedata.category(c)[0] in "LNM" else "-" for c in composed)
    words = "-".join(word for word in kept.split("-") if word)[:_LONGEST].strip("-")
    return words if any(unicodedata.category(c)[0] in "LN" for c in words) else "ink"


def stems(
    screens: Sequence[tuple[int, str]], *, across_mm: float, along_mm: float, side: str
) -> tuple[str, ...]:
    """Give the files' names without ending: ``01-deep-blue-380x291mm-shirt-side``.

    :param screens: (number in print order, name of the ink); numbers differ, and so do the names made
    """
    return tuple(
        f"{number:02d}-{safe_name(ink)}-{across_mm:.0f}x{along_mm:.0f}mm-{side}-side"
        for number, ink in screens
    )
