"""A plugin for trying what is shown beside the orders: a book of what hung on the drying rack."""

from __future__ import annotations

import json
import tempfile
import time
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints, ValidationError

from prep.errors import InputError, SettingsError
from prep.hookspecs import hookimpl
from prep.pictures import Canvas
from prep.sections import Document, Drawing, Paragraph, Section, Table
from prep.tables import Table as Fields
from prep.units import Mass_g
from prep.views import Address, EntryForm, FormPart, Link, Place, Taken, View, ViewPage

BOOK = Path(__file__).with_name("rack.jsonl")
FISH = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm">'
    '<rect x="10" y="10" width="60" height="50" fill="#1f5a3c"/></svg>'
)


class Hung(Fields):
    """One load."""

    shirts: int = Field(ge=1, description="all that hung at once")
    water_g: Mass_g | None = Field(None, alias="water", description="like 12 g")
    rail: Literal["upper", "lower"] | None = None
    fan: bool | None = None
    taken_down: bool = False
    notes: Annotated[str, StringConstraints(max_length=2000)] = ""


class Peg(Fields):
    """One peg."""

    peg: str
    after: int | None = Field(None, description="minutes")
    dry: bool | None = None


class Pegs(Fields):
    """Pegs, one a row."""

    row: tuple[Peg, ...] = ()


@hookimpl
def prep_views() -> list[View]:
    """Give the book."""
    return [
        View(
            "rack",
            "Rack book",
            "What hung on the rack, and how long it took to dry.",
            show,
            of_order=(Link("Write down what hangs", ("hang",)),),
        )
    ]


@hookimpl
def prep_learnt() -> dict[str, Any]:
    """Learn of large loads only; no table takes it, so that no order is reckoned otherwise."""
    return {"rack": {"large": sum(one["load"]["shirts"] >= 50 for one in _loads())}}


def _loads() -> list[dict[str, Any]]:
    return [json.loads(line) for line in BOOK.read_text().splitlines()] if BOOK.exists() else []


def show(address: Address, place: Place) -> ViewPage:
    """Give a page."""
    match address:
        case ():
            return _all()
        case ("load", number) if number.isdecimal() and 0 < int(number) <= len(_loads()):
            load = _loads()[int(number) - 1]
            told = Section("job", "", (Paragraph(json.dumps(load["load"])),), 10)
            return ViewPage(f"Load {number}", (told,))
        case ("hang",):
            if place.line is None:
                raise InputError("no order lies open", do="come here from an order")
            name = place.line.loaded.order.name
            return ViewPage(f"{name} on the rack", forms=(_form({"notes": name}),))
        case ("newer",):
            raise InputError("the book is of a newer version", do="bring Firstpull up to date")
        case ("broken",):
            raise ZeroDivisionError("no rack")
    raise InputError("the book has no such page", do="go back to the book")


def _all() -> ViewPage:
    loads = _loads()
    canvas = Canvas((0.0, 0.0, 60.0, 20.0))
    canvas.rectangle((5.0, 5.0, 40.0, 15.0), fill="#1f5a3c")
    rows = tuple((str(n), str(one["load"]["shirts"])) for n, one in enumerate(loads, 1))
    each = (Link(f"Load {n}: {shirts} shirts", ("load", n)) for n, shirts in rows)
    return ViewPage(
        "Rack book",
        (
            Section("job", "Loads", (Table(("Load", "Shirts"), rows, "lr"),), 10),
            Section("job", "The rack", (Drawing(canvas.picture("A rail")),), 20),
        ),
        (
            *each,
            Link("A page of tomorrow", ("newer",)),
            Link("A broken page", ("broken",)),
        ),
        (
            _form({}),
            EntryForm("again", "Print it again", (), "Open it as an order", lambda _: _again()),
            EntryForm("list", "The list", (), "Write the list", lambda _: _list()),
        ),
    )


def _form(given: dict[str, Any]) -> EntryForm:
    return EntryForm(
        "hang",
        "Enter a load",
        (
            FormPart("load", "The load", Hung, given, "Count them as they hang."),
            FormPart("pegs", "Pegs", Pegs, {"row": [{"peg": "left"}, {"peg": "right"}]}),
        ),
        "Enter it",
        _enter,
    )


def _enter(typed: Any) -> Taken:
    if typed["load"].get("notes") == "slowly":
        time.sleep(0.5)
    try:
        Hung.model_validate(typed["load"])
    except ValidationError as error:
        wrong = [
            SettingsError(f"load.{one['loc'][0]}: {one['msg'].lower()}", do="mend it")
            for one in error.errors()
        ]
        raise SettingsError(wrong[0].what, do="mend it", more=tuple(wrong[1:])) from error
    for number, row in enumerate(typed["pegs"].get("row", ()), 1):
        if row.get("after", 0) < 0:
            raise SettingsError(f"pegs.row[{number}].after = {row['after']}: is before it hung")
    with BOOK.open("a") as book:
        book.write(json.dumps(typed) + "\n")
    number = len(_loads())
    return Taken((f"Load {number} is in the book.", "Look at it tomorrow."), ("load", str(number)))


def _again() -> Taken:
    folder = Path(tempfile.mkdtemp())
    (folder / "fish.svg").write_text(FISH)
    (folder / "order.toml").write_text(
        'name = "Rack fish"\n[[print]]\nartwork = "fish.svg"\n[[garment]]\nsizes = { M = 3 }\n'
    )
    return Taken(("It lies open as it was printed.",), opens=folder)


def _list() -> Taken:
    return Taken(
        ("The list is written.",),
        files=(Document("rack/list.txt", f"{len(_loads())} loads\n".encode()),),
    )
