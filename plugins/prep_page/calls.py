"""What the page asks of its worker. The work itself is loaded there only: the page answers at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import chdir
from pathlib import Path
from typing import TYPE_CHECKING, Any

from prep_page.edits import Change

if TYPE_CHECKING:
    from prep_page.bench import Bench

Say = Callable[[Any], None]
LeftOut = tuple[int, tuple[str, ...]]
"""A change that can't be made: its number among those asked for, and what to say of it."""


def bench() -> Bench:
    """Make what the worker keeps."""
    from prep_page.bench import Bench

    return Bench()


def warm(bench: Bench, say: Say, *, folder: Path, shop: Path | None) -> None:
    """Call :func:`prep_page.bench.warm`."""
    from prep_page import bench as work

    with chdir(folder):
        work.warm(bench, say, folder=folder, shop=shop)


def reckon(
    bench: Bench,
    say: Say,
    *,
    folder: Path,
    shop: Path | None,
    changes: Sequence[Change],
    shown: int,
) -> tuple[LeftOut, ...]:
    """Call :func:`prep_page.bench.reckon`."""
    from prep_page import bench as work

    with chdir(folder):
        return work.reckon(bench, say, folder=folder, shop=shop, changes=changes, shown=shown)


def make_files(bench: Bench, say: Say, *, folder: Path, shop: Path | None) -> tuple[LeftOut, ...]:
    """Call :func:`prep_page.bench.make_files`; no change is left out by it."""
    from prep_page import bench as work

    with chdir(folder):
        work.make_files(bench, say, folder=folder, shop=shop)
    return ()


def forget(bench: Bench, say: Say, *, folder: Path) -> None:
    """Call :func:`prep_page.bench.forget`; the folder may be gone."""
    from prep_page import bench as work

    work.forget(bench, say, folder=folder)
