"""What a screen on the balance says of drying, and where it says too little."""

from __future__ import annotations

import math
from datetime import date

import pytest

from prep_log.entering_readings import unused
from prep_log.learnt import BETWEEN_WEIGHINGS, Told, figures
from prep_log.posterior import Reading, learnt
from prep_log.usual import usual

DAY = date(2026, 3, 4)


def _weighed(loss_g: float, off_g: float) -> Told:
    body = {"loss_g": loss_g, "loss_off_g": off_g, "after_s": 600.0, "area_mm2": 120_000.0}
    return Told(DAY, "screen weighed", body | {"measured_in": {"climate": ["still room"]}})


def test_errors_of_weighings_and_balance_add_as_squares() -> None:
    """1.8 g off by 0.18 g: with a tenth between weighings 0.1414, not 0.2."""
    found = figures([_weighed(1.8, 0.18)], usual())["drying"]["weighed"]
    assert BETWEEN_WEIGHINGS == 0.1
    read = learnt(usual().weighed_kg_m2_h, [Reading(0.09, math.sqrt(0.02), "2026-03-04")])
    off = max(read.high / read.value - 1.0, 1.0 - read.low / read.value)
    assert float(found["off"].split()[0]) == pytest.approx(100.0 * off, rel=2e-3)


def test_what_is_too_vague_is_left_out_and_told() -> None:
    """Off by as much as it is: no figure of drying, which shop.toml couldn't take, and a line on it."""
    vague = [_weighed(1.8, 1.8)]
    assert figures(vague, usual()) == {}
    assert unused(vague) == ("what a screen lost was weighed too coarsely, and isn't used",)
    assert unused([_weighed(1.8, 0.18)]) == ()
