"""The size from which details hold: against a reference fit, by simulation, and what contradicts itself."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import minimize

from prep_log.survival import Step, contradictions, fitted
from tests.outside.coverage import counted, ladder

SIZES = (0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.2, 1.5, 2.0)


def _chance(size: float, half: float, rise: float) -> float:
    return 1.0 / (1.0 + math.exp(-(math.log(size) - math.log(half)) / rise))


def test_many_readings_give_the_greatest_likelihood() -> None:
    """With 2,000 details a size the belief before weighs nothing: scipy's fit of the same curve."""
    drawn = np.random.default_rng(3)
    steps = [Step(s, 2000, int(drawn.binomial(2000, _chance(s, 0.62, 0.2)))) for s in SIZES]

    def against(curve: np.ndarray) -> float:
        half, rise = math.exp(curve[0]), math.exp(curve[1])
        chances = [_chance(step.size, half, rise) for step in steps]
        return -sum(
            step.held * math.log(p) + (step.tried - step.held) * math.log1p(-p)
            for step, p in zip(steps, chances, strict=True)
        )

    best = minimize(against, [math.log(0.7), math.log(0.12)], method="Nelder-Mead").x
    found = fitted(steps, 0.7)
    assert found.half.value == pytest.approx(math.exp(best[0]), rel=0.005)
    safe = math.exp(best[0] + math.exp(best[1]) * math.log(9.0))
    assert found.safe.value == pytest.approx(safe, rel=0.01)
    assert found.tried == 20_000


def test_a_clean_ladder_has_an_answer_and_a_width() -> None:
    """All of 0.8 mm and more hold, none below: half of them do somewhere between 0.6 and 0.8."""
    found = fitted([Step(s, 2, 2 if s >= 0.8 else 0) for s in SIZES], 0.7)
    assert 0.6 < found.half.value < 0.8
    assert found.half.value < found.safe.value < 1.0
    assert 0.5 < found.half.low < 0.66
    assert 0.74 < found.half.high < 0.9


def test_more_details_narrow() -> None:
    few, many = (fitted([Step(s, n, n if s >= 0.8 else 0) for s in SIZES], 0.7) for n in (1, 20))
    assert many.half.high / many.half.low < few.half.high / few.half.low


def test_a_ladder_that_all_holds_only_bounds_from_above() -> None:
    """Nothing failed, so the limit lies below the smallest step, and isn't nought."""
    found = fitted([Step(s, 4, 4) for s in SIZES], 0.7)
    assert 0.02 < found.half.low < found.half.high < 0.25


def test_eight_of_ten_truths_lie_between() -> None:
    """Truths drawn from the belief, four details a size: 300 ladders, within three standard errors."""
    trials = 300
    for held in counted(lambda random: ladder(random, 4), trials, 11):
        assert abs(held / trials - 0.8) < 3.0 * math.sqrt(0.8 * 0.2 / trials)


def test_what_contradicts_itself_is_named() -> None:
    """0.3 mm printed and 0.8 mm didn't; 0.8 beside 0.7 is within what luck does."""
    small, large = Step(0.3, 2, 2), Step(0.8, 2, 0)
    assert contradictions([large, small, Step(1.0, 2, 2)]) == ((small, large),)
    assert contradictions([Step(0.7, 2, 2), large]) == ()
    assert contradictions([Step(0.3, 2, 1), large]) == ()


@pytest.mark.parametrize("wrong", [(0.0, 2, 1), (0.5, 0, 0), (0.5, 2, 3), (0.5, 2, -1)])
def test_a_step_has_a_size_and_no_more_held_than_tried(wrong: tuple[float, int, int]) -> None:
    with pytest.raises(ValueError, match="a step needs"):
        Step(*wrong)


def test_a_curve_needs_readings() -> None:
    with pytest.raises(ValueError, match="needs readings"):
        fitted([], 0.7)
