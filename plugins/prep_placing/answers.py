"""What other plugins may ask of placing."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Asides:
    """How far beside the platen's centre line a print lies, which garments lie on with their own.

    :param asides_mm: from the platen's to the print's, seen from above, to the right above zero; one for
        each kind of garment
    """

    asides_mm: tuple[float, ...]
