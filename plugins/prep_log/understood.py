"""Whether the body of an entry holds what an entry of its kind holds.

Bodies come from other machines' logs and from other versions. What isn't understood is refused where it is
to be entered, and left out where it stands already. Imports no pydantic: every job reads the log.
"""

from __future__ import annotations

import dataclasses
import tomllib
import types
import typing
import unicodedata
from collections.abc import Callable, Collection, Mapping
from functools import cache
from typing import Any, Literal

from prep.errors import InputError
from prep_log import entries
from prep_log.entries import Note, Run, Seen
from prep_log.learnt import CORNERS, LADDERS, REGISTER_TEST
from prep_log.store import Entry, Figure

DEEPEST = 20
"""Tables and lists in one another that a body may have. Our choice: runs have six."""
LARGEST = 1e9
"""Bound of all figures of readings, either way of one; far beyond what can be read. Our choice."""
COARSEST = 100.0
"""Times that a balance's last digit may be what was weighed. Our choice."""


@dataclasses.dataclass(frozen=True, slots=True)
class _Step:
    size: float
    tried: int
    held: int


@dataclasses.dataclass(frozen=True, slots=True)
class _Dots:
    wait_s: float
    tried: int
    printed: int


@dataclasses.dataclass(frozen=True, slots=True)
class _Row:
    steps: tuple[_Step, ...]
    after_pulls: int = 0
    piece: str = ""


@dataclasses.dataclass(frozen=True, slots=True)
class _Waits:
    screen: Literal["cleared", "flooded"]
    steps: tuple[_Dots, ...]
    measured_in: dict[str, Any]


@dataclasses.dataclass(frozen=True, slots=True)
class _ScreenWeighed:
    loss_g: float
    after_s: float
    area_mm2: float
    measured_in: dict[str, Any]
    loss_off_g: float = 0.0


@dataclasses.dataclass(frozen=True, slots=True)
class _ShirtsWeighed:
    shirts: int
    gain_g: float
    at_full_g: float
    strokes: int | None = None


@dataclasses.dataclass(frozen=True, slots=True)
class _OfPrint:
    run: str
    screen: str
    left: tuple[float, ...]
    right: tuple[float, ...]
    apart_mm: float


@dataclasses.dataclass(frozen=True, slots=True)
class _RegisterTest:
    laid_again: bool
    rows: tuple[_OfPrint, ...]


@dataclasses.dataclass(frozen=True, slots=True)
class _Common:
    mesh: str | None = None
    ink: str | None = None
    readability_g: float = 0.0


_LATER = ("readability_g", "shirts", "hours", "air")
"""Keys that the first version's runs and what was seen in them don't have."""
_READINGS: Mapping[str, type] = {
    **dict.fromkeys((*LADDERS, *CORNERS), _Row),
    "open time": _Waits,
    "screen weighed": _ScreenWeighed,
    "shirts weighed": _ShirtsWeighed,
    REGISTER_TEST: _RegisterTest,
}


def check(kind: str, body: Mapping[str, Any]) -> None:
    """Refuse a body that no entry of a kind has.

    :raises ValueError: with what is wrong; in the order of a run nothing is looked at
    """
    if kind == "run":
        _check_table(body, Run, "", more=("name", "day", "figures"), whole=True)
    elif kind == "seen":
        _check_table(body, Seen, "", more=("name", "day"), whole=True)
    elif kind == "note":
        _check_table(body, Note, "", more=("name", "day"))
    else:
        _check_reading(body)


def check_depth(value: object, depth: int = 0) -> None:
    """Refuse what can't be stored: signs that are no text, too many tables in one another.

    :raises ValueError: it can't
    """
    if depth > DEEPEST:
        raise ValueError("has too many tables in one another")
    inner: list[object] = []
    if isinstance(value, Mapping):
        inner = [*value, *value.values()]
    elif isinstance(value, list):
        inner = value
    elif isinstance(value, str) and any("\ud800" <= sign <= "\udfff" for sign in value):
        raise ValueError("has a sign that is no text")
    for one in inner:
        check_depth(one, depth + 1)


def check_order(text: str, artworks: Collection[str]) -> None:
    """Refuse an order that can't be written again.

    :param artworks: of the run's set-ups
    :raises ValueError: it is no TOML, or prints something else
    """
    try:
        order = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ValueError(f"its order can't be read: {error}") from error
    printed = order.get("print")
    if not isinstance(printed, list):
        raise ValueError("its order prints nothing")
    for one in printed:
        if not isinstance(one, dict) or one.get("artwork") not in artworks:
            raise ValueError("its order prints an artwork that none of its set-ups has")
    fonts = order.get("font", [])
    if not isinstance(fonts, list) or not all(
        isinstance(font, dict) and isinstance(font.get("file"), str) for font in fonts
    ):
        raise ValueError("its order has a font without a file")


def check_name(name: str) -> None:
    """Refuse a name that isn't plain text on one line.

    :raises ValueError: it isn't, or is empty or too long
    """
    if not 1 <= len(name) <= 200:
        raise ValueError("its name is empty or too long")
    if any(unicodedata.category(sign) in ("Cc", "Cs", "Zl", "Zp") for sign in name):
        raise ValueError("its name isn't plain text on one line")


def trouble(entry: Entry) -> str:
    """Say why an entry isn't understood, in a few words; empty = it is."""
    try:
        check(entry.kind, entry.body)
    except ValueError as error:
        return str(error)
    return ""


def run_of(entry: Entry, figures: tuple[Figure, ...] = ()) -> Run:
    """Make a run from its entry.

    :raises InputError: it isn't understood
    """
    _refuse(entry)
    return entries.run_of(entry.name, entry.day, entry.body, figures)


def seen_of(entry: Entry) -> Seen:
    """Make what was seen from its entry.

    :raises InputError: it isn't understood
    """
    _refuse(entry)
    return entries.seen_of(entry.name, entry.day, entry.body)


def note_of(entry: Entry) -> Note:
    """Make a note from its entry.

    :raises InputError: it isn't understood
    """
    _refuse(entry)
    return entries.note_of(entry.name, entry.day, entry.body)


def _refuse(entry: Entry) -> None:
    found = trouble(entry)
    if found:
        raise InputError(
            f"entry {entry.number} of the log isn't understood: {found}",
            do="put one in its place with --corrects, or install the version that wrote it",
        )


def _check_reading(body: Mapping[str, Any]) -> None:
    of = body.get("of")
    kind = _READINGS.get(of) if isinstance(of, str) else None
    if kind is None:
        raise ValueError(f"is a reading of {of!r}, which this version doesn't know")
    _check_table({key: body[key] for key in _names(_Common) & body.keys()}, _Common, "")
    for key in ("steps", "rows"):
        if key in body and key not in _names(kind):
            raise ValueError(f"has {key}, which a reading of {of} can't have")
    own = {key: body[key] for key in _names(kind) & body.keys()}
    _check_table(own, kind, "")
    _CHECKS[kind](own)
    weighed_g = own.get("loss_g", own.get("gain_g", LARGEST))
    if not 0.0 <= body.get("readability_g", 0.0) <= COARSEST * weighed_g:
        raise ValueError("the balance can't be read so coarsely")


def _check_row(body: Mapping[str, Any]) -> None:
    for step in body["steps"]:
        _check_counts(step["size"], step["tried"], step["held"])


def _check_waits(body: Mapping[str, Any]) -> None:
    for step in body["steps"]:
        _check_counts(step["wait_s"], step["tried"], step["printed"])


def _check_counts(size: float, tried: int, held: int) -> None:
    if not (_can_be(size) and 0 < tried <= LARGEST and 0 <= held <= tried):
        raise ValueError(f"a step of {size:g}, {held} of {tried}, can't be")


def _check_weighed(body: Mapping[str, Any]) -> None:
    for key in ("loss_g", "after_s", "area_mm2", "shirts", "gain_g", "at_full_g"):
        if key in body and not _can_be(body[key]):
            raise ValueError(f"{key} = {body[key]:g} can't be")
    if not 0.0 <= body.get("loss_off_g", 0.0) <= COARSEST * body.get("loss_g", 1.0):
        raise ValueError("the loss can't be off so far")


def _can_be(figure: float) -> bool:
    return 1.0 / LARGEST <= figure <= LARGEST


def _check_register_test(body: Mapping[str, Any]) -> None:
    groups: list[tuple[str, str]] = []
    for row in body["rows"]:
        read = (*row["left"], *row["right"])
        if len(row["left"]) != 2 or len(row["right"]) != 2 or not _can_be(row["apart_mm"]):
            raise ValueError("a print isn't read at two places in two directions")
        if any(abs(one) > LARGEST for one in read):
            raise ValueError("a print lies off too far")
        groups.append((row["run"], row["screen"]))
    if len(set(groups)) == len(groups):
        raise ValueError("no set-up has two prints")


_CHECKS: Mapping[type, Callable[[Mapping[str, Any]], None]] = {
    _Row: _check_row,
    _Waits: _check_waits,
    _ScreenWeighed: _check_weighed,
    _ShirtsWeighed: _check_weighed,
    _RegisterTest: _check_register_test,
}


@cache
def _names(table: type) -> set[str]:
    return {field.name for field in dataclasses.fields(table)}


@cache
def _fields(table: type, more: tuple[str, ...], whole: bool) -> Mapping[str, tuple[Any, bool]]:
    """Give each field's kind of value, and whether it must be there."""
    hints = typing.get_type_hints(table)
    return {
        field.name: (
            hints[field.name],
            field.default is dataclasses.MISSING or (whole and field.name not in _LATER),
        )
        for field in dataclasses.fields(table)
        if field.name not in more
    }


def _check_table(
    given: Mapping[str, Any],
    table: type,
    where: str,
    more: tuple[str, ...] = (),
    *,
    whole: bool = False,
) -> None:
    """Hold plain values against the fields of a dataclass.

    :param more: fields that stand elsewhere
    :param whole: fields with defaults mustn't lack either, but those that came later
    :raises ValueError: a key is missing, isn't known or has a value of another kind
    """
    fields = _fields(table, more, whole)
    for key in given:
        if key not in fields:
            raise ValueError(f"has {where}{key}, which it can't have")
    for name, (hint, needed) in fields.items():
        if name in given:
            # as most are, told apart at once; True is no 1 here
            if type(given[name]) is not hint or hint not in (str, bool):
                _check_value(given[name], hint, f"{where}{name}")
        elif needed:
            raise ValueError(f"lacks '{where}{name}'")


def _check_value(value: Any, hint: Any, where: str) -> None:
    if hint is float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ValueError(f"{where} is no number")
        if not abs(value) < 1e300:
            raise ValueError(f"{where} can't be")
        return
    if hint is int:
        if isinstance(value, bool) or not isinstance(value, int):
            raise ValueError(f"{where} is no whole number")
        if abs(value) > LARGEST:
            raise ValueError(f"{where} can't be")
        return
    origin, args = typing.get_origin(hint), typing.get_args(hint)
    if origin is types.UnionType:
        if not any(_fits(value, one, where) for one in args):
            raise ValueError(f"{where} is of another kind")
    elif origin is tuple:
        if not isinstance(value, list | tuple):
            raise ValueError(f"{where} is no list")
        for one in value:
            _check_value(one, args[0], where)
    elif origin is Literal:
        if value not in args:
            raise ValueError(f"{where} is none of {', '.join(args)}")
    elif dataclasses.is_dataclass(hint) and isinstance(hint, type):
        if not isinstance(value, Mapping):
            raise ValueError(f"{where} is no table")
        _check_table(value, hint, f"{where}.")
    elif not isinstance(value, origin or hint):
        raise ValueError(f"{where} is no {_SAID[origin or hint]}")


_SAID: Mapping[Any, str] = {str: "text", bool: "true or false", dict: "table", type(None): "null"}


def _fits(value: Any, hint: Any, where: str) -> bool:
    try:
        _check_value(value, hint, where)
    except ValueError:
        return False
    return True
