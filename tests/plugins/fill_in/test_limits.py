"""The table of limits and which of its rows holds."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from prep_fill_in.limits import TABLE, Conditions, in_force, row
from prep_fill_in.settings import FillIn

SHORT, LONG = Conditions(pulls=24), Conditions(pulls=26)


def test_no_row_stands_twice() -> None:
    names = [(limit.topic, limit.variant) for limit in TABLE]
    assert len(set(names)) == len(names)


def test_every_row_says_where_it_comes_from() -> None:
    """A published row names its source, the rest admit that they have none."""
    for limit in TABLE:
        assert limit.source
        assert limit.status == "published" or "source" in limit.source or "memory" in limit.source


@pytest.mark.parametrize(
    ("topic", "conditions", "at_risk", "fails"),
    [
        ("weeding", SHORT, 1.0, 0.5),
        ("weeding", Conditions(pulls=24, film_um=60.0), 0.75, 0.5),
        ("strip", SHORT, 1.0, 0.8),
        ("strip", LONG, 1.5, 1.0),
        ("island", SHORT, 2.0, 1.5),
        ("island", LONG, 3.0, 2.0),
        ("island_area", SHORT, 4.0, 2.25),
        ("island_area", LONG, 8.0, 4.0),
        ("stroke", Conditions(pulls=24, fabric="fleece"), 2.0, 1.0),
        ("gap", SHORT, 1.0, 0.4),
        ("gap", Conditions(pulls=24, hits=2), 1.5, 0.6),
    ],
)
def test_the_bounds_of_the_trade(
    topic: str, conditions: Conditions, at_risk: float, fails: float
) -> None:
    """Common practice, no source (the gap of 1.0 mm: a garment-transfer printer's detail guide)."""
    bound = in_force({}, conditions)[topic]
    assert (bound.at_risk_below, bound.fails_below) == pytest.approx((at_risk, fails))


def test_a_run_of_25_pulls_is_still_short() -> None:
    """Islands must be larger beyond some 25 pulls: common practice, no source."""
    assert Conditions(pulls=25).run == "short run"
    assert Conditions(pulls=26).run == "long run"
    assert Conditions(pulls=5, removable=True).run == "long run"
    words = Conditions(pulls=5, removable=True).run_words
    assert words == "5 pulls on removable adhesive, as for a long run"


def test_a_gap_fails_where_the_spread_from_both_edges_closes_it() -> None:
    """The lower bound of a gap is twice the gain; a larger gain of the shop's own lifts both."""
    usual = in_force({}, SHORT)
    assert usual["gap"].fails_below == pytest.approx(2.0 * row("gain", "tee, one hit").default)
    wide = in_force({"gain": (0.7, None)}, SHORT)["gap"]
    assert (wide.at_risk_below, wide.fails_below) == pytest.approx((1.4, 1.4))


def test_the_shops_own_limit_takes_the_rows_place() -> None:
    """One figure keeps the table's proportion; two are taken as they are."""
    one = FillIn.model_validate({"weeding": "0.8 mm"})
    both = FillIn.model_validate({"weeding": {"at_risk_below": "0.8 mm", "fails_below": "0.6 mm"}})
    assert in_force(one.own(), LONG)["weeding"].fails_below == pytest.approx(0.4)
    bound = in_force(both.own(), LONG)["weeding"]
    assert (bound.at_risk_below, bound.fails_below, bound.own) == (0.8, 0.6, True)


def test_the_shops_own_limit_holds_for_short_and_long_runs() -> None:
    own = FillIn.model_validate({"strip": "1.2 mm", "island_area": "5 mm2"}).own()
    for conditions in (SHORT, LONG):
        assert in_force(own, conditions)["strip"].at_risk_below == 1.2
        assert in_force(own, conditions)["island_area"].at_risk_below == 5.0


@pytest.mark.parametrize(
    "given",
    [
        {"weeding": 0.8},
        {"weeding": "0.8"},
        {"weeding": "0 mm"},
        {"weeding": {"at_risk_below": "0.5 mm", "fails_below": "0.6 mm"}},
        {"island_area": {"at_risk_below": "5 mm2", "fails_below": "6 mm2"}},
        {"weding": "0.8 mm"},
    ],
)
def test_limits_that_make_no_sense_are_refused(given: dict[str, object]) -> None:
    with pytest.raises(ValidationError):
        FillIn.model_validate(given)


def test_settings_come_back_as_they_were_written() -> None:
    """What order.toml records reads back the same."""
    given = FillIn.model_validate({"weeding": "0.8 mm", "island_area": "5 mm2", "most_listed": 3})
    assert FillIn.model_validate(given.model_dump(by_alias=True, exclude_none=True)) == given
