"""Shirts weighed on unlike meshes, inks and strokes: what they say of a next one, in figures and words."""

from __future__ import annotations

from datetime import date
from typing import Any

from prep_log.learnt import Told, figures
from prep_log.telling_learnt import learnt_rows
from prep_log.usual import usual


def _shirts(day: int, transfer: float, **more: Any) -> Told:
    body = {"mesh": "43-80", "ink": "white", "strokes": 2, "shirts": 10, "at_full_g": 4.0} | more
    return Told(date(2026, 3, day), "shirts weighed", {**body, "gain_g": 40.0 * transfer})


def test_two_meshes_that_differ_widen_the_transfer() -> None:
    """0.6 on one and 1.2 on the other: the range of a next mesh holds both, and is told as such."""
    told = [_shirts(4, 0.6), _shirts(5, 1.2, mesh="77-55")]
    found = figures(told, usual())["ink"]["transfer"]
    assert found["low"] < 0.6
    assert found["high"] > 1.2
    ((_, _, here, _, _),) = learnt_rows(told, usual())
    assert "weighed on 2 unlike in mesh, ink or strokes" in here


def test_one_group_holds_for_itself() -> None:
    told = [_shirts(4, 0.8), _shirts(5, 0.9)]
    ((_, _, here, _, _),) = learnt_rows(told, usual())
    assert "unlike" not in here
    for other in ({"ink": "black"}, {"strokes": 1}):
        mixed = figures([told[0], _shirts(5, 0.9, **other)], usual())["ink"]["transfer"]
        alone = figures(told, usual())["ink"]["transfer"]
        assert mixed["high"] / mixed["low"] > 1.1 * alone["high"] / alone["low"]
