"""The log's file: entries are added, read and never changed.

One SQLite file with a rollback journal, written through to the disk at each commit (``synchronous=EXTRA``):
an entry that was acknowledged is there whatever ends the program. A few writes a day cost nothing then.
Knows nothing of what is inside an entry but its date, its name and the run it speaks of.
"""

from __future__ import annotations

import json
import os
import sqlite3
import uuid
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass, fields, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from prep.errors import InputError
from prep_log.schema import APPLICATION, MIGRATIONS
from prep_log.trouble import ELSEWHERE, WAIT_S, cant_be_written, told

COPIES = 3
"""Copies from before changes of the file's form that are kept beside it."""
_LEAST_SQLITE = (3, 37, 0)  # strict tables


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure that was predicted or measured.

    :param quantity: what it is of, in words: ``ink per print``
    :param unit: plain text, empty for a bare number
    :param low: it lies above this nine times in ten; ``None`` for what was measured
    :param high: it lies below this nine times in ten
    :param setup: key of the set-up; empty = of the whole order
    :param screen: key of the screen; empty = of all
    :param ink: name; empty = of all
    """

    quantity: str
    unit: str
    value: float
    low: float | None = None
    high: float | None = None
    setup: str = ""
    screen: str = ""
    ink: str = ""


@dataclass(frozen=True, slots=True)
class New:
    """An entry to be added.

    :param kind: one of :data:`prep_log.schema.KINDS`
    :param day: it speaks of
    :param body: plain values, as JSON has them
    :param uid: 32 hex digits, distinct among all logs there are; ``None`` = a new one
    :param recorded_at: UTC, as :func:`utc_text` writes it; ``None`` = now
    """

    kind: str
    day: date
    name: str
    body: Mapping[str, Any]
    figures: tuple[Figure, ...] = ()
    uid: str | None = None
    recorded_at: str | None = None


@dataclass(frozen=True, slots=True)
class Heading:
    """An entry without what is in it.

    :param number: of the first entry of its chain, by which people know it
    :param id: its own; the larger was added later
    :param corrects: uid of the entry that it corrects; ``None`` = it is the first of its chain
    :param run: uid of the first entry of the run that it speaks of; ``None`` = of no run, or it is one
    :param times: how many entries its chain has
    """

    number: int
    times: int
    id: int
    uid: str
    kind: str
    recorded_at: str
    day: date
    name: str
    corrects: str | None
    run: str | None


@dataclass(frozen=True, slots=True)
class Entry(Heading):
    """An entry as it stands in the log.

    :param body: plain values, as JSON has them
    """

    body: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class HeldAgainst:
    """A figure of a run and what was measured of it.

    :param run: its name
    :param day: of the run, as text
    :param predicted: low, value, high
    :param measured: in the same unit
    """

    run: str
    day: str
    ink: str
    predicted: tuple[float, float, float]
    measured: float


def utc_text(moment: datetime) -> str:
    """Write a moment as the log does.

    >>> utc_text(datetime(2026, 11, 29, 20, 37, 7, 123456, tzinfo=UTC))
    '2026-11-29T20:37:07.123Z'
    """
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


@contextmanager
def reading(file: Path, *, migrations: Sequence[Sequence[str]] = MIGRATIONS) -> Iterator[Store]:
    """Open a log to look at. Where there is none, nothing is made, and it is empty.

    One of an older form is brought to the newest; in memory, where the file can't be written.

    :raises InputError: it can't be read, or was written by a newer version
    """
    with told(file):
        there = file.exists()
        connection = _connect(file if there else None, create=False)
    with closing(connection):
        if there:
            with told(file):
                there = not _form_of(connection).blank
        if not there:
            connection.close()
            with closing(_connect(None)) as empty:
                _migrate(empty, None, migrations)
                yield Store(empty, None)
            return
        try:
            _migrate(connection, file, migrations)
        except InputError as error:
            if not cant_be_written(error.__cause__):
                raise
            with closing(_connect(None)) as copy:
                with told(file):
                    connection.backup(copy)
                _migrate(copy, None, migrations)
                yield Store(copy, file)
            return
        yield Store(connection, file)


@contextmanager
def writing(file: Path, *, migrations: Sequence[Sequence[str]] = MIGRATIONS) -> Iterator[Store]:
    """Open a log to add to; it is made where there is none.

    :raises InputError: it can't be written, or was written by a newer version
    """
    with told(file):
        file.parent.mkdir(parents=True, exist_ok=True)
        connection = _connect(file)
    with closing(connection):
        _migrate(connection, file, migrations)
        yield Store(connection, file)


class Store:
    """A log that is open. Made by :func:`reading` and :func:`writing`."""

    def __init__(self, connection: sqlite3.Connection, file: Path | None) -> None:
        """Take a connection whose tables are of the newest form.

        :param file: for messages; ``None`` = in memory
        """
        self._db, self._file = connection, file

    def add(self, new: New, *, corrects: int | None = None) -> int:
        """Add an entry, and give its number once it is on the disk.

        :param corrects: number of the entry, or of one of its chain, in whose place this one stands from
            now on
        :raises InputError: nothing was written: the disk is full, another program holds the log; no
            such entry, or one of another kind
        """
        with self.alone():
            latest = None if corrects is None else self.entry(corrects)
            if latest is not None and latest.kind != new.kind:
                raise InputError(
                    f"entry {corrects} is a {latest.kind}, and is corrected by another {latest.kind} only",
                    do="see prep log list for its number",
                )
            recorded_at = new.recorded_at or utc_text(datetime.now(UTC))
            if latest is not None and recorded_at <= latest.recorded_at:
                # under a clock that was set back it would never be in force
                before = datetime.fromisoformat(latest.recorded_at)
                recorded_at = utc_text(before + timedelta(milliseconds=1))
            added = self._insert(
                replace(new, recorded_at=recorded_at), None if latest is None else latest.id
            )
        return added if latest is None else latest.number

    def add_all(self, entries: Iterable[tuple[New, str | None]]) -> int:
        """Add entries of another log, all or none of them; give how many.

        :param entries: each with the uid of the entry that it corrects, which comes before it or is in the
            log already
        :raises InputError: nothing was written
        :raises KeyError: a corrected entry isn't there
        """
        count = 0
        with self.alone():
            for new, corrects in entries:
                target = None
                if corrects is not None:
                    row = self._db.execute("SELECT id FROM entry WHERE uid = ?", (corrects,))
                    found = row.fetchone()
                    if found is None:
                        raise KeyError(corrects)
                    target = int(found[0])
                self._insert(new, target)
                count += 1
        return count

    def entry(self, number: int) -> Entry:
        """Give the latest of the chain that an entry is of.

        :param number: of the chain, or of any entry in it
        :raises InputError: there is none
        """
        # another log's may have come later, and be older
        return max(self.chain(number), key=lambda entry: (entry.recorded_at, entry.id))

    def chain(self, number: int) -> tuple[Entry, ...]:
        """Give the whole chain that an entry is of, first entry first.

        :raises InputError: there is none
        """
        found = list(_listed(self._chain_rows(number), all_of_them=True))
        if not found:
            raise InputError(
                f"the log has no entry {number}",
                where="" if self._file is None else str(self._file),
                do="see prep log list for the numbers there are",
            )
        return self._with_bodies([one.heading() for one in found])

    def with_uid(self, uid: str) -> Entry | None:
        """Give the latest of the chain that the entry with a uid is of; ``None`` where there is none."""
        with told(self._file):
            row = self._db.execute("SELECT id FROM entry WHERE uid = ?", (uid,)).fetchone()
        return None if row is None else self.entry(int(row[0]))

    def entries(self, *kinds: str, of_run: str | None = None) -> tuple[Entry, ...]:
        """Give entries by the day they speak of, latest first; of each chain the latest.

        :param kinds: all where none is named
        :param of_run: only those that speak of the run whose first entry has this uid
        """
        return self._with_bodies(self.headings(*kinds, of_run=of_run))

    def with_film(self, *cuts: str) -> tuple[Entry, ...]:
        """Give runs by their day, latest first, that printed with a film cut like one of these.

        :param cuts: digests of what is open in them
        """
        if not cuts:
            return ()
        with told(self._file):
            rows = self._db.execute(
                f"SELECT DISTINCT entry FROM film WHERE cut IN ({', '.join('?' * len(cuts))})", cuts
            )
            ids = {row[0] for row in rows}
        found = [one for one in self._chains_of(ids) if one.row[0] in ids]
        return self._with_bodies([one.heading() for one in _latest_first(found)])

    def with_quantity(self, kind: str, quantity: str) -> tuple[Entry, ...]:
        """Give entries of a kind, as corrected, that hold a figure of a quantity, latest first."""
        with told(self._file):
            rows = self._db.execute(
                "SELECT DISTINCT entry FROM figure WHERE quantity = ?", (quantity,)
            )
            ids = {row[0] for row in rows}
        found = [
            one for one in self._chains_of(ids) if one.row[0] in ids and one.row[_KIND] == kind
        ]
        return self._with_bodies([one.heading() for one in _latest_first(found)])

    def held_against(self, predicted: str, measured: str, less: str) -> Iterator[HeldAgainst]:
        """Give each figure of a run, as corrected, with what was measured in that run of the same ink.

        Oldest run first; only what was predicted with a range and of which both quantities were measured.
        Where one was measured oftener, the oldest counts.

        :param less: quantity that is taken off what was measured
        """
        with told(self._file):
            rows = self._db.execute(_HELD_AGAINST, (predicted, measured, less)).fetchall()
        before: tuple[int, str] | None = None
        for number, name, day, ink, low, value, high, left_over in rows:
            if (number, ink) != before:
                yield HeldAgainst(name, day, ink, (low, value, high), left_over)
            before = number, ink

    def headings(
        self,
        *kinds: str,
        of_run: str | None = None,
        all_of_them: bool = False,
        most: int | None = None,
    ) -> tuple[Heading, ...]:
        """Give the same without what is in them.

        :param all_of_them: corrected ones too
        :param most: how many at most; ``None`` = all
        """
        if of_run is None:
            only = f"WHERE kind IN ({', '.join('?' * len(kinds))})" if kinds else ""
            rows = self._rows(only, kinds)
        else:
            with told(self._file):
                speak = self._db.execute("SELECT id FROM entry WHERE run = ?", (of_run,)).fetchall()
            rows = self._rows_of_chains(own[0] for own in speak)
        found = [
            one
            for one in _listed(rows, all_of_them)
            if of_run in (None, one.row[_RUN]) and (not kinds or one.row[_KIND] in kinds)
        ]
        return tuple(one.heading() for one in _latest_first(found)[:most])

    def _chains_of(self, ids: Iterable[int]) -> Iterator[_Listed]:
        """Give the latest of each chain that one of these entries is in."""
        return _listed(self._rows_of_chains(ids), all_of_them=False)

    def _rows_of_chains(self, ids: Iterable[int]) -> list[Any]:
        """Give what lists show of whole chains, by rising id."""
        chains = {row[0]: row for own in ids for row in self._chain_rows(own)}
        return [chains[own] for own in sorted(chains)]

    def count(self, *, all_of_them: bool = False) -> int:
        """Say how many chains there are, or how many entries."""
        only = "" if all_of_them else "WHERE corrects IS NULL"
        with told(self._file):
            return int(self._db.execute(f"SELECT count(*) FROM entry {only}").fetchone()[0])

    def number_of(self, uid: str) -> int | None:
        """Give the number of the chain that begins with an entry of this uid; ``None`` = there is none."""
        with told(self._file):
            row = self._db.execute(
                "SELECT id FROM entry WHERE uid = ? AND corrects IS NULL", (uid,)
            ).fetchone()
        return None if row is None else int(row[0])

    def _chain_rows(self, of: int) -> list[Any]:
        return self._rows(f"WHERE id IN ({_WHOLE_CHAIN})", (of,))

    def _rows(self, only: str = "", values: Sequence[object] = ()) -> list[Any]:
        """Give what lists show of entries, by rising id: :data:`_ROW`."""
        with told(self._file):
            return self._db.execute(
                f"SELECT {_ROW} FROM entry {only} ORDER BY id", values
            ).fetchall()

    def _with_bodies(self, headings: Sequence[Heading]) -> tuple[Entry, ...]:
        found = []
        with told(self._file):
            for heading in headings:
                row = self._db.execute("SELECT body FROM entry WHERE id = ?", (heading.id,))
                values = {f.name: getattr(heading, f.name) for f in fields(heading)}
                found.append(Entry(**values, body=json.loads(row.fetchone()[0])))
        return tuple(found)

    def everything(self) -> tuple[Entry, ...]:
        """Give all entries there are, corrected ones too, in the order they were added."""
        found = sorted(_listed(self._rows(), all_of_them=True), key=lambda one: one.row[0])
        return self._with_bodies([one.heading() for one in found])

    def readings(self) -> tuple[Entry, ...]:
        """Give what was read off test pieces, balances and clocks, as corrected; latest first."""
        return self.entries("reading")

    def what_was_read(self, headings: Iterable[Heading]) -> dict[int, str]:
        """Give what readings are of, as they name it, by the id of their entry."""
        found = {}
        with told(self._file):
            for one in headings:
                if one.kind == "reading":
                    row = self._db.execute(
                        "SELECT json_extract(body, '$.of') FROM entry WHERE id = ?", (one.id,)
                    ).fetchone()
                    found[one.id] = row[0] if isinstance(row[0], str) else ""
        return found

    def figures(self, *quantities: str, of: Heading | None = None) -> dict[int, list[Figure]]:
        """Give figures by the id of their entry, in the order they were added.

        :param quantities: all where none is named
        :param of: of this entry alone
        """
        where, values = ["1"], list[object](quantities)
        if quantities:
            where.append(f"quantity IN ({', '.join('?' * len(quantities))})")
        if of is not None:
            where.append("entry = ?")
            values.append(of.id)
        found: dict[int, list[Figure]] = {}
        with told(self._file):
            for entry, *figure in self._db.execute(
                "SELECT entry, quantity, unit, value, low, high, setup, screen, ink FROM figure"
                f" WHERE {' AND '.join(where)} ORDER BY rowid",
                values,
            ):
                found.setdefault(entry, []).append(Figure(*figure))
        return found

    def integrity(self) -> str:
        """Give ``ok``, or what SQLite finds wrong with the file."""
        with told(self._file):
            rows = self._db.execute("PRAGMA integrity_check").fetchall()
        return "; ".join(str(row[0]) for row in rows)

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Look and write alone, all or nothing: no other program adds anything between.

        Inside itself it is part of the outer one.

        :raises InputError: another program holds the log, or it can't be written
        """
        if self._db.in_transaction:
            yield
            return
        with told(self._file), _transaction(self._db):
            yield

    def _insert(self, new: New, corrects: int | None) -> int:
        try:
            return self._inserted(new, corrects)
        except UnicodeEncodeError as error:
            raise InputError(
                "what is to be entered holds bytes that are no UTF-8 text",
                do="write it anew, and give files names without them; nothing of it was entered",
            ) from error

    def _inserted(self, new: New, corrects: int | None) -> int:
        cursor = self._db.execute(
            "INSERT INTO entry (uid, kind, recorded_at, day, name, corrects, run, body)"
            " VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            (
                new.uid or uuid.uuid4().hex,
                new.kind,
                new.recorded_at or utc_text(datetime.now(UTC)),
                new.day.isoformat(),
                new.name,
                corrects,
                new.body.get("run") if new.kind in ("seen", "note") else None,
                json.dumps(new.body, ensure_ascii=False, allow_nan=False),
            ),
        )
        made = cursor.lastrowid
        assert made is not None
        self._db.executemany(
            "INSERT INTO figure (entry, quantity, unit, value, low, high, setup, screen, ink)"
            " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (
                (made, f.quantity, f.unit, f.value, f.low, f.high, f.setup, f.screen, f.ink)
                for f in new.figures
            ),
        )
        return made


_RANKED = """
    WITH RECURSIVE chain (id, first) AS (
        SELECT id, id FROM entry
        WHERE corrects IS NULL AND id IN (SELECT corrects FROM entry WHERE corrects IS NOT NULL)
        UNION ALL
        SELECT entry.id, chain.first FROM chain JOIN entry ON entry.corrects = chain.id
    ),
    ranked (id, first, place) AS MATERIALIZED (
        SELECT entry.id, first,
            row_number() OVER (PARTITION BY first ORDER BY recorded_at DESC, entry.id DESC)
        FROM chain CROSS JOIN entry ON entry.id = chain.id
    )
"""
"""Entries of chains of several, the latest of each in the first place."""
_HELD_AGAINST = f"""
    {_RANKED},
    moved (first, id) AS MATERIALIZED (SELECT first, id FROM ranked WHERE place = 1),
    superseded (id) AS MATERIALIZED (SELECT id FROM ranked WHERE place > 1)
    SELECT begun.id, latest.name, latest.day, figure.ink, figure.low, figure.value, figure.high,
        one.value - other.value
    FROM (SELECT DISTINCT run FROM entry INDEXED BY entry_by_run WHERE run IS NOT NULL) AS spoken
    CROSS JOIN entry AS found ON found.uid = spoken.run
    CROSS JOIN entry AS begun INDEXED BY heading ON begun.id = found.id AND begun.corrects IS NULL
    LEFT JOIN moved ON moved.first = begun.id
    CROSS JOIN entry AS latest INDEXED BY heading ON latest.id = coalesce(moved.id, begun.id)
    CROSS JOIN entry AS seen INDEXED BY entry_by_run ON seen.run = spoken.run
        AND seen.kind = 'seen' AND seen.id NOT IN (SELECT id FROM superseded)
    CROSS JOIN entry AS again INDEXED BY entry_by_run ON again.run = spoken.run
        AND again.kind = 'seen' AND again.id NOT IN (SELECT id FROM superseded)
    CROSS JOIN figure INDEXED BY figure_by_quantity ON figure.entry = latest.id AND figure.quantity = ?1
    CROSS JOIN figure AS one INDEXED BY figure_by_quantity
        ON one.quantity = ?2 AND one.entry = seen.id AND one.ink = figure.ink
    CROSS JOIN figure AS other INDEXED BY figure_by_quantity
        ON other.quantity = ?3 AND other.entry = again.id AND other.ink = figure.ink
    WHERE figure.low IS NOT NULL
    ORDER BY latest.day, begun.id, figure.rowid, seen.day, seen.id, again.day, again.id
"""
"""Figures of runs, as corrected, with what was measured, as corrected; duplicates follow each other."""

_WHOLE_CHAIN = """
    WITH RECURSIVE up (id, corrects) AS (
        SELECT id, corrects FROM entry WHERE id = ?
        UNION ALL
        SELECT entry.id, entry.corrects FROM up JOIN entry ON entry.id = up.corrects
    ),
    down (id) AS (
        SELECT id FROM up WHERE corrects IS NULL
        UNION ALL
        SELECT entry.id FROM down JOIN entry ON entry.corrects = down.id
    )
    SELECT id FROM down
"""


_ROW = "id, corrects, kind, day, recorded_at, uid, name, run"
_KIND, _DAY, _RECORDED, _UID, _RUN = 2, 3, 4, 5, 7


@dataclass(frozen=True, slots=True)
class _Listed:
    """A row with its place in its chain."""

    row: Any
    number: int
    times: int = 1
    corrects: str | None = None

    def heading(self) -> Heading:
        own, _, kind, day, recorded_at, uid, name, run = self.row
        on = date.fromisoformat(day)
        return Heading(
            self.number, self.times, own, uid, kind, recorded_at, on, name, self.corrects, run
        )


def _latest_first(found: Iterable[_Listed]) -> list[_Listed]:
    """Order by the day they speak of."""
    return sorted(found, key=lambda one: (one.row[_DAY], one.number, one.row[0]), reverse=True)


def _listed(rows: Sequence[Any], all_of_them: bool) -> Iterator[_Listed]:
    """Put entries together to chains and give the latest of each, or all by rising id in each.

    :param rows: whole chains by rising id, so that an entry comes after the one it corrects
    """
    corrected = {row[1] for row in rows if row[1] is not None}
    number_of: dict[int, int] = {}
    uids: dict[int, str] = {}
    chains: dict[int, list[Any]] = {}
    for row in rows:
        own, corrects = row[:2]
        if corrects is None and own not in corrected:  # as most are
            yield _Listed(row, own)
            continue
        number = own if corrects is None else number_of[corrects]
        number_of[own], uids[own] = number, row[_UID]
        chains.setdefault(number, []).append(row)
    for number, chain in chains.items():
        # another log's may have come later, and be older
        latest = max(chain, key=lambda row: (row[_RECORDED], row[0]))
        for row in chain if all_of_them else (latest,):
            target = None if row[1] is None else uids[row[1]]
            yield _Listed(row, number, len(chain), target)


def _connect(file: Path | None, *, create: bool = True) -> sqlite3.Connection:
    """Open a file, or a log in memory.

    :raises InputError: this SQLite is too old
    """
    if sqlite3.sqlite_version_info < _LEAST_SQLITE:
        raise InputError(
            f"the SQLite of this Python is {sqlite3.sqlite_version}, and the log needs 3.37 or later",
            do="install a newer Python",
        )
    if file is None:
        connection = sqlite3.connect(":memory:", isolation_level=None)
    else:
        address = f"{Path(os.path.abspath(file)).as_uri()}?mode={'rwc' if create else 'rw'}"
        connection = sqlite3.connect(address, uri=True, timeout=WAIT_S, isolation_level=None)
    try:
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA journal_mode = DELETE")
        connection.execute("PRAGMA synchronous = EXTRA")
    except BaseException:
        connection.close()
        raise
    return connection


@dataclass(frozen=True, slots=True)
class _Form:
    """What a file says of itself.

    :param blank: nothing is in it yet, as another program leaves it that is just about to make it
    """

    version: int
    application: int
    blank: bool


def _form_of(connection: sqlite3.Connection) -> _Form:
    """Read what a file says of itself at one moment: another program may be about to make it."""
    if connection.in_transaction:
        return _read_form(connection)
    connection.execute("BEGIN")
    try:
        return _read_form(connection)
    finally:
        connection.execute("ROLLBACK")


def _read_form(connection: sqlite3.Connection) -> _Form:
    # the first statement that reads holds all that follow to the same state of the file
    tables = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0]
    version, application = (
        int(connection.execute(f"PRAGMA {name}").fetchone()[0])
        for name in ("user_version", "application_id")
    )
    return _Form(version, application, blank=tables == 0 and version == 0)


@contextmanager
def _transaction(connection: sqlite3.Connection) -> Iterator[None]:
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:  # SQLite itself rolls back where the disk is full
            connection.execute("ROLLBACK")
        raise


def _migrate(
    connection: sqlite3.Connection, file: Path | None, migrations: Sequence[Sequence[str]]
) -> None:
    """Bring a file to the newest form, each step in a transaction of its own; copy it first.

    :raises InputError: it was written by a newer version, is no log, or can't be written
    """
    copied: bool | None = None
    while True:
        with told(file):
            found = _version(connection, file, len(migrations))
            if found == len(migrations):
                return
            if copied is None:
                copied = found == 0  # there is nothing to copy in what is just being made
            with _transaction(connection):
                # another program may have done it while this one waited for the lock
                version = _version(connection, file, len(migrations))
                if version == len(migrations):
                    return
                if version > 0 and file is not None and not copied:
                    _copy(file, version)
                    copied = True
                for statement in migrations[version]:
                    connection.execute(statement)
                connection.execute(f"PRAGMA user_version = {version + 1}")


def _version(connection: sqlite3.Connection, file: Path | None, newest: int) -> int:
    """Give the version of a file's form; 0 = nothing is in it.

    :raises InputError: it is newer than the newest known, or no log
    """
    form = _form_of(connection)
    if form.application != APPLICATION and not form.blank:
        raise InputError(
            "is a database, but no log of Firstpull's",
            where=str(file),
            do=ELSEWHERE,
        )
    if form.version > newest:
        raise InputError(
            f"was written by a newer version of Firstpull (form {form.version}, this one knows {newest})",
            where=str(file),
            do=f"install that version here, or {ELSEWHERE}",
        )
    return form.version


def _copy(file: Path, version: int) -> None:
    """Copy a file beside itself, whole or not at all, and keep the latest few of such copies.

    The caller holds the lock.
    """
    now = datetime.now(UTC).strftime("%Y%m%dT%H%M%S.%fZ")
    copy = file.with_name(f"{file.stem}.form-{version}.{now}{file.suffix}")
    unfinished = file.with_name(f"{file.stem}.copy-unfinished{file.suffix}")
    unfinished.unlink(missing_ok=True)
    # by a connection of its own: one that writes can't be copied from
    with closing(_connect(file, create=False)) as source, closing(_connect(unfinished)) as target:
        source.backup(target)
    os.replace(unfinished, copy)
    for old in copies_of(file)[:-COPIES]:
        old.unlink(missing_ok=True)


def copies_of(file: Path) -> tuple[Path, ...]:
    """Give the copies of a log from before changes of its form, oldest first."""
    found = file.parent.glob(f"{file.stem}.form-*.*Z{file.suffix}")
    return tuple(
        sorted(found, key=lambda path: path.name.removesuffix(file.suffix).split(".", 2)[-1])
    )
