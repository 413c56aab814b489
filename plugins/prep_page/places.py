"""Where what belongs to an order lies in its folder."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

ORDER, RESULT, PICTURES, FILES = "order.toml", "result.json", "pictures", "files"


def listed(folder: Path) -> Iterator[tuple[str, int]]:
    """Give the files made of an order: name inside the folder and size in bytes."""
    where = folder / FILES
    for path in sorted(where.rglob("*")) if where.is_dir() else ():
        if path.is_file():
            yield path.relative_to(where).as_posix(), path.stat().st_size
