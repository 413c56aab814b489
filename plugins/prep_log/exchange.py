"""The log as lines of JSON: for another machine, a copy, or people who leave."""

from __future__ import annotations

import dataclasses
import json
import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import suppress
from datetime import date, datetime
from pathlib import Path
from typing import Any

from prep.errors import InputError, OutputError
from prep_log import understood
from prep_log.schema import KINDS
from prep_log.store import Entry, Figure, New, Store, utc_text

FORMAT = "firstpull.log/1"
_KEYS = {"format", "uid", "kind", "recorded_at", "day", "name", "corrects", "body", "figures"}


def record_of(entry: Entry, figures: tuple[Figure, ...] | list[Figure]) -> dict[str, Any]:
    """Give an entry as plain values. Numbers aren't among them: each log counts its own."""
    return {
        "format": FORMAT,
        "uid": entry.uid,
        "kind": entry.kind,
        "recorded_at": entry.recorded_at,
        "day": entry.day.isoformat(),
        "name": entry.name,
        "corrects": entry.corrects,
        "body": entry.body,
        "figures": [dataclasses.asdict(figure) for figure in figures],
    }


def lines_of(store: Store) -> Iterator[str]:
    """Give all entries there are, corrected ones too, in the order they were added."""
    figures = store.figures()
    for entry in store.everything():
        record = record_of(entry, figures.get(entry.id, []))
        yield json.dumps(record, ensure_ascii=False, allow_nan=False) + "\n"


def export(store: Store, file: Path) -> int:
    """Write all entries into a new file, whole or not at all; give how many.

    :raises OutputError: there is such a file, or it can't be written
    """
    count = 0
    try:
        handle, name = tempfile.mkstemp(prefix=f".{file.name}-", dir=file.parent)
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as out:
                for line in lines_of(store):
                    out.write(line)
                    count += 1
                out.flush()
                os.fsync(out.fileno())
            _put(name, file)
        finally:
            with suppress(OSError):
                os.unlink(name)
    except FileExistsError as error:
        raise OutputError("is there already", where=str(file), do="choose another name") from error
    except OSError as error:
        what = f"can't be written: {error.strerror or error}"
        raise OutputError(what, where=str(file), do="choose another name") from error
    return count


def _put(made: str, file: Path) -> None:
    """Give a file that is made its name.

    :raises FileExistsError: another has that name, even one made a moment ago
    :raises OSError: it can't be written
    """
    try:
        os.link(made, file)
    except FileExistsError:
        raise
    except OSError:  # a file system without links
        with open(made, "rb") as source, file.open("xb") as target:
            try:
                shutil.copyfileobj(source, target)
            except BaseException:
                with suppress(OSError):
                    file.unlink()
                raise


def import_from(store: Store, file: Path) -> tuple[int, int]:
    """Add the entries of a file, all or none; give how many were added, and how many were there already.

    :raises InputError: the file, or a line of it, can't be used; nothing was written
    """
    from prep_log.entering_readings import check_with
    from prep_log.from_log import told_in

    known = {entry.uid: entry for entry in store.everything()}
    figures = store.figures()
    added: list[tuple[New, str | None]] = []
    seen: dict[str, str] = {uid: entry.kind for uid, entry in known.items()}
    already = 0
    for number, line in enumerate(_lines(file), start=1):
        if not line.strip():
            continue
        try:
            record = _read(line)
            new, corrects = _new(record, date.today())
            if new.uid in known:
                entry = known[new.uid]
                if record_of(entry, figures.get(entry.id, [])) != record:
                    raise ValueError("the log holds another entry of this uid")
                already += 1
                continue
            if new.uid in seen:
                raise ValueError("another line has its uid")
            if corrects is not None and corrects not in seen:
                raise ValueError("corrects an entry that is neither above nor in the log")
            if corrects is not None and seen[corrects] != new.kind:
                raise ValueError(f"a {new.kind} corrects a {seen[corrects]}")
            _check_run(new, seen)
        except (ValueError, KeyError, TypeError) as error:
            said = f"lacks {error}" if isinstance(error, KeyError) else str(error)
            raise InputError(
                f"{said}; nothing of the file was entered",
                where=f"{file}, line {number}",
                do="export it again, or mend that line",
            ) from error
        assert new.uid is not None
        seen[new.uid] = new.kind
        added.append((new, corrects))
    with store.alone():
        store.add_all(added)
        # else every later job would refuse it
        check_with(told_in(store), (), str(file))
    return len(added), already


def _lines(file: Path) -> list[str]:
    try:
        # split at line feeds alone: JSON may hold other signs that end lines
        return file.read_bytes().decode("utf-8-sig").split("\n")
    except UnicodeDecodeError as error:
        raise InputError("is not UTF-8 text", where=str(file), do="export it again") from error
    except OSError as error:
        what = f"can't be read: {error.strerror or error}"
        raise InputError(what, where=str(file), do="check its name") from error


def _read(line: str) -> dict[str, Any]:
    try:
        record = json.loads(line, parse_constant=_no_number)
    except (json.JSONDecodeError, RecursionError) as error:
        raise ValueError("is no JSON") from error
    if not isinstance(record, dict) or not str(record.get("format", "")).startswith(
        "firstpull.log/"
    ):
        raise ValueError("is no entry of a log of Firstpull's")
    if record["format"] != FORMAT:
        raise ValueError(f"has the format {record['format']}, of a newer version of Firstpull")
    if extra := sorted(record.keys() - _KEYS):
        raise ValueError(f"has {', '.join(extra)}, which no entry has")
    return record


def _no_number(text: str) -> float:
    raise ValueError(f"{text} is no number")


def _new(record: Mapping[str, Any], today: date) -> tuple[New, str | None]:
    """Make an entry of a line.

    :raises ValueError: a value in it can't be so
    :raises KeyError: something isn't there
    :raises TypeError: something is of another kind
    """
    for key in ("uid", "kind", "recorded_at", "day", "name"):
        if not isinstance(record[key], str):
            raise ValueError(f"{key} is no text")
    uid, kind, corrects = record["uid"], record["kind"], record["corrects"]
    if kind not in KINDS:
        raise ValueError(f"{kind!r} is none of {', '.join(KINDS)}")
    if len(uid) != 32 or set(uid) - set("0123456789abcdef"):
        raise ValueError("uid isn't 32 hex digits")
    understood.check_name(record["name"])
    if corrects is not None and not isinstance(corrects, str):
        raise ValueError("corrects is no uid")
    _check_moment(record["recorded_at"])
    if not isinstance(record["body"], dict):
        raise ValueError("its body is no table")
    day, figures = date.fromisoformat(record["day"]), record["figures"]
    if day.isoformat() != record["day"]:
        raise ValueError(f"{record['day']} is no day, like 2026-11-29")
    if day > today:
        raise ValueError(f"{day.isoformat()} lies ahead, today is {today.isoformat()}")
    understood.check_depth(record["body"])
    understood.check(kind, record["body"])
    if kind == "run":
        understood.check_order(
            record["body"]["order"], [setup["artwork"] for setup in record["body"]["setups"]]
        )
    made = New(
        kind,
        day,
        record["name"],
        record["body"],
        tuple(_figure(figure) for figure in figures),
        uid,
        record["recorded_at"],
    )
    return made, corrects


def _check_moment(text: str) -> None:
    if not text.endswith("Z") or utc_text(datetime.fromisoformat(text)) != text:
        raise ValueError(f"{text} is no moment in UTC, like 2026-11-29T20:37:07.123Z")
    if text.startswith("9999"):  # a correction must be able to come later
        raise ValueError(f"{text} lies too far ahead")


def _figure(given: Any) -> Figure:
    figure = Figure(**given)
    for number in (figure.value, *(b for b in (figure.low, figure.high) if b is not None)):
        if isinstance(number, bool) or not isinstance(number, int | float) or abs(number) >= 1e300:
            raise ValueError(f"figure {figure.quantity}: {number} is no number")
    if (figure.low is None) != (figure.high is None):
        raise ValueError(f"figure {figure.quantity}: has one bound only")
    if figure.low is not None and figure.high is not None:
        if figure.low > figure.high:
            raise ValueError(f"figure {figure.quantity}: low lies above high")
        if not figure.low <= figure.value <= figure.high:
            raise ValueError(f"figure {figure.quantity}: lies outside its bounds")
    words = (figure.quantity, figure.unit, figure.setup, figure.screen, figure.ink)
    if not all(isinstance(word, str) for word in words) or not figure.quantity:
        raise ValueError("a figure lacks a name, or has one that is no text")
    # a whole number of any length is JSON, but not for the table
    low, high = (None if bound is None else float(bound) for bound in (figure.low, figure.high))
    return dataclasses.replace(figure, value=float(figure.value), low=low, high=high)


def _check_run(new: New, seen: Mapping[str, str]) -> None:
    """Refuse what speaks of a run that is neither above nor in the log."""
    if new.kind in ("seen", "note") and seen.get(new.body["run"]) != "run":
        raise ValueError("speaks of a run that is neither above nor in the log")
