"""How what is weighed is worked out, held against the tables to weigh by."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

import prep_ink
from prep.job import Job
from prep.plugins import Plugin, Plugins
from prep.session import Session
from prep.worked import Worked
from prep_mix import prep_order_sections, prep_sections
from prep_mix.inks import of_job, of_order
from prep_mix.why import worked_of
from tests.plugins.mix.test_sheet import GOLD, MIX, ask_of, job_of, wanted
from tests.worked_again import check

WATER: dict[str, Any] = {
    "additive": [
        *MIX["additive"],
        {"name": "water", "of": "ink", "by": "volume", "most": "10 %", "density": "1 g/ml"},
        {"name": "gel", "of": "mix", "by": "volume", "most": "10 %", "density": "1.1 g/ml"},
    ],
    "component": [
        {"name": "clear", "density": "1.05 g/ml"},
        {"name": "rust", "density": "1.2 g/ml"},
    ],
}


def _found(job: Job) -> dict[tuple[str, str], Worked]:
    ask = ask_of(job)
    worked = worked_of(of_job(job, ask), job)
    return {(w.name, w.of): w for w in check(worked, prep_sections(job, ask))}


def test_a_recipe_worked_by_hand() -> None:
    """Nine parts and one, and 2 % of the ink of retarder: the ink is the whole over 1.02."""
    found = _found(job_of(wanted(retarder="2 %")))
    whole = found["In all, each pot", "finch red"].value
    assert found["clear", "finch red"].value == pytest.approx(0.9 * whole / 1.02)
    assert found["rust", "finch red"].value == pytest.approx(0.1 * whole / 1.02)
    assert found["retarder", "finch red"].value == pytest.approx(0.02 * whole / 1.02)
    assert found["retarder", "finch red"].holds == "At most 5 %, as its maker allows."
    assert found["rust", "finch red"].given["share"].status == "stated"


@pytest.mark.parametrize(
    ("additives", "more"),
    [
        ({"fixer": "2 %", "retarder": "2 %"}, {}),
        ({"water": "5 %", "gel": "3 %"}, WATER),
        ({"retarder": "2 %"}, {"readability_g": 0.1}),
        ({}, {"pots": ["20 ml"], "readability_g": 0.1}),
    ],
)
def test_every_weight_is_worked_again(additives: dict[str, str], more: dict[str, Any]) -> None:
    found = _found(job_of(wanted(**additives), **more))
    if "pots" in more:
        assert found["Pots", "finch red"].value >= 2
    if more.get("readability_g") == 0.1 and additives:
        assert any(name.endswith("pre-mix") for name, _ in found)


def test_ink_as_it_comes_has_one_line() -> None:
    found = _found(job_of(colours={GOLD: {}}))
    assert [name for name, ink in found if ink == "straw"] == ["In all, each pot"]


def test_inks_of_a_whole_order_are_worked_again() -> None:
    """Two set-ups: each tells nothing of the mix, the page over all set-ups tells it."""
    job = job_of(pots=["20 ml"])
    dark = job.order.garment[0].model_copy(update={"colour": "#000000"})
    order = job.order.model_copy(update={"garment": (*job.order.garment, dark)})
    one = replace(job, order=order)
    jobs = one, replace(one, setup=replace(job.setup, key="dark", shade="dark"))
    session = Session(Plugins([Plugin("ink", prep_ink, "firstpull")]))
    assert all(s.chapter != "why" for s in prep_sections(one, session.ask_for(one)))
    worked = worked_of(of_order(jobs, session.ask_for), one)
    found = check(worked, prep_order_sections(jobs, session.ask_for))
    assert {"In all, each pot", "Pots", "clear"} <= {one.name for one in found}
