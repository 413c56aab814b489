"""What is found and shown of drying: findings, graphs, what most of the doubt comes from."""

from __future__ import annotations

import re
import tracemalloc
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from shapely import box

from prep.findings import Finding
from prep.job import Job
from prep.plugins import find_plugins
from prep.sections import Drawing, Section, Table
from prep.session import Session
from prep.shop import Room, Shop
from prep.testing import make_job
from prep_drying import prep_findings, prep_sections
from prep_drying.answers import Contribution, Curve, Drying
from prep_drying.picture import water_by_print
from prep_drying.settings import Drying as ShopDrying
from prep_drying.settings import DryingOrder
from prep_drying.summary import Summary
from prep_drying.wording import LEAST_SHARE, MOST_PARTS, figure_of, sections_of
from prep_plan.settings import Plan

BLUE, RED = "#1f3a5f", "#d9472f"
SMALL = {BLUE: box(0, 0, 60, 10), RED: box(0, 20, 60, 23)}


def _job(*, shirts: int = 40, shop: Shop | None = None, day: str = "8 h", **drying: Any) -> Job:
    order = DryingOrder.model_validate(drying)
    tables = (order, ShopDrying(), Plan(day=day))
    return make_job(SMALL, shirts=shirts, shop=shop or Shop(), tables=tables)


def _ask(job: Job):  # type: ignore[no-untyped-def]  # as the session gives it
    return Session(find_plugins()).ask_for(job)


def _findings(job: Job) -> list[Finding]:
    return list(prep_findings(job=job, ask=_ask(job)))


def _sections(job: Job) -> dict[str, Section]:
    return {s.title: s for s in prep_sections(job=job, ask=_ask(job))}


def test_ink_that_dries_up_is_found_with_its_shirts() -> None:
    """Little ink on a wide wet screen, hours under a dryer, never misted: it will fail, and says when."""
    job = _job(shirts=200, day="24 h", climate=["flash dryer beside the press"], mist="never")
    found = [f for f in _findings(job) if f.kind == "ink dries up before the blade"]
    run = _ask(job)(Drying).run
    assert {f.screen for f in found} == {s.key for s in job.screens if run[s.key].dries_out >= 0.1}
    assert {f.severity for f in found} == {"will fail"}
    first, last = map(int, re.findall(r"between shirt (\d+) and (\d+)", found[0].what)[0])
    assert 0 <= first < last <= 200
    assert "what helps most is" in found[0].do
    assert '"Now and then" on the sheet, or prep plan' in found[0].do


def test_a_short_run_in_a_still_room_has_no_finding() -> None:
    assert _findings(_job(shirts=10, climate=["still room"])) == []


def test_a_room_beyond_the_formulas_is_noted() -> None:
    """A fan is beyond the still air the formula was fitted in: a note, not a refusal."""
    job = _job(shirts=10, climate=["fan on the screens"])
    (note,) = [f for f in _findings(job) if f.severity == "note"]
    assert note.kind == "outside the range the formula was made for"
    assert note.what == _ask(job)(Drying).air.outside[0]


def test_the_graphs_show_every_screen_with_its_prints() -> None:
    """One graph for each screen, from print 1 to the last; the alternative text has their figures."""
    job = _job(shirts=20)
    section = _sections(job)["Water in the ink, print by print"]
    (drawing,) = (b for b in section.blocks if isinstance(b, Drawing))
    run = _ask(job)(Drying).run
    prints = len(run[BLUE].prints)
    assert prints == 20 + 4 + 1
    assert drawing.picture.svg.count("print 1<") == 2
    assert drawing.picture.svg.count(f">{prints}<") == 2
    for screen in job.screens:
        assert f"{run[screen.key].well.middle[-1]:.0%}" in drawing.picture.alt


def test_the_doubt_is_told_with_its_remedies() -> None:
    """The largest part of the doubt first, each with value, range, status and source."""
    job = _job()
    section = _sections(job)["What drying rests on"]
    (table,) = (b for b in section.blocks if isinstance(b, Table))
    shares = [int(row[1].removesuffix(" %")) for row in table.rows]
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) > 70
    assert all(all(row) for row in table.rows)


def test_a_days_curves_are_drawn_no_finer_than_can_be_seen() -> None:
    """From the first print to the last, 100 and 5000 of them: at most 301 points a curve."""
    run = _ask(_job(shirts=20))(Drying).run[BLUE]
    lengths = []
    for prints in (100, 5000):
        fall = tuple(np.linspace(0.6, 0.4, prints).tolist())
        curve = Curve(fall, fall, fall)
        long = replace(run, prints=tuple(range(1, prints + 1)), bead=curve, well=curve)
        svg = water_by_print([("1 blue", long)]).svg
        lengths.append(len(svg))
        assert f">{prints}<" in svg
    assert lengths[1] < 4 * lengths[0]


@pytest.mark.parametrize("screens", [1, 2])
def test_the_key_explains_every_line_within_the_picture(screens: int) -> None:
    """The dashed line too, with one graph as with two."""
    colours = dict(list(SMALL.items())[:screens])
    job = make_job(colours, shirts=20, tables=(DryingOrder(), ShopDrying(climate="still room")))
    (drawing,) = _sections(job)["Water in the ink, print by print"].blocks
    assert isinstance(drawing, Drawing)
    svg = drawing.picture.svg
    assert "clogs below" in svg
    assert svg.count("stroke-dasharray") == screens + 1
    box_ = re.search(r'viewBox="([^"]+)"', svg)
    assert box_ is not None
    bottom = float(box_[1].split()[3])
    assert max(float(y) for y in re.findall(r'<text[^>]* y="([\d.]+)"', svg)) < bottom


KNOWN: dict[str, Any] = {
    "climate": "still room",
    "weighed": {"loss": "0.74 g", "area": "500 cm2", "after": "10 min"},
    "critical_loss": {"value": "50 %", "low": "48 %", "high": "52 %"},
    "flood_layer": "100 um",
}


@pytest.mark.parametrize("flooded", [True, False])
def test_every_part_of_the_doubt_is_told_whoever_it_comes_from(flooded: bool) -> None:
    """What was weighed, the mesh and the ink as well; of the time as the job is worked."""
    job = make_job(SMALL, tables=(DryingOrder(flooded=flooded), ShopDrying(**KNOWN)))
    drying = _ask(job)(Drying)
    (table,) = (b for b in _sections(job)["What drying rests on"].blocks if isinstance(b, Table))
    assert table.caption is not None
    assert f"may stand idle, {'flooded' if flooded else 'cleared'}" in table.caption
    idle = min(
        drying.idle.values(),
        key=lambda one: (one.finest.flooded_s if flooded else one.finest.cleared_s).value,
    )
    told = [part for part in idle.uncertainty if part.share >= LEAST_SHARE][:MOST_PARTS]
    assert [row[0] for row in table.rows] == [part.words for part in told]
    names = {part.parameter.split(".")[1] for part in told}
    assert {"water_share", "weighed" if flooded else "mesh_volume"} <= names
    assert ("0.0888 (0.07992 to 0.09768) kg/(m² h)" in [row[2] for row in table.rows]) is flooded
    for part in told:
        assert part.low <= part.value <= part.high
    assert all(all(row) for row in table.rows)


def test_a_days_prints_are_told_without_keeping_them_all() -> None:
    """3000 prints of eight screens would be 98 MB a curve."""
    summary = Summary()
    tracemalloc.start()
    try:
        for _ in range(3000):
            summary(np.full((8, 513), 0.5), np.full((8, 513), 0.25), np.zeros((8, 513)))
        well = summary.well(7)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 30e6
    assert well.low == well.high == (0.25,) * 3000
    assert summary.bead(0).middle == (0.5,) * 3000


def test_where_nothing_is_in_doubt_there_is_no_empty_table() -> None:
    job = _job(climate=["still room"])
    asked = _ask(job)
    drying = asked(Drying)
    sure = replace(
        drying, idle={key: replace(one, uncertainty=()) for key, one in drying.idle.items()}
    )

    def ask(question: type[Any]) -> Any:
        return sure if question is Drying else asked(question)

    told = {s.title: s for s in sections_of(job, ask)}
    blocks = told["What drying rests on"].blocks
    assert not [b for b in blocks if isinstance(b, Table)]
    assert "nothing is in doubt" in str(blocks[-1])


def test_saturated_air_is_no_finding_and_is_said_once() -> None:
    """It lies within what the formulas hold for."""
    job = _job(shirts=10, shop=Shop(room=Room(humidity="100 %")), climate=["still room"])
    assert _findings(job) == []
    (said,) = [said for said in _ask(job)(Drying).says if "saturated" in said]
    assert "a hygrometer that reads too high" in said


@pytest.mark.parametrize("temperature", ["-5 C", "55 C"])
def test_a_room_no_formula_holds_for_is_refused(temperature: str) -> None:
    """One line that says the range."""
    job = _job(shop=Shop(room=Room(temperature=temperature)))
    with pytest.raises(Exception, match="0") as refused:
        _ask(job)(Drying)
    assert "50" in str(refused.value)


def test_a_run_that_dries_whole_screens_shut_is_found() -> None:
    """Never flooded under a fan, wide openings clog as well: judged by the chance of one of 40 mm."""
    job = _job(
        shirts=60, climate=["fan on the screens", "flash dryer beside the press"], flooded=False
    )
    run = _ask(job)(Drying).run
    found = {f.screen: f for f in _findings(job) if f.kind == "run that dries shut"}
    assert {s.key for s in job.screens if run[s.key].lost(40.0) >= 0.1} == set(found) != set()
    for key, finding in found.items():
        assert finding.severity == ("will fail" if run[key].lost(40.0) >= 0.5 else "at risk")
        assert f"{100 * run[key].lost(40.0):.0f} of 100" in finding.what


def test_misting_does_not_wet_ink_that_dried_in_a_pause() -> None:
    """Twenty hours' pause dries the bead whatever is done while printing."""
    for mist in ("never", "as needed", "always"):
        job = _job(
            shirts=40,
            climate=["fan on the screens"],
            mist=mist,
            pause="20 h",
            pause_every=10,
            day="24 h",
        )
        run = _ask(job)(Drying).run
        assert all(run[s.key].dries_out > 0.9 for s in job.screens), mist


def test_differences_of_temperature_are_told_in_the_shops_degrees() -> None:
    """20 (8 to 35) K are 36 (14.4 to 63) °F; a flux has its square."""
    part = Contribution("p", "w", 0.5, "", 20.0, 8.0, 35.0, "K", "guess", "s")
    assert figure_of(part, "metric") == "20 (8 to 35) °C"
    assert figure_of(part, "inch") == "36 (14.4 to 63) °F"
    assert figure_of(replace(part, unit="W/m2"), "inch") == "20 (8 to 35) W/m²"
