"""What is entered on a run, held against the log: for commands and for the page."""

from __future__ import annotations

from datetime import date

from prep.errors import InputError
from prep_log import entries, understood
from prep_log.again import KeptStencil, kept_stencils
from prep_log.entries import Note, Run, Seen
from prep_log.from_log import shirts_read, told_in
from prep_log.store import Entry, Store

CORRECTS = "put this in its place with --corrects {number}"
"""How an entry is put in another's place where commands are typed."""


def run_in(store: Store, number: int) -> tuple[Entry, Run]:
    """Give the latest of a run's chain.

    :raises InputError: there is none, or it is something else
    """
    entry = store.entry(number)
    if entry.kind != "run":
        raise InputError(
            f"entry {number} is no run but a {entry.kind}", do="see prep log list for the runs"
        )
    return entry, with_figures(store, entry)


def with_figures(store: Store, entry: Entry) -> Run:
    """Give a run with its predictions."""
    figures = tuple(store.figures(of=entry).get(entry.id, []))
    return understood.run_of(entry, figures)


def add_seen(
    store: Store,
    seen: Seen,
    run: Run,
    corrects: int | None,
    today: date,
    *,
    where: str = "",
    instead: str = CORRECTS,
) -> int:
    """Enter what was seen in a run, and give its number.

    :param where: the file it was read from
    :param instead: how it would be put in the place of another entry, whose ``{number}`` is told
    :raises InputError: it contradicts itself, its run or an earlier entry; nothing was entered
    """
    entries.check_seen(seen, run, today, where=where)
    # what it is held against must be what it is added to
    with store.alone():
        _check_once(store, seen, corrects, where, instead)
        if seen.shirts:
            from prep_log.entering_readings import check_with

            own = None if corrects is None else store.entry(corrects).number
            check_with(told_in(store, but=own), shirts_read(seen, run), where)
        return store.add(seen.new(), corrects=corrects)


def _check_once(store: Store, seen: Seen, corrects: int | None, where: str, instead: str) -> None:
    """Refuse a weight that stands in another entry on the same run: it would count twice.

    :raises InputError: one does
    """
    own = None if corrects is None else store.entry(corrects).number
    for other in store.entries("seen", of_run=seen.run):
        if other.number == own or understood.trouble(other):
            continue
        before = understood.seen_of(other)
        told = {(f.quantity, f.ink, f.screen) for f in before.figures}
        for figure in seen.figures:
            if (figure.quantity, figure.ink, figure.screen) in told:
                of = f" of {figure.ink}" if figure.ink else ""
                raise InputError(
                    f"{figure.quantity}{of} stands in entry {other.number} already",
                    where=where,
                    do=f"take it out, or {instead.format(number=other.number)}",
                )


def add_note(
    store: Store, number: int, text: str, on: date, corrects: int | None = None
) -> tuple[int, Entry]:
    """Enter a few words on a run; give their number and the run.

    :raises InputError: no such run, or nothing is said
    """
    if not text.strip():
        raise InputError("the note is empty", do="write what is to be kept")
    entry, _ = run_in(store, number)
    note = Note(store.chain(number)[0].uid, entry.name, on, text.strip())
    return store.add(note.new(), corrects=corrects), entry


def stencils_of(store: Store, run: Run) -> tuple[KeptStencil, ...]:
    """Say what becomes of the stencils of a run, should they still be on their meshes."""
    cuts = tuple({screen.cut for screen in run.screens})
    with_them = store.with_film(*cuts)
    runs = [understood.run_of(e) for e in with_them if not understood.trouble(e)]
    return kept_stencils(run, runs)
