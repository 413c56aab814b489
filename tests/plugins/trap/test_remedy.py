"""What is advised against gaps: the exact entry for order.toml, tried before it is said."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import get_args

import pytest
import shapely
from shapely import Point, box

from prep.findings import Finding
from prep.job import Job
from prep.shop import Press, Shop
from prep.testing import make_ask, make_job
from prep_trap.answers import GapChances
from prep_trap.forecast import gap_chances
from prep_trap.settings import Do, TrapOrder
from prep_trap.trouble import findings_of
from prep_trap.wording import sections_of
from tests.plugins.trap.test_job import press, ready

RED, TEAL = "#d94030", "#308090"
DISC = Point(60, 60).buffer(20)
AROUND = Point(60, 60).buffer(50) - DISC


def gaps(colours: dict[str, shapely.Geometry], own: Press, *tables: TrapOrder) -> list[Finding]:
    job: Job = ready(make_job(colours, shop=Shop(press=own), tables=tables))
    found = findings_of(job, make_ask({GapChances: gap_chances(job)}))
    return [finding for finding in found if finding.kind == "gap between colours"]


def taken(finding: Finding) -> TrapOrder:
    """Read the entry that a finding advises, as the order would."""
    (keys,) = re.findall(r"\[\[trap\.pair\]\] with (.*?) in order\.toml", finding.do)
    return TrapOrder.model_validate({"pair": [tomllib.loads(keys.replace(", ", "\n"))]})


@pytest.mark.parametrize(
    ("first", "second", "key"),
    [(AROUND, DISC, "do"), (DISC, AROUND, "width"), (box(0, 0, 60, 60), box(60, 0, 120, 60), "width")],
)  # fmt: skip
def test_what_is_advised_ends_the_gap(
    first: shapely.Geometry, second: shapely.Geometry, key: str
) -> None:
    """A disc within is printed over right through; one around another or beside it gets a wider trap."""
    colours = {RED: first, TEAL: second}
    (finding,) = gaps(colours, press(1.0, 0.5))
    entry = taken(finding)
    assert (entry.pair[0].under, entry.pair[0].over) == (RED, TEAL)
    assert (entry.pair[0].do == "overprint") == (key == "do")
    assert (entry.pair[0].width_mm or 0.0) > 0.7 or key == "do"
    assert not gaps(colours, press(1.0, 0.5), entry)


def test_a_trap_made_narrower_by_the_order_is_told_what_would_do() -> None:
    """0.1 mm as asked, where a fine press needs no more than the rule makes: no word of trying it."""
    colours = {RED: box(0, 0, 60, 60), TEAL: box(60, 0, 120, 60)}
    asked = TrapOrder.model_validate({"width": "0.1 mm"})
    (finding,) = gaps(colours, press(0.2, 0.1), asked)
    assert finding.do.startswith("A trap of 0.")
    assert "scrap" not in finding.do
    assert not gaps(colours, press(0.2, 0.1), taken(finding))


def test_where_nothing_does_it_is_not_advised() -> None:
    """A ring of 3 mm takes half of that, and the press needs over 2 mm; whatever the order asks for."""
    ring = Point(60, 60).buffer(23) - DISC
    narrower = {"under": RED, "over": TEAL, "width": "0.5 mm"}
    for said in ({}, {"width": "0.5 mm"}, {"pair": [narrower]}):
        asked = TrapOrder.model_validate(said)
        (finding,) = gaps({RED: DISC, TEAL: ring}, press(1.0, 0.5), asked)
        assert "too narrow there" in finding.do
        assert "trap.pair" not in finding.do


def test_printed_under_is_explained_where_it_is_done() -> None:
    """On the sheet where the table has it, and with each of the order's words on the front page."""
    for second, done in (("#101010", True), (TEAL, False)):
        job = ready(make_job({"#ffcc00": AROUND, second: DISC}))
        (section,) = sections_of(job, make_ask({GapChances: gap_chances(job)}))
        assert ("Printed under (overprint): the next covers the first" in str(section)) == done
    front = (Path(__file__).parents[3] / "README.md").read_text(encoding="utf-8")
    assert all(f'"{do}"' in front for do in get_args(Do))
    assert "printed under: a dark ink covers" in front
