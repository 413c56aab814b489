"""How long steps of the work take: each with its range, source and status.

A range is the 10-90 % interval and the default its median, in seconds.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from prep.estimate import Parameter
from prep.work_times import CLEAN_S, DRY_S, LINE_UP_S, MIX_S, WASH_S
from prep_plan.settings import CureBy

if TYPE_CHECKING:
    from prep.tables import Measured
    from prep_plan.settings import Plan

_GUESS = "guess; take the time of one"


def _seconds(name: str, default: float, low: float, high: float, source: str) -> Parameter:
    status = "guess" if source == _GUESS else "common practice"
    return Parameter(f"plan.{name}", default, low, high, "s", source, status)  # type: ignore[arg-type]


LINE_UP = _seconds("line_up", LINE_UP_S, 420.0, 1800.0, _GUESS)
SHIRT = _seconds("shirt", 60.0, 35.0, 110.0, _GUESS)
"""One shirt and one pass, where no plugin reckons the pace of printing."""
MIX = _seconds("mix", MIX_S, 300.0, 1200.0, _GUESS)
CLEAN = _seconds("clean", CLEAN_S, 360.0, 1500.0, _GUESS)
WIPE = _seconds("wipe", 90.0, 45.0, 180.0, _GUESS)
MIST = _seconds("mist", 40.0, 20.0, 90.0, _GUESS)
TOP_UP = _seconds("top_up", 45.0, 25.0, 90.0, _GUESS)
DRY = _seconds("dry", DRY_S, 25.0, 90.0, _GUESS)
WASH = _seconds("wash", WASH_S, 300.0, 1200.0, _GUESS)
"""Washing a screen for its other ink; ``base.wash_time`` of shop.toml is its default."""
CURE: Mapping[CureBy, Parameter] = {
    "heat press": _seconds(
        "cure", 210.0, 150.0, 300.0, "some 3.5 min a shirt with loading; common practice, no source"
    ),
    "flash dryer": _seconds("cure", 240.0, 150.0, 360.0, _GUESS),
    "conveyor dryer": _seconds("cure", 30.0, 15.0, 60.0, _GUESS),
}
"""One shirt's, of the printer's time; a belt works by itself once a shirt lies on it."""
MEASURED = 0.10
"""Relative half-width of a time the shop has taken, where it states no range."""


def in_force(plan: Plan) -> Mapping[str, Parameter]:
    """Give the times in force, the shop's own where it has taken them, by their key in ``[plan]``."""
    own = {
        "line_up": (LINE_UP, plan.line_up_s),
        "mix": (MIX, plan.mix_s),
        "clean": (CLEAN, plan.clean_s),
        "cure": (CURE[plan.cure_by], plan.cure_s),
        "wipe": (WIPE, plan.wipe_s),
        "mist": (MIST, plan.mist_s),
        "top_up": (TOP_UP, plan.top_up_s),
        "dry": (DRY, plan.dry_s),
    }
    return {key: _taken(usual, stated) for key, (usual, stated) in own.items()}


def _taken(usual: Parameter, own: Measured[float] | None) -> Parameter:
    if own is None:
        return usual
    value = own.value
    low = value * (1 - MEASURED) if own.low is None else own.low
    high = value * (1 + MEASURED) if own.high is None else own.high
    return Parameter(usual.name, value, low, high, "s", "stated in shop.toml", "measured here")
