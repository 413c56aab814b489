"""How ways and the choke are worked out, held against the tables that tell them."""

from __future__ import annotations

import pytest
from shapely import Geometry, box

from prep.job import Job
from prep.shop import Press, Shop
from prep.tables import Table
from prep.testing import make_job
from prep.worked import Worked
from prep_base import prep_sections
from prep_base.settings import Base, BaseOrder
from prep_base.why import worked_of
from prep_drying.settings import Drying
from prep_plan.settings import Plan
from tests.plugins.base.test_job import RED, TEAL, WHITE, asked, dark, ready
from tests.worked_again import check

DRAWN: dict[str, Geometry] = {
    WHITE: box(0, 0, 20, 20),
    RED: box(20, 0, 40, 20) | box(45, 0, 46.5, 20),
}
SIMPLE = Shop(press=Press(kind="simple press"))


def _found(job: Job) -> dict[tuple[str, str], Worked]:
    ask = asked(job)
    return {(w.name, w.of): w for w in check(worked_of(job, ask), prep_sections(job, ask))}


def test_hours_worked_by_hand() -> None:
    """Two films of 23 + 15 + 12 min, two inks of 10; 29 prints of 3 × 20 + 90 + 60 s."""
    found = _found(dark(DRAWN, shop=SIMPLE))
    hours = found["Hours", "base"]
    assert hours.value == pytest.approx(2 + 29 * (3 * 20 + 2 * 45 + 60) / 3600)
    assert hours.given["film"].status == "guess"


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize(
    "tables",
    [
        (),
        (Base.model_validate({"film_time": "30 min", "flash_time": "20 s", "most": "0.5 mm"}),),
        (BaseOrder.model_validate({"choke": "0.3 mm"}),),
    ],
)
def test_every_figure_is_worked_again(units: str, tables: tuple[Table, ...]) -> None:
    """Of the screens as made: ways, choke, what the base shows, what is left of narrow parts."""
    shop = Shop.model_validate({"units": units, "press": {"kind": "simple press"}})
    found = _found(ready(dark(DRAWN, shop=shop, tables=tables)))
    names = {name for name, _ in found}
    assert {
        "Hours",
        "Weighed",
        "Choke",
        "Prints with base beside it",
        "Whole choke leaves",
    } <= names
    if tables and isinstance(tables[0], Base):
        assert found["Hours", "base"].given["film"].status == "stated"
        assert found["Choke", ""].given["most"].source == "base.most in shop.toml"


def test_times_the_shop_has_taken_are_told_so() -> None:
    """Taken under [plan] and [drying], where the hours of the plan have them too."""
    tables = (
        Plan.model_validate({"line_up": "10 min"}),
        Drying.model_validate({"print_time": "12 s"}),
    )
    hours = _found(dark(DRAWN, shop=SIMPLE, tables=tables))["Hours", "base"].given
    told = {
        key: (hours[key].value, hours[key].status) for key in ("line_up", "print", "mix", "lay")
    }
    assert told == {
        "line_up": (600.0, "measured here"),
        "print": (12.0, "measured here"),
        "mix": (600.0, "guess"),
        "lay": (60.0, "guess"),
    }


def test_washed_ways_are_worked_again() -> None:
    """Colours far apart share a film."""
    found = _found(make_job({RED: box(0, 0, 20, 20), TEAL: box(80, 0, 100, 20)}))
    assert ("Hours", "side by side") in found


def test_nothing_where_there_is_one_way() -> None:
    job = make_job({RED: box(0, 0, 20, 20), TEAL: box(20, 0, 40, 20)})
    assert not list(prep_sections(job, asked(job)))
