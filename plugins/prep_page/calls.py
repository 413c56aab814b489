"""What the page asks of its worker. The work itself is loaded there only: the page answers at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import chdir
from pathlib import Path
from typing import TYPE_CHECKING, Any

from prep_page.edits import Change

if TYPE_CHECKING:
    from prep_page.bench import Bench
    from prep_page.filled import Typed
    from prep_page.viewing import Shelf

Say = Callable[[Any], None]
Address = tuple[str, ...]
LeftOut = tuple[int, tuple[str, ...]]
"""A change that can't be made: its number among those asked for, and what to say of it."""


def bench() -> Bench:
    """Make what the worker keeps."""
    from prep_page.bench import Bench

    return Bench()


def shelf() -> Shelf:
    """Make what the worker of the views keeps."""
    from prep_page.viewing import Shelf

    return Shelf()


def views(bench: Bench, say: Say) -> list[dict[str, Any]]:
    """Call :func:`prep_page.viewing.listed`."""
    from prep_page.viewing import listed

    del say
    return listed(bench.shelf)


def show(
    shelf: Shelf, say: Say, *, shop: Path | None, beside: Path, name: str, address: Address
) -> dict[str, Any]:
    """Call :func:`prep_page.viewing.shown` for a page about no order."""
    from prep_page.viewing import shown

    del say
    with chdir(beside):
        return shown(shelf, name, address, shop=shop, line=None, folder=beside)


def take(
    shelf: Shelf,
    say: Say,
    *,
    shop: Path | None,
    beside: Path,
    name: str,
    address: Address,
    form: str,
    typed: Mapping[str, Typed],
    key: str,
) -> dict[str, Any]:
    """Call :func:`prep_page.viewing.taken` for a page about no order."""
    from prep_page.viewing import taken

    del say
    with chdir(beside):
        return taken(
            shelf, name, address, form, typed, shop=shop, line=None, folder=beside, key=key
        )


def show_of_order(bench: Bench, say: Say, *, folder: Path, **asked: Any) -> dict[str, Any]:
    """Call :func:`prep_page.bench.show_of_order`."""
    from prep_page import bench as work

    with chdir(folder):
        return work.show_of_order(bench, say, folder=folder, **asked)


def take_of_order(bench: Bench, say: Say, *, folder: Path, **asked: Any) -> dict[str, Any]:
    """Call :func:`prep_page.bench.take_of_order`."""
    from prep_page import bench as work

    with chdir(folder):
        return work.take_of_order(bench, say, folder=folder, **asked)


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
