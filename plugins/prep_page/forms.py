"""The settings in force as forms: groups of fields, made from the models that core and plugins declare."""

from __future__ import annotations

import re
import types
from collections.abc import Container, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any, Literal, Union, get_args, get_origin

from pydantic import BeforeValidator
from pydantic.fields import FieldInfo

from prep.in_force import Leaf, Node, Nodes, inline
from prep.tables import NAMES_IN, Table, of_shop_only
from prep.units import Measured
from prep_page.usual_units import Units, as_measured, unit_here

if TYPE_CHECKING:
    from prep.hookspecs import SettingsTables
    from prep.loaded import Loaded

Path = tuple[str | int, ...]
Json = dict[str, Any]

_AS_IN = re.compile(r"\bnone = as in \[([a-z_]+)\]")
_QUANTITY = re.compile(r"""\s*[+-]?[\d.,]+(?:[\s/-]*\d+)*\s*(?:[^\W\d_]|["”″'′])""")
_AS_IN_SHOP = "none = as in the shop"
_ONLY_IN_STOCK = frozenset({"mesh"})
"""Settings that nothing but what the shop lists will do for."""
_FIXED = frozenset({"artwork", "file", "hex"})
"""Keys that name files or the entry itself; files come by dropping them."""
_A_LINE = 200
"""Signs of a text from which on it has a box of several lines. Our choice."""


def groups_of(
    loaded: Loaded,
    tables: Mapping[str, SettingsTables],
    colours: Mapping[int, Iterable[str]],
) -> list[Json]:
    """Give every setting that can be changed, in groups.

    :param tables: plugin's name -> the settings tables it declares
    :param colours: number of a print -> colours of its artwork
    :return: each group ``{"title", "of", "about", "fields"}``; ``of`` is ``order``, ``print``, ``colour``,
        ``garment``, ``shop``, or a plugin's name
    """
    from prep.order import ColourChoice, Garment, Order, Print
    from prep.shop import Shop

    nodes = loaded.nodes()
    shop = _table(nodes.get("shop"))
    stock = {
        "mesh": [mesh.name for mesh in loaded.shop.mesh],
        "ink": [ink.name for ink in loaded.shop.inks],
    }
    groups = [_group("The order", "order", Order, nodes, ())]
    for i, printed in enumerate(_list(nodes.get("print"))):
        place = loaded.order.print[i].place
        groups.append(_group(f"Print: {place}", "print", Print, printed, ("print", i)))
        entries = {_hex(entry): entry for entry in _list(printed.get("colour"))}
        for colour in dict.fromkeys([*colours.get(i, ()), *entries]):
            entry = entries.get(colour, {})
            path = ("print", i, "colour", colour)
            title = f"{colour}, {place}"
            group = _group(title, "colour", ColourChoice, entry, path, stock)
            for name, models in tables.items():
                if models.colour is not None:
                    own = _table(entry.get(name))
                    group["fields"] += [
                        {**field, "plugin": name}
                        for field in _fields(models.colour, own, (*path, name), {})
                    ]
            group["colour"], group["place"] = colour, place
            group["entry"] = list(entries).index(colour) if colour in entries else None
            groups.append(group)
    for i, garment in enumerate(_list(nodes.get("garment"))):
        name = loaded.order.garment[i].name
        groups.append(_group(f"Garment: {name}", "garment", Garment, garment, ("garment", i)))
    for name, models in tables.items():
        if models.order is not None:
            title = f"{_plain(name).capitalize()}, this order"
            groups.append(_group(title, name, models.order, _table(nodes.get(name)), (name,)))
        if models.shop is not None:
            title = f"{_plain(name).capitalize()}, in your shop"
            own = _table(shop.get(name))
            groups.append(_group(title, name, models.shop, own, ("shop", name)))
    groups.append(_group("Your shop", "shop", Shop, shop, ("shop",)))
    for field in (field for group in groups for field in group["fields"]):
        _as_typed(field, loaded.as_written(tuple(field["path"])))
        _as_measured(field, loaded.shop.units)
        _in_own_units(field, loaded.shop.units)
        _name_known(field, shop)
    _tell_what_holds(groups)
    return [group for group in groups if group["fields"]]


def fields_to_fill_in(
    model: type[Table], given: Mapping[str, Any], units: str = "metric"
) -> list[Json]:
    """Give the fields of a form beside the orders: blank, but for what is given.

    :param given: what stands in them, in the shape of a TOML table
    :param units: of the shop
    """
    fields = [
        {**field, "set": False, "in_force": None, "blank": True}
        for field in _fields(model, _as_nodes(given), (), {}, fixed=())
    ]
    for field in fields:
        _in_own_units(field, units)
    return fields


def units_of(fields: Iterable[Json]) -> dict[Path, Units]:
    """Give the units that numbers alone are taken in, by the fields' paths."""
    return {
        tuple(field["path"]): {one["key"]: one["unit"] for one in field["columns"]}
        if field["columns"] and field["columns"][0]["key"]
        else field["columns"][0]["unit"]
        if field["columns"]
        else field["unit"]
        for field in fields
    }


def _in_own_units(field: Json, units: str) -> None:
    for one in (field, *(field["columns"] or ())):
        one["unit"] = unit_here(one["unit"], units)


def _as_nodes(given: Mapping[str, Any]) -> Nodes:
    return {key: _as_node(value) for key, value in given.items()}


def _as_node(value: Any) -> Node:
    if isinstance(value, Mapping):
        return _as_nodes(value)
    if isinstance(value, tuple | list) and value and all(isinstance(v, Mapping) for v in value):
        return [_as_nodes(one) for one in value]
    return Leaf(list(value) if isinstance(value, tuple) else value, "order.toml")


def _as_typed(field: Json, written: Any) -> None:
    """Let a quantity stand in its field in the unit that it was typed in."""
    if field["columns"] and isinstance(written, list) and len(written) == len(field["rows"]):
        for row, raw in zip(field["rows"], written, strict=True):
            for i, column in enumerate(field["columns"]):
                one = raw.get(column["key"]) if isinstance(raw, dict) else raw
                if _is_quantity(one):
                    row[i] = one
    if (
        not _is_quantity(written)
        or not field["set"]
        or field["kind"] != "text"
        or field["only_choices"]
    ):
        return
    field["value"] = written
    if field["in_force"] is not None:
        field["in_force"]["text"] = written


def _as_measured(field: Json, units: str) -> None:
    """Let a usual value stand in its field as the shop measures."""
    force = field["in_force"]
    if field["kind"] == "text" and force is not None and force["from"] == "usual":
        field["value"] = as_measured(field["value"], units)
        force["text"] = as_measured(force["text"], units)


def _name_known(field: Json, shop: Nodes) -> None:
    """Name what a table's keys may be, where its model says which list of the shop has them."""
    if field["names"] is None:
        return
    listed: Node | None = shop
    for key in field["names"]:
        listed = _table(listed).get(key)
    known = [_value_of(one).get("name") for one in _list(listed)]
    field["names"] = {
        "known": [name for name in known if isinstance(name, str)],
        "path": ["shop", *field["names"]],
    }


def _is_quantity(written: Any) -> bool:
    return isinstance(written, str) and _QUANTITY.match(written) is not None


def _tell_what_holds(groups: Iterable[Json]) -> None:
    """Tell with fields that aren't set what holds in their place, where the forms know it."""
    known = {tuple(field["path"]): field for group in groups for field in group["fields"]}
    for path, field in known.items():
        for other in _falls_to(path, field["help"]):
            if field["in_force"] is None and other in known:
                field["in_force"] = known[other]["in_force"]
                if field["in_force"] is None and field["help"] == _AS_IN_SHOP:
                    field["help"] = f"{_AS_IN_SHOP}, where it isn't set: {known[other]['help']}"


def _falls_to(path: Path, about: str) -> Iterator[Path]:
    """Give where a value that isn't set is looked for: a colour's in the order, the order's in the shop.

    :param about: the field's description, which may name a table: ``none = as in [room]``
    """
    if path[0] == "print" and len(path) > 4 and path[2] == "colour":
        yield path[4:]
        yield ("shop", *path[4:])
    elif path[0] != "shop":
        yield ("shop", *path)
    named = _AS_IN.search(about)
    if named is not None:
        yield (named[1], path[-1])
        yield ("shop", named[1], path[-1])


def _from(node: Node | None) -> str:
    """Say where a value comes from: ``usual``, ``log``, ``shop`` or ``order``; of several the nearest."""
    layers: set[str] = set()

    def gather(one: Node | None) -> None:
        if isinstance(one, Leaf):
            layers.add(one.layer)
        else:
            for inner in one.values() if isinstance(one, dict) else one or ():
                gather(inner)

    gather(node)
    if layers <= {"default"}:
        return "usual"
    if layers <= {"default", "log"}:
        return "log"
    return "shop" if layers <= {"default", "log", "shop.toml"} else "order"


def _group(
    title: str,
    of: str,
    model: type[Table],
    nodes: Nodes,
    path: Path,
    choices: Mapping[str, Iterable[str]] = types.MappingProxyType({}),
) -> Json:
    fields = list(_fields(model, nodes, path, choices))
    return {"title": title, "of": of, "path": list(path), "fields": fields}


def _fields(
    model: type[Table],
    nodes: Nodes,
    path: Path,
    choices: Mapping[str, Iterable[str]],
    fixed: Container[str] = _FIXED,
) -> Iterator[Json]:
    for name, info in model.model_fields.items():
        key = info.alias or name
        if key in fixed or _is_list_of(info, "ColourChoice", "Print", "Garment", "Font"):
            continue
        if key in of_shop_only(model):
            continue  # what is set here goes into the order
        node = nodes.get(key)
        inner = _inner_table(info)
        if inner is not None:
            label = _plain(key)
            for field in _fields(inner, _table(node), (*path, key), {}, fixed):
                yield {**field, "label": f"{label}: {field['label']}"}
            continue
        yield _field(key, info, node, (*path, key), choices.get(key, ()))


def _field(key: str, info: FieldInfo, node: Node | None, path: Path, known: Iterable[str]) -> Json:
    kind, choices = _kind_of(info.annotation, info.metadata)
    unit = _unit_of(info.annotation, info.metadata)
    value = None if node is None else _as_share(_value_of(node), unit)
    if kind == "text" and isinstance(value, list | dict):
        kind = "toml"
    return {
        "path": list(path),
        "label": _plain(key),
        "kind": kind,
        "unit": unit,
        "choices": choices or list(known),
        "only_choices": (bool(choices) and kind == "text") or key in _ONLY_IN_STOCK,
        "value": "" if value is None else _text(value),
        "pairs": _pairs(value),
        "named": _is_of_named(info),
        "words": [str(word) for word in value or ()] if kind == "toml" and choices else None,
        **_rows(info, value),
        "set": node is not None and _from(node) not in ("usual", "log"),
        "in_force": None if value is None else {"text": _said(value), "from": _from(node)},
        "help": info.description or "",
        "optional": not info.is_required(),
        "long": _is_long(info),
        "tick": kind == "switch" and info.default is False,
        "names": _names_in(info),
    }


def _names_in(info: FieldInfo) -> list[str] | None:
    """Give where in shop.toml the names stand that a table's keys may be; see ``NAMES_IN``."""
    extra = info.json_schema_extra
    found = extra.get(NAMES_IN) if isinstance(extra, dict) else None
    return [str(key) for key in found] if isinstance(found, list) else None


def _is_long(info: FieldInfo) -> bool:
    """Say whether a text may be longer than a line."""
    parts = [*info.metadata, *(m for one in _options(info.annotation) for m in _metadata(one))]
    return any((getattr(part, "max_length", None) or 0) > _A_LINE for part in parts)


def _is_of_named(info: FieldInfo) -> bool:
    """Say whether a field holds one plain value for each of several names, like the price of each ink."""
    options = [_bare(a) for a in _options(info.annotation) if a is not type(None)]
    if len(options) != 1 or get_origin(options[0]) is not dict:
        return False
    held = [_bare(one) for one in _options(get_args(options[0])[1])]
    return all(one in (int, float, str) for one in held)


def _rows(info: FieldInfo, value: Any) -> Json:
    """Give a list of tables, or of plain values, as rows with a column for each of their settings.

    :return: ``columns``, each ``{"key", "label", "kind", "choices", "required", "help"}`` with an empty key
        where rows are plain values, and ``rows`` of texts; both ``None`` where it is no such list
    """
    options = [a for a in _options(info.annotation) if a is not type(None)]
    lists = [_bare(a) for a in options if get_origin(_bare(a)) in (tuple, list)]
    held = get_args(lists[0])[0] if len(lists) == len(options) == 1 else None
    if held is None or get_origin(_bare(held)) is Literal:
        return {"columns": None, "rows": None}
    bare = _bare(held)
    if isinstance(bare, type) and issubclass(bare, Table):
        columns = [_column(f.alias or name, f) for name, f in bare.model_fields.items()]
        rows = [
            [_text(row[column["key"]]) if column["key"] in row else "" for column in columns]
            for row in value or ()
        ]
    else:
        kind, _ = _kind_of(held, ())
        own = {"key": "", "label": "", "choices": [], "required": True, "help": ""}
        own["unit"] = _unit_of(held, ())
        columns, rows = [{**own, "kind": kind}], [[_text(one)] for one in value or ()]
    return {"columns": columns, "rows": rows}


def _column(key: str, info: FieldInfo) -> Json:
    kind, choices = _kind_of(info.annotation, info.metadata)
    return {
        "key": key,
        "label": _plain(key),
        "kind": kind,
        "unit": _unit_of(info.annotation, info.metadata),
        "choices": choices,
        "required": info.is_required(),
        "help": info.description or "",
    }


def _kind_of(annotation: Any, metadata: Iterable[Any]) -> tuple[str, list[str]]:
    """Say how a value is typed, and what it may be where it is one of a few words."""
    parsed = any(isinstance(part, BeforeValidator) for part in metadata)
    options = [a for a in _options(annotation) if a is not type(None)]
    parsed = parsed or any(isinstance(m, BeforeValidator) for a in options for m in _metadata(a))
    bare = [_bare(option) for option in options]
    literals = [get_args(option) for option in bare if get_origin(option) is Literal]
    if literals and len(literals) == len(bare):
        return "text", [str(word) for words in literals for word in words]
    if bare == [bool]:
        return "switch", []
    if not parsed and bare and all(option in (int, float) for option in bare):
        return "number", []
    if any(get_origin(option) in (tuple, list, dict) for option in bare):
        return "toml", _words_listed(bare)
    return "text", []


def _unit_of(annotation: Any, metadata: Iterable[Any]) -> str:
    """Give the unit of a quantity, or of a table's quantities; empty where a number alone does."""
    options = [one for one in _options(annotation) if one is not type(None)]
    if len(options) == 1 and get_origin(_bare(options[0])) is dict:
        return _unit_of(get_args(_bare(options[0]))[1], ())
    parts = [tuple(metadata) if len(options) == 1 else (), *(_metadata(one) for one in options)]
    found = {part.unit for all_of in parts for part in all_of if isinstance(part, Measured)}
    plain = len(options) > 1 and any(one in (int, float) for one in options)
    return found.pop() if len(found) == 1 and not plain else ""


def _as_share(value: Any, unit: str) -> Any:
    """Write a share that was given as a number as it is typed in its field."""
    if unit == "%" and isinstance(value, int | float) and not isinstance(value, bool):
        return f"{value * 100:.12g} %"
    return value


def _words_listed(options: Iterable[Any]) -> list[str]:
    """Give the words that a list may hold, where it holds words of a few."""
    held = [a for one in options if get_origin(one) in (tuple, list) for a in get_args(one)]
    return [str(word) for one in held if get_origin(one) is Literal for word in get_args(one)]


def _options(annotation: Any) -> list[Any]:
    if get_origin(annotation) in (Union, types.UnionType):
        return [inner for option in get_args(annotation) for inner in _options(option)]
    return [annotation]


def _metadata(annotation: Any) -> tuple[Any, ...]:
    return getattr(annotation, "__metadata__", ())


def _bare(annotation: Any) -> Any:
    return get_args(annotation)[0] if _metadata(annotation) else annotation


def _inner_table(info: FieldInfo) -> type[Table] | None:
    """Give the model of a field that always holds one table."""
    bare = _bare(info.annotation)
    if isinstance(bare, type) and issubclass(bare, Table) and not info.metadata:
        return bare
    return None


def _is_list_of(info: FieldInfo, *names: str) -> bool:
    inner = get_args(_bare(info.annotation))
    return bool(inner) and getattr(inner[0], "__name__", "") in names


def _value_of(node: Node) -> Any:
    """Give plain values of nodes."""
    if isinstance(node, Leaf):
        return node.value
    if isinstance(node, list):
        return [_value_of(item) for item in node]
    return {key: _value_of(item) for key, item in node.items()}


def _pairs(value: Any) -> list[list[str]] | None:
    """Give a table of plain values, like sizes and their counts, as name and text of each."""
    if not isinstance(value, dict) or any(isinstance(v, dict | list) for v in value.values()):
        return None
    return [[key, _text(inner)] for key, inner in value.items()]


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return value
    if isinstance(value, int | float):
        return f"{value:.12g}"
    return inline(value).as_string()


def _said(value: Any) -> str:
    """Give a value as a sentence has it: tables of a list by their names."""
    if isinstance(value, list):
        return ", ".join(_said(one) for one in value)
    if isinstance(value, dict):
        name = value.get("name")
        return str(name) if name else ", ".join(f"{k} {_said(v)}" for k, v in value.items())
    return _text(value)


def _table(node: Node | None) -> Nodes:
    return node if isinstance(node, dict) else {}


def _list(node: Node | None) -> list[Nodes]:
    return node if isinstance(node, list) else []


def _hex(entry: Nodes) -> str:
    leaf = entry.get("hex")
    return str(leaf.value) if isinstance(leaf, Leaf) else ""


def _plain(key: str) -> str:
    return key.replace("_", " ")
