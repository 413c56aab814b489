"""How ink figures are worked out, held against the figures themselves."""

from __future__ import annotations

from typing import Any

import pytest
from shapely import box

import prep_ink
from prep.plugins import Plugin, Plugins
from prep.session import Session
from prep.shop import Film, Shop
from prep.testing import make_job
from prep_ink.settings import OrderInk, ShopInk
from prep_ink.why import mixed_of, worked_of
from tests.worked_again import check

BLUE, GOLD = "#1f3a5f", "#f2c14e"
REGIONS = {BLUE: box(0, 0, 100, 50), GOLD: box(0, 60, 100, 70)}


def _found(shop: Shop | None = None, *tables: Any, **told: Any) -> dict[str, Any]:
    inks = {BLUE: "deep blue", GOLD: "straw"}
    job = make_job(REGIONS, inks=inks, shop=shop, tables=tables, shirts=24, **told)
    ask = Session(Plugins([Plugin("ink", prep_ink, "firstpull")])).ask_for(job)
    found = check(worked_of(job, ask), prep_ink.prep_sections(job, ask))
    return {f"{one.name}, {one.of}": one for one in found}


def test_each_screen_has_its_own_numbers() -> None:
    """24 shirts, 4 test pulls, 1 spoilt (at least one): 29 prints of 50 and of 10 cm²."""
    found = _found()
    for of, area in (("screen 1, deep blue", 50.0), ("screen 2, straw", 10.0)):
        per, run = found[f"Per print, {of}"], found[f"For the run, {of}"]
        assert per.given["area"].value == pytest.approx(area)
        assert run.value == pytest.approx(29 * per.value)
        assert run.with_values.startswith(f"{run.given['per'].text} × (24 + 4 + 1) = ")


@pytest.mark.parametrize(
    ("shop", "tables", "told"),
    [
        (Shop(film=Film(side="squeegee")), (), {}),
        (None, (OrderInk(strokes=1),), {"passes": 2}),
        (None, (OrderInk(strokes=3, reserve=0.2),), {}),
        (None, (ShopInk.model_validate({"transfer": 0.8}),), {}),
    ],
)
def test_all_ways_are_worked_again(shop: Shop | None, tables: tuple[Any, ...], told: Any) -> None:
    """Film on the other side, one stroke and three, a reserve, a transfer that was weighed."""
    assert _found(shop, *tables, **told)


def test_what_to_mix_is_told_with_its_chance_or_its_reserve() -> None:
    chance = _found()["To mix, deep blue"]
    assert "in 90 % of 512 possible runs" in chance.with_values
    assert chance.with_values.startswith(f"{chance.said}: what ")
    reserve = _found(None, OrderInk(reserve=0.25))["To mix, deep blue"]
    assert "× (1 + 0.25) +" in reserve.with_values


def test_the_whole_orders_mix_is_told_on_its_own_page() -> None:
    job = make_job(REGIONS, inks={BLUE: "deep blue", GOLD: "straw"}, shirts=24)
    ask = Session(Plugins([Plugin("ink", prep_ink, "firstpull")])).ask_for(job)
    sections = prep_ink.prep_order_sections((job, job), lambda _: ask)
    mixes = prep_ink.answers.over_all([(job, ask(prep_ink.answers.InkOnScreens))] * 2)
    assert [one.of for one in check(mixed_of(job, mixes), sections)] == ["deep blue", "straw"]
