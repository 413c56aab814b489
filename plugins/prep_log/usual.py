"""What is believed before the shop has read anything: the other plugins' own parameters and limits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from prep_drying.parameters import OPEN_CLEARED, OPEN_FLOODED, WEIGHED
from prep_fill_in.limits import TABLE
from prep_ink.parameters import TRANSFER
from prep_log.learnt import LADDERS, Usual
from prep_log.posterior import Belief

if TYPE_CHECKING:
    from prep.estimate import Parameter

VARIANTS = {
    "weeding": "usual film",
    "strip": "long run",
    "island": "long run",
    "island_area": "long run",
    "stroke": "tee",
    "gap": "one hit",
}
"""The row of a limit that a test piece tells of, where it has several."""


def usual() -> Usual:
    """Give it."""
    limits = {
        limit.topic: (limit.default, limit.low)
        for limit in TABLE
        if limit.topic in LADDERS and limit.variant == VARIANTS.get(limit.topic, "")
    }
    return Usual(
        transfer=_belief(TRANSFER.parameter),
        weighed_kg_m2_h=_belief(WEIGHED.parameter),
        limits=limits,
        waits_s={
            "open_cleared": OPEN_CLEARED.parameter.default,
            "open_flooded": OPEN_FLOODED.parameter.default,
        },
    )


def _belief(parameter: Parameter) -> Belief:
    return Belief(parameter.low, parameter.default, parameter.high)
