"""Beliefs after readings: against the textbook's update, at their ends, and by simulation."""

from __future__ import annotations

import math

import pytest

from prep_log.posterior import BETWEEN_DAYS, Z90, Belief, Reading, learnt
from tests.outside.coverage import counted, next_day

PRIOR = Belief(0.5, 0.9, 1.4)
"""As the transfer is believed before any weighing."""
KNOWN_DAYS = (1e-6, 1e-6, 1e-6)


def _normal(value: float, deviation: float) -> Belief:
    reach = math.exp(Z90 * deviation)
    return Belief(value / reach, value, value * reach)


@pytest.mark.parametrize(
    "readings", [[1.1], [1.1, 1.0], [0.4, 0.5, 0.45], [3.0, 2.9, 3.1, 3.0, 2.8]]
)
def test_the_textbooks_update(readings: list[float]) -> None:
    """A normal prior and known spread: precisions add up, the mean is weighted by them.

    Gelman et al., Bayesian Data Analysis, 3rd edition, section 2.5 (from memory).
    """
    prior, spread = 0.4, 0.1
    precision = 1.0 / prior**2 + len(readings) / spread**2
    mean = (math.log(0.9) / prior**2 + sum(map(math.log, readings)) / spread**2) / precision
    found = learnt(
        _normal(0.9, prior),
        [Reading(value, spread, str(day)) for day, value in enumerate(readings)],
        KNOWN_DAYS,
    )
    reach = Z90 / math.sqrt(precision)
    assert found.value == pytest.approx(math.exp(mean), rel=1e-6)
    assert found.low == pytest.approx(math.exp(mean - reach), rel=2e-4)
    assert found.high == pytest.approx(math.exp(mean + reach), rel=2e-4)


def test_the_next_day_differs_by_what_days_differ_by() -> None:
    """With days that differ by a known tenth and a figure known exactly, the next day's is as wide."""
    readings = [Reading(1.0, 1e-4, str(day)) for day in range(4000)]
    found = learnt(PRIOR, readings, (0.1, 0.1, 0.1))
    assert found.low == pytest.approx(math.exp(-Z90 * 0.1), rel=1e-3)
    assert found.high == pytest.approx(math.exp(Z90 * 0.1), rel=1e-3)


def test_unlike_groups_by_the_textbook() -> None:
    """Known deviations: three groups of one day each; precision 1 / (s² + t² + u²) each, as of means.

    What a next group is like adds t² + u² (Gelman et al., section 5.4, from memory).
    """
    prior, own, by_day, by_group, values = 0.4, 0.1, 0.08, 0.2, (0.6, 0.9, 1.2)
    variance = own**2 + by_day**2 + by_group**2
    precision = 1.0 / prior**2 + 3.0 / variance
    mean = (math.log(0.9) / prior**2 + sum(map(math.log, values)) / variance) / precision
    found = learnt(
        _normal(0.9, prior),
        [Reading(value, own, str(value), str(value)) for value in values],
        (by_day,) * 3,
        (by_group,) * 3,
    )
    reach = Z90 * math.sqrt(1.0 / precision + by_day**2 + by_group**2)
    assert found.value == pytest.approx(math.exp(mean), rel=1e-6)
    assert found.low == pytest.approx(math.exp(mean - reach), rel=2e-4)
    assert found.high == pytest.approx(math.exp(mean + reach), rel=2e-4)


def test_groups_read_on_one_day_share_what_that_day_did() -> None:
    """A known day moves both alike: their mean is off by all of it, by (t² + (s² + u²) / 2)."""
    by_day, rest = 0.3, 0.1**2 + 0.05**2
    readings = [Reading(1.0, 0.1, "a", group) for group in "xy"]
    found = learnt(_normal(1.0, 50.0), readings, (by_day,) * 3, (0.05,) * 3)
    reach = Z90 * math.sqrt(by_day**2 + rest / 2.0 + by_day**2 + 0.05**2)
    assert math.log(found.high) == pytest.approx(reach, rel=1e-3)


def test_figures_of_unlike_groups_widen_that_of_a_next_one() -> None:
    """0.6 on one mesh and 1.2 on another: both lie in the range of a third; on one mesh they'd be days."""
    unlike = learnt(PRIOR, [Reading(0.6, 0.03, "a", "x"), Reading(1.2, 0.03, "b", "y")])
    alike = learnt(PRIOR, [Reading(0.85, 0.03, "a", "x"), Reading(0.85, 0.03, "b", "y")])
    assert unlike.low < 0.6
    assert unlike.high > 1.2
    assert alike.high / alike.low < 0.75 * unlike.high / unlike.low
    one = learnt(PRIOR, [Reading(0.85, 0.03, "a", "x"), Reading(0.85, 0.03, "b", "x")])
    assert one.high / one.low < alike.high / alike.low
    assert one == learnt(PRIOR, [Reading(0.85, 0.03, "a"), Reading(0.85, 0.03, "b")])


def test_nothing_read_leaves_the_belief() -> None:
    assert learnt(PRIOR, []) == PRIOR


def test_each_reading_narrows() -> None:
    """Readings that agree leave the range smaller with each, and never as small as the days' own."""
    widths = []
    for count in range(6):
        found = learnt(PRIOR, [Reading(0.85, 0.06, str(day)) for day in range(count)])
        widths.append(math.log(found.high / found.low))
    assert widths == sorted(widths, reverse=True)
    assert widths[1] < 0.5 * widths[0]
    assert widths[-1] > 2 * Z90 * BETWEEN_DAYS[0]


def test_readings_of_one_day_say_less_than_of_several() -> None:
    """What the day did to all of them alike isn't known from one day."""
    one = learnt(PRIOR, [Reading(0.85, 0.06, "a")] * 4)
    four = learnt(PRIOR, [Reading(0.85, 0.06, str(day)) for day in range(4)])
    assert four.high / four.low < one.high / one.low


def test_readings_that_differ_widen() -> None:
    """Days that differ by a factor of two are believed over the guess of how days differ."""
    alike = learnt(PRIOR, [Reading(0.9, 0.05, str(day)) for day in range(4)])
    apart = learnt(PRIOR, [Reading(value, 0.05, str(value)) for value in (0.6, 0.8, 1.0, 1.25)])
    assert apart.high / apart.low > 1.5 * alike.high / alike.low


def test_eight_of_ten_next_days_lie_between() -> None:
    """Truths drawn from the belief, readings from them: 150 trials, within three standard errors."""
    trials = 150
    (held,) = counted(lambda random: next_day(random, int(random.integers(1, 6))), trials, 7)
    assert abs(held / trials - 0.8) < 3.0 * math.sqrt(0.8 * 0.2 / trials)


@pytest.mark.parametrize("wrong", [(0.0, 1.0, 2.0), (2.0, 1.0, 3.0), (1.0, 2.0, math.inf)])
def test_a_belief_is_above_zero_and_in_order(wrong: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="belief needs"):
        Belief(*wrong)


@pytest.mark.parametrize("wrong", [(0.0, 0.1), (1.0, 0.0), (-1.0, 0.1), (math.inf, 0.1)])
def test_a_reading_is_above_zero(wrong: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="above zero"):
        Reading(*wrong)
