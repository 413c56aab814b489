"""What goes into the log, and what can't be so."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from prep.errors import InputError, SettingsError
from prep_log.entries import (
    FilledIn,
    InkSeen,
    Note,
    Seen,
    check_day,
    check_seen,
    note_of,
    run_of,
    seen_of,
)
from prep_log.store import Figure, writing
from tests.plugins.log.made import DAY, made_run

TODAY = date(2026, 11, 29)
UID = "c" * 32
SEEN = Seen(
    UID,
    "Tide tables",
    DAY,
    (InkSeen("deep blue", 60.0, 18.5), InkSeen("white")),
    2,
    (FilledIn("#1f3a5f", "the gull's eye", 12),),
    "40 degrees, five times: sound",
    "humid",
    ("gull.jpg",),
    hours=6.5,
    air="21 C, 45 %, a fan on",
)


def told(seen: Seen, **run: Any) -> tuple[str, ...]:
    with pytest.raises(SettingsError) as caught:
        check_seen(seen, made_run(**run), TODAY, where="seen-1.toml")
    lines = caught.value.lines()
    assert all(line.startswith("seen-1.toml: ") and "; " in line for line in lines)
    return tuple(line.removeprefix("seen-1.toml: ") for line in lines)


def test_entries_are_what_they_were_once_written_and_read(tmp_path: Path) -> None:
    run, note = made_run(), Note(UID, "Tide tables", DAY, "slow flash\nin the cold")
    with writing(tmp_path / "log.sqlite") as store:
        for one in (run, SEEN, note):
            store.add(one.new())
        read = {e.kind: e for e in store.entries()}
        figures = store.figures(of=read["run"])[read["run"].id]
        measured = store.figures(of=read["seen"])[read["seen"].id]
        assert store.entries(of_run=UID) == (read["note"], read["seen"])
    found = read["run"]
    assert run_of(found.name, found.day, found.body, tuple(figures)) == run
    assert seen_of(read["seen"].name, read["seen"].day, read["seen"].body) == SEEN
    assert note_of(read["note"].name, read["note"].day, read["note"].body) == note
    assert measured == [
        Figure("ink mixed", "g", 60.0, ink="deep blue"),
        Figure("ink left", "g", 18.5, ink="deep blue"),
        Figure("shirts spoilt", "shirts", 2.0),
        Figure("hours", "h", 6.5),
    ]
    assert json.loads(json.dumps(found.body)) == found.body


def test_what_was_seen_fits_its_run() -> None:
    check_seen(SEEN, made_run(), TODAY, where="seen-1.toml")


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"day": TODAY + timedelta(1)}, "day = 2026-11-30: lies ahead, today is 2026-11-29"),
        (
            {"day": DAY - timedelta(1)},
            "day = 2026-11-01: lies before the run, which is of 2026-11-02",
        ),
        ({"inks": (InkSeen("deep blue", -3.0),)}, 'ink "deep blue": mixed = -3 g: a weight can\'t'),
        ({"inks": (InkSeen("deep blue", 10.0, 11.0),)}, "11 g left of 10 g mixed can't be"),
        ({"inks": (InkSeen("red", 10.0),)}, "it was printed with deep blue, white"),
        ({"inks": (InkSeen("white", 1.0), InkSeen("white", 2.0))}, "stands there twice"),
        ({"spoilt": 21}, "shirts_spoilt = 21: the run was of 20 shirts"),
        ({"spoilt": -1}, "shirts_spoilt = -1: can't lie below zero"),
        ({"filled_in": (FilledIn("red", "eye"),)}, "it had #1f3a5f, base"),
        (
            {"filled_in": (FilledIn("base", "eye", 23),)},
            "from_shirt = 23: shirts were counted to 22",
        ),
    ],
)
def test_what_cant_be_so(changed: dict[str, Any], said: str) -> None:
    (line,) = told(replace(SEEN, **changed))
    assert said in line


def test_contradictions_have_a_line_each() -> None:
    lines = told(replace(SEEN, spoilt=99, inks=(InkSeen("red", -1.0),)))
    assert len(lines) == 3


def test_a_form_left_empty_is_told() -> None:
    (line,) = told(Seen(UID, "Tide tables", DAY))
    assert "nothing is filled in" in line


def test_a_day_that_lies_ahead() -> None:
    check_day(TODAY, TODAY)
    with pytest.raises(
        InputError, match="2026-11-30 lies ahead, today is 2026-11-29; write the day"
    ):
        check_day(TODAY + timedelta(1), TODAY)
