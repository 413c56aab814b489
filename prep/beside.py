"""Files put into the current folder beside the work: never over a file that is there."""

from __future__ import annotations

import itertools
from pathlib import Path


def put_beside(name: str, data: bytes) -> Path:
    """Write a file under its name, or under the next number where another file has that name.

    A file that holds just this already is left as it is, so that the same run twice leaves one.

    :param name: like ``boat-fault.svg``; the next is ``boat-fault (2).svg``
    :return: where it lies
    :raises OSError: it can't be written
    """
    wanted = Path(name)
    others = (wanted.with_name(f"{wanted.stem} ({n}){wanted.suffix}") for n in itertools.count(2))
    for file in itertools.chain((wanted,), others):
        try:
            with file.open("xb") as out:
                out.write(data)
        except FileExistsError:
            if not _holds(file, data):
                continue
        return file
    raise AssertionError("numbers don't end")


def _holds(file: Path, data: bytes) -> bool:
    try:
        return file.is_file() and file.stat().st_size == len(data) and file.read_bytes() == data
    except OSError:
        return False
