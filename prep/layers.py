"""Settings before they are checked: files and options laid over each other, each value with its origin.

The whole lies in one tree of plain values in the shape of order.toml, the shop under ``shop``. A later
layer wins key by key; a list is replaced as a whole.
"""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from prep.errors import SettingsError

Layer = Literal["default", "log", "shop.toml", "order.toml", "command line"]
KeyPath = tuple[str | int, ...]

_LARGEST_FILE = 1_000_000  # bytes; a settings file of a megabyte is something else
_PART = r'(?:"[^"]*"|[^."=\s][^."=]*)'
_ASSIGNMENT = re.compile(rf"\s*({_PART}(?:\.{_PART})*)\s*=\s*(.*?)\s*", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a value came from.

    :param layer: which of the layers
    :param where: file or option as a person would name it
    :param typed: ``KEY=VALUE`` as typed, for a value of ``--set``
    :param value: its part after the ``=``
    """

    layer: Layer
    where: str = ""
    typed: str | None = None
    value: str = ""


DEFAULT = Origin("default")


class Tree:
    """Layered values and their origins."""

    def __init__(self) -> None:
        """Start with nothing set."""
        self.values: dict[str, Any] = {}
        self._origins: dict[KeyPath, Origin] = {}

    def overlay(self, path: KeyPath, value: Any, origin: Origin) -> None:
        """Lay a value over what stands at ``path``; tables are laid over key by key."""
        if isinstance(value, Mapping):
            there = self.get(path) if path else self.values
            if isinstance(there, dict):
                for key, inner in value.items():
                    self.overlay((*path, key), inner, origin)
                return
        holder: Any = self.values
        for depth, part in enumerate(path[:-1]):
            inner = holder[part] if isinstance(part, int) else holder.get(part)
            if not isinstance(inner, dict | list):
                inner = {}
                self._put(holder, path[: depth + 1], inner, origin)
            holder = inner
        self._put(holder, path, copy.deepcopy(value), origin)

    def _put(self, holder: Any, path: KeyPath, value: Any, origin: Origin) -> None:
        if path[-1] == len(holder) and isinstance(holder, list):
            holder.append(value)
        else:
            holder[path[-1]] = value
        for known in [p for p in self._origins if p[: len(path)] == path]:
            del self._origins[known]
        self._origins[path] = origin

    def remove(self, path: KeyPath) -> None:
        """Take away what stands at ``path``, if anything."""
        holder = self.get(path[:-1])
        if isinstance(holder, dict):
            holder.pop(path[-1], None)

    def get(self, path: KeyPath) -> Any:
        """Give what stands at ``path``, ``None`` when nothing does."""
        found: Any = self.values
        for part in path:
            if isinstance(found, dict):
                found = found.get(part)
            elif isinstance(found, list) and isinstance(part, int) and part < len(found):
                found = found[part]
            else:
                return None
        return found

    def origin(self, path: KeyPath) -> Origin:
        """Give the origin of what stands at ``path``; of the table around it when nothing does."""
        for length in range(len(path), 0, -1):
            if path[:length] in self._origins:
                return self._origins[path[:length]]
        return DEFAULT

    def file_of(self, layer: str) -> str:
        """Give the file a layer was read from, as it was named; the layer where no file was read."""
        found = (o.where for o in self._origins.values() if o.layer == layer)
        return next(found, layer) if layer in ("shop.toml", "order.toml") else layer

    def layer_of(self, path: KeyPath) -> Layer:
        """Give the layer a value in force came from.

        What a table made of a plain value, as a plugin may, came from where the value did.
        """
        for length in range(len(path), 0, -1):
            found = self.get(path[:length])
            if found is not None:
                whole = length == len(path) or not isinstance(found, dict | list)
                return self.origin(path[:length]).layer if whole else "default"
        return "default"

    def layers_under(self, path: KeyPath) -> set[Layer]:
        """Give the layers that anything at a path or below it came from."""
        return {origin.layer for one, origin in self._origins.items() if one[: len(path)] == path}

    def typed(self, key: str) -> str | None:
        """Give ``KEY=VALUE`` of ``--set`` that set what stands at a dotted key, or the table around it."""
        for path, origin in self._origins.items():
            if origin.typed is None:
                continue
            said = origin.typed.partition("=")[0].strip()
            if said == key:  # a colour's, which stands elsewhere in the tree
                return origin.typed
            whole = ".".join(map(str, path))
            # a table that was made to hold a typed value bears its origin, and wasn't typed itself
            if not whole.endswith(said):
                continue
            if key == whole or key.startswith((f"{whole}.", f"{whole}[")):
                return origin.typed
        return None

    def tables(self, *path: str | int) -> Iterator[tuple[KeyPath, dict[str, Any]]]:
        """Give each table of a list of tables, passing over what isn't one."""
        found = self.get(path)
        for number, item in enumerate(found if isinstance(found, list) else ()):
            if isinstance(item, dict):
                yield (*path, number), item


def read_toml(path: Path, *, what: str) -> dict[str, Any]:
    """Read a settings file.

    :param what: what the file is to be, for the message: ``order``, ``shop``
    :raises SettingsError: missing, a folder, unreadable, not UTF-8, not TOML (with its line)
    """
    where = str(path)
    problem = missing_file(path)
    if problem is not None:
        raise SettingsError(problem, where=where, do=f"give the {what}'s .toml file")
    try:
        with path.open("rb") as file:
            data = file.read(_LARGEST_FILE + 1)
    except OSError as error:
        raise SettingsError(f"can't be read: {error.strerror or error}", where=where) from error
    if len(data) > _LARGEST_FILE:
        raise SettingsError(f"is too large for the {what}'s file", where=where, do="check its name")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise SettingsError(
            "is not UTF-8 text", where=f"{where}, line {line}", do="save it as UTF-8"
        ) from error
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _toml_error(str(error), where, text) from error
    except RecursionError as error:
        raise SettingsError("is nested too deeply", where=where) from error


def _toml_error(message: str, where: str, text: str) -> SettingsError:
    found = re.fullmatch(r"(.*?) \(at (?:line (\d+), column (\d+)|end of document)\)", message)
    if found is None:
        return SettingsError(f"is not TOML: {message}", where=where)
    line = int(found[2]) if found[2] else text.count("\n") + 1
    column = f", column {found[3]}" if found[3] else ""
    return SettingsError(
        f"is not TOML: {found[1][:1].lower()}{found[1][1:]}",
        where=f"{where}, line {line}{column}",
        do='text stands in quotes, like width = "280 mm"',
    )


def read_assignment(text: str) -> tuple[tuple[str, ...], Any, Origin]:
    """Read ``ink.reserve=15%`` as the key's parts, the value and its origin.

    The value is taken as TOML where it is TOML (``3``, ``true``, ``["front"]``), else as text.

    :raises SettingsError: not KEY=VALUE
    """
    found = _ASSIGNMENT.fullmatch(text)
    if found is None or not text.isprintable():
        raise SettingsError(
            "is not KEY=VALUE", where=f"--set {text}", do="write it like --set ink.reserve=15%"
        )
    parts = tuple(part.strip().strip('"') for part in re.findall(_PART, found[1]))
    return parts, _value(found[2]), Origin("command line", "--set", text, found[2])


def _value(text: str) -> Any:
    try:
        read = tomllib.loads(f"value = {text}")
    except (tomllib.TOMLDecodeError, RecursionError):
        return text
    value = read["value"]
    # a date is a label to us: 12-05-07 may well be a mesh or an ink
    return value if isinstance(value, bool | int | float | str | list | dict) else text


def missing_file(path: Path) -> str | None:
    """Say why a file can't be read, ``None`` when nothing speaks against it."""
    try:
        if path.is_dir():
            return "is a folder"
        if not path.exists():
            return "there is no such file"
        return None if path.is_file() else "is not a plain file"
    except (OSError, ValueError) as error:  # ValueError: a zero byte in the name
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        return f"can't be read: {reason}"
