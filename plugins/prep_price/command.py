"""Options of ``prep price``. Imports nothing heavy: it runs for every command."""

from __future__ import annotations

from typing import Annotated

import typer

from prep.commands import AsJson, on_a_job
from prep.request import Request

_MOST = 1_000_000


def _count(text: str | int) -> int:
    said = str(text).strip()
    if not said.isdecimal() or not 1 <= int(said) <= _MOST:
        raise typer.BadParameter(
            f'"{said}" is no count of shirts from 1 to {_MOST}; write it like 50'
        )
    return int(said)


More = Annotated[
    int,
    typer.Option(
        "--more", parser=_count, metavar="NUMBER", help="shirts more, whose price is told too"
    ),
]


def add(app: typer.Typer) -> None:
    """Add the command."""

    @app.command("price", help="What the job costs, and what one colour less would change.")
    @on_a_job
    def price(request: Request, more: More = 50, *, as_json: AsJson = False) -> None:
        from prep_price.work import run

        raise typer.Exit(run(request, more, as_json))
