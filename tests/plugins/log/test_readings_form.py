"""The form for readings: what it says becomes readings, and what can't be is asked about."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from prep.errors import InputError
from prep_log.readings_form import read_readings

TODAY = date(2026, 3, 11)
HEAD = 'format = "firstpull.readings/1"\nday = 2026-03-04\nmesh = "43-80"\nink = "white"\n'
STILL = 'measured_in = { climate = "still room", humidity = "50 %" }\n'


def _read(tmp_path: Path, text: str, head: str = HEAD) -> list[dict[str, object]]:
    file = tmp_path / "readings.toml"
    file.write_text(head + text, encoding="utf-8")
    return [dict(one.body) for one in read_readings(file, TODAY)]


def _refused(tmp_path: Path, text: str, head: str = HEAD) -> str:
    with pytest.raises(InputError) as refused:
        _read(tmp_path, text, head)
    return " ".join(refused.value.lines())


def _row(*steps: tuple[str, int, int], of: str = "strip", more: str = "") -> str:
    lines = [f'[[row]]\nof = "{of}"\n{more}']
    lines += [f'[[row.step]]\nsize = "{s}"\ntried = {n}\nheld = {k}\n' for s, n, k in steps]
    return "".join(lines)


def test_a_row_in_either_unit(tmp_path: Path) -> None:
    """Inches become millimetres; areas keep theirs."""
    (strip,) = _read(tmp_path, _row(("0.5 mm", 4, 1), ("0.05 in", 4, 4), more="after_pulls = 25\n"))
    assert (strip["of"], strip["after_pulls"], strip["mesh"]) == ("strip", 25, "43-80")
    assert strip["steps"] == [
        {"size": 0.5, "tried": 4, "held": 1},
        {"size": pytest.approx(1.27), "tried": 4, "held": 4},
    ]
    (area,) = _read(tmp_path, _row(("4 mm2", 2, 2), of="island_area"))
    assert area["steps"] == [{"size": 4.0, "tried": 2, "held": 2}]


def test_a_screen_weighed_three_times(tmp_path: Path) -> None:
    """1412.0, 1411.5 and 1411.2 g at 0, 5 and 10 minutes: the line falls 0.8 g in 10 minutes."""
    text = (
        '[[screen_weighed]]\narea = "1200 cm2"\nat_minutes = [0, 5, 10]\n'
        "grams = [1412.0, 1411.5, 1411.2]\n"
    )
    (weighed,) = _read(tmp_path, STILL + text)
    assert weighed["loss_g"] == pytest.approx(0.8)
    assert (weighed["after_s"], weighed["area_mm2"]) == (600.0, 120_000.0)
    assert weighed["measured_in"] == {"climate": ["still room"], "humidity": "50 %"}


def test_shirts_and_waits(tmp_path: Path) -> None:
    text = (
        '[[shirts_weighed]]\nshirts = 3\nstrokes = 2\nbefore = "430.2 g"\nafter = "441.0 g"\n'
        'at_full = "4 g"\n'
        '[[wait]]\nscreen = "flooded"\n[[wait.dots]]\nwait = "4 min"\ntried = 5\nprinted = 4\n'
    )
    wait, shirts = _read(tmp_path, STILL + text)
    assert shirts["gain_g"] == pytest.approx(10.8)
    assert wait["steps"] == [{"wait_s": 240.0, "tried": 5, "printed": 4}]


def test_what_contradicts_itself_is_asked_about_and_kept_if_confirmed(tmp_path: Path) -> None:
    row = _row(("0.3 mm", 2, 2), ("0.8 mm", 2, 0), of="stroke")
    said = _refused(tmp_path, row)
    assert "0.3 mm held and 0.8 mm didn't" in said
    assert "confirmed = true" in said
    (kept,) = _read(tmp_path, row, HEAD + "confirmed = true\n")
    assert len(kept["steps"]) == 2  # type: ignore[arg-type]  # a list


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (_row(("0.5 mm", 2, 3)), "held = 3 of 2"),
        (_row(("0.5", 2, 1)), "row of strip"),
        (_row(("0.5 g", 2, 1)), "row of strip"),
        ("", "nothing is filled in"),
        ('[[row]]\nof = "holes"\nstep = [{ size = "1 mm", tried = 1, held = 1 }]\n', "of"),
        (
            '[[shirts_weighed]]\nshirts = 3\nstrokes = 2\nbefore = "430 g"\nafter = "-2 g"\nat_full="4 g"',
            "after",
        ),
        (
            '[[shirts_weighed]]\nshirts = 3\nstrokes = 2\nbefore = "430 g"\nafter = "42 g"\nat_full="4 g"',
            "no heavier",
        ),
        (
            STILL + '[[screen_weighed]]\narea = "9 cm2"\nat_minutes = [0, 9]\ngrams = [5.0, 5.1]',
            "no lighter",
        ),
        (
            '[[screen_weighed]]\narea = "1200 cm2"\nat_minutes = [0, 10]\ngrams = [1412.0, 1411.2]',
            "climate",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_a_line(tmp_path: Path, text: str, said: str) -> None:
    assert said in _refused(tmp_path, text)


def test_a_day_ahead_and_a_newer_form(tmp_path: Path) -> None:
    row = _row(("0.5 mm", 2, 1))
    assert "lies ahead" in _refused(tmp_path, row, HEAD.replace("03-04", "03-12"))
    assert "newer version" in _refused(tmp_path, row, HEAD.replace("/1", "/2"))
