"""What the log's file holds, step by step from the first version of it on.

Nothing is ever changed or deleted: triggers refuse it. A correction is an entry that names the one it
corrects. An entry's number is that of the first of its chain, so that it stays the same for ever.
"""

from __future__ import annotations

APPLICATION = 0x46505546
"""Marks the file as a log of Firstpull's (``PRAGMA application_id``)."""

KINDS = ("run", "seen", "reading", "note")

_ENTRIES = (
    f"PRAGMA application_id = {APPLICATION}",
    """
    CREATE TABLE entry (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        uid TEXT NOT NULL UNIQUE
            CHECK (length(uid) = 32 AND uid NOT GLOB '*[^0-9a-f]*'),
        kind TEXT NOT NULL CHECK (kind IN ('run', 'seen', 'reading', 'note')),
        recorded_at TEXT NOT NULL CHECK (
            recorded_at GLOB
            '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9]Z'
        ),
        day TEXT NOT NULL CHECK (date(day, '+0 days') IS day),
        name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
        corrects INTEGER REFERENCES entry (id) CHECK (corrects < id),
        run TEXT CHECK (
            run IS CASE WHEN kind IN ('seen', 'note') THEN json_extract(body, '$.run') END
        ),
        body TEXT NOT NULL CHECK (json_valid(body) AND json_type(body) = 'object')
    ) STRICT
    """,
    "CREATE INDEX entry_by_corrected ON entry (corrects) WHERE corrects IS NOT NULL",
    "CREATE INDEX entry_by_run ON entry (run) WHERE run IS NOT NULL",
    # all that lists show: bodies hold whole orders, and reading past ten thousand of these takes long
    "CREATE INDEX heading ON entry (id, corrects, kind, day, recorded_at, uid, name, run)",
    """
    CREATE TABLE figure (
        entry INTEGER NOT NULL REFERENCES entry (id),
        quantity TEXT NOT NULL CHECK (length(quantity) > 0),
        setup TEXT NOT NULL DEFAULT '',
        screen TEXT NOT NULL DEFAULT '',
        ink TEXT NOT NULL DEFAULT '',
        unit TEXT NOT NULL,
        value REAL NOT NULL CHECK (abs(value) < 1e300),
        low REAL CHECK (abs(low) < 1e300),
        high REAL CHECK (abs(high) < 1e300),
        CHECK ((low IS NULL) = (high IS NULL)),
        CHECK (low IS NULL OR low <= high)
    ) STRICT
    """,
    "CREATE INDEX figure_by_entry ON figure (entry)",
    "CREATE INDEX figure_by_quantity ON figure (quantity, entry)",
    """
    CREATE TRIGGER entry_stays BEFORE UPDATE ON entry
    BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END
    """,
    """
    CREATE TRIGGER entry_is_kept BEFORE DELETE ON entry
    BEGIN SELECT RAISE(ABORT, 'an entry is never deleted'); END
    """,
    """
    CREATE TRIGGER figure_stays BEFORE UPDATE ON figure
    BEGIN SELECT RAISE(ABORT, 'a figure is never changed'); END
    """,
    """
    CREATE TRIGGER figure_is_kept BEFORE DELETE ON figure
    BEGIN SELECT RAISE(ABORT, 'a figure is never deleted'); END
    """,
    """
    CREATE TRIGGER corrected_by_its_kind BEFORE INSERT ON entry
    WHEN NEW.corrects IS NOT NULL
        AND NEW.kind IS NOT (SELECT kind FROM entry WHERE id = NEW.corrects)
    BEGIN SELECT RAISE(ABORT, 'an entry is corrected by one of its kind'); END
    """,
)

_CUTS = """
    SELECT DISTINCT json_extract(screen.value, '$.cut'), {of}.id
    FROM {source}json_each({of}.body, '$.setups') AS setup, json_each(setup.value, '$.screens') AS screen
    WHERE {of}.kind = 'run' AND json_type(screen.value, '$.cut') = 'text'
"""
_FILMS = (
    # which runs printed with a film: a stencil's pulls are counted without reading whole orders
    """
    CREATE TABLE film (
        cut TEXT NOT NULL,
        entry INTEGER NOT NULL REFERENCES entry (id),
        PRIMARY KEY (cut, entry)
    ) STRICT, WITHOUT ROWID
    """,
    f"INSERT INTO film {_CUTS.format(of='entry', source='entry, ')}",
    f"""
    CREATE TRIGGER films_of_run AFTER INSERT ON entry
    BEGIN INSERT INTO film {_CUTS.format(of="NEW", source="")}; END
    """,
    """
    CREATE TRIGGER film_stays BEFORE UPDATE ON film
    BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END
    """,
    """
    CREATE TRIGGER film_is_kept BEFORE DELETE ON film
    BEGIN SELECT RAISE(ABORT, 'an entry is never deleted'); END
    """,
    "DROP INDEX entry_by_run",
    "CREATE INDEX entry_by_run ON entry (run, kind, day) WHERE run IS NOT NULL",
    # with all that comparing needs, so that no row of the table is looked up
    "DROP INDEX figure_by_quantity",
    "CREATE INDEX figure_by_quantity ON figure (quantity, entry, ink, value, low, high)",
)

MIGRATIONS: tuple[tuple[str, ...], ...] = (_ENTRIES, _FILMS)
"""Each the statements that make the next version; what was published is never changed."""
