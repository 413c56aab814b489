"""What the log's readings put in place of guesses in every later job."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from prep.console import say
from prep.errors import InputError
from prep_log import understood
from prep_log.entries import ON_SHIRTS, Run, Seen, at_full_g
from prep_log.learnt import Told, as_settings, figures
from prep_log.place import log_file
from prep_log.store import reading
from prep_log.usual import usual

if TYPE_CHECKING:
    from prep_log.store import Entry, Store


def learnt_here(own: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """Give figures in the shape of shop.toml; ``None`` where there is no log or nothing was read.

    :param own: the table ``[log]`` of shop.toml as it is written
    :raises InputError: the log can't be read
    """
    file = log_file(None, own)
    if not file.exists():
        return None
    left_out: list[str] = []
    with reading(file) as store:
        found = told_in(store, left_out=left_out)
    for line in left_out:
        say(f"prep: {line}")
    return as_settings(figures(found, usual())) or None


def told_in(
    store: Store,
    *,
    but: int | None = None,
    until: str | None = None,
    left_out: list[str] | None = None,
) -> list[Told]:
    """Give all that was read and is understood: readings, and shirts weighed in runs; oldest first.

    :param but: number of an entry that is left out, as it is about to be corrected
    :param until: what was entered or corrected later is left out; as :func:`prep_log.store.utc_text` has it
    :param left_out: takes a sentence for each entry that isn't understood
    """
    readings: list[Told] = []
    found = (*store.readings(), *store.with_quantity("seen", ON_SHIRTS))
    for one in sorted(found, key=lambda entry: (entry.day, entry.id)):
        if one.number == but or (until is not None and one.recorded_at > until):
            continue
        try:
            these = _read_in(store, one)
            for body in (reading.body for reading in these):
                understood.check("reading", body)
        except (ValueError, InputError) as error:
            if left_out is not None:
                left_out.append(
                    f"entry {one.number} of the log isn't understood, and isn't used: {error}"
                )
            continue
        readings += these
    return sorted(readings, key=lambda one: one.day)


def _read_in(store: Store, entry: Entry) -> list[Told]:
    """Give what was read in an entry.

    :raises InputError: its run isn't understood
    """
    if entry.kind == "reading":
        return told((entry,))
    seen = understood.seen_of(entry)
    return shirts_read(seen, run_seen(store, seen.run))


def run_seen(store: Store, uid: str) -> Run | None:
    """Give a run as corrected, with its predictions; ``None`` where the log has none.

    :param uid: of its first entry
    :raises InputError: it isn't understood
    """
    entry = store.with_uid(uid)
    if entry is None or entry.kind != "run":
        return None
    figures = tuple(store.figures(of=entry).get(entry.id, []))
    return understood.run_of(entry, figures)


def shirts_read(seen: Seen, run: Run | None) -> list[Told]:
    """Give shirts weighed in a run as readings of how much ink goes over.

    :param run: with its predictions; where it no longer tells of the screen there is no reading
    """
    found = []
    for one in seen.shirts if run is not None else ():
        assert run is not None
        at_full = at_full_g(run, one.screen)
        screen = next((screen for screen in run.screens if screen.key == one.screen), None)
        if at_full is not None and screen is not None:
            body = {
                "of": "shirts weighed",
                "mesh": screen.mesh,
                "ink": screen.ink,
                "strokes": screen.strokes,
                "shirts": one.shirts,
                "before_g": one.before_g,
                "gain_g": one.after_g - one.before_g,
                "at_full_g": at_full,
                "readability_g": run.readability_g,
            }
            found.append(Told(seen.day, "shirts weighed", body))
    return found


def told(entries: Iterable[Entry]) -> list[Told]:
    """Give readings as they were entered, each as its latest correction has it, oldest first."""
    oldest_first = sorted(entries, key=lambda entry: (entry.day, entry.id))
    return [Told(entry.day, str(entry.body.get("of", "")), entry.body) for entry in oldest_first]
