"""Copies of a run's drawings and fonts beside the log, for runs whose own files won't stay."""

from __future__ import annotations

import hashlib
import os
import tempfile
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import tomlkit

from prep.errors import OutputError
from prep_log.entries import Run


def folder_beside(log: Path) -> Path:
    """Give the folder in which the log's copies lie."""
    return log.with_name(f"{log.stem}-files")


def with_copies(run: Run, log: Path) -> Run:
    """Copy the files that a run's order names beside the log, and give the run that names the copies.

    A file of the same content is copied once.

    :raises OutputError: one can't be read or copied
    """
    order = tomlkit.parse(run.order)
    folder, moved = folder_beside(log), dict[str, str]()
    for table, key in (("print", "artwork"), ("font", "file")):
        for entry in order.get(table, ()):
            if key in entry:
                named = str(entry[key])
                if named not in moved:
                    moved[named] = str(_copied(Path(named), folder))
                entry[key] = moved[named]
    setups = tuple(
        replace(setup, artwork=moved.get(setup.artwork, setup.artwork)) for setup in run.setups
    )
    return replace(run, order=tomlkit.dumps(order), setups=setups)


def _copied(file: Path, folder: Path) -> Path:
    try:
        data = file.read_bytes()
        digest = hashlib.sha256(data).hexdigest()[:16]
        name = file.name
        while name.startswith(f"{digest}-"):  # a copy already
            name = name.removeprefix(f"{digest}-")
        copy = folder / f"{digest}-{name}"
        if copy.exists() and copy.read_bytes() == data:
            return copy
        folder.mkdir(parents=True, exist_ok=True)
        handle, unfinished = tempfile.mkstemp(prefix=".unfinished-", dir=folder)
        try:
            with os.fdopen(handle, "wb") as out:
                out.write(data)
                out.flush()
                os.fsync(out.fileno())
            os.replace(unfinished, copy)
        except BaseException:
            with suppress(OSError):
                os.unlink(unfinished)
            raise
    except OSError as error:
        raise OutputError(
            f"can't be copied beside the log: {error.strerror or error}",
            where=str(file),
            do="make room and see that the log's folder may be written; nothing was entered",
        ) from error
    return copy
