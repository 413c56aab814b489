"""How hours are worked out, held against the table of hours."""

from __future__ import annotations

from typing import Any

import pytest
from shapely import box

from prep.plugins import find_plugins
from prep.session import Session
from prep.shop import Shop
from prep.tables import Table
from prep.testing import make_ask, make_job
from prep_drying.answers import Drying
from prep_drying.settings import DryingOrder
from prep_drying.wording import sections_of as drying_sections
from prep_plan import prep_answers
from prep_plan.answers import WorkPlan
from prep_plan.settings import Plan
from prep_plan.whole_order import order_section
from prep_plan.why import HOURS, NOW_AND_THEN, care_of, order_why, worked_of, worked_of_order
from prep_plan.wording import sheet_sections
from tests.worked_again import check

COLOURS = {"#1f3a5f": box(0, 0, 90, 40), "#d9472f": box(10, 45, 90, 60)}
ONE = {"holds": 1}


def _by_name(shirts: int, *tables: Table, shop: Shop | None = None) -> dict[str, Any]:
    """Work all figures again with every plugin asked, and give them by name."""
    job = make_job(COLOURS, shirts=shirts, shop=shop, tables=tables)
    ask = Session(find_plugins()).ask_for(job)
    plan = ask(WorkPlan)
    found = check(worked_of(job, ask, plan), sheet_sections(job, ask))
    return {one.name: one for one in found}


def test_hours_worked_by_hand() -> None:
    """Two screens at 15 min are half an hour; two inks at 10 min a third of one."""
    found = _by_name(24)
    assert found["Line up"].with_values.startswith("2 × 900 s ÷ 3600 = 0.5 h; told as 0.5 h (")
    assert found["Mix inks"].value == pytest.approx(1 / 3)
    assert found["Line up"].given["line_up"].status == "guess"


def test_times_the_shop_has_taken_are_told_so() -> None:
    found = _by_name(24, Plan.model_validate({"line_up": "10 min"}))
    given = found["Line up"].given["line_up"]
    assert (given.value, given.status, given.source) == (
        600.0,
        "measured here",
        "stated in shop.toml",
    )


@pytest.mark.parametrize(
    ("shirts", "tables", "press"),
    [
        (400, (), {}),
        (400, (Plan.model_validate({"rack": 40}),), {"working": "colour by colour"}),
        (60, (Plan.model_validate({"cure_by": "conveyor dryer"}),), {"stations": 1}),
        (
            60,
            (DryingOrder.model_validate({"pause": "10 min", "pause_every": 20, "wipe_every": 9}),),
            {},
        ),
    ],
)
def test_every_line_is_worked_again(
    shirts: int, tables: tuple[Table, ...], press: dict[str, object]
) -> None:
    found = _by_name(shirts, *tables, shop=Shop.model_validate({"press": press}))
    if shirts == 400:
        assert {"Hours of a day", "Begin anew the next day", "In one go"} <= set(found)


def test_without_other_plugins() -> None:
    """Two screens of one pass at 60 s: 24 shirts take 24 × 120 s."""
    job = make_job(COLOURS)
    plan = prep_answers()[WorkPlan](job, make_ask({}))
    ask = make_ask({WorkPlan: plan})
    found = {one.name: one for one in check(worked_of(job, ask, plan), sheet_sections(job, ask))}
    assert found["Print"].value == pytest.approx(24 * 120 / 3600)


def test_hours_of_the_whole_order() -> None:
    """Two set-ups of the same two inks: each is mixed once, 20 min less than both by themselves."""
    made = []
    for shirts in (24, 60):
        job = make_job(COLOURS, shirts=shirts)
        made.append((job, prep_answers()[WorkPlan](job, make_ask({}))))
    sections = (order_section(made), order_why(made))
    whole, days = check(worked_of_order(made), sections)
    both = sum(plan.table.whole.value for _, plan in made)
    assert whole.value == pytest.approx(both - 20 / 60)
    assert days.value == pytest.approx(whole.value / 8)


def test_what_is_done_now_and_then_tells_the_simulated_run() -> None:
    """Each first top-up with the middle of its range, as the run has it; drying tells its own."""
    job = make_job(COLOURS, shirts=200)
    ask = Session(find_plugins()).ask_for(job)
    sections = {one.title: one for one in sheet_sections(job, ask)}
    drying = ask(Drying)
    worked = list(care_of(job, drying))
    expected = [run.top_ups[0].shirt for run in drying.run.by_screen.values() if run.top_ups]
    told = [one for one in worked if one.name == "Top up first"]
    assert expected
    assert [one.value for one in told] == [middle for _, middle, _ in expected]
    for one, (low, _, high) in zip(told, expected, strict=True):
        assert (one.given["low"].value, one.given["high"].value) == (low, high)
    assert sections["Now and then, by shirt number"].rests_on == (NOW_AND_THEN,)
    assert sections["Hours"].rests_on == (HOURS,)
    assert {NOW_AND_THEN, HOURS} <= set(sections)
    assert set(sections["Keeping the ink open"].rests_on) == {
        one.title for one in drying_sections(job, ask) if one.chapter in ("why", "closing")
    }
