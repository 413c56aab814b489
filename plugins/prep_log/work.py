"""The work of ``prep log`` and ``prep again``: from what is typed to entries, and from entries to lines."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from typing import Any

from prep.console import on_one_line, out, out_table, progress, say
from prep.errors import InputError, OutputError
from prep.request import Request
from prep_log import entries, exchange
from prep_log.entering import add_note, add_seen, run_in, stencils_of
from prep_log.place import log_file, warning
from prep_log.settings import LogShop
from prep_log.store import Entry, Figure, Heading, Store, reading, writing
from prep_log.telling import corrected, named_reading, of_what, range_of, value_of, words_of

Names = tuple[str, ...]


def enter_run(
    request: Request,
    log: Path | None,
    day: str | None,
    kept: Names,
    corrects: int | None,
    as_json: bool,
) -> None:
    """Enter a run, and show it.

    :raises InputError: order, artwork or log can't be used; nothing was entered
    """
    from prep.line import open_line
    from prep_log.asked import run_on

    on = read_day(day)
    with progress() as tell, open_line(request, tell=tell) as line:
        run = run_on(line, on, kept)
        own = line.loaded.chosen_for(line.setups[0]).get(LogShop)
    file = log_file(log, {"kept_in": own.kept_in})
    with to_write(file) as store:
        number = store.add(run.new(), corrects=corrects)
        if as_json:
            out(_as_json(_document(store, store.entry(number))))
        else:
            out(f"Entered as run {number}: {run.name}, {run.day.isoformat()}.")
    for lacking in run.lacking:
        say(f"prep: {lacking}")


def write_form(
    number: int, to: Path | None, log: Path | None, shop: Path | None, without: Names
) -> None:
    """Write the form of a run into a new file.

    :raises InputError: no such run, or there is such a file
    """
    from prep_log.form import form_for, name_for

    with to_read(log, shop, without) as store:
        entry, run = run_in(store, number)
        uid = store.chain(number)[0].uid
    file = to or Path(name_for(entry))
    try:
        with file.open("x", encoding="utf-8", newline="\n") as form:
            form.write(form_for(entry, run, uid))
    except FileExistsError as error:
        do = "fill that one in, or choose another name with --out"
        raise OutputError("is there already", where=str(file), do=do) from error
    except OSError as error:
        what = f"can't be written: {error.strerror or error}"
        raise OutputError(what, where=str(file), do="choose another name with --out") from error
    out(str(file))


def enter_seen(
    file: Path, corrects: int | None, log: Path | None, shop: Path | None, without: Names
) -> None:
    """Enter a form that was filled in.

    :raises InputError: it can't be read, or contradicts itself, its run or an earlier entry
    """
    from prep_log.form import photos_away, read_form

    with to_write(file_of(log, shop, without)) as store:
        seen, run = read_form(file, store)
        number = add_seen(store, seen, run, corrects, date.today(), where=str(file))
    out(f"Entered as {number}: what was seen in {seen.name}, {seen.day.isoformat()}.")
    for line in photos_away(seen):
        say(f"prep: {line}")


def enter_note(
    number: int,
    text: str,
    day: str | None,
    corrects: int | None,
    log: Path | None,
    shop: Path | None,
    without: Names,
) -> None:
    """Enter a note.

    :raises InputError: no such run, or nothing is said
    """
    on = read_day(day)
    with to_write(file_of(log, shop, without)) as store:
        made, entry = add_note(store, number, text, on, corrects)
    out(f"Entered as {made}: a note on run {entry.number}, {entry.name}.")


def list_entries(
    all_of_them: bool,
    most: int,
    log: Path | None,
    shop: Path | None,
    without: Names,
    as_json: bool,
) -> None:
    """List entries.

    :param most: how many at most; 0 = all
    """
    with to_read(log, shop, without) as store:
        found = store.headings(all_of_them=all_of_them, most=most or None)
        left = store.count(all_of_them=all_of_them) - len(found)
        runs = {h.run for h in found if h.run is not None}
        numbers = {uid: store.number_of(uid) for uid in runs}
        read = store.what_was_read(found)
    if as_json:
        listed = [_heading(heading, numbers, read) for heading in found]
        out(_as_json({"schema": "firstpull.log-list/1", "left_off": left, "entries": listed}))
        return
    if not found:
        out("The log has no entries.")
        return
    out_table(
        ("number", "day", "what", "name", ""),
        [
            (
                str(h.number),
                h.day.isoformat(),
                named_reading(read[h.id])
                if h.id in read
                else h.kind
                if h.run is None
                else f"{h.kind}, run {numbers[h.run]}",
                h.name,
                _corrected(h, all_of_them),
            )
            for h in found
        ],
        "rllll",
    )
    if left:
        out(f"... and {left} before them: --most 0 shows all.")


def _corrected(heading: Heading, all_of_them: bool) -> str:
    if all_of_them and heading.times > 1:
        return f"entered {heading.recorded_at}"
    return corrected(heading)


def _heading(
    heading: Heading, numbers: dict[str, int | None], read: dict[int, str]
) -> dict[str, Any]:
    return {
        "number": heading.number,
        "uid": heading.uid,
        "kind": heading.kind,
        "of": read.get(heading.id),
        "day": heading.day.isoformat(),
        "name": heading.name,
        "recorded_at": heading.recorded_at,
        "corrects": heading.corrects,
        "run": None if heading.run is None else numbers[heading.run],
        "entries": heading.times,
    }


def show_entry(
    number: int,
    all_of_them: bool,
    log: Path | None,
    shop: Path | None,
    without: Names,
    as_json: bool,
) -> None:
    """Show an entry.

    :raises InputError: there is none
    """
    with to_read(log, shop, without) as store:
        chain = store.chain(number)
        entry = store.entry(number)
        shown = tuple(reversed(chain)) if all_of_them else (entry,)
        if as_json:
            out(_as_json(_document(store, *shown)))
            return
        for one in shown:
            _tell(one, store.figures(of=one).get(one.id, []))
        if entry.kind == "run":
            for other in store.entries(of_run=chain[0].uid):
                _tell(other, store.figures(of=other).get(other.id, []))


def _document(store: Store, *shown: Entry) -> dict[str, Any]:
    first = store.chain(shown[0].number)[0]
    about = store.entries(of_run=first.uid) if first.kind == "run" else ()
    return {
        "schema": "firstpull.log-entry/1",
        "number": first.number,
        "entries": [_record(store, entry) for entry in shown],
        "about_it": [{"number": e.number, **_record(store, e)} for e in about],
    }


def _record(store: Store, entry: Entry) -> dict[str, Any]:
    return exchange.record_of(entry, store.figures(of=entry).get(entry.id, []))


def _tell(entry: Entry, figures: Sequence[Figure]) -> None:
    corrected = "" if entry.corrects is None else ", a correction"
    name = on_one_line(entry.name)
    out(f"{entry.number}: {entry.kind} of {entry.day.isoformat()}, {name}{corrected}")
    for line in words_of(entry):
        out(f"  {on_one_line(line)}")
    if figures:
        rows = [
            (
                figure.quantity,
                of_what(figure),
                value_of(figure),
                range_of(figure),
            )
            for figure in figures
        ]
        out_table(("figure", "of", "value", "eight times in ten"), rows, "llrr")
    out()


def export_all(file: Path, log: Path | None, shop: Path | None, without: Names) -> None:
    """Write all entries.

    :raises OutputError: there is such a file, or it can't be written
    """
    with to_read(log, shop, without) as store:
        count = exchange.export(store, file)
    out(f"{file}: {_counted(count)}")


def import_all(file: Path, log: Path | None, shop: Path | None, without: Names) -> None:
    """Add entries of a file.

    :raises InputError: a line of it can't be used; nothing was entered
    """
    with to_write(file_of(log, shop, without)) as store:
        added, already = exchange.import_from(store, file)
    there = f"; {_counted(already)} there already, left as they are" if already else ""
    out(f"{_counted(added)} added{there}")


def order_again(
    number: int, folder: Path | None, log: Path | None, shop: Path | None, without: Names
) -> None:
    """Write the order of a run once more, and say what becomes of its stencils.

    :raises InputError: no such run, or the folder can't be written
    """
    from prep_log.again import write_again

    with to_read(log, shop, without) as store:
        entry, run = run_in(store, number)
        stencils = stencils_of(store, run)
    where = folder or Path(f"again-{entry.number}")
    todo = write_again(run, entry.number, where)
    out(f"{where}{os.sep}order.toml")
    for line in todo:
        say(f"prep: {line}")
    for stencil in stencils:
        out(stencil.in_words)


def read_day(text: str | None, where: str = "--day") -> date:
    """Read the day something was done on; today where none is given.

    :param where: option or field that it stands in
    :raises InputError: no day, or one that lies ahead
    """
    today = date.today()
    if text is None:
        return today
    try:
        day = datetime.strptime(text.strip(), "%Y-%m-%d").date()
    except ValueError as error:
        do = f"write it like {today.isoformat()}"
        raise InputError(f'"{text}" is no day', where=where, do=do) from error
    entries.check_day(day, today, where=where)
    return day


def file_of(log: Path | None, shop: Path | None, without: Names) -> Path:
    """Give the log's file, as it is named or the shop says."""
    return file_and_units(log, shop, without)[0]


def file_and_units(log: Path | None, shop: Path | None, without: Names) -> tuple[Path, str]:
    """Give the log's file, as it is named or the shop says, and the units that the shop has."""
    from prep.hookspecs import SettingsTables
    from prep.plugins import find_plugins
    from prep.settings import load_shop

    plugins = find_plugins(without)
    if plugins.failures:
        raise plugins.failures[0]
    tables = dict(plugins.each("prep_settings", SettingsTables))
    loaded = load_shop(shop, tables, without=without)
    own = loaded.settings(LogShop)
    return log_file(log, {"kept_in": own.kept_in}), loaded.shop.units


@contextmanager
def to_read(log: Path | None, shop: Path | None, without: Names) -> Iterator[Store]:
    """Open the log to look at, with a warning where it lies badly."""
    with looked_at(file_of(log, shop, without)) as store:
        yield store


@contextmanager
def looked_at(file: Path) -> Iterator[Store]:
    """Open a log to look at, with a warning where it lies badly."""
    _warn(file)
    with reading(file) as store:
        yield store


@contextmanager
def to_write(file: Path) -> Iterator[Store]:
    """Open the log to add to, with a warning where it lies badly."""
    _warn(file)
    with writing(file) as store:
        yield store


def _warn(file: Path) -> None:
    said = warning(file)
    if said:
        say(f"prep: {said}")


def _as_json(document: dict[str, Any]) -> str:
    return json.dumps(document, indent=2, ensure_ascii=False)


def _counted(count: int) -> str:
    return f"{count} entry" if count == 1 else f"{count} entries"
