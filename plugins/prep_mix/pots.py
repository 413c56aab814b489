"""Which pot a batch is mixed in. Plain arithmetic."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Potted:
    """How many pots of which size a batch takes.

    :param pot_ml: brimful
    :param holds_ml: of the mix, as full as pots are filled
    """

    pot_ml: float
    holds_ml: float
    count: int


def potted(volume_ml: float, pots_ml: Sequence[float], full: float) -> Potted:
    """Give the smallest pot that holds a batch, or the fewest of the largest where none does.

    :param pots_ml: one or more, brimful
    :param full: share of a pot that is filled, so that it can be stirred
    :raises ValueError: no pots

    >>> potted(236.0, [250.0, 500.0], 0.7).pot_ml, potted(800.0, [250.0, 500.0], 0.7).count
    (500.0, 3)
    """
    if not pots_ml:
        raise ValueError("there is no pot to mix in")
    for pot in sorted(pots_ml):
        if volume_ml <= pot * full * (1 + 1e-9):
            return Potted(pot, pot * full, 1)
    largest = max(pots_ml)
    return Potted(largest, largest * full, math.ceil(volume_ml / (largest * full) - 1e-9))
