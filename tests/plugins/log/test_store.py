"""The log's file: what was acknowledged is there, whatever happens."""

from __future__ import annotations

import json
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from prep.errors import InputError
from prep_log import trouble
from prep_log.schema import APPLICATION, MIGRATIONS
from prep_log.store import COPIES, Figure, HeldAgainst, New, Store, copies_of, reading, writing

DAY = date(2026, 11, 29)
ADDED = ("ALTER TABLE entry ADD COLUMN added TEXT",)
"""A form that comes after the newest there is."""


def new(name: str = "swifts", **body: object) -> New:
    return New("reading", DAY, name, {"of": "weeding", **body}, (Figure("least", "mm", 0.4),))


def names(file: Path) -> list[str]:
    with reading(file) as store:
        return [entry.name for entry in store.entries()]


def count_lines(program: subprocess.Popen[str]) -> list[str]:
    assert program.stdout is not None
    with program.stdout as out:
        return out.read().splitlines()


WRITER = """
import sys
from datetime import date
from pathlib import Path
from prep_log.store import Figure, New, writing

who, most = sys.argv[2], int(sys.argv[3])
for number in range(most):
    with writing(Path(sys.argv[1])) as store:
        figure = Figure("least", "mm", float(number))
        store.add(New("reading", date(2026, 11, 29), f"{who} {number}", {"filler": "x" * 5000}, (figure,)))
    print(f"{who} {number}", flush=True)
"""


def writer(file: Path, who: str, most: int) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, str(file), who, str(most)],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )


def test_killed_at_any_moment_no_acknowledged_entry_is_lost(tmp_path: Path) -> None:
    """25 times killed while it writes: what it said it had written is there, whole, with its figure."""
    file, moments = tmp_path / "log.sqlite", random.Random(7)
    acknowledged: list[str] = []
    for turn in range(25):
        program = writer(file, f"turn {turn}", 100_000)
        assert program.stdout is not None
        acknowledged.append(program.stdout.readline().rstrip("\n"))  # it is at work now
        time.sleep(moments.uniform(0.0, 0.12))
        program.send_signal(signal.SIGKILL)
        acknowledged += count_lines(program)
        assert program.wait() == -signal.SIGKILL
    with reading(file) as store:
        kept, figures = store.entries(), store.figures()
        assert store.integrity() == "ok"
    lost = set(acknowledged) - {entry.name for entry in kept}
    print(f"acknowledged {len(acknowledged)}, found {len(kept)}, lost {len(lost)}")
    assert len(acknowledged) > 25
    assert not lost
    # beyond what was acknowledged there is at most the one entry of each turn that was being written
    assert len(kept) <= len(acknowledged) + 25
    assert all(len(figures[entry.id]) == 1 for entry in kept)


def test_two_programs_at_once_from_no_file(tmp_path: Path) -> None:
    file = tmp_path / "made" / "log.sqlite"
    both = [writer(file, who, 50) for who in ("one", "other")]
    ended = [(len(count_lines(program)), program.wait()) for program in both]
    assert ended == [(50, 0), (50, 0)]
    assert sorted(names(file)) == sorted(f"{w} {n}" for w in ("one", "other") for n in range(50))


def test_looking_makes_no_file(tmp_path: Path) -> None:
    file = tmp_path / "none" / "log.sqlite"
    assert names(file) == []
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_another_program_is_about_to_make_is_empty(tmp_path: Path) -> None:
    (tmp_path / "log.sqlite").touch()
    assert names(tmp_path / "log.sqlite") == []
    assert (tmp_path / "log.sqlite").stat().st_size == 0


def test_entries_and_figures_can_neither_be_changed_nor_deleted(tmp_path: Path) -> None:
    file = tmp_path / "log.sqlite"
    with writing(file) as store:
        store.add(new())
    for table in ("entry", "figure"):
        for statement in (f"DELETE FROM {table}", f"UPDATE {table} SET rowid = 7"):
            with closing(sqlite3.connect(file)) as db, pytest.raises(sqlite3.IntegrityError):
                db.execute(statement)
    assert names(file) == ["swifts"]


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("kind", "'thought'"),
        ("recorded_at", "'2026-11-29 20:00'"),
        ("day", "'2026-02-30'"),
        ("name", "''"),
        ("body", "'no JSON'"),
        ("body", "'[]'"),
        ("corrects", "77"),
        ("uid", "'ABC'"),
    ],
)
def test_the_tables_refuse_what_no_entry_holds(tmp_path: Path, column: str, value: str) -> None:
    given = {
        "uid": f"'{'a' * 32}'",
        "kind": "'reading'",
        "recorded_at": "'2026-11-29T20:00:00.000Z'",
        "day": "'2026-11-29'",
        "name": "'swifts'",
        "body": "'{}'",
    }
    file = tmp_path / "log.sqlite"
    with writing(file):
        pass
    with closing(sqlite3.connect(file)) as db:
        db.execute("PRAGMA foreign_keys = ON")
        good = f"INSERT INTO entry ({', '.join(given)}) VALUES ({', '.join(given.values())})"
        bad = given | {column: value}
        with pytest.raises(sqlite3.IntegrityError), db:
            db.execute(f"INSERT INTO entry ({', '.join(bad)}) VALUES ({', '.join(bad.values())})")
        with db:
            db.execute(good)


def test_it_is_written_through_to_the_disk(tmp_path: Path) -> None:
    with writing(tmp_path / "log.sqlite") as store:
        read = [
            store._db.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
        ]
    assert read == ["delete", 3, 1, 10_000]


def a_run(name: str, *cuts: str) -> New:
    screens = [{"cut": cut} for cut in cuts]
    return New("run", DAY, name, {"setups": [{"screens": screens}, {"screens": screens[:1]}]})


def test_runs_are_found_by_their_films(tmp_path: Path) -> None:
    """As corrected: a run that was put right no longer counts for the film it was first told of."""
    with writing(tmp_path / "log.sqlite") as store:
        store.add(a_run("one", "abc"))
        store.add(a_run("two", "def", "abc"))
        wrong = store.add(a_run("three", "abc"))
        store.add(a_run("put right", "def"), corrects=wrong)
        store.add(new(setups=[{"screens": [{"cut": "abc"}]}]))
        assert [e.name for e in store.with_film("abc")] == ["two", "one"]
        assert [e.name for e in store.with_film("abc", "def")] == ["put right", "two", "one"]
        assert store.with_film("ghi") == store.with_film() == ()


def measured_run(store: Store, low: float, corrects: int | None = None) -> int:
    figure = Figure("used", "g", 2.0, low, 3.0, ink="red")
    bare = Figure("used", "g", 9.0, ink="white")
    return store.add(
        New("run", DAY, f"from {low}", {}, (figure, bare, replace(figure, ink="blue"))),
        corrects=corrects,
    )


def test_figures_are_held_against_what_was_measured(tmp_path: Path) -> None:
    """As corrected, weighed in one entry or two; of what stands twice, as after an import, the oldest."""
    with writing(tmp_path / "log.sqlite") as store:
        first = measured_run(store, 0.5)
        measured_run(store, 1.0, corrects=first)
        uid = store.chain(first)[0].uid

        def seen(day: int, *figures: Figure, corrects: int | None = None) -> int:
            body = {"run": uid}
            return store.add(
                New("seen", date(2026, 12, day), "x", body, figures), corrects=corrects
            )

        mixed, left = (Figure(q, "g", v, ink="red") for q, v in (("mixed", 9.0), ("left", 4.0)))
        seen(5, mixed, replace(mixed, ink="white"), replace(mixed, ink="blue"))
        wrong = seen(6, replace(left, value=8.0), replace(left, ink="white", value=1.0))
        seen(6, left, replace(left, ink="white", value=1.0), corrects=wrong)
        seen(7, replace(mixed, value=100.0))
        store.add(New("note", DAY, "x", {"run": uid}, (replace(left, ink="blue"),)))
        measured_run(store, 1.5)  # of which nothing was seen
        held = list(store.held_against("used", "mixed", "left"))
    assert held == [HeldAgainst("from 1.0", DAY.isoformat(), "red", (1.0, 2.0, 3.0), 5.0)]


# --- corrections


def test_a_correction_stands_in_the_place_of_what_it_corrects(tmp_path: Path) -> None:
    with writing(tmp_path / "log.sqlite") as store:
        first = store.add(new("first"))
        beside = store.add(new("beside"))
        assert store.add(new("second"), corrects=first) == first
        assert store.add(new("third"), corrects=first) == first
        assert [e.name for e in store.entries()] == ["beside", "third"]
        assert [e.name for e in store.readings()] == ["beside", "third"]
        every = [e.name for e in store.headings(all_of_them=True)]
        assert every == ["beside", "third", "second", "first"]
        assert [e.name for e in store.chain(first)] == ["first", "second", "third"]
        # by the number of any of them
        assert {store.entry(n).name for n in (1, 3, 4)} == {"third"}
        assert {store.entry(n).number for n in (1, 3, 4)} == {first}
        chain = store.chain(4)
        assert [e.corrects for e in chain] == [None, chain[0].uid, chain[1].uid]
        assert store.entry(beside).times == 1


def test_a_correction_is_in_force_though_the_clock_was_set_back(tmp_path: Path) -> None:
    ahead = "2999-12-31T23:59:59.999Z"
    with writing(tmp_path / "log.sqlite") as store:
        number = store.add(replace(new("before"), recorded_at=ahead))
        assert store.add(new("after"), corrects=number) == number
        assert store.entry(number).name == "after"
        assert store.entry(number).recorded_at == "3000-01-01T00:00:00.000Z"
        assert [entry.name for entry in store.entries()] == ["after"]


def test_bytes_that_are_no_text_are_refused(tmp_path: Path) -> None:
    """As a command line gives a byte that isn't UTF-8."""
    with writing(tmp_path / "log.sqlite") as store:
        for entry in (new("sw\udcfft"), new(note="\udc80")):
            with refused("no UTF-8 text"):
                store.add(entry)
        assert store.count() == 0


def test_an_entry_is_corrected_by_one_of_its_kind(tmp_path: Path) -> None:
    with writing(tmp_path / "log.sqlite") as store:
        first = store.add(new())
        note = New("note", DAY, "swifts", {"run": "a" * 32, "text": "dry air"})
        with pytest.raises(InputError, match="entry 1 is a reading, and is corrected by another"):
            store.add(note, corrects=first)
        with pytest.raises(InputError, match="the log has no entry 9; see prep log list"):
            store.add(new(), corrects=9)
        assert len(store.entries()) == 1


# --- forms of the file


def old_file(file: Path) -> None:
    """Make a file of the first form by hand, with an entry and a figure."""
    with closing(sqlite3.connect(file)) as db:
        for statement in MIGRATIONS[0]:
            db.execute(statement)
        db.execute("PRAGMA user_version = 1")
        with db:
            db.execute(
                "INSERT INTO entry (uid, kind, recorded_at, day, name, body) VALUES (?, ?, ?, ?, ?, ?)",
                ("b" * 32, "reading", "2026-01-02T03:04:05.678Z", "2026-01-02", "old", "{}"),
            )
            db.execute("INSERT INTO figure (entry, quantity, unit, value) VALUES (1, 'x', 'g', 2)")


def version(file: Path) -> int:
    with closing(sqlite3.connect(file)) as db:
        return int(db.execute("PRAGMA user_version").fetchone()[0])


def test_an_older_form_is_copied_and_then_brought_to_the_newest(tmp_path: Path) -> None:
    file = tmp_path / "log.sqlite"
    old_file(file)
    with writing(file, migrations=(*MIGRATIONS, ADDED)) as store:
        assert [e.name for e in store.entries()] == ["old"]
        assert store.figures() == {1: [Figure("x", "g", 2.0)]}
    (copy,) = copies_of(file)
    assert (version(copy), version(file)) == (1, len(MIGRATIONS) + 1)
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted([copy.name, file.name])
    assert names(copy) == ["old"]


def test_an_older_form_that_cant_be_written_is_read_all_the_same(tmp_path: Path) -> None:
    """The copy that is made first can't be, as on a disk that is only read."""
    file = tmp_path / "log.sqlite"
    old_file(file)
    (tmp_path / "log.copy-unfinished.sqlite").mkdir()
    before = file.read_bytes()
    assert names(file) == ["old"]
    assert file.read_bytes() == before
    with refused("can't be written"), writing(file):
        pass


def test_films_of_runs_of_the_first_form_are_found(tmp_path: Path) -> None:
    file = tmp_path / "log.sqlite"
    old_file(file)
    run = a_run("of old", "abc", "abc")
    with closing(sqlite3.connect(file)) as db, db:
        db.execute(
            "INSERT INTO entry (uid, kind, recorded_at, day, name, body) VALUES (?, ?, ?, ?, ?, ?)",
            (
                "c" * 32,
                "run",
                "2026-01-02T03:04:05.678Z",
                "2026-01-02",
                "of old",
                json.dumps(run.body),
            ),
        )
    with writing(file) as store:
        store.add(a_run("new", "abc"))
        assert [e.name for e in store.with_film("abc")] == ["new", "of old"]
        assert store.integrity() == "ok"
        for change in ("UPDATE film SET cut = 'x'", "DELETE FROM film"):
            with pytest.raises(sqlite3.IntegrityError, match="an entry is never"):
                store._db.execute(change)


def test_a_few_copies_are_kept(tmp_path: Path) -> None:
    file = tmp_path / "log.sqlite"
    with writing(file):
        pass
    made: list[Path] = []
    for count in range(1, COPIES + 3):
        with writing(file, migrations=(*MIGRATIONS, *(("SELECT 1",),) * count)):
            made = [*made, *(set(copies_of(file)) - set(made))]
    assert len(made) == COPIES + 2
    assert list(copies_of(file)) == made[-COPIES:]


def test_a_step_that_fails_leaves_the_form_before(tmp_path: Path) -> None:
    file = tmp_path / "log.sqlite"
    old_file(file)
    steps = (*MIGRATIONS, ("CREATE TABLE more (x) STRICT",))
    with (
        pytest.raises(sqlite3.OperationalError),
        writing(file, migrations=(*steps[:-1], (*ADDED, *steps[-1]))),
    ):
        pass
    assert version(file) == len(MIGRATIONS)
    assert names(file) == ["old"]


def test_a_newer_form_is_refused_and_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "log.sqlite"
    with writing(file, migrations=(*MIGRATIONS, ADDED)) as store:
        store.add(new())
    before = file.read_bytes()
    for opened in (reading, writing):
        with pytest.raises(InputError, match="newer version of Firstpull") as caught, opened(file):
            pass
        assert len(caught.value.lines()) == 1
        assert caught.value.exit_status == 2
    assert file.read_bytes() == before


# --- what can go wrong with the file


@contextmanager
def refused(said: str) -> Iterator[None]:
    with pytest.raises(InputError) as caught:
        yield
    (line,) = caught.value.lines()
    assert said in line
    assert caught.value.do


def test_something_else_is_refused_and_left_alone(tmp_path: Path) -> None:
    text, database = tmp_path / "notes.txt", tmp_path / "other.sqlite"
    text.write_text("not a database, and long enough to be looked at as one " * 20)
    with closing(sqlite3.connect(database)) as db:
        db.execute("CREATE TABLE birds (name TEXT)")
    for file, said in ((text, "is no log"), (database, "is a database, but no log")):
        before = file.read_bytes()
        for opened in (reading, writing):
            with refused(said), opened(file):
                pass
        assert file.read_bytes() == before


def test_a_damaged_file_is_told(tmp_path: Path) -> None:
    file = tmp_path / "log.sqlite"
    with writing(file) as store:
        for _ in range(20):
            store.add(new("swifts", filler="x" * 3000))
    data = bytearray(file.read_bytes())
    data[4096:] = os.urandom(len(data) - 4096)
    file.write_bytes(data)
    with refused("is damaged"), reading(file) as store:
        store.entries()


def test_a_full_disk_loses_nothing(tmp_path: Path) -> None:
    """The file may grow by no page more; the entry before is there, and room makes it work again."""
    file = tmp_path / "log.sqlite"
    with writing(file) as store:
        store.add(new("before"))
        pages = store._db.execute("PRAGMA page_count").fetchone()[0]
        store._db.execute(f"PRAGMA max_page_count = {pages}")
        with refused("the disk is full, nothing of this was written; make room"):
            store.add(new("too much", filler="x" * 100_000))
        assert [e.name for e in store.entries()] == ["before"]
        store._db.execute("PRAGMA max_page_count = 1000000")
        store.add(new("after", filler="x" * 100_000))
    assert names(file) == ["after", "before"]


def test_a_disk_that_really_is_full(tmp_path: Path) -> None:
    """On a file system of 256 kB, where this machine lets one be made."""
    small = tmp_path / "small"
    small.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=256k", "none", str(small)], capture_output=True
    )
    if mounted.returncode:
        pytest.skip("no file system can be mounted here")
    try:
        added = 0
        with refused("the disk is full"), writing(small / "log.sqlite") as store:
            for _ in range(100):
                store.add(new(filler="x" * 10_000))
                added += 1
        assert added > 3
        with reading(small / "log.sqlite") as store:
            assert len(store.entries()) == added
            assert store.integrity() == "ok"
    finally:
        subprocess.run(["umount", str(small)], check=True)


def test_another_program_that_holds_it_too_long(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "log.sqlite"
    with writing(file):
        pass
    monkeypatch.setattr("prep_log.store.WAIT_S", 0.05)
    with closing(sqlite3.connect(file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with refused("another program has held it for 10 s"), writing(file) as store:
            store.add(new())
    assert trouble.WAIT_S == 10.0
    assert names(file) == []


def test_a_folder_that_cant_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with refused("can't be written"), writing(tmp_path / "file" / "log.sqlite"):
        pass


def test_a_file_that_may_not_be_written(tmp_path: Path) -> None:
    """By SQLite's own means, which hold for root too."""
    file = tmp_path / "log.sqlite"
    with writing(file) as store:
        store._db.execute("PRAGMA query_only = ON")
        with refused("can't be written, nothing of this was"):
            store.add(new())
    assert names(file) == []


def test_what_the_file_is_marked_by(tmp_path: Path) -> None:
    """The mark stands at byte 68 of a SQLite file, the version at 60 (its file format, section 1.3)."""
    file = tmp_path / "log.sqlite"
    with writing(file):
        pass
    head = file.read_bytes()[:100]
    assert int.from_bytes(head[68:72], "big") == APPLICATION
    assert int.from_bytes(head[60:64], "big") == len(MIGRATIONS)


def test_a_log_in_memory_is_what_a_missing_one_reads_as(tmp_path: Path) -> None:
    with reading(tmp_path / "none") as store:
        assert isinstance(store, Store)
        with refused("the log has no entry 1"):
            store.entry(1)
