"""Sums draw by draw, shares, differences and spoilt garments."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from prep.estimate import DRAWS, Estimate
from prep_price.costs import Cost, Item, Part, difference, exactly, spoilt, total_of
from prep_price.sharing import in_proportion

RISING = np.arange(DRAWS, dtype=np.float64)


def item(part: Part, amount: Estimate, price: float | None, per: float = 1.0) -> Item:
    return Item(part, part, amount, price, per, "each", f"price.{part}")


def test_a_cost_is_its_amount_by_the_unit_of_the_price() -> None:
    """250 g at 32 a kilogram are 8; without a price it has none."""
    cost = item("ink", exactly(250.0, "g"), 32.0, 1000.0).cost
    assert cost is not None
    assert (cost.value, cost.low, cost.unit) == (8.0, 8.0, "")
    assert item("ink", exactly(250.0, "g"), None).cost is None


def test_a_sum_keeps_what_its_parts_share() -> None:
    """Two that rise together spread twice as wide as one; two that go against each other not at all."""
    up = Estimate(255.5, "h", RISING)
    down = Estimate(255.5, "", RISING[::-1].copy())
    together = Cost((item("work", up, 1.0), item("ink", up, 1.0)), (), 10).total
    against = Cost((item("work", up, 1.0), item("ink", down, 1.0)), (), 10).total
    assert together is not None
    assert against is not None
    assert together.high - together.low == pytest.approx(2.0 * (up.high - up.low))
    assert (against.low, against.high) == (511.0, 511.0)


def test_parts_shares_and_shirts() -> None:
    """30 + 10 of garments and 60 of work are 100: 40 % and 60 %; over 8 shirts 12.5 each."""
    items = (
        item("garments", exactly(10, ""), 3.0),
        item("work", exactly(5, "h"), 12.0),
        item("garments", exactly(2, ""), 5.0),
        item("film", exactly(2, "m"), None),
    )
    cost = Cost(items, (), 8)
    assert {part: costs.value for part, costs in cost.parts.items()} == {
        "garments": 40.0,
        "work": 60.0,
    }
    assert {part: share.value for part, share in cost.shares.items()} == {
        "garments": 0.4,
        "work": 0.6,
    }
    assert cost.total is not None
    assert cost.per_shirt is not None
    assert (cost.total.value, cost.per_shirt.value) == (100.0, 12.5)
    assert [one.part for one in cost.unpriced] == ["film"]
    assert not cost.complete
    assert Cost(items[:3], (), 8).complete


def test_prices_of_nothing_have_shares_of_nothing() -> None:
    cost = Cost((item("work", exactly(5, "h"), 0.0),), (), 8)
    assert cost.shares["work"].value == 0.0
    assert cost.complete


def test_without_any_price_there_is_no_total() -> None:
    cost = Cost((item("work", exactly(5, "h"), None),), (), 8)
    assert (cost.total, cost.per_shirt, cost.parts) == (None, None, {})
    assert difference(cost, cost) is None


def test_differences_are_draw_by_draw() -> None:
    """What is the same in both falls out, however uncertain it is; so its range is that of the rest."""
    hours = Estimate(255.5, "h", RISING)
    before = Cost((item("work", hours, 2.0),), (), 10)
    after = Cost((item("work", hours, 2.0), item("garments", exactly(5, ""), 4.0)), (), 20)
    apart = difference(before, after)
    assert apart is not None
    assert (apart.total.low, apart.total.value, apart.total.high) == (20.0, 20.0, 20.0)
    each = (2.0 * RISING + 20.0) / 20.0 - 2.0 * RISING / 10.0
    assert apart.per_shirt.low == pytest.approx(np.quantile(each, 0.1))
    assert apart.per_shirt.high == pytest.approx(np.quantile(each, 0.9))


def test_no_shirts_and_nothing_to_add_are_refused() -> None:
    with pytest.raises(ValueError, match="without shirts"):
        Cost((), (), 0)
    with pytest.raises(ValueError, match="nothing to add"):
        total_of([])


@pytest.mark.parametrize(("prints", "share"), [(48, 0.03), (200, 0.05), (12, 0.02), (500, 0.1)])
def test_spoilt_garments_are_binomial(prints: int, share: float) -> None:
    """Mean n·p and variance n·p·(1 − p), as near as 512 draws, each of 1/512, can tell."""
    lost = spoilt("tee", prints, share)
    mean, variance = prints * share, prints * share * (1.0 - share)
    assert lost.value == pytest.approx(mean)
    assert lost.draws.mean() == pytest.approx(mean, abs=0.02)
    assert lost.draws.var() == pytest.approx(variance, rel=0.03)
    assert set(lost.draws) <= set(range(prints + 1))


def test_each_kind_of_garment_has_its_own_luck() -> None:
    one, other = spoilt("tee", 200, 0.05).draws, spoilt("hoodie", 200, 0.05).draws
    assert abs(np.corrcoef(one, other)[0, 1]) < 0.15
    assert np.array_equal(one, spoilt("tee", 200, 0.05).draws)
    assert not spoilt("tee", 200, 0.0).draws.any()
    assert (spoilt("tee", 7, 1.0).draws == 7).all()


@given(st.lists(st.integers(1, 500), min_size=1, max_size=8), st.integers(0, 900))
def test_shirts_are_shared_out_in_proportion(counts: list[int], more: int) -> None:
    """Together just so many more, and none more than one off its exact share."""
    raised = in_proportion(counts, more)
    assert sum(raised) == sum(counts) + more
    exact = [count * (1 + more / sum(counts)) for count in counts]
    assert all(abs(one - share) < 1.0 for one, share in zip(raised, exact, strict=True))


@pytest.mark.parametrize(("counts", "more"), [((), 5), ((3, 0), 5), ((3,), -1)])
def test_shares_of_nothing_are_refused(counts: tuple[int, ...], more: int) -> None:
    with pytest.raises(ValueError, match="can't share"):
        in_proportion(counts, more)
