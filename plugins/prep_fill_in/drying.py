"""How wide an opening must be to stay open for the run, read off the chance that it dries shut.

Where even wide openings may dry shut, that is the run's trouble and no detail's: a detail is judged by the
chance that it dries shut in a run in which a wide opening doesn't.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from prep.errors import PluginFailed
from prep_fill_in.judge import Floats

Lost = Callable[[float], float]
"""Width in mm -> chance, 0..1, that an opening so wide dries shut during the run."""

NARROWEST_MM, WIDEST_MM = 0.02, 40.0
"""What is looked at; the widest stands for openings of any width."""
LEAST_ADDED = 0.02
"""No width counts for adding less to the chance: by a few hundred draws it can't be told from none. Our
choice."""
_STEPS = 400


@dataclass(frozen=True, slots=True)
class Dries:
    """From which width on openings of a screen stay open.

    :param at_risk_below_mm: an opening so wide adds the chance that counts as a risk; 0 = none does
    :param fails_below_mm: likewise with that which counts as failing
    :param risk: chance, 0..1, that a narrow opening dries shut and a wide one doesn't, from which that
        counts as a risk
    :param fail: likewise
    :param wide_mm: how wide a wide opening is here
    :param wide: chance that it dries shut, which these don't hold
    :param run_at_risk_mm: so wide an opening is at risk for the run's sake, wider than any detail; 0 = none
        is
    :param run_fails_mm: so wide an opening will fail, likewise
    """

    at_risk_below_mm: float
    fails_below_mm: float
    risk: float
    fail: float
    wide_mm: float
    wide: float
    run_at_risk_mm: float
    run_fails_mm: float
    lost: Lost


def dries_on(lost: Lost, risk: float, fail: float, listed_to_mm: float) -> Dries:
    """Turn chances into widths, so that drying is judged like every other cause.

    Of runs in which a wide opening stays open, a narrow one may dry shut in a share of ``risk``; so the
    chance of both is bounded by ``risk (1 - wide)``, which holds for any ``wide`` without dividing by what
    is left of it. The chance falls with the width. Where it wavers, the widest that still reaches a chance
    counts. Where openings wider than any detail reach it, details are held against one as wide as those
    may be.

    :param listed_to_mm: the widest that is judged as a detail
    :raises PluginFailed: what is answered is no chance for each width
    """
    own = _held_against(lost, risk, fail, WIDEST_MM)
    if own.at_risk_below_mm <= listed_to_mm:
        return own
    beside = _held_against(lost, risk, fail, listed_to_mm)
    return replace(
        beside,
        run_at_risk_mm=own.at_risk_below_mm,
        run_fails_mm=own.fails_below_mm if own.fails_below_mm > listed_to_mm else 0.0,
    )


def _held_against(lost: Lost, risk: float, fail: float, wide_mm: float) -> Dries:
    widths = np.geomspace(NARROWEST_MM, wide_mm, _STEPS)
    chance = chances(lost, widths)
    wide = float(chance[-1])
    added = chance - wide
    at_risk, fails = (max(share * (1.0 - wide), LEAST_ADDED) for share in (risk, fail))
    return Dries(
        at_risk_below_mm=_widest_mm(widths, added, at_risk),
        fails_below_mm=_widest_mm(widths, added, fails),
        risk=at_risk,
        fail=fails,
        wide_mm=wide_mm,
        wide=wide,
        run_at_risk_mm=0.0,
        run_fails_mm=0.0,
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
    last = int(reached[-1])  # never the widest, which adds nothing
    here, there = float(chance[last]), float(chance[last + 1])
    share = (here - least) / (here - there)
    return float(width_mm[last] + share * (width_mm[last + 1] - width_mm[last]))
