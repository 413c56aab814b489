"""What the range of a print's ink comes from, and what measuring would leave of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from prep_ink import parameters
from prep_ink.answers import Contribution

if TYPE_CHECKING:
    from prep.estimate import Estimate, Floats
    from prep_ink.hand import Hand
    from prep_ink.one_print import OnePrint
    from prep_ink.parameters import Known


def contributions(one: OnePrint, hand: Hand, edge_mm2: Floats) -> tuple[Contribution, ...]:
    """Tell what the range of a print's ink comes from, the largest part first.

    A parameter's share is the part of the variance of the ink's logarithm that goes once that parameter
    alone is known to be its default. For factors that are multiplied, as nearly all are here, the shares
    sum to about 1: draws of unlike parameters are correlated by chance, up to 0.1.

    :param edge_mm2: the edge integral by this hand, (513,)
    """
    whole = _variance(one.grams(hand, edge_mm2))
    found = []
    for known in map(hand.known, one.used):
        left = _variance(_grams(one, hand.knowing(known), known, edge_mm2))
        share = max(0.0, 1.0 - left / whole) if whole > 0 else 0.0
        found.append(Contribution(known.parameter.name, known.words, share, known.remedy))
    return tuple(sorted(found, key=lambda part: -part.share))


def once_measured(
    one: OnePrint, hand: Hand, edge_mm2: Floats, largest: Contribution
) -> Estimate | None:
    """Reckon a print's ink as it is known once the remedy of its largest uncertainty has been followed.

    Shirts that are weighed tell mesh, ink and strokes along with the transfer.

    :return: ``None`` where there is no remedy, or nothing to be known better
    """
    if not largest.remedy or not largest.share:
        return None
    (known,) = (k for k in map(hand.known, one.used) if k.parameter.name == largest.parameter)
    better = hand.once_measured(known)
    if largest.parameter == parameters.TRANSFER.parameter.name:
        better = better.knowing(*one.weighed_too)
    return _grams(one, better, known, edge_mm2)


def _grams(one: OnePrint, hand: Hand, changed: Known, edge_mm2: Floats) -> Estimate:
    again = changed.parameter.name == parameters.EDGE_REACH.parameter.name
    return one.grams(hand, one.edge_mm2(hand) if again else edge_mm2)


def _variance(figure: Estimate) -> float:
    return float(np.var(np.log(figure.draws)))
