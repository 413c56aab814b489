"""Intervals mean what they say: ranges come back, sums stay correlated, draws never change."""

from __future__ import annotations

import math
import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from prep.estimate import DRAWS, Estimate, Parameter, normal_draws

Z90 = 1.2815515655  # 90 % point of the standard normal distribution, from any table of it
FIRST_OF_INK_TRANSFER = (
    -2.7555488734534213,
    -1.3121986270289594,
    0.5362339466226385,
    -1.8767900479810997,
)


def parameter(
    name: str = "test.one",
    default: float = 0.6,
    low: float = 0.4,
    high: float = 0.9,
    **more: object,
) -> Parameter:
    return Parameter(name, default, low, high, "", "a test", "guess", **more)  # type: ignore[arg-type]  # spread and bounds


def estimate(one: Parameter, times: float = 1.0) -> Estimate:
    return Estimate(one.default * times, "g", one.draws() * times, (one.name,))


# the draws ---------------------------------------------------------------------------------------


def test_draws_never_change() -> None:
    """The same name gives the same draws in every run, on every system, for ever."""
    drawn = normal_draws("ink.transfer")
    assert drawn[:4] == pytest.approx(FIRST_OF_INK_TRANSFER, abs=1e-12)
    assert normal_draws("ink.transfer") is drawn


def test_draws_are_one_of_each_slice() -> None:
    """Each of 512 equally likely slices is drawn once, at its midpoint (Latin hypercube)."""
    drawn = np.sort(normal_draws("any.name"))
    chance = np.array([0.5 * (1 + math.erf(z / math.sqrt(2))) for z in drawn])
    assert chance == pytest.approx((np.arange(DRAWS) + 0.5) / DRAWS, abs=1e-12)
    assert drawn.mean() == pytest.approx(0.0, abs=1e-12)
    assert drawn.std() == pytest.approx(1.0, abs=0.01)


def test_draws_of_different_names_are_independent() -> None:
    """Among 40 names no two are correlated more than chance allows (5 of its standard deviations)."""
    table = np.corrcoef([normal_draws(f"plugin.parameter_{i}") for i in range(40)])
    off = table[~np.eye(40, dtype=bool)]
    assert np.abs(off).max() < 5 / math.sqrt(DRAWS)
    assert np.sqrt((off**2).mean()) == pytest.approx(1 / math.sqrt(DRAWS), rel=0.15)


def test_draws_cannot_be_changed() -> None:
    """They are shared by all; nobody may write to them."""
    for drawn in (normal_draws("x"), parameter().draws()):
        with pytest.raises(ValueError, match="read-only"):
            drawn[0] = 1.0


# parameters --------------------------------------------------------------------------------------


@pytest.mark.parametrize("spread", ["lognormal", "normal"])
@pytest.mark.parametrize(
    ("default", "low", "high"),
    [
        (0.6, 0.4, 0.9),
        (0.35, 0.2, 0.7),
        (80, 60, 100),
        (1, 0.3, 1),
        (1, 1, 1),
        (1, 1, 2),
        (5, 0.1, 6),
    ],
)
def test_a_range_comes_back(spread: str, default: float, low: float, high: float) -> None:
    """The 10, 50 and 90 % points of the draws are low, default and high, lopsided or not."""
    drawn = parameter(default=default, low=low, high=high, spread=spread).draws()
    # 512 midpoints put the points within half a hundredth of the range
    near = 0.01 * (high - low) + 1e-12
    assert np.quantile(drawn, [0.1, 0.5, 0.9]) == pytest.approx([low, default, high], abs=near)


@given(
    default=st.floats(1e-3, 1e3),
    down=st.floats(1, 10),
    up=st.floats(1, 10),
    spread=st.sampled_from(["lognormal", "normal"]),
)
def test_any_range_comes_back(default: float, down: float, up: float, spread: str) -> None:
    """So do ranges nobody thought of; and more of the parameter is never less of the draw."""
    low, high = default / down, default * up
    one = parameter(default=default, low=low, high=high, spread=spread)
    drawn = one.draws()
    assert drawn.shape == (DRAWS,)
    assert np.quantile(drawn, 0.1) == pytest.approx(low, rel=0.02, abs=0.01 * (high - low))
    assert np.quantile(drawn, 0.9) == pytest.approx(high, rel=0.02)
    assert np.quantile(drawn, 0.5) == pytest.approx(
        default, abs=0.01 * (high - low) + 1e-9 * default
    )
    assert (np.diff(drawn[np.argsort(normal_draws(one.name))]) >= -1e-12 * high).all()


def test_a_normal_range_may_lie_below_zero() -> None:
    """Temperatures and offsets do."""
    drawn = parameter(default=-1, low=-3, high=2, spread="normal").draws()
    assert np.quantile(drawn, [0.1, 0.9]) == pytest.approx([-3, 2], abs=0.05)


def test_a_lognormal_has_the_right_tail() -> None:
    """Twice the distance in logarithms is twice the standard deviations: worked by hand."""
    one = parameter(default=1, low=0.5, high=2)
    z = normal_draws(one.name)
    worst = int(np.argmax(z))
    assert one.draws()[worst] == pytest.approx(2 ** (z[worst] / Z90))


def test_bounds_cut_the_draws_off() -> None:
    """A share can't exceed one, however wide its range."""
    drawn = parameter(default=0.9, low=0.7, high=0.99, at_most=1.0, at_least=0.6).draws()
    assert (drawn.min(), drawn.max()) == (0.6, 1.0)
    assert np.quantile(drawn, 0.9) == pytest.approx(0.99, abs=0.003)


@pytest.mark.parametrize(
    ("default", "low", "high", "spread", "says"),
    [
        (0.3, 0.4, 0.9, "lognormal", "test.one: 0.3 lies outside 0.4..0.9"),
        (1.0, 0.4, 0.9, "normal", "1.0 lies outside"),
        (float("nan"), 0.4, 0.9, "normal", "lies outside"),
        (0.5, 0.0, 0.9, "lognormal", "must lie above zero"),
        (0.5, -0.1, 0.9, "lognormal", "must lie above zero"),
    ],
)
def test_ranges_that_cannot_be(
    default: float, low: float, high: float, spread: str, says: str
) -> None:
    """A default outside its range is a slip, and the logarithm of nothing isn't there."""
    with pytest.raises(ValueError, match="test.one") as refused:
        parameter(default=default, low=low, high=high, spread=spread)
    assert says in str(refused.value)


# estimates ---------------------------------------------------------------------------------------


def test_sums_of_the_same_cause_keep_its_whole_spread() -> None:
    """Two screens with the same uncertain transfer are wrong together: intervals add up."""
    one = parameter()
    total = estimate(one, 10) + estimate(one, 30)
    assert total.value == pytest.approx(24.0)
    assert (total.low, total.high) == pytest.approx((16.0, 36.0), rel=0.01)


def test_sums_of_different_causes_even_out() -> None:
    """Independent spreads add by squares: two equal ones give the root of two, not two."""
    a = parameter("test.a", 10, 9, 11, spread="normal")
    b = parameter("test.b", 10, 9, 11, spread="normal")
    total = estimate(a) + estimate(b)
    assert (total.high - total.low) / 2 == pytest.approx(math.sqrt(2), rel=0.08)
    same = estimate(a) + estimate(a)
    assert (same.high - same.low) / 2 == pytest.approx(2.0, rel=0.01)


def test_many_screens_of_one_cause_and_their_own() -> None:
    """Four screens, a shared cause and one of each: the shared part doesn't even out."""
    shared = parameter("test.shared", 10, 9, 11, spread="normal").draws()
    screens = [Estimate(10.0, "g", shared + normal_draws(f"test.own{i}") / Z90) for i in range(4)]
    total = sum(screens[1:], screens[0])
    # half-width to 90 %: sqrt((4 * 1)^2 + 4 * 1^2) = 4.47; 2.83 if nothing were shared, 5.66 if all
    assert (total.high - total.low) / 2 == pytest.approx(math.sqrt(20), rel=0.06)


def test_adding_and_scaling() -> None:
    """Values, draws and bases go along; a basis both rest on is told once."""
    one, two = estimate(parameter("a")), estimate(parameter("b"))
    total = one + two + one
    assert total.value == pytest.approx(1.8)
    assert total.basis == ("a", "b")
    assert total.draws == pytest.approx(2 * one.draws + two.draws)
    assert (2 * one).value == (one * 2).value == pytest.approx(1.2)
    assert (3 * one).high == pytest.approx(3 * one.high)
    assert (one * 0.5).basis == one.basis


def test_units_must_agree() -> None:
    """Grams and millilitres can't be added."""
    one = estimate(parameter())
    with pytest.raises(ValueError, match="can't add ml to g"):
        one + Estimate(1.0, "ml", np.ones(DRAWS))


def test_enough_at_a_chance() -> None:
    """The least amount among the draws that suffices in nine of ten; more chance needs more."""
    one = estimate(parameter())
    enough = one.enough_at(0.9)
    assert np.mean(one.draws <= enough) >= 0.9
    assert np.mean(one.draws < enough) < 0.9
    assert enough == pytest.approx(one.high, rel=1e-2)
    assert one.enough_at(0.1) == pytest.approx(one.low, rel=1e-2)
    assert one.enough_at(0.5) < one.enough_at(0.9) < one.enough_at(0.99) <= one.enough_at(1.0)
    assert one.enough_at(1.0) == one.draws.max()


@pytest.mark.parametrize(
    "draws",
    [
        np.ones(DRAWS - 1),
        np.ones((DRAWS, 1)),
        np.ones(0),
        np.full(DRAWS, np.nan),
        np.where(np.arange(DRAWS) == 7, np.inf, 1.0),
    ],
)
def test_an_estimate_needs_its_draws(
    draws: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
) -> None:
    """All 512 of them, and finite."""
    with pytest.raises(ValueError, match="needs 512 finite draws"):
        Estimate(1.0, "g", draws)


def test_an_estimate_keeps_its_own_draws() -> None:
    """Who made it can't change it afterwards, nor can who reads it, nor after pickling."""
    drawn = np.ones(DRAWS)
    one = Estimate(1.0, "g", drawn)
    drawn[0] = 99.0
    assert one.high == 1.0
    for kept in (one, pickle.loads(pickle.dumps(one))):
        assert (kept.value, kept.unit, kept.basis) == (1.0, "g", ())
        assert (kept.draws == 1.0).all()
        with pytest.raises(ValueError, match="read-only"):
            kept.draws[0] = 2.0


def test_digests_follow_the_figures() -> None:
    """Equal estimates have one digest; another value, unit, draw or basis another."""
    one = estimate(parameter())
    assert one.digest() == estimate(parameter()).digest()
    others = [
        Estimate(one.value + 1, "g", one.draws, one.basis),
        Estimate(one.value, "ml", one.draws, one.basis),
        Estimate(one.value, "g", one.draws * 1.01, one.basis),
        Estimate(one.value, "g", one.draws, ()),
    ]
    assert len({one.digest(), *(other.digest() for other in others)}) == 5
