"""Words to the printer: data to standard output, progress and messages to standard error."""

from __future__ import annotations

import contextlib
import re
import shutil
import sys
from collections.abc import Iterator, Sequence
from typing import Protocol

_LEAST_COLUMNS = 60
# controls but line feed and tab, lone surrogates, and what turns the direction of writing
_STEERS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\u202a-\u202e\u2066-\u2069]")
_ENDS = re.compile(r"[\t\n\x0b\x0c\r\x1c-\x1e\x85\u2028\u2029]")


class Tell(Protocol):
    """How long work says what it is doing: ``tell("measuring", 2, 4)``."""

    def __call__(self, step: str, done: int = 0, of: int = 0) -> None:
        """Say the step, and how many parts of it are done where that is known."""
        ...


def silent(step: str, done: int = 0, of: int = 0) -> None:
    """Say nothing; a :class:`Tell` for callers that show no progress."""
    del step, done, of


def prepare_streams() -> None:
    """Make output survive terminals that can't show every character."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


def out(text: str = "") -> None:
    """Print a line of data."""
    print(_plain(text), file=sys.stdout)


def out_table(head: Sequence[str], rows: Sequence[Sequence[str]], align: str = "") -> None:
    """Print rows under a head; stacked, one value a line, where the terminal is narrow.

    :param align: ``l`` or ``r`` for each column; empty = all left
    """
    columns = shutil.get_terminal_size((100, 24)).columns
    align = align or "l" * len(head)
    cells = [[_plain(on_one_line(c)) for c in row] for row in (head, *rows)]
    widths = [max(len(row[i]) for row in cells) for i in range(len(head))]
    if columns < _LEAST_COLUMNS or sum(widths) + 2 * len(widths) > max(columns, _LEAST_COLUMNS):
        for row in cells[1:]:
            for title, cell in zip(cells[0], row, strict=True):
                out(f"{title}: {cell}" if title else cell)
            out()
        return
    for number, row in enumerate(cells):
        line = "  ".join(
            cell.rjust(width) if side == "r" else cell.ljust(width)
            for cell, width, side in zip(row, widths, align, strict=True)
        )
        out(line.rstrip())
        if number == 0:
            out("  ".join("-" * width for width in widths))


def say(text: str) -> None:
    """Print a message on standard error."""
    print(_plain(text), file=sys.stderr)


def on_one_line(text: str) -> str:
    """Write what would end a line, or move along it, as JSON escapes it."""
    return _ENDS.sub(_escaped, text)


def _escaped(sign: re.Match[str]) -> str:
    return f"\\u{ord(sign[0]):04x}"


def _plain(text: str) -> str:
    """Escape signs that would steer a terminal, and replace those that an old one can't show.

    Escapes are those of JSON, so that a document with such signs in it is still one.
    """
    text = _STEERS.sub(_escaped, text)
    encoding = (getattr(sys.stdout, "encoding", None) or "ascii").lower()
    if encoding.replace("-", "").startswith("utf"):
        return text
    for sign, plain in (("²", "2"), ("³", "3"), ("×", "x"), ("µ", "u"), ("°", ""), ("…", "...")):
        text = text.replace(sign, plain)
    return text.replace("–", "-").replace("≥", ">=").replace("≤", "<=").replace("→", "->")


@contextlib.contextmanager
def progress() -> Iterator[Tell]:
    """Show long work on standard error while it runs; on a terminal only."""
    if not sys.stderr.isatty():
        yield silent
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    with Progress(
        SpinnerColumn(),
        TextColumn("{task.description}"),
        BarColumn(bar_width=24),
        TimeElapsedColumn(),
        console=Console(stderr=True),
        transient=True,
    ) as bar:
        task = bar.add_task("", total=None)

        def tell(step: str, done: int = 0, of: int = 0) -> None:
            bar.update(task, description=step, completed=done, total=of or None)

        yield tell
