"""The work of ``prep log readings``, ``learnt`` and ``compare``."""

from __future__ import annotations

import dataclasses
import json
from datetime import date
from pathlib import Path

from prep.console import out, out_table, say
from prep.errors import OutputError
from prep_log import telling_agreement
from prep_log.agreement import agreement
from prep_log.agreement_picture import drawn
from prep_log.compare import pairs_of
from prep_log.entering_readings import add_readings, unused
from prep_log.from_log import told_in
from prep_log.learnt import figures
from prep_log.readings_form import read_readings
from prep_log.stock import check_stock, not_in_stock, shop_of, stock_of
from prep_log.telling_learnt import HEAD, learnt_rows
from prep_log.usual import usual
from prep_log.work import Names, file_and_units, file_of, looked_at, to_read, to_write


def enter_readings(
    file: Path, corrects: int | None, log: Path | None, shop: Path | None, without: Names
) -> None:
    """Enter a form of readings, all of it or nothing.

    :param corrects: number of the entry in whose place its only reading stands
    :raises InputError: it can't be read, contradicts itself, or what follows from it can't be used
    """
    read = read_readings(file, date.today())
    stock = stock_of(shop_of(shop, without))
    if corrects is None:
        check_stock(read, stock, str(file))
    with to_write(file_of(log, shop, without)) as store:
        if corrects is not None:
            check_stock(read, stock.and_of(store.entry(corrects).body), str(file))
        more = add_readings(store, read, corrects, where=str(file))
        number = None if corrects is None else store.entry(corrects).number
    count = "1 reading" if len(read) == 1 else f"{len(read)} readings"
    stands = "" if number is None else f" in place of entry {number}"
    out(f"Entered {count}{stands}: {read[0].name}, {read[0].day.isoformat()}.")
    for line in more:
        say(f"prep: {line}")


def show_learnt(log: Path | None, shop: Path | None, without: Names, as_json: bool) -> None:
    """Show what the readings put in place of guesses.

    :raises InputError: the log can't be read
    """
    file, units = file_and_units(log, shop, without)
    left_out: list[str] = []
    with looked_at(file) as store:
        read = told_in(store, left_out=left_out)
    for line in left_out:
        say(f"prep: {line}")
    found = figures(read, usual())
    if as_json:
        document = {"schema": "firstpull.learnt/1", "figures": found}
        out(json.dumps(document, indent=2, ensure_ascii=False, default=str))
        return
    rows = learnt_rows(read, usual(), units)
    if not rows:
        out("Nothing was read yet: every limit and figure is the usual one.")
        return
    out_table(HEAD, rows)
    stock = stock_of(shop_of(shop, without))
    for line in (*unused(read), *not_in_stock(found, stock)):
        say(f"prep: {line}")


def compare(
    log: Path | None, shop: Path | None, without: Names, picture: Path | None, as_json: bool
) -> None:
    """Hold what was predicted against what was weighed.

    :raises InputError: the log can't be read, or the picture is there already
    """
    with to_read(log, shop, without) as store:
        pairs = pairs_of(store)
    found = agreement(pairs)
    if picture is not None:
        try:
            with picture.open("x", encoding="utf-8") as file:
                file.write(drawn(pairs).svg)
        except FileExistsError as error:
            raise OutputError("is there already", where=str(picture)) from error
        except OSError as error:
            what = f"can't be written: {error.strerror or error}"
            raise OutputError(what, where=str(picture)) from error
    if as_json:
        document = {
            "schema": "firstpull.agreement/1",
            **dataclasses.asdict(found),
            "figures": [
                {**dataclasses.asdict(pair), "ratio": pair.ratio, "inside": pair.inside}
                for pair in pairs
            ],
        }
        out(json.dumps(document, indent=2, ensure_ascii=False))
        return
    if not pairs:
        out(telling_agreement.NOTHING)
        return
    out_table(telling_agreement.HEAD, telling_agreement.pair_rows(pairs))
    for line in telling_agreement.lines_of(found):
        out(line)
