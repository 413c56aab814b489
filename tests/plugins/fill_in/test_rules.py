"""Rules made of limits, mesh and depth, at the boundaries of each severity."""

from __future__ import annotations

import numpy as np
import pytest

from prep_fill_in.judge import AT_RISK, PASSES, WILL_FAIL, Rule, judge
from prep_fill_in.limits import Bound, Conditions, in_force
from prep_fill_in.remedy import Resolution
from prep_fill_in.rules import island_rules, opening_rules, strip_rules

COARSE = Resolution("43-80", 232.558, 152.558, 80.0)
SHORT = in_force({}, Conditions(pulls=20))
LONG = in_force({}, Conditions(pulls=60))


def _level(rules: tuple[Rule, ...], **sizes: float) -> int:
    given = {name: np.array([value]) for name, value in sizes.items()}
    return int(judge(given, rules).level[0])  # type: ignore[arg-type]  # names of sizes


def _causes(rules: tuple[Rule, ...], **sizes: float) -> dict[str, int]:
    given = {name: np.array([value]) for name, value in sizes.items()}
    levels = judge(given, rules).levels[0].tolist()  # type: ignore[arg-type]  # names of sizes
    return {r.cause: level for r, level in zip(rules, levels, strict=True) if level}


def test_an_opening_of_each_width_near_each_limit() -> None:
    """1.0 weeds, 0.5 is the least; mesh 43-80 prints from 0.465, nothing under 0.313 mm."""
    rules = opening_rules(SHORT, COARSE, 0.21, long=True)
    assert _causes(rules, width=1.01, ratio=9.0) == {}
    assert _causes(rules, width=0.99, ratio=9.0) == {"weeding": AT_RISK, "stroke": AT_RISK}
    assert _level(rules, width=0.51, ratio=9.0) == AT_RISK
    assert _level(rules, width=0.49, ratio=9.0) == WILL_FAIL
    assert "mesh" not in _causes(rules, width=0.466, ratio=9.0)
    assert _causes(rules, width=0.454, ratio=9.0)["mesh"] == AT_RISK
    assert _causes(rules, width=0.314, ratio=9.0)["mesh"] == AT_RISK
    assert _causes(rules, width=0.302, ratio=9.0)["mesh"] == WILL_FAIL
    assert _causes(rules, width=0.24, ratio=9.0)["cutting"] == WILL_FAIL


def test_release_ranks_risk_and_never_condemns() -> None:
    """0.304 mm over 0.21 mm of film and mesh is under the aspect of 1.5 (IPC-7525, an analogue)."""
    rules = opening_rules(SHORT, COARSE, 0.21, long=True)
    assert _causes(rules, width=0.304, ratio=9.0)["release_aspect"] == AT_RISK
    assert "release_aspect" not in _causes(rules, width=0.316, ratio=9.0)
    assert _causes(rules, width=2.0, ratio=0.65) == {"release_area": AT_RISK}
    assert _causes(rules, width=2.0, ratio=0.67) == {}


def test_without_a_mesh_its_cause_is_not_judged() -> None:
    """Nor is a mark, which prints on no shirt, judged by the fabric."""
    assert "mesh" not in {r.cause for r in opening_rules(SHORT, None, 0.08, long=True)}
    assert "mesh" not in {r.cause for r in strip_rules(SHORT, None)}
    assert {r.cause for r in strip_rules(SHORT, None, fabric=False)} == {"strip", "cutting"}


@pytest.mark.parametrize(
    ("bounds", "width", "level"),
    [
        (SHORT, 1.01, PASSES),
        (SHORT, 0.99, AT_RISK),
        (SHORT, 0.81, AT_RISK),
        (SHORT, 0.79, WILL_FAIL),
        (LONG, 1.51, PASSES),
        (LONG, 1.49, AT_RISK),
        (LONG, 1.01, AT_RISK),
        (LONG, 0.99, WILL_FAIL),
    ],
)
def test_a_film_strip_must_be_wider_for_a_long_run(
    bounds: dict[str, Bound], width: float, level: int
) -> None:
    """1.0 mm for a short run, 1.5 mm for a long one: common practice, no source."""
    assert _level(strip_rules(bounds, None), width=width) == level


def test_ink_closes_a_gap_of_twice_its_spread() -> None:
    """0.2 mm from each edge closes 0.4 mm, 0.3 mm a gap of 0.6 mm: common practice, no source."""
    twice = in_force({}, Conditions(pulls=20, hits=2))
    assert _causes(strip_rules(SHORT, None), width=0.41)["gap"] == AT_RISK
    assert _causes(strip_rules(SHORT, None), width=0.39)["gap"] == WILL_FAIL
    assert _causes(strip_rules(twice, None), width=0.59)["gap"] == WILL_FAIL
    assert _causes(strip_rules(twice, None), width=1.4)["gap"] == AT_RISK


def test_an_island_needs_width_and_area() -> None:
    """3 mm across and 8 mm2 beyond 25 pulls, 2 mm and 4 mm2 below: common practice, no source."""
    long, short = island_rules(LONG, None), island_rules(SHORT, None)
    assert _causes(long, width=3.0, area=9.0) == {}
    assert _causes(long, width=3.0, area=7.07) == {"island_area": AT_RISK}  # a disc of 3 mm
    assert _causes(long, width=2.9, area=20.0) == {"island": AT_RISK}
    assert _causes(long, width=1.9, area=20.0) == {"island": WILL_FAIL}
    assert _causes(short, width=2.0, area=4.0) == {}
    assert _causes(short, width=1.9, area=3.6) == {"island": AT_RISK, "island_area": AT_RISK}
