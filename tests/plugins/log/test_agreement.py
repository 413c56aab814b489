"""Predicted against measured: models that are right, off, too sure and too modest are told apart."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from prep_log.agreement import Pair, agreement
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


def test_a_right_model_is_seldom_blamed() -> None:
    """Two tests at 5 % each: of 200 logs of 12 weighings some 10 % are blamed, not 20."""
    even = Belief(60.0, 90.0, 135.0)  # the same each side, so that its middle is its mean
    drawn_logs = np.random.default_rng(5).normal(size=(200, 12)) * math.log(1.5) / Z90
    blamed = sum(
        agreement([Pair("x", even, float(90.0 * math.exp(one))) for one in log]).off
        for log in drawn_logs
    )
    assert 4 < blamed < 40


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
    assert found.verdicts == ("too few weighings",)
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
