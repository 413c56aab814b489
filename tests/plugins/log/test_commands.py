"""``prep log`` and ``prep again`` as they are typed."""

from __future__ import annotations

import json
import os
import shutil
import tomllib
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from prep.cli import run
from prep_log.place import usual_file
from prep_log.store import New, writing
from tests.plugins.log.made import DAY, made_run
from tests.plugins.log.shown import page
from tests.plugins.log.shown import said as text_of

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="60mm" viewBox="0 0 80 60">'
    '<path d="M5 30Q20 2 50 20L70 8V52L50 40Q20 58 5 30Z" fill="#1f5a3c"/></svg>'
)
ORDER = """
name = "Otters"
[[print]]
artwork = "otter.svg"
[[print.colour]]
hex = "#1f5a3c"
ink = "pond green"
[[garment]]
colour = "#ffffff"
fibre = "100 % cotton"
sizes = { M = 12 }
"""
Log = Callable[..., tuple[int, str, str]]


@pytest.fixture
def log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Log:
    """Run a command in an empty folder with a log of its own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "140")

    def call(*words: str) -> tuple[int, str, str]:
        status = run([*words, "--log", "log.sqlite"])
        told = capsys.readouterr()
        return status, told.out, told.err

    return call


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with an order, and a log in which it was entered once with all plugins."""
    folder = tmp_path_factory.mktemp("printed")
    (folder / "otter.svg").write_text(DRAWING)
    (folder / "order.toml").write_text(ORDER)
    assert run(["log", "run", str(folder / "order.toml"), "--log", str(folder / "log.sqlite")]) == 0
    return folder


@pytest.fixture
def otters(printed: Path, tmp_path: Path) -> Path:
    """The log of that run, to be added to."""
    shutil.copy(printed / "log.sqlite", tmp_path)
    return printed


def shown(log: Log, number: int) -> dict[str, Any]:
    status, out, _ = log("log", "show", str(number), "--json")
    assert status == 0
    found: dict[str, Any] = json.loads(out)
    return found


def fill_in(form: Path, **answers: str) -> None:
    """Take the # away before lines and write answers."""
    lines = form.read_text().splitlines()
    for key, answer in answers.items():
        at = next(i for i, line in enumerate(lines) if line.startswith(f"# {key} = "))
        lines[at] = f"{key} = {answer}"
    form.write_text("\n".join(lines))


def test_a_run_is_entered_with_what_the_plugins_predict(
    otters: Path, log: Log, capsys: pytest.CaptureFixture[str]
) -> None:
    (entry,) = shown(log, 1)["entries"]
    assert (entry["kind"], entry["name"]) == ("run", "Otters")
    assert tomllib.loads(entry["body"]["order"])["name"] == "Otters"
    (setup,) = entry["body"]["setups"]
    assert setup["artwork"] == str(otters / "otter.svg")
    (screen,) = setup["screens"]
    assert screen["ink"] == "pond green"
    assert screen["stencil"]
    assert entry["body"]["lacking"] == []
    figures = {(f["quantity"], f["screen"]): f for f in entry["figures"]}
    assert run(["ink", str(otters / "order.toml"), "--json"]) == 0
    ink = json.loads(capsys.readouterr().out)
    (colour,) = ink["colours"]
    per_print = figures["ink per print", "#1f5a3c"]
    for mine, theirs in (("value", ""), ("low", "_low"), ("high", "_high")):
        assert per_print[mine] == pytest.approx(colour[f"per_print{theirs}_g"], abs=1e-4)
    # by the usual transfer, 0.9
    at_full = figures["a transfer of 1 leaves", "#1f5a3c"]["value"]
    assert 0.9 * at_full == pytest.approx(per_print["value"])
    assert screen["strokes"] == 2
    assert figures["ink to mix", ""]["value"] == pytest.approx(ink["inks"][0]["to_mix_g"])
    assert figures["pulls", "#1f5a3c"]["value"] == colour["prints"] * colour["passes"]
    assert screen["pulls"] == colour["prints"] * colour["passes"]
    assert figures["hours", ""]["low"] < figures["hours", ""]["high"]
    assert 0 <= figures["stays open", "#1f5a3c"]["value"] <= 1
    assert figures["stencil lasts", ""]["value"] > 0


def test_what_a_plugin_left_out_would_say_is_left_out_and_told(otters: Path, log: Log) -> None:
    out = ("ink", "drying", "plan", "stencils")
    status, _, err = log(
        "log", "run", str(otters / "order.toml"), *(w for name in out for w in ("--without", name))
    )
    assert status == 0
    for of in ("ink", "hours", "drying", "stencils"):
        assert f"No figures of {of}: " in err
    entry = shown(log, 2)["entries"][0]
    assert entry["figures"] == []
    assert len(entry["body"]["lacking"]) == 4


def test_from_the_form_to_what_was_seen(otters: Path, log: Log, tmp_path: Path) -> None:
    assert log("log", "form", "1")[:2] == (0, "seen-1.toml\n")
    form = tmp_path / "seen-1.toml"
    assert tomllib.loads(form.read_text())["ink"] == [{"ink": "pond green"}]
    status, _, err = log("log", "seen", "seen-1.toml")
    assert status == 2
    assert "nothing is filled in" in err
    fill_in(form, mixed='"60 g"', left='"1 oz"', shirts_spoilt="1", wash_test='"sound"')
    assert log("log", "seen", "seen-1.toml")[0] == 0
    (seen,) = shown(log, 1)["about_it"]
    measured = {f["quantity"]: f["value"] for f in seen["figures"]}
    assert measured == {
        "ink mixed": 60.0,
        "ink left": pytest.approx(28.349523125),  # an ounce
        "shirts spoilt": 1.0,
    }
    assert seen["body"]["wash_test"] == "sound"
    status, out, _ = log("log", "show", "1")
    assert "wash test: sound" in out
    # weighed twice it would count twice; put right, it stands in its place
    status, _, err = log("log", "seen", "seen-1.toml")
    assert status == 2
    assert "ink mixed of pond green stands in entry 2 already; take it out, or" in err
    form.write_text(form.read_text().replace("60 g", "61 g"))
    assert log("log", "seen", "seen-1.toml", "--corrects", "2")[0] == 0
    (seen,) = shown(log, 1)["about_it"]
    assert seen["figures"][0]["value"] == 61.0
    # the form that was filled in is never written over
    status, _, err = log("log", "form", "1")
    assert status == 2
    assert "seen-1.toml: is there already" in err
    assert "61 g" in form.read_text()


@pytest.mark.parametrize(
    ("answers", "said"),
    [
        ({"mixed": '"-3 g"'}, 'ink[1].mixed: "-3 g" must not be negative'),
        ({"mixed": '"3 mm"'}, 'ink[1].mixed: "3 mm" is not of the right kind'),
        ({"shirts_spoilt": "-1"}, "shirts_spoilt = -1: must be at least 0"),
        ({"mixed": '"3 g"', "left": '"4 g"'}, "4 g left of 3 g mixed can't be"),
        ({"shirts_spoilt": "13"}, "shirts_spoilt = 13: the run was of 12 shirts"),
    ],
)
def test_a_form_that_cant_be_so(
    otters: Path, log: Log, tmp_path: Path, answers: dict[str, str], said: str
) -> None:
    log("log", "form", "1")
    fill_in(tmp_path / "seen-1.toml", **answers)
    status, _, err = log("log", "seen", "seen-1.toml")
    assert status == 2
    (line,) = err.splitlines()
    assert line.startswith("prep: seen-1.toml")
    assert said in line
    assert len(json.loads(log("log", "list", "--json")[1])["entries"]) == 1


def test_forms_of_another_version_log_or_key(otters: Path, log: Log, tmp_path: Path) -> None:
    log("log", "form", "1")
    form = tmp_path / "seen-1.toml"
    text = form.read_text()
    uid = tomllib.loads(text)["run"]
    for old, new, said in (
        ("seen/1", "seen/2", "is of a newer version of Firstpull"),
        (uid, "e" * 32, "the log has no run of this form"),
        ("# notes", "nots", "nots: there is no such key"),
    ):
        form.write_text(text.replace(old, new))
        status, _, err = log("log", "seen", "seen-1.toml")
        assert (status, len(err.splitlines())) == (2, 1)
        assert said in err


def test_lists_show_the_latest_of_each_chain_or_all(log: Log, tmp_path: Path) -> None:
    with writing(tmp_path / "log.sqlite") as store:
        store.add(made_run().new())
    assert log("log", "note", "1", "slow flash")[0] == 0
    assert log("log", "note", "1", "slow flash, cold shop", "--corrects", "2")[0] == 0
    status, out, _ = log("log", "list")
    assert status == 0
    rows = [line.split() for line in out.splitlines()[2:]]
    assert [row[:4] for row in rows] == [
        ["2", date.today().isoformat(), "note,", "run"],
        ["1", "2026-11-02", "run", "Tide"],
    ]
    assert rows[0][-1] == "corrected"
    assert len(json.loads(log("log", "list", "--json")[1])["entries"]) == 2
    assert len(json.loads(log("log", "list", "--all", "--json")[1])["entries"]) == 3
    assert "slow flash, cold shop" in log("log", "show", "1")[1]
    latest, every = log("log", "show", "2")[1], log("log", "show", "2", "--all")[1]
    assert latest.count("slow flash") == 1
    assert every.count("slow flash") == 2


def test_lists_say_what_was_read(log: Log, shop: Path, tmp_path: Path) -> None:
    with writing(tmp_path / "log.sqlite") as store:
        for of in ("strip", "shirts weighed", "island_area"):
            store.add(New("reading", DAY, "test piece 43-80", {"of": of}))
    listed = log("log", "list")[1]
    for what in ("reading: strips ", "reading: shirts weighed ", "reading: areas of islands "):
        assert what in listed
    told = json.loads(log("log", "list", "--json")[1])["entries"]
    assert [one["of"] for one in told] == ["island_area", "shirts weighed", "strip"]
    assert "2026-11-02 | reading: shirts weighed | test piece 43-80" in text_of(page(shop))


def test_signs_that_steer_a_terminal_are_escaped(log: Log, tmp_path: Path) -> None:
    note = "red \x1b[31m, \x9b5n and \u202eback"
    with writing(tmp_path / "log.sqlite") as store:
        store.add(replace(made_run().new(), name="one\ntwo\x07"))
    assert log("log", "note", "1", note)[0] == 0
    outs = [log("log", *words)[1] for words in (("list",), ("show", "1"), ("show", "2", "--json"))]
    for told in outs:
        assert not set(told) & set("\x1b\x9b\x07\u202e")
    assert "one\\u000atwo\\u0007" in outs[0]
    assert "one\\u000atwo\\u0007" in outs[1]
    assert "red \\u001b[31m, \\u009b5n and \\u202eback" in outs[1]
    assert json.loads(outs[2])["entries"][0]["body"]["text"] == note


def test_a_note_of_bytes_that_are_no_text(log: Log, tmp_path: Path) -> None:
    with writing(tmp_path / "log.sqlite") as store:
        store.add(made_run().new())
    status, _, err = log("log", "note", "1", "slow \udcff")
    assert (status, len(err.splitlines())) == (2, 1)
    assert "no UTF-8 text" in err


def test_what_isnt_there_or_lies_ahead(log: Log, tmp_path: Path) -> None:
    tomorrow = (date.today() + timedelta(1)).isoformat()
    with writing(tmp_path / "log.sqlite") as store:
        store.add(made_run().new())
    for words, said in (
        (("log", "show", "7"), "the log has no entry 7; see prep log list"),
        (("log", "note", "1", "x", "--day", tomorrow), f"--day: {tomorrow} lies ahead"),
        (("log", "note", "1", "x", "--day", "2.11."), '--day: "2.11." is no day; write it like'),
        (("log", "note", "1", " "), "the note is empty"),
        (("log", "note", "7", "x"), "the log has no entry 7"),
        (("log", "seen", "none.toml"), "none.toml"),
        (("log", "import", "none.jsonl"), "none.jsonl: can't be read"),
        (("again", "7"), "the log has no entry 7"),
    ):
        status, out, err = log(*words)
        assert (status, out, len(err.splitlines())) == (2, "", 1)
        assert said in err


def test_out_into_another_log_and_again(
    otters: Path, log: Log, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert log("log", "export", "all.jsonl")[:2] == (0, "all.jsonl: 1 entry\n")
    for said in ("1 entry added\n", "0 entries added; 1 entry there already, left as they are\n"):
        assert run(["log", "import", "all.jsonl", "--log", "other.sqlite"]) == 0
        assert capsys.readouterr().out == said
    status, out, err = log("again", "1", "--out", "reorder")
    assert (status, err) == (0, "")
    first, stencil = out.splitlines()
    assert first == f"reorder{os.sep}order.toml"
    assert stencil.endswith("use it again if it is still on its mesh and its edges hold")
    assert (tmp_path / "reorder" / "otter.svg").read_text() == DRAWING
    # what it wrote is an order that reads as it was
    assert run(["log", "run", "reorder/order.toml", "--log", "again.sqlite", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["entries"][0]
    assert told["figures"] == shown(log, 1)["entries"][0]["figures"]


def test_a_stencil_that_isnt_of_the_run(otters: Path, log: Log) -> None:
    status, _, err = log("log", "run", str(otters / "order.toml"), "--kept", "09-red")
    assert status == 2
    assert "--kept 09-red: isn't a stencil of this run; it has 01-pond-green" in err


def test_looking_makes_nothing_and_tests_stay_out_of_the_users_data(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert Path(os.environ["XDG_DATA_HOME"]) in usual_file().parents
    assert Path.home() not in usual_file().parents
    assert run(["log", "list"]) == 0
    assert capsys.readouterr().out == "The log has no entries.\n"
    assert not usual_file().parent.exists()


def test_a_log_named_in_shop_toml(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    file = tmp_path / "own" / "shop.sqlite"
    Path("shop.toml").write_text(f'[log]\nkept_in = "{file.as_posix()}"\n')
    with writing(file) as store:
        store.add(made_run().new())
    assert run(["log", "list"]) == 0
    assert "Tide tables" in capsys.readouterr().out
