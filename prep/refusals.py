"""From what pydantic says of settings to lines a printer can act on: file, key, value, what is allowed."""

from __future__ import annotations

import difflib
import json
import re
from collections.abc import Iterable, Mapping
from difflib import SequenceMatcher
from typing import TYPE_CHECKING, get_args

from pydantic import BaseModel, ValidationError

from prep.errors import SettingsError
from prep.layers import KeyPath, Tree
from prep.tables import Measured

if TYPE_CHECKING:
    from pydantic.fields import FieldInfo
    from pydantic_core import ErrorDetails

_BARE = re.compile(r"[A-Za-z0-9_#-]+")
_LONGEST_SHOWN = 60
_MOST_LINES = 5

_WORDS = {
    "missing": "is missing",
    "string_type": "must be text in quotes",
    "path_type": "must be a file name in quotes",
    "int_type": "must be a whole number",
    "int_from_float": "must be a whole number",
    "int_parsing": "must be a whole number",
    "float_type": "must be a number",
    "float_parsing": "must be a number",
    "finite_number": "must be a finite number",
    "bool_type": "must be true or false",
    "bool_parsing": "must be true or false",
    "string_too_short": "must not be empty",
    "too_short": "must not be empty",
    "tuple_type": "must be a list",
    "list_type": "must be a list",
    "dict_type": "must be a table",
    "model_type": "must be a table",
    "model_attributes_type": "must be a table",
}
_BOUNDS = {
    "greater_than": ("gt", "must be more than"),
    "greater_than_equal": ("ge", "must be at least"),
    "less_than": ("lt", "must be less than"),
    "less_than_equal": ("le", "must be at most"),
}


def refusal(
    tree: Tree,
    path: KeyPath,
    problem: str,
    *,
    do: str = "",
    show: bool = True,
) -> SettingsError:
    """Make the one line that says what is wrong with the value at ``path``.

    :param show: whether the line shows the value
    """
    origin = tree.origin(path)
    shown = shown_value(tree.get(path)) if show else ""
    if shown and problem.startswith((shown, f'"{shown}"')):
        shown = ""  # said already
    if origin.layer == "command line":
        # the option is its own key, and a line of --set shows its value too
        named, shown = "", "" if origin.typed is not None else shown
    else:
        named = dotted(path[1:] if origin.layer == "shop.toml" and len(path) > 1 else path)
    said = f"{named} = {shown}" if named and shown else named or shown
    where = f"{origin.where} {origin.typed}" if origin.typed is not None else origin.where
    return SettingsError(f"{said}: {problem}" if said else problem, where=where, do=do)


def refusals(
    tree: Tree,
    model: type[BaseModel],
    path: KeyPath,
    error: ValidationError,
    *,
    also: Iterable[str] = (),
    elsewhere: Mapping[str, str] | None = None,
) -> list[SettingsError]:
    """Give a line for each thing pydantic found wrong with the table at ``path``.

    :param also: keys that are allowed at the table's top besides the model's own
    :param elsewhere: key -> where it belongs, for keys of other tables
    """
    made = []
    for detail in error.errors(include_url=False):
        loc = tuple(part for part in detail["loc"] if part != "[key]")
        if detail["type"] == "too_short" and tree.get((*path, *loc)):
            continue  # its parts were refused, each with a line of its own
        if detail["type"] == "extra_forbidden":
            top = len(loc) == 1
            around = _model_at(model, loc[:-1])
            keys = (*keys_of(around), *(also if top else ())) if around else ()
            belongs = (elsewhere or {}).get(str(loc[0])) if top else None
            made.append(unknown_key(tree, (*path, *loc), keys, belongs=belongs))
        else:
            made.append(_one(tree, model, path, loc, detail))
    return made


def _one(
    tree: Tree, model: type[BaseModel], path: KeyPath, loc: KeyPath, detail: ErrorDetails
) -> SettingsError:
    whole = (*path, *loc)
    if detail["type"] == "missing":
        return refusal(tree, whole, "is missing", do=_give(tree, whole), show=False)
    problem, do = _words_for(model, loc, detail)
    if "[key]" in detail["loc"]:
        return refusal(tree, whole, f"this name {problem}", do=do, show=False)
    while len(whole) > len(path) and tree.get(whole) is None:
        whole = whole[:-1]  # a plugin may read "0.8 mm" as a table that nobody wrote
    return refusal(tree, whole, problem, do=do)


def _give(tree: Tree, path: KeyPath) -> str:
    """Say where to write what is missing; that table of a list could go as well."""
    table = path[1:-1] if tree.origin(path).layer == "shop.toml" else path[:-1]
    name = dotted(tuple(part for part in table if isinstance(part, str)))
    if table and isinstance(table[-1], int):
        return f"write {path[-1]} = ... in it, or take that [[{name}]] out"
    return f"write {path[-1]} = ... under [{name}]" if name else f"write {path[-1]} = ..."


def _words_for(model: type[BaseModel], loc: KeyPath, detail: ErrorDetails) -> tuple[str, str]:
    """Say what is wrong, and what to do."""
    kind, context = detail["type"], detail.get("ctx", {})
    if kind == "value_error":
        problem, _, do = str(context.get("error", detail["msg"])).partition("; ")
        return problem, do
    if kind == "literal_error":
        allowed = _literals(model, loc)
        near = nearest(detail.get("input"), allowed)
        listed = ", ".join(f'"{choice}"' for choice in allowed)
        return f"must be one of {listed}", f'did you mean "{near}"?' if near else ""
    if kind in _BOUNDS:
        name, words = _BOUNDS[kind]
        return f"{words} {_bound(context[name], _unit_of(model, loc))}", ""
    if kind == "string_too_long":
        return f"must have at most {context['max_length']} letters", ""
    if kind in ("tuple_type", "list_type") and _model_at(model, loc) is not None:
        return "must be a list of tables", f"put each under [[{loc[-1]}]]"
    return _WORDS.get(kind, detail["msg"]), ""


def unknown_key(
    tree: Tree, path: KeyPath, keys: Iterable[str], *, belongs: str | None = None
) -> SettingsError:
    """Make the line for a key that doesn't exist.

    :param keys: those that do
    :param belongs: where it would exist
    """
    listed = sorted(keys)
    near = nearest(path[-1], listed)
    if belongs and near and SequenceMatcher(None, str(path[-1]), near).ratio() > 0.9:
        do = f"did you mean {near}? {path[-1]} belongs {belongs}"
    elif belongs:
        do = f"it belongs {belongs}"
    elif near:
        do = f"did you mean {near}?"
    else:
        do = f"allowed here: {', '.join(listed)}" if listed else ""
    return refusal(tree, path, "there is no such key here", do=do, show=False)


def keys_of(model: type[BaseModel]) -> tuple[str, ...]:
    """Give a table's keys as they are written in TOML."""
    return tuple(field.alias or name for name, field in model.model_fields.items())


def nearest(given: object, choices: Iterable[str]) -> str | None:
    """Give the choice that looks most like what was given, ``None`` when none does."""
    if not isinstance(given, str):
        return None
    by_lower = {choice.lower(): choice for choice in choices}
    found = difflib.get_close_matches(given.lower(), by_lower, n=1, cutoff=0.6)
    return by_lower[found[0]] if found else None


def dotted(path: KeyPath) -> str:
    """Write a path as ``print[1].colour[2].mesh``, the first being 1."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            key = part if _BARE.fullmatch(part) else json.dumps(part, ensure_ascii=False)
            text += f".{key}" if text else key
    return text


def shown_value(value: object) -> str:
    """Show a value as it stands in TOML, shortened; empty for tables, lists of tables and nothing."""
    if value is None or isinstance(value, Mapping):
        return ""
    if isinstance(value, list | tuple):
        if any(isinstance(item, Mapping | list | tuple) for item in value):
            return ""
        text = f"[{', '.join(map(shown_value, value))}]"
    else:
        text = json.dumps(value, ensure_ascii=False, default=str)
    return text if len(text) <= _LONGEST_SHOWN else f"{text[:_LONGEST_SHOWN]}..."


def one_error(errors: Iterable[SettingsError]) -> SettingsError:
    """Put errors together into one that tells the first few, each once."""
    first, *rest = {str(error): error for error in errors}.values()
    more = tuple(rest[: _MOST_LINES - 1])
    left = len(rest) - len(more)
    if left:
        more = (*more, SettingsError(f"and {left} more"))
    return SettingsError(first.what, where=first.where, do=first.do, more=more)


def _field_at(model: type[BaseModel], loc: KeyPath) -> tuple[str, FieldInfo] | None:
    names = [part for part in loc if isinstance(part, str)]
    while names:
        for name, field in model.model_fields.items():
            if names[0] in (field.alias, name):
                break
        else:
            return None
        inner = _model_in(field.annotation)
        if len(names) == 1 or inner is None:
            return name, field
        model, names = inner, names[1:]
    return None


def _model_at(model: type[BaseModel], loc: KeyPath) -> type[BaseModel] | None:
    if not any(isinstance(part, str) for part in loc):
        return model
    found = _field_at(model, loc)
    return _model_in(found[1].annotation) if found else None


def _model_in(annotation: object) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in get_args(annotation):
        found = _model_in(inner)
        if found is not None:
            return found
    return None


def _literals(model: type[BaseModel], loc: KeyPath) -> tuple[str, ...]:
    found = _field_at(model, loc)

    def strings(annotation: object) -> Iterable[str]:
        for inner in get_args(annotation):
            if isinstance(inner, str):
                yield inner
            else:
                yield from strings(inner)

    return tuple(strings(found[1].annotation)) if found else ()


def _unit_of(model: type[BaseModel], loc: KeyPath) -> str:
    """Read the unit of a bound off the field's name: ``air_speed_m_per_s`` of key ``air_speed``."""
    around = _model_at(model, loc[:-1])
    if around is not None and issubclass(around, Measured):
        loc = loc[:-1]  # the figure's own name has the unit, not that of its value, low or high
    found = _field_at(model, loc)
    if found is None or not found[1].alias or not found[0].startswith(f"{found[1].alias}_"):
        return ""
    unit = found[0].removeprefix(f"{found[1].alias}_").replace("_per_", "/")
    return unit.upper() if unit in ("c", "k", "mb") else unit


def _bound(value: float, unit: str) -> str:
    """Write a bound with its unit; seconds as hours or minutes where these are whole.

    >>> _bound(86400, "s"), _bound(300, "s"), _bound(20, "mm"), _bound(100, "")
    ('24 h', '5 min', '20 mm', '100')
    """
    if unit == "s":
        for seconds, longer in ((3600, "h"), (60, "min")):
            if value and value % seconds == 0:
                return f"{value / seconds:.12g} {longer}"
    return f"{value:.12g} {unit}".rstrip()
