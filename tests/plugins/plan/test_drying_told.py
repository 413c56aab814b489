"""What the run card tells of drying: how far it was followed, top-ups by a rule, and what helps."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from prep.cli import run
from prep.estimate import Estimate
from prep.sections import Paragraph, Table
from prep_drying.answers import Curve, Help, Helps, Lost, Repeats, ScreenRun, TopUp
from prep_plan.care import Asked, lines_of, stops_of
from prep_plan.wording import what_helps

RULE = TopUp(1.0, (6.0,) * 3, (9.0, 10.0, 11.0), Repeats(10, 86, (2.0, 3.0, 4.0), True))
DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 60" width="100mm" height="60mm">'
    '<path fill="#1f3a5f" d="M0 0H100V40H0z"/></svg>'
)


def sure(value: float) -> Estimate:
    return Estimate(value, "", np.full(512, value))


def screen_run(*top_ups: TopUp) -> ScreenRun:
    one, curve = sure(1.0), Curve((), (), ())
    lost = Lost((1.0,), (0.0,), (None,))
    return ScreenRun(
        "blue", 1.0, lost, 0.0, None, (), curve, curve, one, one, top_ups, one, one, None, 0.0, None,
        one, one,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("count", "before", "more"),
    [
        (90, "shirt 6, then every 10, to 86", ", the last time 3.0 g (2.0 to 4.0)"),
        (50, "shirt 6, then every 10, to 46", ""),
        (9, "shirt 6", ""),
    ],
)
def test_many_top_ups_are_one_line_and_all_take_time(count: int, before: str, more: str) -> None:
    """Before 6, 16, 26 ... as far as the stretch goes."""
    one = screen_run(RULE)
    (line,) = lines_of(0, {"blue": one}, "never", Asked(0), count)
    assert line.before == before
    assert line.do == f"top up with 10 g (9 to 11){more}"
    assert line.shirts == tuple(range(6, min(count, 86) + 1, 10))
    (stop,) = stops_of({"blue": one}, "never", Asked(0), sure(60.0), {"top_up": sure(45.0)})
    assert stop.times(1, count) == len(line.shirts)


def helps(fits: float, *gains: float) -> Helps:
    found = (Help(f"way {n}", fits + g, g, 60.0, 0.0, "Costs.") for n, g in enumerate(gains))
    return Helps(fits, 60.0, tuple(found))


def test_gains_are_points() -> None:
    (table,) = what_helps(helps(0.5, 0.3, 0.01, 0.001, -0.02)).blocks
    assert isinstance(table, Table)
    assert [row[2] for row in table.rows] == ["30 points", "1 point", "nothing", "-2 points"]


def test_a_change_of_the_air_is_told_in_the_shops_degrees() -> None:
    """3 °C between two temperatures are 5.4 °F, not 37."""
    one = replace(helps(0.5, 0.3).helps[0], what="air 3 °C cooler")
    known = replace(helps(0.5, 0.3), helps=(one,))
    for units, said in (("metric", "air 3 °C cooler"), ("inch", "air 5 °F (3 °C) cooler")):
        (table,) = what_helps(known, units).blocks
        assert isinstance(table, Table)
        assert table.rows[0][0] == said


def test_where_nothing_gains_it_is_said_once() -> None:
    (open_,) = what_helps(helps(1.0, 0.0, 0.0)).blocks
    assert isinstance(open_, Paragraph)
    assert "nothing more is needed" in open_.text
    (lost,) = what_helps(helps(0.0, 0.0, 0.004)).blocks
    assert isinstance(lost, Paragraph)
    assert "none of these gains anything by itself: way 0; way 1." in lost.text


def test_a_long_run_says_to_which_shirt_it_was_followed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """To the last of the first day, as the plan fills it with set-up, cure and clean-up too."""
    monkeypatch.chdir(tmp_path)
    Path("front.svg").write_text(DRAWING)
    typed = ["plan", "front.svg", "--shirts", "2000", "--set", "drying.climate=still room"]
    assert run([*typed, "--json"]) == 0
    (setup,) = json.loads(capsys.readouterr().out)["setups"]
    (first, *_), *_ = setup["by_day"]
    last = first["last_shirt"]
    assert setup["drying"]["to_shirt"] == last < 200
    for screen in setup["drying"]["screens"]:
        assert len(screen["top_ups"]) <= 8
        for top_up in screen["top_ups"]:
            assert top_up.get("until", top_up["before_shirt"][2]) <= last
    assert run(typed) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert f"stays open to shirt {last} (then screens are washed out)" in text
    assert "to the last shirt" not in text
