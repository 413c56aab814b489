"""Every setting in force, written as one order.toml that gives the same settings when read again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Union

import tomlkit
from tomlkit.items import AoT, Item
from tomlkit.items import Table as TomlTable

from prep.layers import KeyPath, Layer, Tree
from prep.refusals import dotted
from prep.tables import Table

if TYPE_CHECKING:
    from tomlkit.container import Container


@dataclass(frozen=True, slots=True)
class Leaf:
    """A value as TOML writes it, and the layer it came from."""

    value: Any
    layer: Layer


Node = Union[Leaf, "Nodes", list["Nodes"]]
Nodes = dict[str, Node]


def nodes_of(table: Table, path: KeyPath, tree: Tree) -> Nodes:
    """Give a settings table as nodes, keys as in TOML, with the origin of every value.

    :param path: where the table stands in the tree
    """
    dumped = table.model_dump(mode="json", by_alias=True, exclude_none=True)
    made: Nodes = {}
    for name, field in type(table).model_fields.items():
        key = field.alias or name
        if key in dumped:
            made[key] = _node(getattr(table, name), dumped[key], (*path, key), tree)
    return made


def _node(value: object, dumped: Any, path: KeyPath, tree: Tree) -> Node:
    if isinstance(value, Table):
        return nodes_of(value, path, tree)
    if isinstance(value, tuple | list) and value:
        tables = [item for item in value if isinstance(item, Table)]
        if len(tables) == len(value):
            return [nodes_of(item, (*path, i), tree) for i, item in enumerate(tables)]
    if isinstance(value, Mapping) and any(isinstance(item, Table) for item in value.values()):
        return {key: _node(item, dumped[key], (*path, key), tree) for key, item in value.items()}
    return Leaf(dumped, tree.layer_of(path))


def raw_node(value: Any, path: KeyPath, tree: Tree) -> Node:
    """Give a table nobody checks, of a plugin left out, as nodes."""
    if isinstance(value, dict):
        return {key: raw_node(item, (*path, key), tree) for key, item in value.items()}
    if isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
        return [
            {key: raw_node(part, (*path, i, key), tree) for key, part in item.items()}
            for i, item in enumerate(value)
        ]
    return Leaf(value, tree.layer_of(path))


def without(nodes: Nodes, paths: Iterable[KeyPath]) -> None:
    """Take values out of nodes: keys of tables, entries of lists. What isn't there stays away."""
    gone: dict[KeyPath, set[str | int]] = {}
    for path in paths:
        gone.setdefault(path[:-1], set()).add(path[-1])
    for path, keys in gone.items():
        holder: Any = nodes
        for key in path:
            holder = holder.get(key) if isinstance(holder, dict) else None
        if isinstance(holder, dict):
            for key in keys:
                holder.pop(key, None)
            continue
        # the place in the table above: a list is replaced as a whole
        table: Any = nodes
        for key in path[:-1]:
            table = table.get(key, {}) if isinstance(table, dict) else {}
        listed = holder.value if isinstance(holder, Leaf) else holder
        if isinstance(listed, list):
            kept = [item for number, item in enumerate(listed) if number not in keys]
            table[path[-1]] = replace(holder, value=kept) if isinstance(holder, Leaf) else kept


def origins_of(nodes: Node, path: KeyPath = ()) -> Iterator[tuple[str, Layer]]:
    """Give the dotted path of every value with its layer."""
    if isinstance(nodes, Leaf):
        yield dotted(path), nodes.layer
    elif isinstance(nodes, list):
        for number, item in enumerate(nodes):
            yield from origins_of(item, (*path, number))
    else:
        for key, node in nodes.items():
            yield from origins_of(node, (*path, key))


def write_toml(nodes: Nodes, *, head: str) -> str:
    """Write nodes as TOML. What they came from isn't written: read again and written, it is the same.

    :param head: comment at the top
    """
    document = tomlkit.document()
    for line in head.splitlines():
        document.add(tomlkit.comment(line))
    document.add(tomlkit.nl())
    _fill(document, nodes)
    return tomlkit.dumps(document)


def _fill(holder: Container | TomlTable, nodes: Nodes) -> None:
    """Add values first, then tables, then lists of tables: TOML has no way back to the outer table."""
    for key, node in nodes.items():
        if isinstance(node, Leaf):
            holder.append(key, inline(node.value))
    for key, node in nodes.items():
        if isinstance(node, dict):
            table = tomlkit.table()
            _fill(table, node)
            holder.append(key, table)
    for key, node in nodes.items():
        if isinstance(node, list):
            holder.append(key, _tables(node))


def inline(value: Any) -> Item:
    """Give a plain value as TOML writes it on one line."""
    if isinstance(value, dict):
        table = tomlkit.inline_table()
        for key, inner in value.items():
            table.append(key, inline(inner))
        return table
    if isinstance(value, list):
        array = tomlkit.array()
        for inner in value:
            array.append(inline(inner))
        return array
    plain: Item = tomlkit.item(value)
    return plain


def _tables(nodes: list[Nodes]) -> AoT:
    made = tomlkit.aot()
    for node in nodes:
        table = tomlkit.table()
        _fill(table, node)
        made.append(table)
    return made
