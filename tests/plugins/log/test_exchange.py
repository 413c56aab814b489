"""The log as lines of JSON, out and in again."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from prep.errors import InputError, OutputError
from prep_log.entries import InkSeen, Note, Reading, Seen
from prep_log.exchange import export, import_from, lines_of
from prep_log.store import Store, reading, writing
from tests.plugins.log.made import DAY, made_run

STRIPS = {
    "of": "strip",
    "mesh": "43-80",
    "steps": [{"size": 0.4, "tried": 5, "held": 4}],
    "ünit": None,
}
SHIRTS = {"of": "shirts weighed", "shirts": 3, "gain_g": 5.0, "at_full_g": 4.0}


def fill(store: Store) -> None:
    """A run, corrected twice; what was seen, a note, a reading."""
    run = store.add(made_run().new())
    uid = store.entry(run).uid
    store.add(made_run(name="Tide tables, second").new(), corrects=run)
    seen = Seen(
        uid, "Tide tables", DAY, (InkSeen("deep blue", 60.0, 0.1 + 0.2),), notes="wet\u2028air"
    )
    store.add(seen.new())
    store.add(Note(uid, "Tide tables", DAY, "slow").new())
    store.add(Reading("strips", DAY, STRIPS).new())
    store.add(made_run(name="Tide tables, third").new(), corrects=run)


@pytest.fixture
def lines(tmp_path: Path) -> list[dict[str, Any]]:
    with writing(tmp_path / "first.sqlite") as store:
        fill(store)
        return [json.loads(line) for line in lines_of(store)]


def written(folder: Path, records: list[Any]) -> Path:
    file = folder / "given.jsonl"
    file.write_text("".join(json.dumps(record) + "\n" for record in records), encoding="utf-8")
    return file


def test_out_and_in_again_it_is_the_same(tmp_path: Path) -> None:
    one, two = tmp_path / "one.jsonl", tmp_path / "two.jsonl"
    with writing(tmp_path / "first.sqlite") as store:
        fill(store)
        assert export(store, one) == 6
        before = store.entries()
    with writing(tmp_path / "second.sqlite") as store:
        assert import_from(store, one) == (6, 0)
        assert import_from(store, one) == (0, 6)
        assert store.entries() == before
        export(store, two)
    assert one.read_bytes() == two.read_bytes()
    assert [json.loads(line)["format"] for line in one.read_text().split("\n")[:-1]] == [
        "firstpull.log/1"
    ] * 6


def test_into_a_log_with_other_entries_corrections_find_their_target(
    tmp_path: Path, lines: list[dict[str, Any]]
) -> None:
    """Numbers are others there; the chain is the same. One entry is there already."""
    with writing(tmp_path / "second.sqlite") as store:
        store.add(made_run(name="Other").new())
        assert import_from(store, written(tmp_path, lines[:1])) == (1, 0)
        assert import_from(store, written(tmp_path, lines)) == (5, 1)
        chain = store.chain(2)
        assert [e.name for e in chain] == [
            "Tide tables",
            "Tide tables, second",
            "Tide tables, third",
        ]
        assert [e.corrects for e in chain] == [None, chain[0].uid, chain[1].uid]
        assert [e.kind for e in store.entries(of_run=chain[0].uid)] == ["note", "seen"]


def test_two_logs_corrected_apart_keep_both_and_show_the_later(
    tmp_path: Path, lines: list[dict[str, Any]]
) -> None:
    apart = [
        {
            **lines[1],
            "uid": letter * 32,
            "recorded_at": f"2030-01-0{day}T00:00:00.000Z",
            "name": letter,
        }
        for letter, day in (("a", 2), ("b", 1))
    ]
    with writing(tmp_path / "second.sqlite") as store:
        import_from(store, written(tmp_path, [lines[0], *apart]))
        assert [e.name for e in store.entries()] == ["a"]
        assert [e.name for e in store.chain(1)] == ["Tide tables", "a", "b"]


Change = Callable[[dict[str, Any]], Any]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda r: {**r, "format": "firstpull.log/2"}, "of a newer version of Firstpull"),
        (lambda r: {**r, "format": "birds/1"}, "is no entry of a log"),
        (lambda r: {**r, "weather": "dry"}, "has weather, which no entry has"),
        (lambda r: {k: v for k, v in r.items() if k != "day"}, "lacks 'day'"),
        (lambda r: {**r, "uid": "7"}, "uid isn't 32 hex digits"),
        (lambda r: {**r, "kind": "thought"}, "'thought' is none of run, seen, reading, note"),
        (lambda r: {**r, "day": "2026-02-30"}, "day is out of range"),
        (lambda r: {**r, "recorded_at": "2026-11-29 20:00"}, "is no moment in UTC"),
        (lambda r: {**r, "recorded_at": "9999-12-31T23:59:59.999Z"}, "lies too far ahead"),
        (lambda r: {**r, "corrects": "f" * 32}, "corrects an entry that is neither above nor"),
        (
            lambda r: {**r, "body": {**r["body"], "run": "f" * 32}},
            "speaks of a run that is neither",
        ),
        (lambda r: {**r, "body": {"run": r["body"]["run"]}}, "lacks 'inks'"),
        (lambda r: {**r, "figures": [{**r["figures"][0], "value": "1"}]}, "1 is no number"),
        (lambda r: {**r, "figures": [{**r["figures"][0], "low": 1.0}]}, "has one bound only"),
        (lambda r: [r], "is no entry of a log"),
    ],
)
def test_one_bad_line_refuses_the_whole(
    tmp_path: Path, lines: list[dict[str, Any]], change: Change, said: str
) -> None:
    given = [*lines[:2], change(lines[2]), *lines[3:]]
    with writing(tmp_path / "second.sqlite") as store:
        with pytest.raises(InputError) as caught:
            import_from(store, written(tmp_path, given))
        assert store.entries() == ()
    (line,) = caught.value.lines()
    assert f"{tmp_path}/given.jsonl, line 3: " in line
    assert said in line
    assert "nothing of the file was entered" in line


@pytest.mark.parametrize(
    ("line", "changed", "said"),
    [
        (4, {"body": {"of": "shirts weighed"}}, "lacks 'shirts'"),
        (4, {"body": {**SHIRTS, "gain_g": 0.0}}, "gain_g = 0 can't be"),
        (4, {"body": {**SHIRTS, "gain_g": True}}, "gain_g is no number"),
        (4, {"body": {**SHIRTS, "mesh": ["43-80"]}}, "mesh is of another kind"),
        (4, {"body": {**SHIRTS, "rows": 5}}, "has rows, which a reading of shirts weighed can't"),
        (4, {"body": {"of": "moonlight"}}, "is a reading of 'moonlight', which this version"),
        (4, {"body": {**STRIPS, "steps": [{"size": 0.4, "tried": 2, "held": 3}]}}, "3 of 2"),
        (4, {"body": {**STRIPS, "typed": {"row": "\ud800"}}}, "a sign that is no text"),
        (4, {"body": {"of": "register test", "laid_again": False, "rows": []}}, "two prints"),
        (3, {"body": {"run": "f" * 32, "text": 7}}, "text is no text"),
        (3, {"day": "9999-01-01"}, "9999-01-01 lies ahead"),
        (3, {"name": "\x1b[31mred"}, "its name isn't plain text on one line"),
        (3, {"name": "one\ntwo"}, "its name isn't plain text on one line"),
    ],
)
def test_what_no_job_could_read_is_refused(
    tmp_path: Path, lines: list[dict[str, Any]], line: int, changed: dict[str, Any], said: str
) -> None:
    given = [{**one, **(changed if at == line else {})} for at, one in enumerate(lines)]
    with writing(tmp_path / "second.sqlite") as store:
        with pytest.raises(InputError) as caught:
            import_from(store, written(tmp_path, given))
        assert store.entries() == ()
    (told,) = caught.value.lines()
    assert f"given.jsonl, line {line + 1}: " in told
    assert said in told


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"order": 5}, "order is no text"),
        ({"order": "[[print"}, "its order can't be read"),
        ({"order": '[[print]]\nartwork = "/other.svg"\n'}, "none of its set-ups has"),
        ({"setups": [{"key": 1}]}, "setups.key is no text"),
    ],
)
def test_a_run_that_couldnt_be_shown_or_printed_again_is_refused(
    tmp_path: Path, lines: list[dict[str, Any]], changed: dict[str, Any], said: str
) -> None:
    given = {**lines[0], "body": {**lines[0]["body"], **changed}}
    with writing(tmp_path / "second.sqlite") as store:
        with pytest.raises(InputError, match=said):
            import_from(store, written(tmp_path, [given]))
        assert store.entries() == ()


def test_readings_that_follow_to_what_no_setting_takes_are_refused(
    tmp_path: Path, lines: list[dict[str, Any]]
) -> None:
    """Ten times what a full transfer leaves would be a transfer above 1."""
    given = {**lines[4], "body": {**SHIRTS, "gain_g": 120.0}}
    with writing(tmp_path / "second.sqlite") as store:
        with pytest.raises(InputError, match=r"what follows from it for ink\.transfer"):
            import_from(store, written(tmp_path, [given]))
        assert store.entries() == ()


def test_a_figure_lies_between_its_bounds(tmp_path: Path, lines: list[dict[str, Any]]) -> None:
    figure = {**lines[0]["figures"][0], "low": 2.0, "value": 1.5, "high": 2.5}
    with (
        writing(tmp_path / "second.sqlite") as store,
        pytest.raises(InputError, match="lies outside its bounds"),
    ):
        import_from(store, written(tmp_path, [{**lines[0], "figures": [figure]}]))


def test_a_line_cut_off_refuses_the_whole(tmp_path: Path, lines: list[dict[str, Any]]) -> None:
    file = written(tmp_path, lines)
    file.write_bytes(file.read_bytes()[:-20])
    with writing(tmp_path / "second.sqlite") as store:
        with pytest.raises(InputError, match="line 6: is no JSON; nothing"):
            import_from(store, file)
        assert store.entries() == ()


def test_a_line_changed_by_hand_isnt_skipped_in_silence(
    tmp_path: Path, lines: list[dict[str, Any]]
) -> None:
    changed = [{**lines[0], "name": "Other"}, *lines[1:]]
    with writing(tmp_path / "second.sqlite") as store:
        import_from(store, written(tmp_path, lines))
        with pytest.raises(InputError, match="line 1: the log holds another entry of this uid"):
            import_from(store, written(tmp_path, changed))


def test_a_file_made_while_exporting_is_not_written_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "out.jsonl"

    def lines_while_another_writes(store: Store) -> list[str]:
        file.write_text("another's")
        return ["{}\n"]

    monkeypatch.setattr("prep_log.exchange.lines_of", lines_while_another_writes)
    with reading(tmp_path / "none.sqlite") as store:
        with pytest.raises(OutputError, match="is there already"):
            export(store, file)
        assert file.read_text() == "another's"
        assert [path.name for path in tmp_path.iterdir()] == [file.name]
        # a file system without links

        def without_links(*_: object) -> None:
            raise PermissionError

        monkeypatch.setattr("os.link", without_links)
        with pytest.raises(OutputError, match="is there already"):
            export(store, file)
        assert file.read_text() == "another's"
        monkeypatch.setattr("prep_log.exchange.lines_of", lambda store: ["{}\n"])
        assert export(store, tmp_path / "new.jsonl") == 1
        assert (tmp_path / "new.jsonl").read_text() == "{}\n"


def test_export_writes_over_no_file(tmp_path: Path) -> None:
    file = tmp_path / "kept.jsonl"
    file.write_text("mine")
    with reading(tmp_path / "none.sqlite") as store:
        with pytest.raises(OutputError, match="is there already"):
            export(store, file)
        with pytest.raises(OutputError, match="can't be written"):
            export(store, tmp_path / "no" / "folder.jsonl")
    assert file.read_text() == "mine"
