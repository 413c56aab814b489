"""What was typed into a form beside the orders, as the plain values that its plugin is handed."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from prep.errors import InputError, SettingsError
from prep_page.edits import Path, name_of
from prep_page.usual_units import with_unit

Json = dict[str, Any]
Typed = Sequence[tuple[Path, str | list[list[str]]]]
"""Fields of one part: path, and its text or the cells of its rows."""
_LOOKS_TOML = ("[", "{", '"', "'")


def filled_in(part: str, fields: Iterable[Json], typed: Typed) -> dict[str, Any]:
    """Give the values of a part in the shape of a TOML table; what was left empty is left out.

    :param part: its key, for what is said of its fields
    :param fields: as :func:`prep_page.forms.fields_to_fill_in` gives them
    :raises SettingsError: a number that is none, a table that can't be read; a line for each
    :raises InputError: a field that the form hasn't
    """
    known = {tuple(field["path"]): field for field in fields}
    values: dict[str, Any] = {}
    wrong: list[SettingsError] = []
    for path, given in typed:
        field = known.get(path)
        if field is None or isinstance(given, str) == (field["columns"] is not None):
            raise InputError(
                "this form has changed since it was opened",
                do="load the page anew, then fill it in",
            )
        where = name_of((part, *path))
        value: Any
        if isinstance(given, str):
            value = with_unit(_value(field["kind"], given, where, wrong), field["unit"])
        else:
            value = _rows(field["columns"], given, where, wrong)
        if value is not None:
            holder = values
            for key in path[:-1]:
                holder = holder.setdefault(str(key), {})
            holder[str(path[-1])] = value
    if wrong:
        raise SettingsError(wrong[0].what, do=wrong[0].do, more=tuple(wrong[1:]))
    return values


def _rows(
    columns: Sequence[Json], rows: list[list[str]], where: str, wrong: list[SettingsError]
) -> list[Any] | None:
    """Give rows as tables, or as plain values where the only column has no key; empty ones are left out."""
    made: list[Any] = []
    for row in rows:
        at = f"{where}[{len(made) + 1}]"
        cells: Mapping[str, Any] = {
            column["key"]: value
            for column, text in zip(columns, row, strict=False)
            if (
                value := with_unit(
                    _value(column["kind"], text, f"{at}.{column['key']}".removesuffix("."), wrong),
                    column["unit"],
                )
            )
            is not None
        }
        if cells or any(text.strip() for text in row):
            made.append(cells.get("") if columns[0]["key"] == "" else dict(cells))
    return made or None


def _value(kind: str, given: str, where: str, wrong: list[SettingsError]) -> Any:
    """Give a value; ``None`` where nothing was typed, or where it can't be read, which is noted."""
    text = given.strip()
    if not text:
        return None
    if kind == "switch" and text in ("true", "false"):
        return text == "true"
    if kind == "number":
        try:
            return int(text) if text.lstrip("+-").isdecimal() else float(text.replace(",", "."))
        except ValueError:
            said = f'{where} = "{text[:60]}": is not a number'
            wrong.append(SettingsError(said, do="write it like 12 or 0.5"))
            return None
    if kind == "toml" and text.startswith(_LOOKS_TOML):
        try:
            return tomllib.loads(f"value = {text}")["value"]
        except (tomllib.TOMLDecodeError, RecursionError):
            said = f'{where} = "{text[:60]}": can\'t be read'
            wrong.append(SettingsError(said, do='write a list like ["one", "two"]'))
            return None
    return text
