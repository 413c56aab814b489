"""The pages of the log: its entries fifty at a time, and each with all that belongs to it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from prep.errors import InputError
from prep.sections import Block, Paragraph, Section, Table
from prep.views import Address, EntryForm, Link, Place, ViewPage
from prep_log import page_forms
from prep_log.place import warning
from prep_log.store import Entry, Heading, Store, reading
from prep_log.telling import (
    corrected,
    named_reading,
    of_what,
    of_what_in,
    range_of,
    value_of,
    words_of,
)
from prep_log.understood import run_of, trouble
from prep_log.views import ENTER
from prep_log.work import file_of

A_PAGE = 50
"""Entries on one page. Our choice."""
_WHAT = {"run": "run", "seen": "what was seen", "reading": "reading", "note": "note"}
_ALL = Link("All entries", ())


def page(address: Address, place: Place) -> ViewPage:
    """Show a page of the log.

    :raises InputError: there is no such page or entry, or the log can't be read
    """
    if address == ENTER:
        return _enter(place)
    file = file_of(None, place.shop, ())
    if not address:
        return _entries(file, 1)
    with_number = len(address) == 2 and address[1].isascii() and address[1].isdecimal()
    if with_number and address[0] == "older" and 0 < int(address[1]) < 10**9:
        return _entries(file, int(address[1]))
    if with_number and address[0] == "entry" and len(address[1]) < 10:
        return _entry(file, int(address[1]), place.shop)
    raise InputError(
        f"the log has no page {' '.join(address)}", do="begin with the list of all entries"
    )


def _entries(file: Path, number: int) -> ViewPage:
    """Show one page of the list, the latest day first.

    :raises InputError: there are not so many pages
    """
    with reading(file) as store:
        count = store.count()
        found = store.headings(most=number * A_PAGE)[(number - 1) * A_PAGE :]
        runs = {h.run for h in found if h.run is not None}
        numbers = {uid: store.number_of(uid) for uid in runs}
        read = store.what_was_read(found)
    if number > 1 and not found:
        raise InputError(
            f"the log has no page {number} of entries", do="begin with the list of all entries"
        )
    blocks: list[Block] = []
    if not found:
        blocks.append(
            Paragraph(
                "The log has no entries. A run is entered where its order lies open, at the end of its"
                " work; readings have a form of their own."
            )
        )
    else:
        first, last = (number - 1) * A_PAGE + 1, (number - 1) * A_PAGE + len(found)
        rows = [(str(h.number), h.day.isoformat(), _what(h, numbers, read), h.name) for h in found]
        caption = f"{first} to {last} of {count}, the latest day first."
        blocks.append(Table(("number", "day", "what", "name"), tuple(rows), "rlll", caption))
    badly = warning(file)
    if badly:
        blocks.append(Paragraph(badly))
    links = [Link(_named(h, numbers, read), ("entry", str(h.number))) for h in found]
    if number == 2:
        links.append(Link("Newer entries", ()))
    elif number > 2:
        links.append(Link("Newer entries", ("older", str(number - 1))))
    if number * A_PAGE < count:
        links.append(Link("Older entries", ("older", str(number + 1))))
    return ViewPage(
        "Log",
        (Section("job", "Entries", tuple(blocks), 10),),
        tuple(links),
        (page_forms.export(file),) if found else (),
    )


def _what(heading: Heading, numbers: dict[str, int | None], read: dict[int, str]) -> str:
    of = "" if heading.run is None else f" in run {numbers[heading.run]}"
    if heading.kind == "note" and heading.run is not None:
        of = f" on run {numbers[heading.run]}"
    said = corrected(heading)
    what = named_reading(read[heading.id]) if heading.id in read else _WHAT[heading.kind]
    return f"{what}{of}" + (f", {said}" if said else "")


def _named(heading: Heading, numbers: dict[str, int | None], read: dict[int, str]) -> str:
    return f"{heading.number}: {_what(heading, numbers, read)}, {heading.name}, {heading.day.isoformat()}"


def _entry(file: Path, number: int, shop: Path | None) -> ViewPage:
    """Show an entry with what belongs to it.

    :raises InputError: there is none
    """
    with reading(file) as store:
        chain = store.chain(number)
        entry = store.entry(number)
        sections = [_told(store, _title(entry), (entry,), 10)]
        links = [_ALL]
        forms: list[EntryForm] = []
        if entry.kind == "run":
            uid = chain[0].uid
            about = store.entries(of_run=uid)
            for kind, title, rank in (("seen", "What was seen", 20), ("note", "Notes", 30)):
                own = tuple(reversed([one for one in about if one.kind == kind]))
                if own:
                    sections.append(_told(store, title, own, rank))
                    links += [_to(one) for one in own]
            forms += page_forms.of_run(file, entry, uid)
        else:
            if entry.run is not None:
                of = store.number_of(entry.run)
                links.append(Link(f"Run {of}: {entry.name}", ("entry", str(of))))
            forms += page_forms.corrections(file, store, entry, shop)
        before = tuple(one for one in reversed(chain) if one.id != entry.id)
        if before:
            sections.append(_told(store, "Before it was corrected", before, 40))
    return ViewPage(_title(entry), tuple(sections), tuple(links), tuple(forms))


def _title(entry: Heading) -> str:
    what = _WHAT[entry.kind]
    return f"{entry.number}: {what}, {entry.name}, {entry.day.isoformat()}"


def _to(entry: Heading) -> Link:
    return Link(f"Look at or correct {_title(entry)}", ("entry", str(entry.number)))


def _told(store: Store, title: str, shown: Sequence[Entry], rank: int) -> Section:
    """Tell entries in full."""
    blocks: list[Block] = []
    for entry in shown:
        if len(shown) > 1 or entry.times > 1:
            blocks.append(Paragraph(f"Entered {entry.recorded_at}, of {entry.day.isoformat()}."))
        blocks += _blocks(store, entry)
    return Section("job", title, tuple(blocks), rank)


def _blocks(store: Store, entry: Entry) -> Iterator[Block]:
    yield from (Paragraph(line.strip()) for line in words_of(entry) if line.strip())
    figures = store.figures(of=entry).get(entry.id, [])
    if not figures:
        return
    run = run_of(entry) if entry.kind == "run" and not trouble(entry) else None
    rows = [
        (
            figure.quantity,
            of_what(figure) if run is None else of_what_in(figure, run),
            value_of(figure),
            range_of(figure),
        )
        for figure in figures
    ]
    head = ("figure", "of", "value", "eight times in ten")
    if any(row[3] for row in rows):
        yield Table(head, tuple(rows), "llrr", literal=(1,))
    else:
        yield Table(head[:3], tuple(row[:3] for row in rows), "llr", literal=(1,))


def _enter(place: Place) -> ViewPage:
    """Show the form that enters the order that lies open.

    :raises InputError: none does
    """
    if place.line is None:
        raise InputError(
            "no order lies open", do="open it, and enter the run at the end of its work"
        )
    return ViewPage(
        "Enter this run",
        (
            Section(
                "job",
                "What is entered",
                (
                    Paragraph(
                        "The order with every setting in force, and all that is predicted of it. What was"
                        " weighed and seen is entered at the run afterwards."
                    ),
                ),
                10,
            ),
        ),
        (_ALL,),
        (page_forms.enter(place.line),),
    )
