"""Options of ``prep mix``. Imports nothing heavy: it runs for every command."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path
from typing import Annotated, Any

import typer
from typer.core import TyperCommand

from prep.commands import AsJson, Sets, ShopFile, Without
from prep.errors import InputError

Ink = Annotated[
    str, typer.Argument(metavar="INK", help="a recipe or ink of shop.toml, or a name for --part")
]
Amount = Annotated[
    str,
    typer.Argument(
        metavar="AMOUNT",
        help='of the whole mix: "250 g", "8 oz" (by weight), "250 ml", "8 fl oz"',
    ),
]
PartOptions = Annotated[
    list[str] | None,
    typer.Option(
        "--part", metavar="NAME=PARTS", help='a part, like "clear base=94"; again for each'
    ),
]
ByWhat = Annotated[str, typer.Option("--by", metavar="mass|volume", help="what --part counts")]
AddOptions = Annotated[
    list[str] | None,
    typer.Option(
        "--add",
        metavar="NAME[=SHARE]",
        help='an additive of shop.toml, like "retarder=2.5 %", on top of the recipe\'s; without a share,'
        " its usual one",
    ),
]
AlreadyOptions = Annotated[
    list[str] | None,
    typer.Option("--already", metavar="NAME=MASS", help='in the pot already, like "retarder=2 g"'),
]
PreMixOption = Annotated[
    bool,
    typer.Option("--pre-mix", help="weigh doses too small for the balance by way of a pre-mix"),
]
PdfFile = Annotated[
    Path | None, typer.Option("--pdf", metavar="FILE", help="print it on one page, to be filled in")
]


@dataclass(frozen=True, slots=True)
class MixRequest:
    """What was typed, nothing checked yet."""

    ink: str
    amount: str
    parts: tuple[str, ...] = ()
    by: str = "mass"
    add: tuple[str, ...] = ()
    already: tuple[str, ...] = ()
    pre_mix: bool = False
    pdf: Path | None = None
    shop: Path | None = None
    sets: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    as_json: bool = False


class _MixCommand(TyperCommand):
    """Refuses an amount with a minus before it is taken for an option."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read what was typed.

        :raises InputError: an amount is negative
        """
        for text in takewhile("--".__ne__, args):
            if text[:1] == "-" and text[1:2].isdigit():
                raise InputError(
                    "an amount must be more than 0",
                    where=text,
                    do='write a mass like "250 g" or "8 oz", or a volume like "250 ml" or "8 fl oz"',
                )
        return super().parse_args(ctx, args)


def add(app: typer.Typer) -> None:
    """Add the command."""

    @app.command(
        "mix", cls=_MixCommand, help="What to weigh for an amount of ink, without an artwork."
    )
    def mix(
        ink: Ink,
        amount: Amount,
        part: PartOptions = None,
        by: ByWhat = "mass",
        add: AddOptions = None,
        already: AlreadyOptions = None,
        pre_mix: PreMixOption = False,
        pdf: PdfFile = None,
        shop: ShopFile = None,
        sets: Sets = None,
        without: Without = None,
        as_json: AsJson = False,
    ) -> None:
        from prep_mix.weighing_out import run

        run(
            MixRequest(
                ink=ink,
                amount=amount,
                parts=tuple(part or ()),
                by=by,
                add=tuple(add or ()),
                already=tuple(already or ()),
                pre_mix=pre_mix,
                pdf=pdf,
                shop=shop,
                sets=tuple(sets or ()),
                without=tuple(without or ()),
                as_json=as_json,
            )
        )
