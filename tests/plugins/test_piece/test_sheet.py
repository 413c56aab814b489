"""What the sheet has of a test piece, and only of one."""

from __future__ import annotations

import re
import sys
from typing import Any

import pytest
from shapely import box

from prep.errors import SettingsError, Unanswered
from prep.job import Job
from prep.sections import Caution, CheckList, Paragraph, Section, Table
from prep.shop import Mesh, Shop
from prep.testing import make_ask, make_job
from prep.work_times import CLEAN_S, FILM_S, LAY_S, PRINT_S
from prep_drying.settings import Drying
from prep_plan.settings import Plan
from prep_test_piece import prep_sections
from prep_test_piece.asked import printed_with, times_on
from prep_test_piece.drawing import COLOUR
from prep_test_piece.geometry import CORNERS_DEG, ISLANDS_MM, SIZES_MM, piece
from prep_test_piece.settings import PieceOrder
from prep_test_piece.sheet import BOX, MEANT
from prep_test_piece.timetable import ENTER_S, FILM_DOWN_S, Times, minutes, timetable

NOBODY = make_ask({})
SHOP = Shop(mesh=(Mesh(name="43-80", count="43/cm", thread="80 um"),))


def _job(*tables: Any, mesh: str = "43-80") -> Job:
    return make_job({COLOUR: piece().openings}, shop=SHOP, mesh=mesh, tables=tables)


MARKED = PieceOrder(mesh="43-80")
JOB = _job(MARKED)


def _sections(job: Job = JOB) -> tuple[Section, ...]:
    return tuple(prep_sections(job, NOBODY))


def _tables() -> dict[str, Table]:
    _, _, read = _sections()
    tables = [block for block in read.blocks if isinstance(block, Table)]
    return {f"{table.head[0]}{table.rows[0][0]}": table for table in tables}


def test_any_other_order_gets_nothing() -> None:
    """Neither tables nor the note."""
    assert tuple(prep_sections(make_job({COLOUR: box(0, 0, 50, 50)}), NOBODY)) == ()


def test_it_is_said_once_and_first_that_the_finest_steps_are_meant_to_fail() -> None:
    """Above all that is found, and nowhere again."""
    note, *others = _sections()
    assert (note.chapter, note.rank) == ("job", 1)
    assert str(_sections()).count(MEANT) == 1
    assert isinstance(note.blocks[0], Paragraph)
    assert note.blocks[0].text.startswith(MEANT)
    assert all(section.chapter == "closing" for section in others)


def test_each_ladder_has_a_row_for_each_size_and_a_box_for_each_detail() -> None:
    lines, strips = _tables()["lines0.3 mm"], _tables()["film strips0.3 mm"]
    islands, corners = _tables()["islands0.8 mm"], _tables()["corners15°"]
    for table, sizes, unit in (
        (lines, SIZES_MM, " mm"),
        (strips, SIZES_MM, " mm"),
        (islands, ISLANDS_MM, " mm"),
        (corners, CORNERS_DEG, "°"),
    ):
        assert [row[0] for row in table.rows] == [f"{size:g}{unit}" for size in sizes]
        assert all(cell == f"{BOX} {BOX}" for row in table.rows for cell in row[1:])
    for table in (strips, islands):
        assert [h for h in table.head if h.startswith("held")] == [
            "held, 10 pulls",
            "held, 25 pulls",
            "held, 50 pulls",
        ]
    assert lines.head[1:] == ("lifted out", "whole on cloth, 50 pulls")
    assert strips.head[-1] == "gap open, 50 pulls"


def test_dots_screen_and_shirts_have_room_to_be_written_down() -> None:
    dots, screen = _tables()["dots0.7 mm"], _tables()["balanceflooded screen"]
    assert dots.head[1:] == tuple(f"out after {wait} min" for wait in (2, 4, 8, 16))
    assert [row[1:] for row in dots.rows] == [(BOX,) * 4, (f"{BOX} {BOX}",) * 4]
    assert screen.head[1:] == ("after 0 min, g", "after 5 min, g", "after 10 min, g")
    assert screen.rows[0][1:] == ("", "", "")
    shirts = _tables()["balance3 shirts together"]
    assert shirts.rows[0][1:] == ("", "", "not reckoned")  # nobody reckons ink here


def test_steps_stand_in_working_order_with_cautions_before_blade_and_ink() -> None:
    """Cut, weigh dry, pull, weigh wet, flood, wait, type; the blade's caution ahead of the first step."""
    _, work, _ = _sections()
    assert isinstance(work.blocks[0], Caution)
    assert "blades" in work.blocks[0].text
    steps = [step for block in work.blocks if isinstance(block, CheckList) for step in block.steps]
    said = " ".join(steps)
    order = [
        *("Cut the film", "Lay it", "dry shirts", "Clamp", "Pull 50 times", "still wet", "Flood"),
        *("start the clock", "After 2 min", "prep log readings readings.toml", "wash it"),
    ]
    assert [said.index(words) for words in order] == sorted(said.index(words) for words in order)
    ink = next(
        i for i, b in enumerate(work.blocks) if isinstance(b, Caution) and "gloves" in b.text
    )
    assert "Clamp" in str(work.blocks[ink + 1])


def test_usual_times_where_nobody_says_others() -> None:
    assert times_on(JOB, NOBODY) == Times(FILM_S, 0.0, 0.0, PRINT_S, LAY_S, CLEAN_S)


def test_the_shops_own_times_count() -> None:
    drying = Drying.model_validate({"print_time": "12 s", "laying_time": "40 s"})
    plan = Plan.model_validate({"clean": "5 min"})
    times = times_on(_job(MARKED, drying, plan), NOBODY)
    assert (times.print_s, times.laying_s, times.clean_s) == (12.0, 40.0, 300.0)


def test_the_minutes_add_up() -> None:
    """50 pulls of 20 s, scrap and 3 shirts of 60 s, and the rest as its lines say."""
    times = Times(cut_s=60.0, weed_s=120.0, lay_s=180.0, print_s=20.0, laying_s=60.0, clean_s=600.0)
    lines = {entry.what: entry.minutes for entry in timetable(times)}
    assert lines["cut"] == 1.0
    assert lines["weed"] == 2.0
    assert lines["lay the film"] == pytest.approx((180.0 + FILM_DOWN_S) / 60.0)
    assert lines["pull"] == pytest.approx(1000.0 / 60.0)
    assert lines["lay scrap and shirts"] == 4.0
    assert lines["enter what was read"] == pytest.approx(ENTER_S / 60.0)
    assert lines["clean up"] == 10.0
    assert minutes(times) == pytest.approx(sum(lines.values()))


def test_what_is_a_guess_is_called_one() -> None:
    """What no other plugin reckons nor the shop can state."""
    rests = {entry.what: entry.rests for entry in timetable(times_on(JOB, NOBODY))}
    guessed = {what for what, of in rests.items() if of.endswith("a guess")}
    assert guessed == {
        "lay the film",
        "stir ink, clamp the frame",
        "look at the film",
        "weigh shirts and screen",
        "rows of dots",
        "enter what was read",
    }


def test_the_table_on_the_sheet_sums_to_its_caption() -> None:
    _, work, _ = _sections()
    (table,) = [block for block in work.blocks if isinstance(block, Table)]
    told = re.match(r"(\d+) min of work. Beside it 26 min of waiting", table.caption)
    assert told is not None
    assert int(told[1]) == pytest.approx(sum(float(row[-1]) for row in table.rows), abs=1.0)


def test_a_piece_of_another_mesh_is_refused() -> None:
    """What would be read of one mesh would be entered for another."""
    job = _job(PieceOrder(mesh="77-55"))
    with pytest.raises(SettingsError, match='test_piece.mesh = "77-55".*prints with "43-80"'):
        _sections(job)


def test_a_second_screen_is_told() -> None:
    job = make_job(
        {COLOUR: box(0, 0, 9, 9), "#cc2222": box(20, 0, 30, 9)},
        shop=SHOP,
        mesh="43-80",
        tables=[MARKED],
    )
    with pytest.raises(Unanswered, match="has 2"):
        _sections(job)


def test_where_other_plugins_are_not_installed(monkeypatch: pytest.MonkeyPatch) -> None:
    """The work has its usual times, and the sheet says that nobody reckons ink."""
    for name in ("prep_stencils.answers", "prep_drying.settings", "prep_plan.settings"):
        monkeypatch.setitem(sys.modules, name, None)
    monkeypatch.setitem(sys.modules, "prep_ink.answers", None)
    assert times_on(JOB, NOBODY) == Times(FILM_S, 0.0, 0.0, PRINT_S, LAY_S, CLEAN_S)
    assert _tables()["balance3 shirts together"].rows[0][-1] == "not reckoned"
    with pytest.raises(Unanswered, match="no plugin that reckons ink"):
        printed_with(JOB, NOBODY)


def test_a_shop_with_inches_reads_both() -> None:
    """As cut beside each step, and 0.3 / 25.4 = 0.0118 in."""
    shop = SHOP.model_copy(update={"units": "inch"})
    job = make_job({COLOUR: piece().openings}, shop=shop, mesh="43-80", tables=(MARKED,))
    _, _, read = tuple(prep_sections(job, NOBODY))
    rows = [row[0] for block in read.blocks if isinstance(block, Table) for row in block.rows]
    assert rows[:2] == ["0.3 mm (0.012 in)", "0.5 mm (0.020 in)"]
    assert "15°" in rows
    assert any("Those of 1 mm (0.039 in)" in str(block) for block in read.blocks)
