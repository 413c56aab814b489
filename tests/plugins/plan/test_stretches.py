"""What is printed between two washings: days, a full rack, and that drying is followed over just that."""

from __future__ import annotations

import functools
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely import box

from prep.job import Chosen, Job
from prep.plugins import find_plugins
from prep.session import Session
from prep.shop import Press, Room, Shop
from prep.testing import make_job
from prep_drying.answers import Drying
from prep_drying.settings import DryingOrder
from prep_plan.answers import Stretches, WorkPlan
from prep_plan.care import again, falls_due
from prep_plan.settings import Plan

BLUE, RED = "#1f3a5f", "#d9472f"
STILL = ("still room",)
SHARED = Session(find_plugins())


@functools.cache
def _measured() -> Job:
    return make_job({BLUE: box(0, 0, 90, 40), RED: box(0, 50, 90, 52)})


def _asked(
    shirts: int, *, working: Any = None, room: Room | None = None, plan: Any = None, **order: Any
) -> tuple[Drying, WorkPlan, Stretches]:
    press = Press(kind="simple press", stations=6, working=working)
    job = _measured()
    tables = (DryingOrder.model_validate({"climate": STILL, **order}), Plan(**plan or {}))
    batch = replace(job.setup.batches[0], sizes=(("M", shirts),))
    job = replace(
        job,
        setup=replace(job.setup, batches=(batch,)),
        shop=Shop(press=press, room=room or Room()),
        chosen=Chosen({type(table): table for table in tables}),
    )
    ask = SHARED.ask_for(job)
    return ask(Drying), ask(WorkPlan), ask(Stretches)


def _ends(plan: WorkPlan, part: int) -> list[tuple[int, int]]:
    return [(s.first, s.last) for day in plan.table.days for s in day if s.part == part]


@pytest.mark.parametrize("working", ["shirt by shirt", "colour by colour"])
@pytest.mark.parametrize("shirts", [30, 200, 700])
def test_drying_is_followed_over_what_a_day_prints(working: str, shirts: int) -> None:
    """Part by part, test pulls before; in each way of working."""
    drying, plan, stretches = _asked(shirts, working=working)
    assert drying.run.working == working
    for k, part in enumerate(drying.run.parts):
        most = max(last - first + 1 for first, last in _ends(plan, k))
        assert part.followed == plan.tests + most
        assert part.last_shirt == min(most, shirts)
        assert all(len(drying.run[key].prints) == part.followed for key in part.screens)
        for key in part.screens:
            told = [shirt for one in drying.run[key].top_ups for shirt in one.shirts()]
            assert max(told, default=0) <= most
    for run in drying.runs:
        parts = stretches.by_way[run.working].parts
        assert [p.followed for p in run.parts] == [plan.tests + p.shirts for p in parts]
    assert drying.whole is (shirts == 30)
    said = [text for text in drying.says if "washed out in the evening" in text]
    assert bool(said) is (shirts > 30)
    whole = stretches.by_way[drying.run.working].parts
    cut = [part for part in whole if part.shirts < plan.shirts]
    if said:  # the plan's own count, and none of a part that is printed at one stretch
        after = " and ".join(dict.fromkeys(str(part.shirts) for part in cut))
        assert f"after {after} shirts at the latest" in said[0]
        assert said[0].startswith("Screens are") is (len(cut) == len(whole))
    if shirts > 30:
        assert "(then screens are washed out)" in drying.upto


def test_days_hold_their_hours() -> None:
    """They are filled before drying is followed; what ink needs then takes no more."""
    dry = Room(temperature="30 C", humidity="25 %")
    for working in ("shirt by shirt", "colour by colour"):
        _, plan, _ = _asked(400, working=working, room=dry)
        days = [sum(stretch.hours for stretch in day) for day in plan.table.days]
        assert len(days) > 2
        assert max(days) <= 8.0 + 0.05


def test_in_too_short_a_day_the_run_goes_in_one_go() -> None:
    drying, plan, _ = _asked(100, plan={"day": "30 min"})
    assert plan.table.too_short
    assert drying.whole
    assert [part.followed for part in drying.run.parts] == [plan.tests + plan.shirts]
    assert not any("washed out" in said for said in drying.says)


def test_a_full_rack_for_which_screens_are_washed_ends_what_is_followed() -> None:
    drying, plan, stretches = _asked(60, plan={"rack": 10})
    (between,) = stretches.by_way["shirt by shirt"].parts
    assert between.washed
    assert between.shirts == 10
    assert drying.last_shirt == 10
    assert any("when the rack is full, after 10 shirts at the latest" in s for s in drying.says)
    (line,) = (line for line in plan.lines if "rack is full" in line.do)
    assert "wash screens out before" in line.do
    assert line.before.endswith("of the day")
    assert (line.shirts[0], line.counted) == (11, "in the day")


def test_a_rack_soon_emptied_is_a_pause_that_drying_is_followed_through() -> None:
    """Two shirts of 60 to 80 s: screens stand it, nine times out of ten at its longest."""
    quick = {"rack": 2, "cure": {"value": "70 s", "low": "60 s", "high": "80 s"}}
    drying, plan, stretches = _asked(30, plan=quick)
    without, *_ = _asked(30)
    (between,) = stretches.by_way["shirt by shirt"].parts
    assert not between.washed
    assert drying.whole
    (line,) = (line for line in plan.lines if "rack is full" in line.do)
    assert "flood the screens before and leave them so: they can stand so long" in line.do
    for key in (BLUE, RED):
        driest, usual = (min(d.run[key].well.low) for d in (drying, without))
        assert driest < usual


def test_the_longest_emptying_decides() -> None:
    """Likely as short as before, but one time in ten longer than screens stand."""
    slow = {"rack": 2, "cure": {"value": "70 s", "low": "60 s", "high": "1 h"}}
    _, plan, stretches = _asked(30, plan=slow)
    assert stretches.by_way["shirt by shirt"].parts[0].washed
    assert any("wash screens out before" in line.do for line in plan.lines)


def test_not_flooded_screens_are_cleared_before() -> None:
    damp = Room(temperature="18 C", humidity="85 %")
    quick = {"rack": 2, "cure": {"value": "20 s", "low": "15 s", "high": "25 s"}}
    _, plan, _ = _asked(10, room=damp, plan=quick, flooded=False, retarder=True)
    (line,) = (line for line in plan.lines if "rack is full" in line.do)
    assert "clear the screens with a print on scrap before" in line.do


def _hours(plan: WorkPlan, *steps: str) -> float:
    return sum(entry.hours.value for entry in plan.table.entries if entry.what in steps)


def test_pauses_go_by_the_prints_of_the_run_whatever_the_rack_does() -> None:
    """After every 16 of 4 tests and 62 shirts: before 13, 29, 45 and 61."""
    drying, plan, _ = _asked(60, plan={"rack": 10}, pause="30 min", pause_every=16)
    (line,) = (line for line in plan.lines if "planned pause" in line.do)
    assert line.shirts == (13, 29, 45, 61)
    assert (line.before, line.counted) == ("shirt 13, 29, 45 and 61 of the run", "over the run")
    assert _hours(plan, "planned pauses") == pytest.approx(2.0)
    assert drying.run.run_s.value / 3600 == pytest.approx(
        _hours(plan, "test pulls", "print", "flash", "cool", "planned pauses")
    )


def test_pauses_come_over_days_too() -> None:
    """After every 200 of 4 tests and 412 shirts: before 197 and 397, on days of fewer."""
    drying, plan, _ = _asked(400, pause="20 min", pause_every=200, wipe_every=200)
    assert max(last - first + 1 for first, last in _ends(plan, 0)) < 196
    assert not {197, 397} & {first for first, _ in _ends(plan, 0)}
    for what in ("planned pause", "wipe openings out from"):
        lines = [line for line in plan.lines if what in line.do]
        assert {line.shirts for line in lines} == {(197, 397)}
    assert _hours(plan, "planned pauses") == pytest.approx(2 / 3)
    assert drying.run.run_s.value == pytest.approx(416 * plan.per_shirt_s.value + 2400)
    assert not any("never comes" in said for said in drying.says)


def test_pauses_that_fall_on_the_evening_are_none_and_that_is_said() -> None:
    drying, plan, _ = _asked(100)
    (_, last), (first, end) = _ends(plan, 0)
    assert (first, end) == (last + 1, 103)
    every = plan.tests + last
    drying, plan, _ = _asked(100, pause="20 min", pause_every=every)
    assert _ends(plan, 0)[0] == (1, last)
    assert _hours(plan, "planned pauses") == 0.0
    assert not any("planned pause" in line.do for line in plan.lines)
    (said,) = (said for said in drying.says if "never comes" in said)
    assert said.startswith(f"pause_every = {every} never comes: screens are washed out whenever")


def test_what_falls_due_by_hand() -> None:
    """Prints 10, 20, 30 of 4 tests and 40 shirts, parted after shirt 16, when 20 are made."""
    assert falls_due(10, 4, 1, 40) == (7, 17, 27, 37)
    assert falls_due(10, 4, 1, 16) == (7,)
    assert falls_due(10, 4, 17, 40) == (27, 37)
    found = again(10, 4, ((1, 16), (17, 40)))
    assert (found.times, found.after, found.in_longest) == (3, 14, True)
    found = again(10, 4, ((1, 16), (17, 26)))
    assert (found.times, found.after) == (1, 10)
    found = again(30, 4, ((1, 26), (27, 40)))
    assert (found.times, found.after) == (0, 0)
    found = again(30, 4, ((1, 25), (26, 40)))
    assert (found.times, found.after, found.in_longest) == (1, 5, False)


@settings(max_examples=15, deadline=None)
@given(st.integers(1, 80), st.integers(1, 80))
@example(30, 45)
@example(200, 1000)
def test_more_shirts_are_never_safer(some: int, more: int) -> None:
    """Chances, the longest pause and the shirt before which to wipe, on either screen."""
    dry = Room(temperature="27 C", humidity="35 %")
    few, many = (_asked(shirts, room=dry, mist="never")[0].run for shirts in sorted((some, more)))
    assert many.fits <= few.fits
    for key in (BLUE, RED):
        assert many[key].fits <= few[key].fits
        assert many[key].dries_out >= few[key].dries_out
        assert all(
            a >= b for a, b in zip(many[key].lost.chances, few[key].lost.chances, strict=True)
        )
        assert many[key].pause_s.low <= few[key].pause_s.low
        if few[key].wipe_before is not None:
            assert many[key].wipe_before is not None
            assert many[key].wipe_before <= max(few[key].wipe_before, min(some, more))
