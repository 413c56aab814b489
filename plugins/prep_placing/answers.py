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


@dataclass(frozen=True, slots=True)
class Laying:
    """How garments are laid on the board, in words.

    :param steps: what is looked at, like ``the seam of its collar 75 mm above the print``; one for each
        distance, with the sizes it is for where there are several
    """

    steps: tuple[str, ...]
