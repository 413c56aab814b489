"""Readings entered by command change every later job; weighed ink is held against predicted ink."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from prep.cli import run
from prep_log.agreement import agreement
from prep_log.compare import pairs_of
from prep_log.entries import USED_UP, InkSeen, Seen
from prep_log.from_log import told_in
from prep_log.learnt import Told
from prep_log.place import usual_file
from prep_log.store import Figure, Store, reading, writing
from tests.plugins.log.made import made_run

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="60mm" viewBox="0 0 80 60">'
    '<path d="M5 30Q20 2 50 20L70 8V52L50 40Q20 58 5 30Z" fill="#1f5a3c"/></svg>'
)
SHOP = '[[mesh]]\nname = "43-80"\ncount = "43/cm"\nthread = "80 um"\n'
HEAD = 'format = "firstpull.readings/1"\nday = 2026-03-04\nmesh = "43-80"\n'
SHIRTS = (
    "[[shirts_weighed]]\nshirts = 3\nstrokes = 2\n"
    'before = "430 g"\nafter = "440.8 g"\nat_full = "4 g"\n'
)
STILL = 'measured_in = { climate = "still room" }\n'


def _waits(screen: str, last_min: int) -> str:
    dots = "".join(
        f'[[wait.dots]]\nwait = "{wait} min"\ntried = 5\nprinted = {5 if wait <= last_min else 0}\n'
        for wait in (1, 2, 4, 8, 16, 32)
    )
    return f'[[wait]]\nscreen = "{screen}"\n{dots}'


@pytest.fixture(autouse=True)
def _shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder with a shop and a drawing, and a user who has no log yet."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.chdir(tmp_path)
    Path("fish.svg").write_text(DRAWING)
    Path("shop.toml").write_text(SHOP)


def _grams(capsys: pytest.CaptureFixture[str], *more: str) -> tuple[float, float]:
    """Give the range of grams on one shirt."""
    capsys.readouterr()
    assert run(["ink", "fish.svg", "--json", *more]) == 0
    (ink,) = json.loads(capsys.readouterr().out)["colours"]
    return ink["per_print_low_g"], ink["per_print_high_g"]


def _enter(text: str) -> int:
    Path("readings.toml").write_text(HEAD + text)
    return run(["log", "readings", "readings.toml"])


def test_three_shirts_weighed_halve_the_range_of_every_later_job(
    capsys: pytest.CaptureFixture[str],
) -> None:
    low, high = _grams(capsys)
    assert _enter(SHIRTS) == 0
    better_low, better_high = _grams(capsys)
    assert better_high - better_low < 0.5 * (high - low)
    assert low < better_low < better_high < high


def test_a_reading_is_corrected_by_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert _enter(SHIRTS) == 0
    Path("again.toml").write_text(HEAD + SHIRTS.replace("440.8", "438.0"))
    capsys.readouterr()
    assert run(["log", "readings", "again.toml", "--corrects", "1"]) == 0
    assert capsys.readouterr().out == (
        "Entered 1 reading in place of entry 1: test piece, 2026-03-04.\n"
    )
    with reading(usual_file()) as store:
        (one,) = store.readings()
        assert (one.number, one.times, one.body["gain_g"]) == (1, 2, 8.0)
    # two can't stand for one, nor a reading for what isn't there
    Path("again.toml").write_text(HEAD + SHIRTS + SHIRTS)
    assert run(["log", "readings", "again.toml", "--corrects", "1"]) == 2
    assert "2 readings can't stand in the place of one" in capsys.readouterr().err
    Path("again.toml").write_text(HEAD + SHIRTS)
    assert run(["log", "readings", "again.toml", "--corrects", "9"]) == 2
    assert "the log has no entry 9" in capsys.readouterr().err


def test_no_other_program_adds_between_holding_readings_against_the_log_and_adding_them(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    waits: list[str] = []

    def told_while_another_writes(store: Store, **how: Any) -> list[Told]:
        with closing(sqlite3.connect(usual_file(), isolation_level=None, timeout=0)) as other:
            try:
                other.execute("BEGIN IMMEDIATE")
            except sqlite3.OperationalError as error:
                waits.append(str(error))
        return told_in(store, **how)

    monkeypatch.setattr("prep_log.entering_readings.told_in", told_while_another_writes)
    assert _enter(SHIRTS) == 0
    assert waits == ["database is locked"]


def test_what_the_shop_states_stands(capsys: pytest.CaptureFixture[str]) -> None:
    """The whole figure of shop.toml holds, with none of the log's bounds; left out, the log isn't read."""
    usual = _grams(capsys)
    own = SHOP + "[ink.transfer]\nvalue = 0.5\n"
    Path("shop.toml").write_text(own)
    stated = _grams(capsys)
    Path("shop.toml").write_text(SHOP)
    assert _enter(SHIRTS) == 0
    learnt = _grams(capsys)
    assert _grams(capsys, "--without", "log") == usual
    Path("shop.toml").write_text(own)
    assert _grams(capsys) == stated
    assert stated not in (learnt, usual)


@pytest.mark.parametrize(
    ("head", "said"),
    [
        (
            HEAD.replace("43-80", "43T"),
            'the shop has no mesh "43T"; write one of "43-80", or add mesh',
        ),
        (HEAD + 'ink = "rust"\n', 'the shop has no ink "rust"; write one of "sea", or add ink'),
    ],
)
def test_what_is_not_in_stock_is_refused(
    head: str, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("shop.toml").write_text(f'{SHOP}[[inks]]\nname = "sea"\n')
    Path("readings.toml").write_text(head + SHIRTS)
    assert run(["log", "readings", "readings.toml"]) == 2
    assert said in capsys.readouterr().err
    assert not usual_file().exists()


def test_a_mesh_sold_since_stops_no_job(capsys: pytest.CaptureFixture[str]) -> None:
    """Its transfer and open times are left out and told; ink is as before anything was read."""
    Path("shop.toml").write_text(SHOP.replace("43-80", "62-64"))
    before = _grams(capsys)
    Path("shop.toml").write_text(SHOP)
    assert _enter(STILL + SHIRTS + _waits("cleared", 4)) == 0
    Path("shop.toml").write_text(SHOP.replace("43-80", "62-64"))
    assert _grams(capsys) == before
    assert run(["measure", "fish.svg"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert (
        'ink.transfer as it was measured here isn\'t used: it was measured with mesh "43-80"'
        in told
    )
    assert "drying.open_cleared as it was measured here isn't used" in told
    assert run(["log", "learnt"]) == 0
    said = capsys.readouterr().err
    assert (
        "ink.transfer was measured with mesh \"43-80\", which isn't in stock, and isn't used"
        in said
    )
    # it can still be put right, but not be moved to another mesh that isn't there
    Path("readings.toml").write_text(HEAD + SHIRTS.replace("440.8", "440.6"))
    assert run(["log", "readings", "readings.toml", "--corrects", "2"]) == 0
    Path("readings.toml").write_text(HEAD.replace("43-80", "43T") + SHIRTS)
    assert run(["log", "readings", "readings.toml", "--corrects", "2"]) == 2
    assert 'the shop has no mesh "43T"' in capsys.readouterr().err


def test_learnt_is_told_with_its_day_and_count(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["log", "learnt"]) == 0
    assert "Nothing was read yet" in capsys.readouterr().out
    assert _enter(SHIRTS) == 0
    capsys.readouterr()
    assert run(["log", "learnt", "--json"]) == 0
    transfer = json.loads(capsys.readouterr().out)["figures"]["ink"]["transfer"]
    assert (transfer["measured_on"], transfer["n"], transfer["mesh"]) == ("2026-03-04", 3, "43-80")
    assert run(["log", "learnt"]) == 0
    assert "0.9 (0.5 to 1.4)" in capsys.readouterr().out


def test_what_no_job_could_use_is_not_entered(capsys: pytest.CaptureFixture[str]) -> None:
    """A cleared screen that stays open longer than a flooded one: told, and the log stays empty."""
    assert _enter(STILL + _waits("cleared", 16) + _waits("flooded", 2)) == 2
    assert "nothing was entered" in capsys.readouterr().err
    with reading(usual_file()) as store:
        assert store.readings() == ()
    assert _enter(STILL + _waits("cleared", 2) + _waits("flooded", 16)) == 0
    assert run(["measure", "fish.svg"]) == 0


def test_a_log_that_cannot_be_read_stops_a_job_in_a_line(
    capsys: pytest.CaptureFixture[str],
) -> None:
    usual_file().parent.mkdir(parents=True)
    usual_file().write_bytes(b"not a log at all, but long enough to be looked at " * 40)
    assert run(["measure", "fish.svg"]) == 2
    told = capsys.readouterr().err.strip().splitlines()
    assert len(told) == 1
    assert str(usual_file()) in told[0]


def _run(day: int, value: float) -> Any:
    figure = Figure(USED_UP, "g", value, 0.7 * value, 1.4 * value, ink="deep blue")
    return replace(made_run(), day=date(2026, 11, day), figures=(figure,)).new()


def test_weighed_is_paired_with_what_its_own_run_predicted() -> None:
    """Two runs of one name; of one the left-over was corrected; a third wasn't weighed at all."""
    with writing(usual_file()) as store:
        numbers = [store.add(_run(day, value)) for day, value in ((2, 50.0), (9, 80.0), (16, 60.0))]
        uids = [store.chain(number)[0].uid for number in numbers]
        for uid, mixed, left in ((uids[0], 90.0, 41.0), (uids[1], 120.0, 30.0)):
            ink = InkSeen("deep blue", mixed, left)
            seen = Seen(uid, "Tide tables", date(2026, 11, 20), inks=(ink,))
            last = store.add(seen.new())
        again = replace(seen, inks=(InkSeen("deep blue", 120.0, 60.0),))
        store.add(again.new(), corrects=last)
        # a figure out of its bounds, as another program may have left it, is paired with nothing
        odd = Figure(USED_UP, "g", 9.0, 1.0, 2.0, ink="deep blue")
        uid = store.entry(store.add(replace(_run(3, 50.0), figures=(odd,)))).uid
        store.add(replace(seen, run=uid, inks=(InkSeen("deep blue", 5.0, 3.0),)).new())
    with reading(usual_file()) as store:
        pairs = pairs_of(store)
    assert [(pair.predicted.value, pair.measured) for pair in pairs] == [(50.0, 49.0), (80.0, 60.0)]
    assert [pair.inside for pair in pairs] == [True, True]


def test_inks_of_one_run_are_one_run() -> None:
    """Two inks weighed in one run, one in another of the same name and day: three pairs of two runs."""
    figures = tuple(
        Figure(USED_UP, "g", 50.0, 35.0, 70.0, ink=ink) for ink in ("deep blue", "white")
    )
    with writing(usual_file()) as store:
        for own in (figures, figures[:1]):
            run_of = replace(made_run(), figures=own)
            uid = store.chain(store.add(run_of.new()))[0].uid
            inks = tuple(InkSeen(one.ink, 90.0, 40.0) for one in own)
            store.add(Seen(uid, "Tide tables", date(2026, 11, 20), inks=inks).new())
    with reading(usual_file()) as store:
        pairs = pairs_of(store)
    assert [pair.run for pair in pairs] == ["1", "1", "2"]
    assert agreement(pairs).runs == 2


def test_compare_says_how_good_the_predictions_were(capsys: pytest.CaptureFixture[str]) -> None:
    """Eight runs that all took twice what was predicted: off to one side, and none in its range."""
    assert run(["log", "compare"]) == 0
    assert "Nothing was both predicted and weighed" in capsys.readouterr().out
    with writing(usual_file()) as store:
        for day in range(1, 9):
            uid = store.chain(store.add(_run(day, 50.0)))[0].uid
            ink = InkSeen("deep blue", 150.0 + day, 50.0)
            store.add(Seen(uid, "Tide tables", date(2026, 11, 20), inks=(ink,)).new())
    assert run(["log", "compare", "--picture", "agreement.svg"]) == 0
    told = capsys.readouterr().out
    assert "0 of 8 lie in their range" in told
    assert "off to one side" in told
    assert "too narrow" in told
    assert Path("agreement.svg").read_text().startswith("<svg")
    assert run(["log", "compare", "--picture", "agreement.svg"]) == 2
