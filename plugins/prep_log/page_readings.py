"""The pages for readings: a test piece's form, and what was learnt from all that was read."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, Any

from prep.errors import InputError
from prep.sections import Paragraph, Section, Table
from prep.tables import measured_source
from prep.views import Address, EntryForm, FormPart, Link, Place, Taken, ViewPage
from prep_log.entering_readings import add_readings, in_words, unused
from prep_log.from_log import told_in
from prep_log.learnt import FEWEST_PRINTS, FEWEST_RUNS, figures
from prep_log.reading_fields import (
    ASKED,
    Typed,
    head_of,
    head_part,
    readings_typed,
    register_parts,
    screen_of,
    shirts_of,
    weighing_parts,
)
from prep_log.stock import not_in_stock, shop_of, stock_of
from prep_log.store import reading, writing
from prep_log.telling_learnt import learnt_rows
from prep_log.usual import usual
from prep_log.work import file_and_units, file_of

if TYPE_CHECKING:
    from types import ModuleType

_FIRST = Link("Readings", ())
_LEARNT = Link("What was learnt", ("learnt",))
_REGISTER = Link("A register test was read", ("register",))


def page(address: Address, place: Place) -> ViewPage:
    """Show a page of readings.

    :raises InputError: there is no such page, the shop has no such mesh or ink, the log can't be read
    """
    if address == ():
        return _first(place)
    if address == _LEARNT.address:
        return _learnt(place)
    if address == _REGISTER.address:
        return _register_test(place)
    if len(address) == 3 and address[0] == "piece":
        return _of_piece(place, address[1], address[2])
    raise InputError(f"there is no page {' '.join(address)} of readings", do="begin with the first")


def _test_piece() -> tuple[ModuleType, ModuleType] | None:
    """Give what makes test pieces: views and fields; ``None`` where no such plugin is installed."""
    try:
        from prep_test_piece import fields, views
    except ModuleNotFoundError as error:
        if error.name is None or error.name.partition(".")[0] != "prep_test_piece":
            raise
        return None
    return views, fields


def _first(place: Place) -> ViewPage:
    with reading(file_of(None, place.shop, ())) as store:
        count = len(store.headings("reading"))
    stand = (
        "Nothing was read yet: every limit and figure is the usual one."
        if count == 0
        else f"{count} {'reading stands' if count == 1 else 'readings stand'} in the log; each can be"
        " looked at and corrected there."
    )
    lines = [stand]
    forms: tuple[EntryForm, ...] = ()
    made = _test_piece()
    if made is None:
        lines.append(
            "No plugin that makes test pieces is installed. Other readings are entered from a file:"
            " prep log readings FILE.toml"
        )
    else:
        views, _ = made
        part = FormPart("piece", "", views.chosen_from(views.shop_of(place.shop)), {})
        forms = (EntryForm("piece", "A test piece was read", (part,), "Show its form", _to_piece),)
    links = (_REGISTER, _LEARNT) if count else (_REGISTER,)
    section = Section("job", "What stands in the log", tuple(map(Paragraph, lines)), 10)
    return ViewPage("Readings", (section,), links, forms)


def _to_piece(typed: Typed) -> Taken:
    own = typed.get("piece", {})
    for key in ("mesh", "ink"):
        if key not in own:
            raise InputError(f"no {key} is named", where=f"piece.{key}", do="choose one")
    return Taken((f"A test piece on {own['mesh']}.",), ("piece", str(own["mesh"]), str(own["ink"])))


def _of_piece(place: Place, mesh: str, ink: str) -> ViewPage:
    """Show the form of a test piece.

    :raises InputError: the shop has no such mesh or ink, or nobody makes test pieces here
    """
    made = _test_piece()
    if made is None:
        raise InputError(
            "no plugin that makes test pieces is installed",
            do="enter readings from a file: prep log readings FILE.toml",
        )
    views, fields = made
    shop = views.shop_of(place.shop)
    views.chosen(mesh, ink, shop)
    parts = (
        head_part(date.today(), shop.balance.readability_g),
        *fields.parts(views.piece()),
        *weighing_parts(*views.weighed()),
    )

    def take(typed: Typed) -> Taken:
        rows = fields.rows_of(typed)
        weighed = {"screen_weighed": screen_of(typed), "shirts_weighed": shirts_of(typed)}
        if any("area" not in one for one in weighed["screen_weighed"]) or any(
            "at_full" not in one for one in weighed["shirts_weighed"]
        ):
            weighed = _reckoned(weighed, views.printed(mesh, ink, place.shop))
        raw = {**head_of(typed, mesh, ink), **rows.raw, **weighed}
        raw.setdefault("name", f"test piece {mesh}")
        read = readings_typed(raw, rows.fields)
        with writing(file_of(None, place.shop, ())) as store:
            more = add_readings(store, read, confirm=ASKED.confirm)
        count = "1 reading" if len(read) == 1 else f"{len(read)} readings"
        said = f"Entered {count}: {read[0].name}, {read[0].day.isoformat()}."
        return Taken((said, *more), _LEARNT.address)

    about = (
        f"Mesh {mesh}, printed with {ink}. Sizes and counts stand there as the piece has them; type what"
        " was counted, and leave the rest empty: what is empty isn't entered."
    )
    return ViewPage(
        f"Readings of a test piece on {mesh}",
        (Section("job", "How it is filled in", (Paragraph(about),), 10),),
        (_FIRST, _LEARNT),
        (EntryForm("readings", "What was read", parts, "Enter the readings", take),),
    )


def _register_test(place: Place) -> ViewPage:
    """Show the form of a register test."""

    def take(typed: Typed) -> Taken:
        raw = {**head_of(typed, None, None), "register_test": [dict(typed.get("register", {}))]}
        raw.setdefault("name", "register test")
        read = readings_typed(raw)
        with writing(file_of(None, place.shop, ())) as store:
            more = add_readings(store, read, confirm=ASKED.confirm)
        said = f"Entered 1 reading: {read[0].name}, {read[0].day.isoformat()}."
        return Taken((said, *more), _LEARNT.address)

    about = (
        "The test print is made by prep register-test FOLDER. Paste its readings.csv as it is filled in:"
        f" how far screens lie off is learnt from {FEWEST_RUNS} runs on, scatter from {FEWEST_PRINTS}"
        " prints beyond the first of each."
    )
    return ViewPage(
        "Readings of a register test",
        (Section("job", "How it is filled in", (Paragraph(about),), 10),),
        (_FIRST, _LEARNT),
        (
            EntryForm(
                "register",
                "What was read",
                register_parts(date.today()),
                "Enter the readings",
                take,
            ),
        ),
    )


def _reckoned(
    weighed: Mapping[str, list[dict[str, Any]]], printed: Any
) -> dict[str, list[dict[str, Any]]]:
    """Put in what is reckoned where nothing was typed.

    :param printed: what is known of a print of the piece
    """
    area, at_full = f"{printed.inked_mm2:.12g} mm2", f"{printed.at_full_g:.12g} g"
    return {
        "screen_weighed": [{"area": area, **one} for one in weighed["screen_weighed"]],
        "shirts_weighed": [{"at_full": at_full, **one} for one in weighed["shirts_weighed"]],
    }


def _named(what: str) -> str:
    table, _, key = what.partition(".")
    return in_words(table, key) if key else what


def _learnt(place: Place) -> ViewPage:
    file, units = file_and_units(None, place.shop, ())
    left_out: list[str] = []
    with reading(file) as store:
        read = told_in(store, left_out=left_out)
    rows = tuple(
        (_named(what), before, here, measured_source(date.fromisoformat(on), int(n)))
        for what, before, here, on, n in learnt_rows(read, usual(), units)
    )
    title = "What was learnt"
    odd = tuple(Paragraph(f"{line}.") for line in left_out)
    if not rows:
        nothing = Paragraph("Nothing was read yet: every limit and figure is the usual one.")
        return ViewPage(title, (Section("job", title, (nothing, *odd), 10),), (_FIRST,))
    caption = (
        "In brackets what it lies between eight times in ten. These hold in every job from now on, but"
        " where shop.toml or an order states its own."
    )
    table = Table(("what", "usual", "here", "rests on"), rows, caption=caption, literal=(0,))
    gone = not_in_stock(figures(read, usual()), stock_of(shop_of(place.shop, ())))
    aside = tuple(Paragraph(f"{line}.") for line in (*unused(read), *gone))
    return ViewPage(title, (Section("job", title, (table, *aside, *odd), 10),), (_FIRST,))
