"""How traps are worked out, held against the table of pairs."""

from __future__ import annotations

import pytest
from shapely import Point, box

from prep.job import Job
from prep.shop import Press, Shop
from prep.testing import make_ask, make_job
from prep.worked import Worked
from prep_trap import prep_sections
from prep_trap.answers import GapChances
from prep_trap.forecast import gap_chances
from prep_trap.settings import Trap, TrapOrder
from prep_trap.why import worked_of
from tests.worked_again import check

RED, TEAL, NAVY = "#d94030", "#308090", "#101830"
SIDE = {RED: box(0, 0, 40, 60), TEAL: box(40, 0, 80, 60)}


def _found(job: Job) -> dict[str, Worked]:
    chances = gap_chances(job)
    ask = make_ask({GapChances: chances})
    return {w.name: w for w in check(worked_of(job, chances), prep_sections(job, ask))}


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize(
    "press",
    [
        {},
        {"kind": "press with fine adjustment", "stations": 4},
        {"kind": "plain table", "stations": 1},
        {"set_up_error": "0.1 mm", "scatter": "0.1 mm"},
        {
            "set_up_error": "0.1 mm",
            "scatter": "0.1 mm",
            "set_up_turn": "0 deg",
            "scatter_turn": "0 deg",
        },
    ],
)
def test_every_figure_is_worked_again(press: dict[str, object], units: str) -> None:
    shop = Shop.model_validate({"press": press, "units": units})
    found = _found(make_job(SIDE, garment="#c0c020", shop=shop))
    assert ("A screen lies off, whole run" in found) is ("set_up_error" not in press)


def test_a_trap_between_its_bounds() -> None:
    """One straight border, no turns: the 95 % point of a miss of √2 × 0.1414 = 0.2, less 0.2."""
    press = {
        "set_up_error": "0.1 mm",
        "scatter": "0.1 mm",
        "set_up_turn": "0 deg",
        "scatter_turn": "0 deg",
    }
    shop = Shop(press=Press.model_validate(press))
    tables = (Trap.model_validate({"least": "0.05 mm"}),)
    trap = _found(make_job(SIDE, garment="#c0c020", shop=shop, tables=tables))["Trap"]
    assert trap.value == pytest.approx(1.645 * 0.2 - 0.2, abs=0.01)
    assert trap.given["least"].status == "stated"
    assert trap.given["most"].status == "usual"


@pytest.mark.parametrize(
    "order",
    [
        {"width": "0.4 mm"},
        {"width": "0 mm"},
        {"pair": [{"under": RED, "over": NAVY, "do": "overprint"}]},
    ],
)
def test_traps_of_the_order(order: dict[str, object]) -> None:
    colours = {RED: box(0, 0, 40, 40) - Point(20, 20).buffer(10), NAVY: Point(20, 20).buffer(10)}
    tables = (TrapOrder.model_validate(order),)
    trap = _found(make_job(colours, garment="#c0c020", tables=tables))["Trap"]
    assert trap.counted


def test_nothing_where_none_meet() -> None:
    job = make_job({RED: box(0, 0, 10, 10), TEAL: box(40, 0, 80, 60)})
    assert not list(worked_of(job, gap_chances(job)))
