"""Options of ``prep price``. Imports nothing heavy: it runs for every command."""

from __future__ import annotations

from typing import Annotated

import typer

from prep.commands import (
    AsJson,
    GarmentColour,
    Height,
    NoProof,
    OrderFile,
    Sets,
    Shirts,
    ShopFile,
    SolidTints,
    Source,
    Width,
    Without,
    make_request,
)

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
    def price(
        source: Source,
        more: More = 50,
        width: Width = None,
        height: Height = None,
        shirts: Shirts = None,
        garment: GarmentColour = None,
        order: OrderFile = None,
        shop: ShopFile = None,
        sets: Sets = None,
        without: Without = None,
        solid_tints: SolidTints = False,
        no_proof: NoProof = False,
        as_json: AsJson = False,
    ) -> None:
        from prep_price.work import run

        request = make_request(
            source,
            width,
            height,
            shirts,
            garment,
            order,
            shop,
            sets,
            without,
            solid_tints,
            no_proof,
        )
        raise typer.Exit(run(request, more, as_json))
