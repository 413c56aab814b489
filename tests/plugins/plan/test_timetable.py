"""Hours of a set-up: by hand, against chance, and how they grow."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from prep.estimate import DRAWS, Estimate, Parameter
from prep_plan.parameters import CURE, SHIRT, in_force
from prep_plan.settings import Plan
from prep_plan.timetable import Work, cut_into_days, seconds, timetable

FIXED = {
    key: Parameter(f"test.{key}", value, value, value, "s", "by hand", "measured here")
    for key, value in {
        "line_up": 600.0, "mix": 600.0, "clean": 720.0, "cure": 210.0,
    }.items()
}  # fmt: skip
FILM = Estimate(30.0, "min", np.full(DRAWS, 30.0))
SHIRT_S = Estimate(180.0, "s", np.full(DRAWS, 180.0))
WORK = Work(
    films=(FILM, FILM),
    screens=2,
    inks=2,
    tests=4,
    shirts=36,
    shirt_s=SHIRT_S,
    cured=36,
    pauses_s=0.0,
    alone=False,
)


def test_hours_by_hand() -> None:
    """Two films of 30 min, two inks and screens of 10 min each; a shirt 3 min."""
    table = timetable(WORK, FIXED)
    hours = {entry.what: entry.hours.value for entry in table.entries}
    assert hours == pytest.approx(
        {
            "cut, weed and lay films": 1.0,
            "mix inks": 1 / 3,
            "line up": 1 / 3,
            "test pulls": 0.2,
            "print": 1.8,
            "cure": 2.1,
            "clean up": 0.4,
        }
    )
    assert table.whole.value == pytest.approx(sum(hours.values()))
    assert table.hours("after").value == pytest.approx(2.5)
    assert {entry.hours.unit for entry in table.entries} == {"h"}


def test_thirty_six_shirts_take_some_two_hours_at_a_heat_press() -> None:
    """3.5 min a shirt with loading: 36 shirts 2.1 h, 80 hoodies 4.7 h. Common practice, no source."""
    for shirts, hours in ((36, 2.1), (80, 4.7)):
        table = timetable(replace(WORK, cured=shirts), in_force(Plan()))
        cure = next(entry.hours for entry in table.entries if entry.what == "cure")
        assert cure.value == pytest.approx(hours, abs=0.05)
        assert cure.low < hours < cure.high


def test_the_range_is_that_of_chance() -> None:
    """Sums of independent times drawn afresh, 200,000 of them, have the same 10 and 90 % points."""
    times = in_force(Plan())
    random, z90 = np.random.default_rng(5), 1.2815515655446004

    def drawn(parameter: Parameter) -> np.ndarray:
        z = random.standard_normal(200_000)
        up, down = (
            np.log(parameter.high / parameter.default),
            np.log(parameter.default / parameter.low),
        )
        return parameter.default * np.exp(z / z90 * np.where(z > 0, up, down))

    shirt = drawn(SHIRT) * 3
    whole = (
        2 * 1800 + 2 * drawn(times["mix"]) + 2 * drawn(times["line_up"]) + 40 * shirt
        + 36 * drawn(times["cure"]) + 2 * drawn(times["clean"])
    ) / 3600  # fmt: skip
    ours = timetable(replace(WORK, shirt_s=seconds(SHIRT) * 3), times).whole
    low, high = np.quantile(whole, [0.1, 0.9])
    assert (ours.low, ours.high) == pytest.approx((low, high), rel=0.03)


@given(st.integers(1, 9), st.integers(0, 20), st.integers(1, 500))
def test_more_work_never_takes_less_time(screens: int, tests: int, shirts: int) -> None:
    """One more of anything adds to the hours."""
    work = replace(WORK, screens=screens, tests=tests, shirts=shirts, films=())
    hours = timetable(work, FIXED).whole.value
    for name in ("screens", "tests", "shirts", "cured", "inks"):
        more = replace(work, **{name: getattr(work, name) + 1})
        assert timetable(more, FIXED).whole.value >= hours


@pytest.mark.parametrize("change", [{"shirts": 0}, {"screens": 0}, {"tests": -1}])
def test_work_that_can_not_be(change: dict[str, int]) -> None:
    with pytest.raises(ValueError, match=r"needs|less than"):
        timetable(replace(WORK, **change), FIXED)


def test_days() -> None:
    """4.8 h at the press and after it are one day of 8 h, two of 4 h, five of 1 h."""
    table = timetable(WORK, FIXED)
    assert table.hours("at the press", "after").value == pytest.approx(4.833, abs=0.001)
    assert [cut_into_days(table, day) for day in (8, 4, 1)] == [1, 2, 5]


def test_times_of_ones_own() -> None:
    """A time taken is known to 10 %, or as its own bounds say; the cure is that of what cures."""
    plan = Plan.model_validate(
        {
            "mix": "15 min",
            "line_up": {"value": "8 min", "low": "6 min", "high": "12 min"},
            "cure_by": "conveyor dryer",
        }
    )
    times = in_force(plan)
    assert (times["mix"].low, times["mix"].high) == pytest.approx((810, 990))
    assert (times["line_up"].low, times["line_up"].high) == (360, 720)
    assert times["cure"] is CURE["conveyor dryer"]
    assert {times[key].status for key in ("mix", "line_up")} == {"measured here"}


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"mix": "0 s"}, "more than 0"),
        ({"mix": "15"}, "has no unit"),
        ({"clean": {"value": "10 s", "low": "20 s"}}, "low must not lie above"),
        ({"cure_by": "sun"}, "heat press"),
        ({"day": "30 h"}, "less than or equal"),
        ({"rack": 0}, "greater than or equal"),
    ],
)
def test_settings_that_can_not_be(wrong: dict[str, object], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        Plan.model_validate(wrong)
