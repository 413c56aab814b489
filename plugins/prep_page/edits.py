"""Changes made in forms, put into the text of an order.toml without touching the rest of it."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Literal

from prep.errors import SettingsError
from prep_page.usual_units import Units, with_unit

Kind = Literal["text", "number", "switch", "toml"]
KINDS: tuple[Kind, ...] = ("text", "number", "switch", "toml")
Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """One setting as it was typed.

    :param path: where it stands in order.toml, like ``("print", 0, "width")``; an entry of a list
        ``colour`` is named by its colour: ``("print", 0, "colour", "#1f3a5f", "mesh")``
    :param kind: how the text is to be read: as it stands, as a number, as true or false, or as TOML
    :param text: what was typed; ``None`` takes the setting away, so that what is usual holds
    """

    path: Path
    kind: Kind
    text: str | None


def changed(
    order: str, changes: Sequence[Change], units: Mapping[Path, Units] = MappingProxyType({})
) -> str:
    """Give an order's text with changes made, in their order.

    :param units: that numbers typed alone are taken in, by the settings' paths
    :raises SettingsError: a text that is no number, no TOML, or a place that isn't there or can't be set
    """
    import tomlkit

    document: Any = tomlkit.parse(order)
    for change in changes:
        if not isinstance(change.path[-1], str):
            raise SettingsError(
                "an entry can't be set whole",
                where=name_of(change.path),
                do="give the list, or a setting of the entry",
            )
        if change.text is None:
            _take_away(document, change.path)
        else:
            value = with_unit(_value(change), units.get(change.path, ""))
            _holder_of(document, change.path)[change.path[-1]] = value
    return tomlkit.dumps(document)


def _value(change: Change) -> Any:
    text = (change.text or "").strip()
    where = name_of(change.path)
    if change.kind == "text":
        return text
    if not text:
        raise SettingsError("nothing is typed here", where=where, do="type a value")
    if change.kind == "switch":
        if text not in ("true", "false"):
            raise SettingsError(f'"{text}" is neither true nor false', where=where)
        return text == "true"
    if change.kind == "number":
        try:
            return int(text)
        except ValueError:
            pass
        try:
            return float(text.replace(",", "."))
        except ValueError:
            raise SettingsError(
                f'"{text}" is not a number', where=where, do="write it like 12 or 0.5"
            ) from None
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise SettingsError(
            f'"{text[:60]}" can\'t be read',
            where=where,
            do='write a list like ["one", "two"], a table like { S = 4, M = 10 }',
        ) from error


def read_loosely(change: Change) -> Any:
    """Give what was typed as TOML, to be shown again, decimals as they stand; ``None`` if it is none."""
    if change.kind != "toml" or change.text is None:
        return None
    try:
        return json.loads(
            json.dumps(
                tomllib.loads(f"value = {change.text}", parse_float=str)["value"], default=str
            )
        )
    except (tomllib.TOMLDecodeError, RecursionError):
        return None


def name_of(path: Path) -> str:
    """Name a setting as messages do: ``print[1].width`` of the first print."""
    said = ""
    for part in path:
        said += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if said else part
    return said


def _holder_of(document: Any, path: Path) -> Any:
    """Give the table that holds the last part of a path, made where it isn't there."""
    holder = document
    for depth, part in enumerate(path[:-1]):
        holder = _within(holder, part, path[: depth + 1], make=True)
    if not isinstance(holder, Mapping):
        raise SettingsError("has no such setting", where=name_of(path))
    return holder


def _take_away(document: Any, path: Path) -> None:
    holder = document
    for depth, part in enumerate(path[:-1]):
        holder = _within(holder, part, path[: depth + 1], make=False)
        if holder is None:
            return
    if isinstance(holder, Mapping):
        holder.pop(path[-1], None)  # type: ignore[attr-defined]  # tomlkit's tables can be changed


def _within(holder: Any, part: str | int, path: Path, *, make: bool) -> Any:
    if isinstance(holder, Mapping) and isinstance(part, str):
        if part not in holder and make:
            import tomlkit

            holder[part] = tomlkit.aot() if part == "colour" else tomlkit.table()  # type: ignore[index]  # as above
        return holder.get(part)
    if isinstance(holder, list):
        if isinstance(part, int) and 0 <= part < len(holder):
            return holder[part]
        if isinstance(part, str) and path[-2] == "colour":
            return _colour(holder, part, make=make)
    if make:
        raise SettingsError("there is no such entry", where=name_of(path))
    return None


def _colour(entries: Any, colour: str, *, make: bool) -> Any:
    """Give the entry of a colour; its hex may be written in capitals."""
    for entry in entries:
        if isinstance(entry, Mapping) and str(entry.get("hex", "")).lower() == colour:
            return entry
    if not make:
        return None
    import tomlkit
    from tomlkit.items import AoT

    # a list written in one line takes no table of several
    entry = tomlkit.table() if isinstance(entries, AoT) else tomlkit.inline_table()
    entry["hex"] = colour
    entries.append(entry)
    return entries[-1]
