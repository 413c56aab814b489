"""What an order asks for that nobody here knows: a newer version's setting, an absent plugin's table."""

from __future__ import annotations

import re

from prep.errors import PrepError, SettingsError
from prep_page.edits import Path
from prep_page.places import ORDER

_UNKNOWN = ("there is no such key", "there is no such table")
_PART = re.compile(r"(?:^|\.)([A-Za-z0-9_-]+)|\[(\d+)\]")


def unknown_in(error: PrepError) -> tuple[Path, ...]:
    """Give the settings of order.toml that an error calls unknown, so that they can be left out.

    :return: empty where anything else is wrong too: leaving these out would not do then
    """
    if not isinstance(error, SettingsError):
        return ()
    paths = [_path_of(one) for one in (error, *error.more)]
    return tuple(path for path in paths if path) if all(paths) else ()


def _path_of(error: SettingsError) -> Path:
    name, _, problem = error.what.partition(": ")
    if error.where != ORDER or not problem.startswith(_UNKNOWN):
        return ()
    path: list[str | int] = []
    at = 0
    for part in _PART.finditer(name):
        if part.start() != at:
            return ()
        at = part.end()
        path.append(part[1] if part[1] is not None else int(part[2]) - 1)
    return tuple(path) if at == len(name) else ()
