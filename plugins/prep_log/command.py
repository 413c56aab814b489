"""Options of ``prep log`` and ``prep again``. Imports nothing heavy: it runs for every command."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from prep.commands import AsJson, ShopFile, Without, on_a_job
from prep.request import Request

LogFile = Annotated[
    Path | None,
    typer.Option(
        "--log",
        metavar="FILE",
        help="the log's file; default: as shop.toml says, else the user's own",
    ),
]
Number = Annotated[
    int, typer.Argument(metavar="NUMBER", help="of an entry, as prep log list shows")
]
Day = Annotated[
    str | None, typer.Option("--day", metavar="YYYY-MM-DD", help="it was done on; default: today")
]
Corrects = Annotated[
    int | None,
    typer.Option(
        "--corrects", metavar="NUMBER", help="of the entry in whose place this one stands"
    ),
]
Kept = Annotated[
    list[str] | None,
    typer.Option(
        "--kept", metavar="STENCIL", help="kept from an earlier run, not cut anew; again for each"
    ),
]


def add(app: typer.Typer) -> None:
    """Add the commands."""
    log = typer.Typer(help="What was printed, predicted, weighed and seen.", rich_markup_mode=None)

    @log.command("run", help="Enter a run, with all that is predicted of it.")
    @on_a_job
    def run(
        request: Request,
        day: Day = None,
        kept: Kept = None,
        corrects: Corrects = None,
        log: LogFile = None,
        *,
        as_json: AsJson = False,
    ) -> None:
        from prep_log.work import enter_run

        enter_run(request, log, day, tuple(kept or ()), corrects, as_json)

    @log.command("form", help="Write the form for what is weighed and seen in a run.")
    def form(
        number: Number,
        out: Annotated[
            Path | None,
            typer.Option("--out", metavar="FILE", help="to write; default: ./seen-NUMBER.toml"),
        ] = None,
        log: LogFile = None,
        shop: ShopFile = None,
        without: Without = None,
    ) -> None:
        from prep_log.work import write_form

        write_form(number, out, log, shop, tuple(without or ()))

    @log.command("seen", help="Enter what was weighed and seen, from a form that is filled in.")
    def seen(
        file: Annotated[Path, typer.Argument(metavar="FILE.toml", help="the form")],
        corrects: Corrects = None,
        log: LogFile = None,
        shop: ShopFile = None,
        without: Without = None,
    ) -> None:
        from prep_log.work import enter_seen

        enter_seen(file, corrects, log, shop, tuple(without or ()))

    @log.command("readings", help="Enter what was read off a test piece, a balance or a clock.")
    def readings(
        file: Annotated[Path, typer.Argument(metavar="FILE.toml", help="the form")],
        corrects: Corrects = None,
        log: LogFile = None,
        shop: ShopFile = None,
        without: Without = None,
    ) -> None:
        from prep_log.reading_work import enter_readings

        enter_readings(file, corrects, log, shop, tuple(without or ()))

    @log.command("learnt", help="What the readings put in place of guesses.")
    def learnt(
        log: LogFile = None,
        shop: ShopFile = None,
        without: Without = None,
        as_json: AsJson = False,
    ) -> None:
        from prep_log.reading_work import show_learnt

        show_learnt(log, shop, tuple(without or ()), as_json)

    @log.command("compare", help="Ink predicted against ink weighed, over all runs.")
    def compare(
        picture: Annotated[
            Path | None, typer.Option(metavar="FILE.svg", help="write a picture of it too")
        ] = None,
        log: LogFile = None,
        shop: ShopFile = None,
        without: Without = None,
        as_json: AsJson = False,
    ) -> None:
        from prep_log.reading_work import compare

        compare(log, shop, tuple(without or ()), picture, as_json)

    @log.command("note", help="Enter a few words on a run.")
    def note(
        number: Number,
        text: Annotated[str, typer.Argument(metavar="TEXT", help="in quotes")],
        day: Day = None,
        corrects: Corrects = None,
        log: LogFile = None,
        shop: ShopFile = None,
        without: Without = None,
    ) -> None:
        from prep_log.work import enter_note

        enter_note(number, text, day, corrects, log, shop, tuple(without or ()))

    @log.command("list", help="All entries, the latest day first.")
    def list_(
        all_of_them: Annotated[
            bool, typer.Option("--all", help="those that were corrected, too")
        ] = False,
        most: Annotated[
            int, typer.Option("--most", min=0, metavar="NUMBER", help="how many at most; 0 = all")
        ] = 50,
        log: LogFile = None,
        shop: ShopFile = None,
        without: Without = None,
        as_json: AsJson = False,
    ) -> None:
        from prep_log.work import list_entries

        list_entries(all_of_them, most, log, shop, tuple(without or ()), as_json)

    @log.command("show", help="One entry; of a run also what was seen in it, and notes.")
    def show(
        number: Number,
        all_of_them: Annotated[
            bool, typer.Option("--all", help="what it was before it was corrected, too")
        ] = False,
        log: LogFile = None,
        shop: ShopFile = None,
        without: Without = None,
        as_json: AsJson = False,
    ) -> None:
        from prep_log.work import show_entry

        show_entry(number, all_of_them, log, shop, tuple(without or ()), as_json)

    @log.command("export", help="Write all entries into a new file, a line of JSON for each.")
    def export(
        file: Annotated[Path, typer.Argument(metavar="FILE.jsonl", help="to write")],
        log: LogFile = None,
        shop: ShopFile = None,
        without: Without = None,
    ) -> None:
        from prep_log.work import export_all

        export_all(file, log, shop, tuple(without or ()))

    @log.command("import", help="Add the entries of a file that prep log export wrote.")
    def import_(
        file: Annotated[Path, typer.Argument(metavar="FILE.jsonl", help="to read")],
        log: LogFile = None,
        shop: ShopFile = None,
        without: Without = None,
    ) -> None:
        from prep_log.work import import_all

        import_all(file, log, shop, tuple(without or ()))

    app.add_typer(log, name="log")

    @app.command("again", help="The order of a run of the log once more, in a folder of its own.")
    def again(
        number: Number,
        out: Annotated[
            Path | None,
            typer.Option("--out", metavar="FOLDER", help="to write; default: ./again-NUMBER"),
        ] = None,
        log: LogFile = None,
        shop: ShopFile = None,
        without: Without = None,
    ) -> None:
        from prep_log.work import order_again

        order_again(number, out, log, shop, tuple(without or ()))
