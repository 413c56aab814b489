"""The form for readings: what it says becomes readings, and what can't be is asked about."""

from __future__ import annotations

import math
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


def test_rows_of_a_kind_are_held_against_each_other(tmp_path: Path) -> None:
    """Upright 0.3 mm held, across 0.8 mm didn't; after other numbers of pulls they may differ."""
    upright, across = _row(("0.3 mm", 2, 2)), _row(("0.8 mm", 2, 0))
    assert "0.3 mm held and 0.8 mm didn't" in _refused(tmp_path, upright + across)
    assert len(_read(tmp_path, upright + across, HEAD + "confirmed = true\n")) == 2
    assert len(_read(tmp_path, upright + _row(("0.8 mm", 2, 0), more="after_pulls = 9\n"))) == 2


def _waits(*dots: tuple[str, int], screen: str = "cleared") -> str:
    lines = [f'[[wait.dots]]\nwait = "{wait}"\ntried = 4\nprinted = {n}\n' for wait, n in dots]
    return f'[[wait]]\nscreen = "{screen}"\n{"".join(lines)}'


def test_dots_that_print_after_longer_waits_only_are_asked_about(tmp_path: Path) -> None:
    """In one row or in two; a flood is another matter."""
    said = "waits, cleared: all dots printed after 16 min and none after 2 min; look again"
    one, two = _waits(("2 min", 0), ("16 min", 4)), _waits(("2 min", 0)) + _waits(("16 min", 4))
    for text in (one, two):
        assert said in _refused(tmp_path, STILL + text)
        assert _read(tmp_path, STILL + text, HEAD + "confirmed = true\n")
    apart = _waits(("2 min", 0)) + _waits(("16 min", 4), screen="flooded")
    assert len(_read(tmp_path, STILL + apart)) == 2


def _weighed(minutes: str, grams: str) -> str:
    return (
        f'{STILL}[[screen_weighed]]\narea = "1200 cm2"\nat_minutes = {minutes}\ngrams = {grams}\n'
    )


def test_a_loss_is_off_by_its_line_or_its_balance(tmp_path: Path) -> None:
    """At 0, 5, 10 min residuals 1/30, -2/30, 1/30: s² = 6/900, over 50 min² about the mean."""
    text = _weighed("[0, 5, 10]", "[1412.0, 1411.5, 1411.2]")
    line = 10.0 * math.sqrt(6.0 / 900.0 / 50.0)
    for shows, off in (("0.1 g", line), ("0.5 g", 10.0 * 0.5 / math.sqrt(12.0 * 50.0))):
        (weighed,) = _read(tmp_path, text, HEAD + f'readability = "{shows}"\n')
        assert weighed["loss_off_g"] == pytest.approx(off)
    (weighed,) = _read(tmp_path, _weighed("[0, 10]", "[9, 8]"), HEAD + 'readability = "0.3 g"\n')
    assert weighed["loss_off_g"] == pytest.approx(0.3 / math.sqrt(6.0))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (_weighed("[0, 10]", "[1412.02, 1412.0]"), "lost 0.02 g, which is off by up to 0.82 g"),
        (_weighed("[0, 10]", "[1412.7, 1412.0]"), "weigh longer, or on a finer balance"),
        (_weighed("[0, 10]", "[1413.0, 1412.0]"), ""),
        (_weighed("[0, 1e-300]", "[1413.0, 1412.0]"), "at_minutes must span 0.1 minutes or more"),
        (_weighed("[0, 0.09]", "[1413.0, 1412.0]"), "at_minutes must span 0.1 minutes or more"),
        (
            "[[shirts_weighed]]\nshirts = 1\nstrokes = 1\n"
            'before = "150 g"\nafter = "150.8 g"\nat_full = "1 g"',
            "shirts gained 0.8 g, which is off by up to 0.82 g",
        ),
    ],
)
def test_a_weighing_that_tells_nothing_is_refused(tmp_path: Path, text: str, said: str) -> None:
    """On a balance of 1 g a difference is off by 1 / sqrt(6) g, twice that at two sigma."""
    head = HEAD + 'readability = "1 g"\n'
    if said:
        assert said in _refused(tmp_path, text, head)
    else:
        assert len(_read(tmp_path, text, head)) == 1


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
