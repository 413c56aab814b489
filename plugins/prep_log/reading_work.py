"""The work of ``prep log readings``, ``learnt`` and ``compare``."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from prep.console import out, out_table, say
from prep.errors import OutputError, SettingsError
from prep.tables import Table
from prep_drying.settings import Drying
from prep_fill_in.settings import FillIn
from prep_ink.settings import ShopInk
from prep_log.agreement import Agreement, agreement
from prep_log.agreement_picture import drawn
from prep_log.compare import pairs_of
from prep_log.from_log import told
from prep_log.learnt import Told, Usual, figures, in_other_air, in_words
from prep_log.readings_form import read_readings
from prep_log.store import New
from prep_log.usual import usual
from prep_log.work import Names, file_of, to_read, to_write

_TABLES: Mapping[str, type[Table]] = {"ink": ShopInk, "drying": Drying, "fill_in": FillIn}


def enter_readings(file: Path, log: Path | None, shop: Path | None, without: Names) -> None:
    """Enter a form of readings, all of it or nothing.

    :raises InputError: it can't be read, contradicts itself, or what follows from it can't be used
    """
    read = read_readings(file, date.today())
    with to_write(file_of(log, shop, without)) as store:
        before = told(store.readings())
        with_these = [*before, *(Told(one.day, str(one.body["of"]), one.body) for one in read)]
        with_these.sort(key=lambda one: one.day)
        _check(figures(with_these, usual()), str(file))
        entries: list[tuple[New, str | None]] = [(one.new(), None) for one in read]
        store.add_all(entries)
    count = "1 reading" if len(read) == 1 else f"{len(read)} readings"
    out(f"Entered {count}: {read[0].name}, {read[0].day.isoformat()}.")
    for one in in_other_air(with_these):
        say(
            f"prep: {one.of} of {one.day.isoformat()} was read in another climate than the latest, and"
            " isn't used"
        )


def _check(found: Mapping[str, Mapping[str, Any]], where: str) -> None:
    """Refuse what would make every later job fail: figures that the settings don't take.

    :raises SettingsError: one isn't taken
    """
    for table, of in found.items():
        try:
            _TABLES[table].model_validate(of)
        except ValidationError as error:
            first = error.errors()[0]
            what = str(first["msg"]).removeprefix("Value error, ")
            key = ".".join(str(part) for part in (table, *first["loc"]))
            raise SettingsError(
                f"what follows from it for {key} can't be: {what}",
                where=where,
                do="look at the readings again; nothing was entered",
            ) from error


def show_learnt(log: Path | None, shop: Path | None, without: Names, as_json: bool) -> None:
    """Show what the readings put in place of guesses.

    :raises InputError: the log can't be read
    """
    with to_read(log, shop, without) as store:
        read = told(store.readings())
    found = figures(read, usual())
    if as_json:
        document = {"schema": "firstpull.learnt/1", "figures": found}
        out(json.dumps(document, indent=2, ensure_ascii=False, default=str))
        return
    if not found:
        out("Nothing was read yet: every limit and figure is the usual one.")
        return
    before = _before(usual())
    rows = [
        (
            f"{table}.{key}",
            before.get((table, key), ""),
            in_words(figure),
            str(figure["measured_on"]),
            str(figure["n"]),
        )
        for table, keys in found.items()
        for key, figure in keys.items()
        if key != "measured_in"
    ]
    out_table(("what", "usual", "here", "measured on", "n"), rows)
    for one in in_other_air(read):
        say(f"prep: {one.of} of {one.day.isoformat()} was read in another climate and isn't used")


def _before(of: Usual) -> dict[tuple[str, str], str]:
    """Give what held before, in words."""
    transfer, flux = of.transfer, of.weighed_kg_m2_h
    known = {
        ("ink", "transfer"): f"{transfer.value:g} ({transfer.low:g} to {transfer.high:g})",
        ("drying", "weighed"): f"{flux.value:g} ({flux.low:g} to {flux.high:g}) kg/(m² h)",
    }
    known |= {("drying", key): f"{wait / 60:g} min" for key, wait in of.waits_s.items()}
    return known | {("fill_in", key): f"half at {size:.2g}" for key, size in of.halves.items()}


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
        out(
            "Nothing was both predicted and weighed yet: weigh what is mixed and what is left of it."
        )
        return
    out_table(
        ("ink used up", "predicted g", "range", "weighed g", ""),
        [
            (
                pair.name,
                f"{pair.predicted.value:.0f}",
                f"{pair.predicted.low:.0f} to {pair.predicted.high:.0f}",
                f"{pair.measured:.0f}",
                "" if pair.inside else "outside",
            )
            for pair in pairs
        ],
    )
    for line in lines_of(found):
        out(line)


def lines_of(found: Agreement) -> list[str]:
    """Say how good the predictions were, and what to do where they are off."""
    low, high = (100.0 * share for share in found.share)
    lines = [
        f"{found.inside} of {found.pairs} lie in their range; 8 of 10 should"
        f" (so far {low:.0f} to {high:.0f} of 100)."
    ]
    if found.bias is not None:
        lines.append(
            f"Weighed over predicted: {found.bias.value:.2f} ({found.bias.low:.2f} to"
            f" {found.bias.high:.2f})."
        )
    if "off to one side" in found.verdicts:
        lines.append(
            "The predictions are off to one side: weigh shirts and enter it, or look at the recipe."
        )
    if "bands too narrow" in found.verdicts:
        lines.append(
            "The ranges are too narrow: this shop's runs differ more than is reckoned with."
        )
    if "bands too wide" in found.verdicts:
        lines.append("The ranges are wider than need be: weigh shirts, and they become narrower.")
    return lines
