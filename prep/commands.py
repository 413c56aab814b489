"""How a subcommand that works on a job takes its options: one place, so that all take the same."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Protocol

import typer

from prep.request import Request

Source = Annotated[
    Path,
    typer.Argument(metavar="ARTWORK|ORDER.toml", help="an SVG, or the order that names one"),
]
Width = Annotated[
    str | None, typer.Option(metavar="LENGTH", help='width of the print, like "280 mm" or "11 in"')
]
Height = Annotated[
    str | None,
    typer.Option(
        metavar="LENGTH", help="height of the print; with a width too, it fits inside both"
    ),
]


def _count(text: str) -> int:
    if not text.strip().isdecimal():
        raise typer.BadParameter(f'"{text}" is no count of shirts; write it like 48')
    return int(text)


Shirts = Annotated[
    int | None, typer.Option(parser=_count, metavar="NUMBER", help="how many shirts")
]
GarmentColour = Annotated[
    str | None,
    typer.Option(
        "--garment", metavar="COLOUR", help='colour of the garment, like "#203040" or navy'
    ),
]
OrderFile = Annotated[Path | None, typer.Option("--order", help="order.toml for a bare artwork")]
ShopFile = Annotated[Path | None, typer.Option("--shop", help="shop.toml: meshes, film, inks ...")]
Sets = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="KEY=VALUE", help="change one setting, like ink.reserve=15%"),
]
Without = Annotated[
    list[str] | None, typer.Option("--without", metavar="NAME", help="leave a plugin out")
]
SolidTints = Annotated[
    bool,
    typer.Option(
        "--solid-tints",
        help="print translucent colours solid, as they show on the garment, each new one as an ink",
    ),
]
NoProof = Annotated[
    bool,
    typer.Option("--no-proof", help="don't compare what was read with an independent rendering"),
]
AsJson = Annotated[bool, typer.Option("--json", help="one JSON document on standard output")]
Pictures = Annotated[
    Path | None,
    typer.Option(metavar="FOLDER", help="write pictures of the widths into this folder too"),
]
LimitsOfWidth = Annotated[
    list[str] | None,
    typer.Option(
        "--limit",
        metavar="WIDTH",
        help='limit between classes of width, like "0.4 mm"; give it again for each',
    ),
]


class RunsAJob(Protocol):
    """What a command does: reads the request, prints, and gives the exit status."""

    def __call__(self, request: Request, as_json: bool) -> int:
        """Run the command."""
        ...


def job_command(app: typer.Typer, name: str, *, help: str, run: RunsAJob) -> None:  # noqa: A002  # as typer calls it
    """Add a subcommand that takes an artwork or an order and the common options.

    :param run: called with the request and whether JSON is wanted; gives the exit status
    """

    def command(
        source: Source,
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
        raise typer.Exit(run(request, as_json))

    app.command(name, help=help)(command)


def job_folder_command(
    app: typer.Typer,
    name: str,
    *,
    help: str,  # noqa: A002  # as typer calls it
    run: Callable[[Request, Path | None], int],
    ending: str | None = None,
) -> None:
    """Add a subcommand that writes a folder (``--out``) instead of printing data.

    :param run: called with the request and the folder, ``None`` where none is given; gives the exit status
    :param ending: of the folder written where none is given; ``None`` = the subcommand's name
    """
    said = f"folder to write; default: ./NAME-{name if ending is None else ending}"
    folder: Path | None = typer.Option(None, help=said)

    def command(
        source: Source,
        out: Path | None = folder,
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
    ) -> None:
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
        raise typer.Exit(run(request, out))

    app.command(name, help=help)(command)


def measure_command(
    app: typer.Typer,
    name: str,
    *,
    help: str,  # noqa: A002  # as typer calls it
    run: Callable[[Request, bool, Path | None, tuple[str, ...]], int],
) -> None:
    """Add the subcommand that shows measures, with pictures (``--pictures``) where asked.

    :param run: called with the request, whether JSON is wanted, the folder for pictures and the
        limits between classes of width as written; gives the exit status
    """

    def command(
        source: Source,
        pictures: Pictures = None,
        limits: LimitsOfWidth = None,
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
        raise typer.Exit(run(request, as_json, pictures, tuple(limits or ())))

    app.command(name, help=help)(command)


def make_request(
    source: Path,
    width: str | None,
    height: str | None,
    shirts: int | None,
    garment: str | None,
    order: Path | None,
    shop: Path | None,
    sets: list[str] | None,
    without: list[str] | None,
    solid_tints: bool,
    no_proof: bool,
) -> Request:
    """Put the common options together."""
    return Request(
        source=source,
        order=order,
        shop=shop,
        width=width,
        height=height,
        shirts=shirts,
        garment=garment,
        sets=tuple(sets or ()),
        without=tuple(without or ()),
        solid_tints=solid_tints,
        no_proof=no_proof,
    )
