"""What SQLite and the system say of the log's file, in a printer's words: one line each."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from prep.errors import InputError

WAIT_S = 10.0
"""How long another program may hold the log before this one gives up."""

ELSEWHERE = "name another file with --log, or kept_in under [log] of shop.toml"
"""What to do where a file won't do."""
_SAID: dict[int, tuple[str, str]] = {
    sqlite3.SQLITE_FULL: (
        "the disk is full, nothing of this was written",
        "make room and do it again",
    ),
    sqlite3.SQLITE_READONLY: (
        "can't be written, nothing of this was",
        f"give yourself the right to write it and its folder, or {ELSEWHERE}",
    ),
    sqlite3.SQLITE_PERM: ("may not be opened", f"give yourself the right to, or {ELSEWHERE}"),
    sqlite3.SQLITE_CANTOPEN: (
        "can't be opened",
        f"see that its folder is there and may be written, or {ELSEWHERE}",
    ),
    sqlite3.SQLITE_BUSY: (
        f"another program has held it for {WAIT_S:.0f} s, nothing of this was written",
        "end that program or wait for it, and do this again",
    ),
    sqlite3.SQLITE_NOTADB: ("is no log of Firstpull's", ELSEWHERE),
    sqlite3.SQLITE_CORRUPT: (
        "is damaged",
        f"put a copy of it in its place (it keeps some beside it), or {ELSEWHERE}",
    ),
    sqlite3.SQLITE_IOERR: (
        "can't be read or written: the disk doesn't do it",
        f"see that the disk is there and sound, or {ELSEWHERE}",
    ),
}
_SAID[sqlite3.SQLITE_LOCKED] = _SAID[sqlite3.SQLITE_BUSY]
_UNWRITTEN = (
    sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_PERM,
    sqlite3.SQLITE_CANTOPEN,
)


def cant_be_written(error: BaseException | None) -> bool:
    """Say whether an error tells that a file, or another beside it, can't be written."""
    if isinstance(error, sqlite3.DatabaseError):
        return getattr(error, "sqlite_errorcode", 0) & 0xFF in _UNWRITTEN
    return isinstance(error, OSError)


@contextmanager
def told(file: Path | None) -> Iterator[None]:
    """Tell what goes wrong with the log's file in one line.

    An error of ours, like a statement that the tables refuse, passes as it is.

    :param file: ``None`` = in memory
    :raises InputError: full, not to be written, damaged, held too long, no log
    """
    where = "the log" if file is None else str(file)
    try:
        yield
    except sqlite3.DatabaseError as error:
        said = _SAID.get(getattr(error, "sqlite_errorcode", 0) & 0xFF)
        if said is None:
            raise
        raise InputError(said[0], where=where, do=said[1]) from error
    except OSError as error:
        what = f"can't be written: {error.strerror or error}"
        raise InputError(what, where=where, do=ELSEWHERE) from error
