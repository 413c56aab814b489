"""Where what belongs to an order lies in its folder."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

ORDER, RESULT, PICTURES, FILES = "order.toml", "result.json", "pictures", "files"


def listed(folder: Path) -> Iterator[tuple[str, int]]:
    """Give the files made of an order: name inside the folder and size in bytes."""
    where = folder / FILES
    for path in sorted(where.rglob("*")) if where.is_dir() else ():
        if path.is_file():
            yield path.relative_to(where).as_posix(), path.stat().st_size


def kept_in(path: Path, data: bytes) -> None:
    """Write a file at one stroke; one that is there already, named by what it holds, is only touched."""
    if path.exists():
        path.touch()
    else:
        replace(path, data)


def replace(path: Path, data: bytes) -> None:
    """Write a file at one stroke: whoever reads it reads the old one or the new one, whole."""
    new = path.with_name(f"{path.name}.{os.getpid()}.new")
    new.write_bytes(data)
    new.replace(path)
