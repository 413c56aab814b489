"""The forms of the log's pages: a run, what was seen in it, notes, corrections, printing it again."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field, StringConstraints, create_model

from prep.errors import InputError, SettingsError
from prep.sections import Document
from prep.tables import Table
from prep.views import EntryForm, FormPart, Taken
from prep_log import exchange, understood
from prep_log.again import write_again
from prep_log.entering import add_note, add_seen, run_in, stencils_of
from prep_log.entering_readings import add_readings
from prep_log.form import (
    FORMAT,
    FilledInOnForm,
    ShirtsInRun,
    ToFillIn,
    photos_away,
    seen_in,
)
from prep_log.from_log import told_in
from prep_log.kept_files import with_copies
from prep_log.place import log_file
from prep_log.reading_fields import ASKED, corrected_raw, correcting_parts, readings_typed
from prep_log.settings import LogShop
from prep_log.stock import check_stock, shop_of, stock_of
from prep_log.store import Entry, Store, reading, writing
from prep_log.telling import learnt_since
from prep_log.usual import usual
from prep_log.work import read_day

if TYPE_CHECKING:
    from prep.line import Line
    from prep_log.entries import Run, Seen

Typed = Mapping[str, Mapping[str, Any]]
_CORRECT = "correct entry {number} on its own page"


class NoteOnPage(Table):
    """A few words on a run."""

    day: date = Field(description="it speaks of")
    text: Annotated[str, StringConstraints(max_length=10_000)]


class AgainOnPage(Table):
    """How a run is printed again."""

    changed_drawing: bool = Field(
        False, description="take a drawing that was changed since as it is now"
    )


class RunOnPage(Table):
    """What is said of a run beside its order."""

    day: date = Field(description="that it was printed")
    corrects: int | None = Field(
        None, ge=1, description="number of the run in whose place this one stands; none = a new run"
    )


def one_of(words: Sequence[str]) -> Any:
    """Give the type of a text that is one of some words, for a field with these as choices."""
    return Literal.__getitem__(tuple(words)) if words else str


def _any_of(kind: Any) -> Any:
    """Give the type of a list whose kind is known only now."""
    return tuple.__class_getitem__((kind, ...))


def export(file: Path) -> EntryForm:
    """Give the form that hands out the whole log."""

    def take(_: Typed) -> Taken:
        with reading(file) as store:
            lines = list(exchange.lines_of(store))
        name = f"log-{date.today().isoformat()}.jsonl"
        count = "1 entry" if len(lines) == 1 else f"{len(lines)} entries"
        said = (
            f"{name}: {count}, a line of JSON for each.",
            f"On another machine: prep log import {name}",
        )
        return Taken(said, files=(Document(name, "".join(lines).encode()),))

    return EntryForm("export", "Take the log along", (), "Download all entries", take)


def of_run(file: Path, entry: Entry, uid: str) -> Iterator[EntryForm]:
    """Give the forms of a run: what was seen in it, a note, printing it again.

    :param uid: of the run's first entry
    """
    if understood.trouble(entry):
        return
    run = understood.run_of(entry)
    inks = [{"ink": ink} for ink in run.inks]
    given = {"day": entry.day.isoformat(), "ink": inks}
    yield _seen_form(file, run, uid, given, None, ("entry", str(entry.number)))

    def note(typed: Typed) -> Taken:
        on, text = _note_of(typed)
        with writing(file) as store:
            made, _ = add_note(store, entry.number, text, on)
        return Taken((f"Entered as {made}: a note on run {entry.number}.",))

    yield EntryForm("note", "A note", (_note_part(date.today(), ""),), "Enter the note", note)
    part = FormPart("again", "", AgainOnPage, {})
    again = partial(_again, file, entry.number)
    yield EntryForm("again", "Print it again", (part,), "Lay its order open", again)


def corrections(file: Path, store: Store, entry: Entry, shop: Path | None) -> Iterator[EntryForm]:
    """Give the form in which an entry is corrected, with what stands there.

    :param shop: its file, for what it has in stock
    """
    if understood.trouble(entry):
        return
    if entry.kind == "seen":
        seen = understood.seen_of(entry)
        found = store.with_uid(seen.run)
        if found is not None and not understood.trouble(found):
            run = understood.run_of(found)
            back = ("entry", str(entry.number))
            yield _seen_form(file, run, seen.run, _given(seen, run), entry.number, back)
    elif entry.kind == "note":
        was = understood.note_of(entry)

        def note(typed: Typed) -> Taken:
            on, text = _note_of(typed)
            with writing(file) as open_store:
                of = open_store.number_of(was.run)
                if of is None:
                    raise InputError("the log has no run of this note any more")
                add_note(open_store, of, text, on, corrects=entry.number)
            return Taken((f"Entry {entry.number} was corrected; what it was stays below it.",))

        part = _note_part(entry.day, was.text)
        yield EntryForm("note", "Correct this note", (part,), "Enter the correction", note)
    elif entry.kind == "reading":
        try:
            parts = correcting_parts(entry.body, entry.day, entry.name)
        except (AttributeError, KeyError, TypeError, ValueError):
            return  # what was typed is kept for this form alone, and another log's may be of any kind

        def reading_again(typed: Typed) -> Taken:
            read = readings_typed(corrected_raw(typed, entry.body))
            if any(one.body[key] != entry.body.get(key) for one in read for key in ("mesh", "ink")):
                check_stock(read, stock_of(shop_of(shop, ())))
            with writing(file) as open_store:
                more = add_readings(open_store, read, entry.number, confirm=ASKED.confirm)
            said = f"Entry {entry.number} was corrected; what it was stays below it."
            return Taken((said, *more))

        if parts:
            yield EntryForm(
                "reading", "Correct this reading", parts, "Enter the correction", reading_again
            )


def _seen_form(
    file: Path,
    run: Run,
    uid: str,
    given: Mapping[str, Any],
    corrects: int | None,
    go: tuple[str, ...],
) -> EntryForm:
    def take(typed: Typed) -> Taken:
        raw = _without_empty_rows(typed.get("seen", {}))
        raw = {**raw, "format": FORMAT, "run": uid}
        with writing(file) as store:
            seen, of = seen_in(raw, store, under=("seen",))
            number = add_seen(store, seen, of, corrects, date.today(), instead=_CORRECT)
        said = [
            f"Entered as {number}: what was seen in {seen.name}."
            if corrects is None
            else f"Entry {number} was corrected; what it was stays below it."
        ]
        said += [f"{line}." for line in photos_away(seen)]
        return Taken(tuple(said), go)

    screens = "; ".join(
        dict.fromkeys(f"{screen.key} prints {screen.ink}" for screen in run.screens)
    )
    part = FormPart(
        "seen",
        "",
        _seen_model(run),
        given,
        f"What is left empty isn't entered. The screens of this run: {screens}.",
    )
    title, do = "What was seen in it", "Enter what was seen"
    if corrects is not None:
        title, do = "Correct what was seen", "Enter the correction"
    return EntryForm("seen", title, (part,), do, take)


def _seen_model(run: Run) -> type[Table]:
    """Give the form with the run's screens to choose from."""
    keys = tuple(dict.fromkeys(screen.key for screen in run.screens))
    row = create_model("FilledInHere", __base__=FilledInOnForm, screen=(one_of(keys), ...))
    about = Field((), description="a row for whatever filled in")
    rows = _any_of(row)
    shirts = create_model("ShirtsHere", __base__=ShirtsInRun, screen=(one_of(keys), ...))
    weighed = ToFillIn.model_fields["shirts_weighed"].description
    return create_model(
        "SeenHere",
        __base__=ToFillIn,
        filled_in=(rows, about),
        shirts_weighed=(_any_of(shirts), Field((), description=weighed)),
    )


def _given(seen: Seen, run: Run) -> dict[str, Any]:
    """Give what was seen as it is typed."""
    weighed = {ink.ink: ink for ink in seen.inks}
    rows: list[dict[str, str]] = []
    for name in dict.fromkeys((*run.inks, *weighed)):
        own = weighed.get(name)
        grams = {} if own is None else {"mixed": own.mixed_g, "left": own.left_g}
        rows.append({"ink": name} | {k: f"{g!r} g" for k, g in grams.items() if g is not None})
    given: dict[str, Any] = {
        "day": seen.day.isoformat(),
        "ink": rows,
        "shirts_spoilt": seen.spoilt,
        "filled_in": [
            {
                key: value
                for key, value in (
                    ("screen", place.screen),
                    ("where", place.where),
                    ("from_shirt", place.from_shirt),
                )
                if value is not None
            }
            for place in seen.filled_in
        ],
        "shirts_weighed": [
            {
                "screen": one.screen,
                "shirts": one.shirts,
                "before": f"{one.before_g!r} g",
                "after": f"{one.after_g!r} g",
            }
            for one in seen.shirts
        ],
        "hours": seen.hours,
        "air": seen.air,
        "wash_test": seen.wash_test,
        "notes": seen.notes,
        "photos": list(seen.photos),
    }
    return {key: value for key, value in given.items() if value not in (None, "", [])}


def _without_empty_rows(typed: Mapping[str, Any]) -> dict[str, Any]:
    """Leave out rows in which nothing was typed."""
    return {
        key: [row for row in value if row not in ({}, "")] if isinstance(value, list) else value
        for key, value in typed.items()
    }


def _note_part(day: date, text: str) -> FormPart:
    given = {"day": day.isoformat(), **({"text": text} if text else {})}
    return FormPart("note", "", NoteOnPage, given)


def _note_of(typed: Typed) -> tuple[date, str]:
    """Give day and text of a note.

    :raises InputError: no day, or one that lies ahead
    """
    note = typed.get("note", {})
    return day_of(note, "note"), str(note.get("text", ""))


def day_of(typed: Mapping[str, Any], part: str) -> date:
    """Read the field ``day`` of a part.

    :raises InputError: it is empty, no day, or one that lies ahead
    """
    where = f"{part}.day"
    if "day" not in typed:
        do = f"write it like {date.today().isoformat()}"
        raise SettingsError(f"{where}: is missing", do=do)
    return read_day(str(typed["day"]), where)


def _again(file: Path, number: int, typed: Typed) -> Taken:
    """Write the order of a run into a fresh folder.

    :raises InputError: a drawing of it is gone, or was changed and isn't to be taken so
    """
    changed = typed.get("again", {}).get("changed_drawing") is True
    with reading(file) as store:
        entry, run = run_in(store, number)
        stencils = stencils_of(store, run)
        known, read = told_in(store, until=entry.recorded_at), told_in(store)
    folder = Path(tempfile.mkdtemp(prefix="firstpull-again-"))
    try:
        todo = write_again(run, number, folder, changed=changed)
        if todo:
            lines = [SettingsError(line) for line in todo]
            raise SettingsError(
                lines[0].what,
                do="or tick that a changed drawing is taken as it is now" if not changed else "",
                more=tuple(lines[1:]),
            )
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)
        raise
    said = (
        f"The order of run {number} lies open: {entry.name}. Change its name, and how many of which sizes.",
        *(f"Stencil {stencil.in_words}." for stencil in stencils),
        *learnt_since(known, read, usual()),
    )
    return Taken(said, opens=folder)


def enter(line: Line) -> EntryForm:
    """Give the form that enters the order that lies open as a run."""
    stencils = _stencils(line)
    names = tuple(stencils)
    model: type[Table] = RunOnPage
    if names:
        chosen = _any_of(one_of(names))
        about = Field((), description="stencils kept from an earlier run, not cut anew")
        model = create_model("RunHere", __base__=RunOnPage, kept=(chosen, about))
    listed = "; ".join(f"{stem} prints {ink}" for stem, ink in stencils.items())
    part = FormPart(
        "run",
        "",
        model,
        {"day": date.today().isoformat()},
        f"The stencils of this run: {listed}." if listed else "",
    )
    return EntryForm("run", "The run", (part,), "Enter the run", partial(_entered, line))


def _entered(line: Line, typed: Typed) -> Taken:
    from prep_log.asked import run_on

    own = typed.get("run", {})
    on = day_of(own, "run")
    corrects = own.get("corrects")
    if corrects is not None and (not isinstance(corrects, int) or isinstance(corrects, bool)):
        raise SettingsError(f"run.corrects = {corrects}: must be the whole number of an entry")
    kept = own.get("kept", [])
    run = run_on(line, on, tuple([kept] if isinstance(kept, str) else map(str, kept)))
    kept_in = line.loaded.chosen_for(line.setups[0]).get(LogShop).kept_in
    file = log_file(None, {"kept_in": kept_in})
    run = with_copies(run, file)
    with writing(file) as store:
        number = store.add(run.new(), corrects=corrects)
    said = (f"Entered as run {number}: {run.name}, {run.day.isoformat()}.", *run.lacking)
    return Taken(said, ("entry", str(number)))


def _stencils(line: Line) -> dict[str, str]:
    """Give the names of the order's stencils, each with the inks it prints."""
    from prep_log.asked import stems_of

    found: dict[str, list[str]] = {}
    for setup in line.setups:
        job = line.job(setup)
        screens = {screen.key: screen.ink for screen in job.screens}
        for key, stem in stems_of(line.ask(job)):
            found.setdefault(stem, []).append(screens.get(key, key))
    return {stem: _listed(inks) for stem, inks in found.items()}


def _listed(names: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(names))
