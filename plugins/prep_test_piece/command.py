"""Options of ``prep test-piece``. Imports nothing heavy: it runs for every command."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from prep.commands import ShopFile, Without

Meshes = Annotated[
    list[str] | None,
    typer.Option(
        "--mesh", metavar="NAME", help="mesh to try, as shop.toml names it; again for each"
    ),
]
Ink = Annotated[str | None, typer.Option("--ink", metavar="NAME", help="ink it is printed with")]
Out = Annotated[
    Path, typer.Option("--out", metavar="FOLDER", help="to write a folder for each mesh into")
]


def add(app: typer.Typer) -> None:
    """Add the command."""

    @app.command(
        "test-piece",
        help="A piece to cut, print and read: from it follow the shop's own limits.",
    )
    def test_piece(
        mesh: Meshes = None,
        ink: Ink = None,
        out: Out = Path("test-piece"),
        shop: ShopFile = None,
        without: Without = None,
    ) -> None:
        from prep_test_piece.making import make

        make(tuple(mesh or ()), ink, out, shop, tuple(without or ()))
