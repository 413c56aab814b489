"""How a subcommand that works on a job takes its options: one place, so that all take the same."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, Protocol

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


def on_a_job(command: Callable[..., None]) -> Callable[..., None]:
    """Let a function be a subcommand that takes an artwork or an order and the common options.

    :param command: takes these put together as its first argument, ``request``; its options of its own
        stand behind the artwork, those after a ``*`` behind the common ones
    """
    _, *own = inspect.signature(command, eval_str=True).parameters.values()
    source, *common = inspect.signature(_request, eval_str=True).parameters.values()
    last = [one for one in own if one.kind is inspect.Parameter.KEYWORD_ONLY]
    first = [one for one in own if one not in last]
    taken = [source, *first, *common, *last]

    def run(**given: Any) -> None:
        request = _request(**{one.name: given.pop(one.name) for one in (source, *common)})
        command(request, **given)

    run.__signature__ = inspect.Signature(  # type: ignore[attr-defined]  # as typer reads it
        [one.replace(kind=inspect.Parameter.KEYWORD_ONLY) for one in taken]
    )
    run.__annotations__ = {one.name: one.annotation for one in taken}
    return run


def job_command(app: typer.Typer, name: str, *, help: str, run: RunsAJob) -> None:  # noqa: A002  # as typer calls it
    """Add a subcommand that takes an artwork or an order and the common options.

    :param run: called with the request and whether JSON is wanted; gives the exit status
    """

    def command(request: Request, *, as_json: AsJson = False) -> None:
        raise typer.Exit(run(request, as_json))

    app.command(name, help=help)(on_a_job(command))


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

    def command(request: Request, out: Path | None = folder) -> None:
        raise typer.Exit(run(request, out))

    app.command(name, help=help)(on_a_job(command))


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
        request: Request,
        pictures: Pictures = None,
        limits: LimitsOfWidth = None,
        *,
        as_json: AsJson = False,
    ) -> None:
        raise typer.Exit(run(request, as_json, pictures, tuple(limits or ())))

    app.command(name, help=help)(on_a_job(command))


def _request(
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
