"""Enters readings, all of a form or none, and holds what follows from them against the settings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from prep.errors import InputError, SettingsError
from prep.shop import Press
from prep.tables import Table
from prep_drying.settings import Drying
from prep_fill_in.settings import FillIn
from prep_ink.settings import ShopInk
from prep_log.entries import Reading
from prep_log.from_log import told_in
from prep_log.learnt import Told, as_settings, figures, in_other_air, says_too_little
from prep_log.readings_form import CONFIRM
from prep_log.repeats import ask_about_pieces, ask_about_repeats, ask_about_weighings
from prep_log.store import New, Store
from prep_log.usual import usual

_TABLES: Mapping[str, type[Table]] = {
    "ink": ShopInk,
    "drying": Drying,
    "fill_in": FillIn,
    "press": Press,
}


_SHORTER: Mapping[tuple[str, str], str] = {
    ("ink", "transfer"): "share of the mesh's ink that goes over to the shirt",
    ("drying", "weighed"): "what a flooded screen loses to the air",
    ("drying", "open_cleared"): "how long a line 1 mm wide stays printable, screen cleared",
    ("drying", "open_flooded"): "how long a line 1 mm wide stays printable, screen flooded",
}
"""For figures whose setting is described with how it is written."""


def add_readings(
    store: Store,
    read: Sequence[Reading],
    corrects: int | None = None,
    where: str = "",
    confirm: str = CONFIRM,
) -> tuple[str, ...]:
    """Enter readings; give what is to be said of them, sentences.

    :param corrects: number of the entry in whose place the only one stands
    :param where: the file they were read from
    :param confirm: how is confirmed what is asked about
    :raises InputError: what follows from them can't be used, they are several for one, or the log has them
        already; then nothing was entered
    """
    if corrects is not None and len(read) != 1:
        raise InputError(
            f"{len(read)} readings can't stand in the place of one",
            where=where,
            do="leave the others out, and enter them as new ones",
        )
    # what they are held against must be what they are added to
    with store.alone():
        return _added(store, read, corrects, where, confirm)


def _added(
    store: Store, read: Sequence[Reading], corrects: int | None, where: str, confirm: str
) -> tuple[str, ...]:
    own = None if corrects is None else store.entry(corrects).number
    these = [Told(one.day, str(one.body["of"]), one.body) for one in read]
    before = told_in(store, but=own)
    if not all(one.confirmed for one in read):
        ask_about_repeats(before, these, where, confirm, correcting=own is not None)
        if own is None:
            ask_about_pieces(before, read, where, confirm)
    with_these = check_with(before, these, where)
    if corrects is None:
        entries: list[tuple[New, str | None]] = [(one.new(), None) for one in read]
        store.add_all(entries)
    else:
        store.add(read[0].new(), corrects=corrects)
    return unused(with_these)


def check_with(before: Sequence[Told], these: Sequence[Told], where: str = "") -> list[Told]:
    """Hold what follows from readings with new ones against the settings; give all, oldest first.

    :raises SettingsError: no job could use it, or shirts of a run were entered as a reading already
    """
    ask_about_weighings(before, these, where)
    both = sorted([*before, *these], key=lambda one: one.day)
    _check(as_settings(figures(both, usual())), where)
    return both


def in_words(table: str, key: str) -> str:
    """Say what a figure is, as the settings describe it, with its key."""
    fields = _TABLES[table].model_fields
    about = next((f.description or "" for n, f in fields.items() if (f.alias or n) == key), "")
    words = _SHORTER.get((table, key), about.partition(";")[0])
    return f"{words} ({table}.{key})" if words else f"{table}.{key}"


def unused(read: Sequence[Told]) -> tuple[str, ...]:
    """Say which readings aren't used, and why; sentences.

    :param read: oldest first
    """
    vague = ("what a screen lost was weighed too coarsely, and isn't used",)
    return (
        *(vague if says_too_little(read, usual()) else ()),
        *(
            f"{one.of} of {one.day.isoformat()} was read in another climate than the latest, and isn't used"
            for one in in_other_air(read)
        ),
    )


def _check(found: Mapping[str, Mapping[str, Any]], where: str) -> None:
    """Refuse what would make every later job fail: figures that the settings don't take.

    :raises SettingsError: one isn't taken
    """
    for table, of in found.items():
        try:
            _TABLES[table].model_validate(of)
        except ValidationError as error:
            first = error.errors()[0]
            what = str(first["msg"]).removeprefix("Value error, ")
            key = ".".join(str(part) for part in (table, *first["loc"]))
            raise SettingsError(
                f"what follows from it for {key} can't be: {what}",
                where=where,
                do="look at the readings again; nothing was entered",
            ) from error
