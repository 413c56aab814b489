"""Hours of a set-up: by hand, against chance, and how they grow."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from prep.estimate import DRAWS, Estimate, Parameter
from prep_drying.answers import TopUp
from prep_plan.care import Asked, anew, lines_asked_for, lines_of, stops_of
from prep_plan.course import Part, Stop
from prep_plan.parameters import CURE, SHIRT, in_force
from prep_plan.settings import Plan
from prep_plan.timetable import Work, days_of, seconds, timetable
from prep_plan.words import hours

FIXED = {
    key: Parameter(f"test.{key}", value, value, value, "s", "by hand", "measured here")
    for key, value in {
        "line_up": 600.0, "mix": 600.0, "clean": 720.0, "cure": 210.0,
    }.items()
}  # fmt: skip
FILM = Estimate(30.0, "min", np.full(DRAWS, 30.0))
SHIRT_S = Estimate(180.0, "s", np.full(DRAWS, 180.0))
PART = Part(films=2, cycle_s=SHIRT_S)
WORK = Work(films=(FILM, FILM), inks=2, tests=4, shirts=36, parts=(PART,), alone=False)


def fixed(seconds_: float) -> Estimate:
    return Estimate(seconds_, "s", np.full(DRAWS, seconds_))


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
    for shirts, takes in ((36, 2.1), (80, 4.7)):
        table = timetable(replace(WORK, shirts=shirts), in_force(Plan()))
        cure = next(entry.hours for entry in table.entries if entry.what == "cure")
        assert cure.value == pytest.approx(takes, abs=0.05)
        assert cure.low < takes < cure.high


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
    ours = timetable(replace(WORK, parts=(replace(PART, cycle_s=seconds(SHIRT) * 3),)), times).whole
    low, high = np.quantile(whole, [0.1, 0.9])
    assert (ours.low, ours.high) == pytest.approx((low, high), rel=0.03)


@given(st.integers(1, 9), st.integers(0, 20), st.integers(1, 500))
def test_more_work_never_takes_less_time(screens: int, tests: int, shirts: int) -> None:
    """One more of anything adds to the hours."""
    work = replace(
        WORK, parts=(replace(PART, films=screens),), tests=tests, shirts=shirts, films=()
    )
    hours = timetable(work, FIXED).whole.value
    more = [replace(work, parts=(replace(PART, films=screens + 1),))]
    more += [replace(work, parts=(*work.parts, PART))]
    more += [replace(work, **{k: getattr(work, k) + 1}) for k in ("tests", "shirts", "inks")]
    assert all(timetable(one, FIXED).whole.value >= hours for one in more)


@pytest.mark.parametrize(
    "change", [{"shirts": 0}, {"parts": (replace(PART, films=0),)}, {"parts": ()}, {"tests": -1}]
)
def test_work_that_can_not_be(change: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match=r"needs|less than"):
        timetable(replace(WORK, **change), FIXED)


def test_a_day_by_hand() -> None:
    """Two screens lined up 20 min, 4 tests 12 min, clean-up 24 min: 56 min. A shirt 3 + 3.5 min.

    In 4 h that leaves 184 min: 28 shirts; the other 8 take 52 min more on the next day. The night costs
    56 min besides.
    """
    table = timetable(WORK, FIXED, days_of(WORK, FIXED, 4.0))
    assert [[(s.first, s.last) for s in day] for day in table.days] == [[(1, 28)], [(29, 36)]]
    assert [day[0].hours for day in table.days] == pytest.approx(
        [(56 + 28 * 6.5) / 60, (56 + 8 * 6.5) / 60]
    )
    anew = next(e for e in table.entries if e.what == "begin anew the next day")
    assert anew.hours.value == pytest.approx(56 / 60)
    assert table.one_go_h == pytest.approx((56 + 36 * 6.5) / 60)
    assert table.hours("at the press", "after").value == pytest.approx(
        sum(stretch.hours for day in table.days for stretch in day)
    )
    assert [len(days_of(WORK, FIXED, day)) for day in (8.0, 4.9, 4.0)] == [1, 1, 2]


def test_a_day_too_short_for_a_shirt_parts_nothing() -> None:
    """62.5 min are the least: in an hour no shirt is finished, and 4.83 h are counted as five days."""
    table = timetable(WORK, FIXED, days_of(WORK, FIXED, 1.0))
    assert table.too_short
    assert table.days == ()
    assert table.count_days(1.0) == 5
    assert days_of(WORK, FIXED, 62.5 / 60)


def test_a_colour_that_does_not_fit_begins_on_the_next_day() -> None:
    """Two parts of one film, 1 min a shirt: 10 + 4 + 12 min around; cure 3.5 min in the last part only.

    36 shirts take 62 min, then 26 + 4.5 n: in 2 h 7 more on the first day, 20 on the second, 9 left.
    """
    part = Part(films=1, cycle_s=fixed(60.0))
    work = replace(WORK, parts=(part, part))
    table = timetable(work, FIXED, days_of(work, FIXED, 2.0))
    found = [[(s.part, s.first, s.last) for s in day] for day in table.days]
    assert found == [[(0, 1, 36), (1, 1, 7)], [(1, 8, 27)], [(1, 28, 36)]]
    assert table.hours("at the press", "after").value == pytest.approx(
        sum(stretch.hours for day in table.days for stretch in day)
    )


def test_stops_are_timed() -> None:
    """Wiped after every 10 prints, tests among them: 39 prints before the last, 3 times 90 s."""
    stop = Stop("wipe", fixed(90.0), lambda first, last: (4 + last - first) // 10)
    table = timetable(replace(WORK, parts=(replace(PART, stops=(stop,)),)), FIXED)
    (wiped,) = (e for e in table.entries if e.what == "wipe")
    assert wiped.rests == "3 times"
    assert wiped.hours.value == pytest.approx(270 / 3600)


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


def test_lines_end_where_screens_are_washed() -> None:
    """A top-up likeliest before shirt 14 of 15 is told to shirt 15; one before 18 isn't told, nor timed."""
    top_ups = (
        TopUp(0.9, (8.0, 14.0, 38.0), (20.0, 30.0, 40.0)),
        TopUp(0.6, (14.0, 18.0, 38.0), (9.0,) * 3),
    )
    run = SimpleNamespace(
        screen="blue", top_ups=top_ups, wipe_before=None, mist_from=None, thickens=0.0
    )
    runs: Any = {"blue": run}
    (line,) = lines_of(0, runs, "as needed", Asked(4), 15)
    assert line.before == "shirt 8 to 15"
    assert line.do == "top up with 30 g (20 to 40), needed 9 in 10"
    one = dict.fromkeys(("wipe", "mist", "top_up"), fixed(45.0))
    stops = {s.what: s for s in stops_of(runs, "as needed", Asked(4), fixed(60.0), one)}
    assert stops["top up"].times(1, 15) == pytest.approx(0.9)
    run.mist_from, run.mist_g_per_h = (9.0, 14.0, 90.0), fixed(8.0)
    told = [line.before for line in lines_of(0, runs, "as needed", Asked(4), 15)]
    assert told == ["shirt 8 to 15", "shirt 9 to 15"]
    run.mist_g_per_h = fixed(6.4)  # 1.6 g in a quarter of an hour
    for step_g, amount in ((0.1, "1.6 g"), (1.0, "2 g")):
        _, mist = lines_of(0, runs, "as needed", Asked(4), 15, step_g)
        assert mist.do.startswith(f"from here on mist {amount} of water every 15 min"), mist.do
    run.mist_g_per_h = fixed(0.8)
    _, mist = lines_of(0, runs, "as needed", Asked(4), 15, 1.0)
    assert "mist under 1 g of water" in mist.do
    assert anew(stops["top up"], 15).times(1, 38) == pytest.approx(1.8)  # 15, 15 and 8 shirts


def test_a_top_up_that_half_the_runs_do_not_need_may_be_needed() -> None:
    run = SimpleNamespace(
        screen="blue",
        top_ups=(TopUp(0.35, (14.0, 30.0, 30.0), (9.0,) * 3),),
        wipe_before=None,
        mist_from=None,
    )
    runs: Any = {"blue": run}
    (line,) = lines_of(0, runs, "never", Asked(4), 30)
    assert line.before == "shirt 14 to 30"
    assert line.do.endswith("may be needed, 4 in 10")


def test_flashing_and_cooling_are_lines_of_their_own() -> None:
    """A minute of three flashed and half a minute cooled: the whole is as it was."""
    table = timetable(WORK, FIXED)
    part = replace(PART, flash_s=fixed(60.0), cool_s=fixed(30.0))
    own = timetable(replace(WORK, parts=(part,)), FIXED)
    hours = {entry.what: entry.hours.value for entry in own.entries}
    assert [hours[what] for what in ("print", "flash", "cool")] == pytest.approx([0.9, 0.6, 0.3])
    assert own.whole.value == pytest.approx(table.whole.value)
    assert own.hours("at the press").draws == pytest.approx(table.hours("at the press").draws)


def test_unasked_wiping_is_a_look_at_the_openings() -> None:
    """Before shirt 7 after 4 tests is after 10 prints: so before 17 and 27 too. Asked for, it is wiping."""
    run = SimpleNamespace(screen="blue", top_ups=(), wipe_before=7, mist_from=None, thickens=0.0)
    runs: Any = {"blue": run}
    (look,) = lines_of(0, runs, "never", Asked(4), 30)
    assert look.shirts == (7, 17, 27)
    assert look.do.startswith("look at the finest openings")
    (wipe,) = lines_asked_for(0, Asked(4, wipe_every=10), ("blue",), ((1, 30),))
    assert wipe.shirts == (7, 17, 27)
    assert wipe.do.startswith("wipe openings out")
    assert not list(lines_of(0, runs, "never", Asked(4, wipe_every=10), 30))
    (early,) = lines_of(0, runs, "never", Asked(4, wipe_every=20), 30)
    assert early.shirts == (7,)
    run.wipe_before = 0
    (hopeless,) = lines_of(0, runs, "never", Asked(4), 30)
    assert "wiping won't help" in hopeless.do


@pytest.mark.parametrize(
    ("low_s", "value_s", "high_s", "said"),
    [
        (3600, 5400, 9000, "1.5 h (1.0 to 2.5)"),
        (360, 720, 1440, "0.20 h (0.10 to 0.40)"),
        (60, 120, 240, "2 min (1 to 4)"),
        (2, 4, 20, "under 1 min"),
    ],
)
def test_hours_in_words(low_s: float, value_s: float, high_s: float, said: str) -> None:
    """By hand, 3600 s to the hour; of evenly spread draws, the middle eight tenths lie between the ends."""
    eighth = (high_s - low_s) / 8.0
    draws = np.linspace(low_s - eighth, high_s + eighth, DRAWS)
    assert hours(Estimate(value_s / 3600.0, "h", draws / 3600.0)) == said
