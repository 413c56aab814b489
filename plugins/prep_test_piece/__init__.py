"""A small piece cut to find the shop's own limits: ladders of details, a form for what is read of them.

Its order goes through the line like any other; ``[test_piece]`` in it brings the form onto the sheet.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from prep.hookspecs import SettingsTables, hookimpl

if TYPE_CHECKING:
    import typer

    from prep.job import Ask, Job
    from prep.sections import Section
    from prep.views import Address, Place, View, ViewPage


@hookimpl
def prep_settings() -> SettingsTables:
    """Declare ``[test_piece]`` of order.toml."""
    from prep_test_piece.settings import PieceOrder

    return SettingsTables(order=PieceOrder)


@hookimpl
def prep_views() -> Iterable[View]:
    """Make a piece from the page."""
    from prep.views import View

    yield View(
        "test-piece", "Test piece", "A piece to cut and read for the limits of this shop.", _page
    )


def _page(address: Address, place: Place) -> ViewPage:
    from prep_test_piece.views import page

    return page(address, place)


@hookimpl
def prep_commands(app: typer.Typer) -> None:
    """Add ``prep test-piece``."""
    from prep_test_piece.command import add

    add(app)


@hookimpl
def prep_sections(job: Job, ask: Ask) -> Iterable[Section]:
    """Give a test piece's own steps, times and tables to fill in; nothing for any other order."""
    from prep_test_piece.settings import PieceOrder

    if job.settings(PieceOrder).mesh is None:
        return ()
    from prep_test_piece.sheet import sections

    return sections(job, ask)
