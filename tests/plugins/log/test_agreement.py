"""Predicted against measured: models that are right, off, too sure and too modest are told apart."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from prep_log.agreement import (
    FEWEST,
    UNLIKELY,
    Floats,
    Pair,
    against_bands,
    against_middle,
    agreement,
)
from prep_log.agreement_picture import drawn
from prep_log.posterior import Z90, Belief

BAND = Belief(50.0, 90.0, 140.0)


def _drawn(count: int, seed: int, *, shift: float = 1.0, wider: float = 1.0) -> list[Pair]:
    """Draw weighings from the band's own distribution, moved or spread."""
    found = []
    for z in np.random.default_rng(seed).normal(size=count) * wider:
        side = BAND.high / BAND.value if z > 0 else BAND.value / BAND.low
        found.append(Pair("white", BAND, float(shift * BAND.value * side ** (z / Z90))))
    return found


def test_the_band_holds_eight_of_ten() -> None:
    """By how the band is drawn: 10 % below, half below the middle, 90 % below the high bound."""
    ends = [Pair("x", BAND, value).chance for value in (50.0, 90.0, 140.0)]
    assert ends == pytest.approx([0.1, 0.5, 0.9])
    found = agreement(_drawn(2000, 1))
    assert abs(found.inside / 2000 - 0.8) < 3 * math.sqrt(0.16 / 2000)
    assert found.share[0] < 0.8 < found.share[1]
    chances = [pair.chance for pair in _drawn(2000, 1)]
    assert stats.kstest(chances, "uniform").pvalue > 0.01


def _logs(trials: int, runs: int, inks: int, alike: float, seed: int) -> Floats:
    """Draw how far weighings lie off a right model: (trials, runs, inks), inks of a run correlated."""
    rng = np.random.default_rng(seed)
    shared, own = rng.normal(size=(trials, runs, 1)), rng.normal(size=(trials, runs, inks))
    return np.asarray(math.sqrt(alike) * shared + math.sqrt(1.0 - alike) * own)


EVEN = Belief(60.0, 90.0, 135.0)


def _pairs(log: Floats, shift: float = 1.0) -> list[Pair]:
    deviation = math.log(1.5) / Z90
    return [
        Pair("x", EVEN, shift * 90.0 * math.exp(deviation * float(z)), run=str(run + 1))
        for run, inks in enumerate(log)
        for z in inks
    ]


@pytest.mark.parametrize(("inks", "alike"), [(1, 0.0), (3, 0.7)])
def test_a_right_model_is_seldom_blamed_at_any_look(inks: int, alike: float) -> None:
    """Looked at after each of 40 runs: in no more than 10 % of logs is it ever blamed.

    Two tests at 5 % each look, with inks for runs, blamed it in three of four.
    """
    logs = _logs(200, 40, inks, alike, 5)
    blamed = 0
    for log in logs:
        off, shares = log.mean(axis=1), (np.abs(log) <= Z90).mean(axis=1)
        blamed += any(
            max(against_middle(off[:seen]), against_bands(shares[:seen])) >= 1.0 / UNLIKELY
            for seen in range(FEWEST, 41)
        )
    assert blamed <= 20
    # the verdict is these two bets, of runs
    found = agreement(_pairs(logs[0, :12]))
    assert (found.pairs, found.runs) == (12 * inks, 12)
    assert not found.off


def test_a_model_off_by_a_third_is_found_within_twenty_runs() -> None:
    """With bands of 0.74 to 1.35 times what is predicted, as after some weighings, three logs of four."""
    band = Belief(100.0 / 1.35, 100.0, 135.0)
    found = 0
    for log in _logs(40, 20, 3, 0.7, 8):
        pairs = [
            Pair("x", band, 130.0 * math.exp(math.log(1.35) / Z90 * float(z)), run=str(run + 1))
            for run, inks in enumerate(log)
            for z in inks
        ]
        found += "off to one side" in agreement(pairs).verdicts
    assert found >= 30


def test_bets_by_hand() -> None:
    """One run all inside: q / 0.8 over all q is 1 / 1.6. Values 0 and 2: m = 1, S = 2, so 4 / (8/3)."""
    assert against_bands(np.array([1.0])) == pytest.approx(0.625)
    assert against_bands(np.array([0.0, 0.0])) == pytest.approx(25.0 / 3.0, rel=1e-4)
    assert against_middle(np.array([0.0, 2.0])) == pytest.approx(1.5 / math.sqrt(3.0))
    assert against_middle(np.zeros(8)) == pytest.approx(1.0 / 3.0)


def test_inks_of_one_run_count_for_one() -> None:
    """Five inks of one run, all far off, are one value: too few to say anything."""
    found = agreement([Pair("x", EVEN, 300.0, run="1")] * 5)
    assert (found.runs, found.verdicts) == (1, ("too few runs",))
    assert found.bias is None
    assert found.share == pytest.approx((0.0, 0.975))


@pytest.mark.parametrize(
    ("changed", "verdict"),
    [
        ({"shift": 1.6}, "off to one side"),
        ({"wider": 2.5}, "bands too narrow"),
        ({"wider": 0.3}, "bands too wide"),
    ],
)
def test_a_wrong_model_is_told(changed: dict[str, float], verdict: str) -> None:
    found = agreement(_drawn(40, 2, **changed))
    assert found.off
    assert verdict in found.verdicts


def test_the_bias_by_hand() -> None:
    """Two of 1.1 and 1.21 times as predicted: the middle is their geometric mean, 1.1 to the 1.5."""
    found = agreement([Pair("x", BAND, 99.0), Pair("y", BAND, 108.9)])
    assert found.bias is not None
    assert found.bias.value == pytest.approx(1.1**1.5)
    # half their distance in the logarithm is its standard error; t of one degree at 90 % is tan(0.4 pi)
    reach = math.tan(0.4 * math.pi) * 0.5 * math.log(1.1)
    assert found.bias.high == pytest.approx(1.1**1.5 * math.exp(reach))
    assert found.verdicts == ("too few runs",)
    assert not found.off


def test_an_exact_interval_of_the_share() -> None:
    """None of ten inside: the high end is 1 - 0.025^(1/10) (Clopper and Pearson, closed form)."""
    found = agreement([Pair("x", BAND, 1.0)] * 10)
    assert found.share == pytest.approx((0.0, 1.0 - 0.025**0.1))


def test_nothing_weighed() -> None:
    found = agreement([])
    assert (found.pairs, found.bias, found.off) == (0, None, False)


def test_the_picture_says_what_it_shows() -> None:
    """A band each, a dot inside and two strokes of a cross outside."""
    picture = drawn([Pair("x", BAND, 100.0), Pair("y", BAND, 300.0)])
    assert "1 lie in their band" in picture.alt
    assert picture.svg.count('fill="#c8c8c8"') == 2
    assert picture.svg.count('fill-rule="evenodd" fill="#000000"') == 1
    assert picture.svg.count('stroke-width="0.4"') == 2
    assert drawn([]).alt.startswith("Measured over predicted for 0")


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.inf, math.nan])
def test_what_is_measured_lies_above_zero(wrong: float) -> None:
    with pytest.raises(ValueError, match="above zero"):
        Pair("x", BAND, wrong)
