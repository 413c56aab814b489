"""The form: nothing is entered as it is written, and what is filled in comes out again."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from prep.errors import InputError
from prep_drying.parameters import OPEN_CLEARED
from prep_log.learnt import Told, corners, figures
from prep_log.readings_form import read_readings
from prep_log.usual import usual
from prep_test_piece.form import Printed, form
from prep_test_piece.geometry import CORNERS_DEG, ISLANDS_MM, SIZES_MM, WAITS_MIN, piece
from prep_test_piece.plan import LOOKS

TODAY = date(2026, 3, 11)
PRINTED = Printed(
    mesh='43-80 "old"',
    ink="white",
    readability_g=0.1,
    at_full_g=0.75,
    inked_mm2=54_000.0,
)
TEXT = form(piece(), PRINTED, "test piece 43-80")
HOLDS_FROM = {
    "weeding": 0.8,
    "cutting": 0.5,
    "strip": 1.4,
    "island": 2.0,
    "island_area": 4.0,
    "stroke": 0.8,
    "gap": 1.0,
    "corner_lifted": 30.0,
    "corner_sharp": 45.0,
}
"""An invented truth, mm, mm² and degrees."""


def _filled_in(text: str = TEXT) -> str:
    """Fill it in as a printer does whose film holds from ``HOLDS_FROM`` on."""
    lines: list[str] = []
    of = ""
    for line in text.splitlines():
        if line.startswith("# "):
            line = line.removeprefix("# ")
        of = line.split('"')[1] if line.startswith("of = ") else of
        if found := re.search(r'size = "([\d.]+) (?:mm|deg)', line):
            line = line.replace("?", "2" if float(found[1]) >= HOLDS_FROM[of] else "0")
        if found := re.search(r'wait = "(\d+) min"', line):
            line = line.replace("?", "2" if int(found[1]) <= 4 else "0")
        lines.append(line)
    filled = "\n".join(lines)
    for before, after in (
        ("day = ?", "day = 2026-03-04"),
        ('"? C"', '"21 C"'),
        ('"? %"', '"50 %"'),
        ("[?, ?, ?]", "[1412.0, 1411.5, 1411.2]"),
        ('before = "? g"', 'before = "430.0 g"'),
        ('after = "? g"', 'after = "432.25 g"'),
    ):
        assert before in filled
        filled = filled.replace(before, after)
    assert not any("?" in line for line in filled.splitlines() if not line.startswith("#:"))
    return filled


def _read(tmp_path: Path, text: str) -> list[Mapping[str, Any]]:
    file = tmp_path / "readings.toml"
    file.write_text(text, encoding="utf-8")
    return [one.body for one in read_readings(file, TODAY)]


def test_filled_in_it_says_the_truth_it_was_filled_in_by(tmp_path: Path) -> None:
    told = _read(tmp_path, _filled_in())
    rows = [(one["of"], one.get("after_pulls")) for one in told[:-3]]
    assert rows == [(look.of, pulls) for look in LOOKS for pulls in look.after]
    for one in told[:-3]:
        sizes: tuple[float, ...] = ISLANDS_MM if one["of"].startswith("island") else SIZES_MM
        if one["of"].startswith("corner"):
            sizes = CORNERS_DEG
        if one["of"] == "island_area":
            sizes = tuple(size**2 for size in sizes)
        assert [step["size"] for step in one["steps"]] == pytest.approx(sizes)
        assert all(step["tried"] == 2 for step in one["steps"])
        for step in one["steps"]:
            assert step["held"] == (2 if step["size"] >= HOLDS_FROM[one["of"]] else 0)
    assert all((one["mesh"], one["ink"]) == ('43-80 "old"', "white") for one in told)


def test_waits_screen_and_shirts_come_out(tmp_path: Path) -> None:
    """The line through 1412.0, 1411.5 and 1411.2 g falls by 0.8 g in 10 min; 2.25 g on three shirts."""
    wait, screen, shirts = _read(tmp_path, _filled_in())[-3:]
    assert wait["screen"] == "cleared"
    assert [(s["wait_s"], s["tried"], s["printed"]) for s in wait["steps"]] == [
        (120.0, 2, 2),
        (240.0, 2, 2),
        (480.0, 2, 0),
        (960.0, 2, 0),
    ]
    assert screen["loss_g"] == pytest.approx(0.8)
    assert (screen["after_s"], screen["area_mm2"]) == (600.0, 54_000.0)
    assert shirts["gain_g"] == pytest.approx(2.25)
    assert (shirts["shirts"], shirts["strokes"], shirts["at_full_g"]) == (3, 2, 0.75)


def test_limits_follow_that_lie_where_the_truth_changed(tmp_path: Path) -> None:
    """Half of the strips hold between the last size that failed and the first that held, near enough."""
    file = tmp_path / "readings.toml"
    file.write_text(_filled_in(), encoding="utf-8")
    told = [Told(one.day, str(one.body["of"]), one.body) for one in read_readings(file, TODAY)]
    found = figures(told, usual())
    for of, between in (("strip", (1.0, 1.4)), ("weeding", (0.5, 0.8)), ("island", (1.4, 2.0))):
        half = float(found["fill_in"][of]["fails_below"].split()[0])
        assert between[0] * 0.9 < half < between[1] * 1.1, of
    angles = {of: curve.half.value for of, (curve, _) in corners(told).items()}
    assert 15.0 < angles["corner_lifted"] < 30.0 < angles["corner_sharp"] < 45.0
    assert found["ink"]["transfer"]["value"] == pytest.approx(1.0, abs=0.1)  # 2.25 / 3 / 0.75


def test_as_written_nothing_is_entered(tmp_path: Path) -> None:
    """Every line to fill in stands behind a #; with the day alone there is nothing to enter."""
    with pytest.raises(InputError, match="day"):
        _read(tmp_path, TEXT)
    with pytest.raises(InputError, match="nothing is filled in"):
        _read(tmp_path, TEXT.replace("# day = ?", "day = 2026-03-04"))
    plain = [line for line in TEXT.splitlines() if line and not line.startswith("#")]
    assert [line.split(" = ")[0] for line in plain] == [
        "format",
        "name",
        "mesh",
        "ink",
        "readability",
    ]


def test_a_number_left_open_is_told_with_its_line(tmp_path: Path) -> None:
    """A ? that is still there is no number, and isn't taken for one."""
    filled = _filled_in().replace("printed = 2", "printed = ?", 1)
    lines = filled.splitlines()
    line = 1 + next(i for i, text in enumerate(lines) if "?" in text and text[:2] != "#:")
    with pytest.raises(InputError, match=f"line {line}"):
        _read(tmp_path, filled)


def test_a_step_left_out_is_not_read(tmp_path: Path) -> None:
    """Lines that weren't weeded weren't printed either."""
    filled = _filled_in()
    head, _, rest = filled.partition('of = "stroke"')
    fewer = re.sub(r'^ *\{ size = "0\.3 mm".*\n', "", rest, count=1, flags=re.MULTILINE)
    told = _read(tmp_path, f'{head}of = "stroke"{fewer}')
    (stroke,) = [one for one in told if one["of"] == "stroke"]
    assert [step["size"] for step in stroke["steps"]] == list(SIZES_MM[1:])


def test_waits_lie_around_the_usual_open_time_of_how_the_screen_stands() -> None:
    """A cleared screen, 5 to 15 min: one wait is shorter than all of it, one longer."""
    assert '# screen = "cleared"' in TEXT
    usual_s = OPEN_CLEARED.parameter
    assert 60.0 * min(WAITS_MIN) < usual_s.low
    assert 60.0 * max(WAITS_MIN) > usual_s.high


def test_a_balance_that_is_not_known_is_not_named() -> None:
    assert "readability" not in form(piece(), replace(PRINTED, readability_g=None), "piece")
