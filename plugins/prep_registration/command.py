"""Options of ``prep register-test``. Imports nothing heavy: it runs for every command."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

Screens = Annotated[int, typer.Option(metavar="NUMBER", help="screens to line up, 2 to 8")]
Width = Annotated[str, typer.Option(metavar="LENGTH", help="of the print, like that of usual jobs")]
Step = Annotated[
    str,
    typer.Option(
        metavar="LENGTH",
        help="what one line tells; less for finer presses. With --readings: for a table without comments",
    ),
]
Out = Annotated[Path, typer.Option(help="a new folder to write")]
ReadingsFile = Annotated[
    Path | None,
    typer.Option("--readings", help="a filled-in readings.csv: print lines for shop.toml"),
]


LaidAgain = Annotated[
    bool,
    typer.Option(
        "--laid-again",
        help="each print is taken up and laid again between screens, as colour by colour",
    ),
]


def add(app: typer.Typer) -> None:
    """Add the command."""

    @app.command(
        "register-test",
        help="A print that shows how far screens miss each other; its readings go into shop.toml.",
    )
    def register_test(
        screens: Screens = 2,
        width: Width = "250 mm",
        step: Step = "0.2 mm",
        out: Out = Path("register-test"),
        readings: ReadingsFile = None,
        laid_again: LaidAgain = False,
    ) -> None:
        from prep_registration.register_test import make, read

        if readings is not None:
            read(readings, _length(step, "--step"), laid_again=laid_again)
        else:
            sizes = _length(width, "--width"), _length(step, "--step")
            make(out, screens, *sizes, laid_again=laid_again)


def _length(text: str, option: str) -> float:
    from prep.errors import InputError
    from prep.units import read_quantity

    try:
        return read_quantity(text, "mm", example="0.2 mm")
    except ValueError as error:
        raise InputError(str(error), where=option) from error
