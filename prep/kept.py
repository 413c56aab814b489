"""Keeps a copy of the drawing when Firstpull itself fails on it, so that it can be reported."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from prep.beside import put_beside
from prep.errors import OurFault


@contextmanager
def kept_on_fault(drawing: Path) -> Iterator[None]:
    """Put a copy of a drawing into the current folder when a fault of ours ends the work on it.

    The original may be mended or deleted before anyone looks into the fault. The worker writes nothing;
    this is for the process that called it.

    :raises OurFault: the fault, its message with where the copy lies, or why there is none
    """
    try:
        yield
    except OurFault as fault:
        told = OurFault(f"{fault}; {_copied(drawing)}")
        for note in getattr(fault, "__notes__", ()):
            told.add_note(note)
        raise told from fault


def _copied(drawing: Path) -> str:
    name = f"{drawing.stem}-fault{drawing.suffix}"
    try:
        copy = put_beside(name, drawing.read_bytes())
    except OSError as error:
        reason = error.strerror or error
        return (
            f"{drawing.name} can't be copied to {name} for the report ({reason}): keep it yourself"
        )
    return f"{drawing.name} is kept for the report as {copy}"
