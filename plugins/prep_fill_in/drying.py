"""How wide an opening must be to stay open for the run, read off the chance that it dries shut.

Where even wide openings may dry shut, that is the run's trouble and no detail's: a detail is judged by the
chance that it dries shut where a wide opening doesn't.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from prep.errors import PluginFailed
from prep_fill_in.judge import Floats

Lost = Callable[[float], float]
"""Width in mm -> chance, 0..1, that an opening so wide dries shut during the run."""

NARROWEST_MM, WIDEST_MM = 0.02, 40.0
"""What is looked at; the widest stands for openings of any width."""
_STEPS = 400


@dataclass(frozen=True, slots=True)
class Dries:
    """From which width on openings of a screen stay open.

    :param at_risk_below_mm: an opening so wide dries shut with the chance that counts as a risk; 0 = none
    :param fails_below_mm: likewise with that which counts as failing
    :param risk: that chance, 0..1
    :param fail: likewise
    :param wide: chance that a wide opening dries shut, which these don't hold
    """

    at_risk_below_mm: float
    fails_below_mm: float
    risk: float
    fail: float
    wide: float
    lost: Lost


def dries_on(lost: Lost, risk: float, fail: float) -> Dries:
    """Turn chances into widths, so that drying is judged like every other cause.

    The chance falls with the width. Where it wavers, the widest that still reaches a chance counts.

    :raises PluginFailed: what is answered is no chance for each width
    """
    widths = np.geomspace(NARROWEST_MM, WIDEST_MM, _STEPS)
    chance = chances(lost, widths)
    wide = float(chance[-1])
    by_width = (chance - wide) / (1.0 - wide) if wide < 1.0 else np.zeros_like(chance)
    return Dries(
        at_risk_below_mm=_widest_mm(widths, by_width, risk),
        fails_below_mm=_widest_mm(widths, by_width, fail),
        risk=risk,
        fail=fail,
        wide=wide,
        lost=lost,
    )


def chances(lost: Lost, width_mm: Floats) -> Floats:
    """Give the chance of each width, (N,) -> (N,).

    :raises PluginFailed: what is answered is no chance for each width
    """
    chance = np.array([lost(width) for width in width_mm.tolist()], dtype=np.float64)
    if not ((chance >= 0.0) & (chance <= 1.0)).all():
        raise PluginFailed("drying", "must give a chance from 0 to 1 for each width it is asked of")
    return chance


def _widest_mm(width_mm: Floats, chance: Floats, least: float) -> float:
    reached = np.flatnonzero(chance >= least)
    if not len(reached):
        return 0.0
    last = int(reached[-1])
    if last == len(width_mm) - 1:
        return float(width_mm[last])
    here, there = float(chance[last]), float(chance[last + 1])
    share = (here - least) / (here - there)
    return float(width_mm[last] + share * (width_mm[last + 1] - width_mm[last]))
