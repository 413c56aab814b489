"""A page in the browser: drop an artwork on it and go through the job in the order of the work."""

from __future__ import annotations

from typing import TYPE_CHECKING

from prep.hookspecs import hookimpl

if TYPE_CHECKING:
    import typer


@hookimpl
def prep_commands(app: typer.Typer) -> None:
    """Add ``prep page``."""
    from prep_page.command import add

    add(app)
