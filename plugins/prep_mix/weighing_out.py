"""The work of ``prep mix``: from what is typed to a batch, on the screen, as JSON and as a page."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from prep.console import out, out_table, say
from prep.errors import InputError, OutputError
from prep.hookspecs import SettingsTables
from prep.loaded import LoadedShop, named_by_file
from prep.phrases import several
from prep.plugins import find_plugins
from prep.refusals import nearest
from prep.settings import load_shop
from prep_mix import wording
from prep_mix.asked import (
    Amount,
    check_name,
    read_additives,
    read_already,
    read_amount,
    read_by,
    read_parts,
)
from prep_mix.batch import Batch, Row, TooMuchIn, reckon, share_taken, total_of_volume
from prep_mix.command import MixRequest
from prep_mix.pots import Potted, potted
from prep_mix.recipes import Mixable, Shelf, Wish, alike, instead
from prep_mix.settings import MixShop
from prep_mix.shares import By, NoDensity, NoInkLeft
from prep_mix.wording import Units

_COLUMNS = 80


@dataclass(frozen=True, slots=True, eq=False)
class Weighing:
    """A batch as it is weighed out in this shop.

    :param batch: of one pot
    :param pots: how many pots of which size; ``None``: the shop names none, or the volume isn't known
    :param notes: what is to be known besides, whole sentences
    """

    shelf: Shelf
    mixable: Mixable
    batch: Batch
    units: Units
    pots: Potted | None
    notes: tuple[str, ...]

    @property
    def count(self) -> int:
        """Batches alike that are weighed."""
        return 1 if self.pots is None else self.pots.count


def run(asked: MixRequest) -> None:
    """Print what to weigh.

    :raises InputError: what was asked for can't be used, or can't be weighed on the shop's balance
    :raises PluginFailed: a plugin can't be imported and wasn't left out
    """
    if asked.pdf is not None and asked.pdf.suffix.lower() != ".pdf":
        raise InputError(
            "isn't the name of a PDF file",
            where=f"--pdf {asked.pdf}",
            do=f'name it "{asked.pdf.stem or "mix"}.pdf"',
        )
    plugins = find_plugins(asked.without)
    if plugins.failures:
        raise plugins.failures[0]
    tables = dict(plugins.each("prep_settings", SettingsTables))
    shop = load_shop(asked.shop, tables, sets=asked.sets, without=asked.without)
    with named_by_file(shop):
        weighing = weigh_out(asked, shop)
    if asked.pdf is not None:
        _write(asked, weighing)
    if asked.as_json:
        out(json.dumps(document(weighing), indent=2, ensure_ascii=False))
    else:
        tell(weighing)
        for note in shop.notes:
            say(f"- {note}")
        if asked.pdf is not None:
            out(f"Written: {asked.pdf}")


def weigh_out(asked: MixRequest, shop: LoadedShop) -> Weighing:
    """Work out what to weigh.

    :raises InputError: what was asked for can't be used, or can't be weighed on the shop's balance
    """
    amount, already = read_amount(asked.amount), read_already(asked.already)
    shelf = Shelf(shop.shop, shop.settings(MixShop), shop.origins)
    shelf.check()
    mixable = _mixable(asked, shelf, already)
    units = Units(shop.shop.balance.readability_g, shop.shop.units == "inch")
    _is_there(mixable, already, units)
    try:
        return _weigh_out(asked, shelf, mixable, amount, already, units)
    except NoDensity as error:
        raise _no_density(asked.amount, error) from error
    except NoInkLeft as error:
        raise InputError(
            "the additives leave no room for the ink", where=asked.amount, do="take less of them"
        ) from error
    except TooMuchIn as error:
        unit = f"{units.short(error.already_g)} of {error.name}"
        do = "take it out of --already, as it is no part of this mix"
        if error.least_batch_g < wording.LARGEST_BATCH_G:
            do = f"mix {units.shown(error.least_batch_g)} {units.mass_unit} or more"
        raise InputError(
            f"{unit} in the pot is more than {asked.amount} of this mix can hold",
            where=f"--already {error.name}",
            do=do,
        ) from error


def _mixable(asked: MixRequest, shelf: Shelf, already: dict[str, float]) -> Mixable:
    wishes, parts, by = read_additives(asked.add), read_parts(asked.parts), read_by(asked.by)
    if not asked.ink.strip():
        raise InputError("the ink has no name", where="mix", do='write it like "finch red"')
    check_name(asked.ink, "mix")
    if parts:
        return _of_parts(asked, shelf, parts, by, wishes, already)
    if by != "mass":
        raise InputError(
            "says what --part counts, and there is none", where=f"--by {by}", do="drop it"
        )
    if asked.ink not in shelf.makes:
        raise InputError(
            "is neither a recipe nor an ink of the shop",
            where=asked.ink,
            do=f"{instead(asked.ink, shelf.makes) or 'shop.toml names none'}; or give its parts, like"
            ' --part "clear base=94"',
        )
    return shelf.mixable(asked.ink, wishes, held=already)


def _of_parts(
    asked: MixRequest,
    shelf: Shelf,
    parts: dict[str, float],
    by: By,
    wishes: Sequence[Wish],
    already: Mapping[str, float],
) -> Mixable:
    if shelf.recipe(asked.ink) is not None:
        raise InputError(
            f'"{asked.ink}" has a recipe in shop.toml',
            where="--part",
            do="drop --part, or give the ink another name",
        )
    for name in parts:
        if shelf.additive(name) is not None:
            raise InputError(
                f"{name} is an additive", where=f"--part {name}", do="give it with --add"
            )
        meant = None if name in shelf.names else nearest(name, shelf.names)
        if meant is not None and alike(name, meant):
            raise InputError(
                f'the shop knows no "{name}"',
                where=f"--part {name}",
                do=f'did you mean "{meant}"? or add it to shop.toml as [[mix.component]]',
            )
    try:
        contradiction = shelf.contradiction(asked.ink, parts, by)
        if contradiction:
            raise InputError(
                contradiction,
                where="--part",
                do="correct the one that is wrong, or give the ink another name",
            )
        return shelf.by_parts(asked.ink, parts, by, wishes, held=already)
    except NoDensity as error:
        raise _no_density("--by volume", error) from error


def _no_density(where: str, error: NoDensity) -> InputError:
    return InputError(
        f"a volume can't be weighed without a density: {error}",
        where=where,
        do="state density in shop.toml, or give masses",
    )


def _is_there(mixable: Mixable, already: dict[str, float], units: Units) -> None:
    names = [part.name for part in mixable.mixture.parts if part.share]
    names += [one.dosed.name for one in mixable.mixture.added]
    for name, mass in already.items():
        if name not in names:
            raise InputError(
                f'there is no "{name}" in this mix',
                where=f"--already {name}={units.short(mass)}",
                do=instead(name, names),
            )


def _weigh_out(
    asked: MixRequest,
    shelf: Shelf,
    mixable: Mixable,
    amount: Amount,
    already: dict[str, float],
    units: Units,
) -> Weighing:
    mixture, mix = mixable.mixture, shelf.mix
    total = amount.value
    if amount.by == "volume":
        total = total_of_volume(amount.value, mixture, already)
    if total < units.step_g:
        raise InputError(
            f"is less than the balance shows ({units.shown(units.step_g)} {units.mass_unit})",
            where=asked.amount,
            do="mix more, or weigh on a finer balance",
        )

    def reckoned(grams: float, pots: int = 1) -> Batch:
        return reckon(
            mixture,
            grams,
            units.step_g,
            mix.dose_error,
            already_g=already,
            pre_mixed=asked.pre_mix,
            pots=pots,
        )

    batch = reckoned(total)
    pots = None
    if mix.pots and batch.volume_ml is not None:
        pots = potted(batch.volume_ml, mix.pots, mix.pot_full)
        if pots.count > 1 and already:
            raise InputError(
                f"takes {pots.count} pots of {units.pot(pots.pot_ml)}, and one holds some already",
                where=asked.amount,
                do="mix what goes into that pot, or drop --already",
            )
        if pots.count > 1:
            batch = reckoned(total / pots.count, pots.count)
    _can_be_weighed(asked, batch, units, mix.dose_error, pots)
    weighing = Weighing(shelf, mixable, batch, units, pots, ())
    notes = (*_of_its_parts(asked, weighing), *shelf_notes(weighing), *_not_needed(asked, batch))
    return Weighing(shelf, mixable, batch, units, pots, notes)


def _of_its_parts(asked: MixRequest, weighing: Weighing) -> Iterator[str]:
    """Say what parts that were typed mean in a shop that lists what it mixes from."""
    shelf, mixture = weighing.shelf, weighing.mixable.mixture
    if not asked.parts or not shelf.names:
        return
    if shelf.shop.listed_ink(mixture.ink.name) is not None:
        yield (
            f"{mixture.ink.name} stands in the shop's list as it comes; here it is mixed from the parts"
            " typed."
        )
    new = [part.name for part in mixture.parts if part.share and part.name not in shelf.names]
    if new:
        yield f"Not in shop.toml, and taken as typed: {several(new)}."


def _not_needed(asked: MixRequest, batch: Batch) -> tuple[str, ...]:
    if asked.pre_mix and not batch.too_small:
        return ("No pre-mix is needed: the balance weighs every dose.",)
    return ()


def _can_be_weighed(
    asked: MixRequest, batch: Batch, units: Units, limit: float, pots: Potted | None
) -> None:
    """Refuse doses the balance can't weigh, unless they go by a pre-mix.

    :raises InputError: with the smallest batch they could be weighed in, and the pre-mix
    """
    left = [one for one in batch.too_small if not (asked.pre_mix and one.pre_mix is not None)]
    if not left:
        return
    problem = wording.too_small(left, units, limit)
    if asked.pre_mix:
        problem += ", nor by a pre-mix in so small a batch"
    do = wording.what_helps(left, units, batch.rows[0].name, option=" (--pre-mix)", pots=batch.pots)
    where = asked.amount
    if pots is not None and pots.count > 1:
        where += f" in {pots.count} pots of {units.pot(pots.pot_ml)}"
    raise InputError(problem, where=where, do=do)


def shelf_notes(weighing: Weighing) -> tuple[str, ...]:
    """Say what lacks in stock, and which parts have recipes of their own."""
    shelf, notes = weighing.shelf, []
    for name, whole in weighing.batch.needs().items():
        stock = shelf.in_stock_g(name)
        if stock is not None and stock < whole * (1 - 1e-9):
            notes.append(
                f"Not enough {name} in stock: {weighing.units.short(whole)} are needed, there are"
                f" {weighing.units.short(stock)}."
            )
    ink = weighing.mixable.mixture.ink.name
    left = shelf.in_stock_g(ink)
    if left and shelf.recipe(ink) is not None:
        notes.append(
            f"{weighing.units.short(left)} of {ink} are left over in stock, which aren't counted."
        )
    parts = [part.name for part in weighing.mixable.mixture.parts if part.share]
    notes += [
        f"{name} is mixed first, by its own recipe."
        for name in parts
        if name != ink and shelf.recipe(name)
    ]
    return tuple(notes)


def lines(weighing: Weighing) -> list[str]:
    """Give what is said besides the table, one thing a line."""
    batch, units, mixable = weighing.batch, weighing.units, weighing.mixable
    said = [wording.doses(batch, mixable), *wording.rounded(batch, units)]
    said += weighing.notes
    tared = "the pot and what is in it" if any(row.already_g for row in batch.rows) else "the pot"
    said.append(
        f"Tare the balance with {tared}; the reading is that after each. Share: of the mix, by mass. Error:"
        f" of each, by the balance of {units.shown(units.step_g)} {units.mass_unit}, 19 times in 20."
    )
    said.append(pot_words(weighing))
    if units.volume_unit == "fl oz":
        said.append("Fluid ounces (fl oz) are US ones.")
    said += [wording.discarding(batch, mixable), *wording.cautions([mixable]), wording.HARMLESS]
    return [line for line in said if line]


def pot_words(weighing: Weighing) -> str:
    """Say which pot it is mixed in; empty where the volume isn't known and no pot can be told."""
    units, full = weighing.units, weighing.shelf.mix.pot_full
    filled = f"filled to {wording.percent(full)}"
    if weighing.pots is not None:
        size = units.pot(weighing.pots.pot_ml)
        if weighing.count == 1:
            return f"Pot: {size}, {filled} at most."
        return (
            f"Pots: {weighing.count} of {size}, {filled} at most: weigh this into each, then stir all"
            " together, pouring from pot to pot, so that the colour is one."
        )
    if weighing.batch.volume_ml is None:
        lacks = weighing.shelf.density_lacks(weighing.mixable.mixture)
        return f"Pot: its size can't be told, as {lacks}."
    return f"Pot: {units.pot(weighing.batch.volume_ml / full)} or more, {filled} at most."


def tell(weighing: Weighing) -> None:
    """Print a batch on one screen."""
    batch, units, mixable = weighing.batch, weighing.units, weighing.mixable
    each = f" in each of {weighing.count} pots" if weighing.count > 1 else ""
    _wrapped(wording.title(mixable.mixture.ink.name, batch, mixable, units) + each)
    for line in wording.pre_mixes(batch, mixable, units):
        _wrapped(line)
    out_table(*table(weighing))
    for line in lines(weighing):
        _wrapped(line)


def table(weighing: Weighing) -> tuple[tuple[str, ...], list[tuple[str, ...]], str]:
    """Give head, rows and sides of the table to weigh by."""
    batch, units = weighing.batch, weighing.units
    in_pot = any(row.already_g for row in batch.rows)
    head = ["weigh", units.mass_unit, "reading"]
    if in_pot:
        head.append("in already")
    if units.other_unit:
        head.append(units.other_unit)
    head += [units.volume_unit, "share", "error"]
    rows = []
    for row in batch.rows:
        cells = [wording.called(row), units.shown(row.weigh_g), units.shown(row.reading_g)]
        if in_pot:
            cells.append(units.shown(row.already_g) if row.already_g else "")
        if units.other_unit:
            cells.append(units.other(row.weigh_g))
        volume = ""
        if row.volume_ml is not None and row.pre_mix is None:
            volume = units.volume(row.volume_ml * row.weigh_g / row.mass_g)
        error = wording.percent(row.error, 2) if row.error else "-"
        cells += [volume, wording.percent(row.share), error]
        rows.append(tuple(cells))
    return tuple(head), rows, "l" + "r" * (len(head) - 1)


def _wrapped(text: str) -> None:
    for line in textwrap.wrap(text, _COLUMNS - 1, subsequent_indent="  "):
        out(line)


def document(weighing: Weighing) -> dict[str, Any]:
    """Give the document ``firstpull.mix/1``: masses in g, volumes in ml, shares and errors as 0..1.

    ``error`` is the relative one of a mass by the balance at two sigma, ``share_error`` the absolute one
    of its share at one sigma; ``off`` what the balance's steps change, relative. ``dosed`` is an additive's
    share as it comes out and as asked for, of and by what, and its maker's maximum. With several pots all
    masses are those of one, but a pre-mix is made once for all: what goes into it and what is left is
    of all pots, ``take_g`` and ``weigh_g`` of one.
    """
    batch, mixable, pots = weighing.batch, weighing.mixable, weighing.pots
    discard, added = mixable.discard, {one.dosed.name: one for one in mixable.mixture.added}

    def dosed(row: Row) -> dict[str, Any] | None:
        if not row.additive:
            return None
        one = added[row.name]
        return {
            "share": _figure(share_taken(batch, mixable.mixture, one)),
            "asked": _figure(one.dosed.share),
            "of": one.dosed.of,
            "by": one.dosed.by,
            "most": _figure(one.most),
        }

    return {
        "schema": "firstpull.mix/1",
        "ink": mixable.mixture.ink.name,
        "parts_by": mixable.by if mixable.written else None,
        "total_g": _figure(batch.total_g),
        "ink_g": _figure(batch.ink_g),
        "volume_ml": None if batch.volume_ml is None else _figure(batch.volume_ml),
        "balance_g": _figure(weighing.units.step_g),
        "dose_error": weighing.shelf.mix.dose_error,
        "pots": None if pots is None else {"count": pots.count, "pot_ml": _figure(pots.pot_ml)},
        "rows": [
            {
                "name": row.name,
                "additive": row.additive,
                "mass_g": _figure(row.mass_g),
                "already_g": _figure(row.already_g),
                "weigh_g": _figure(row.weigh_g),
                "reading_g": _figure(row.reading_g),
                "volume_ml": None if row.volume_ml is None else _figure(row.volume_ml),
                "share": _figure(row.share),
                "error": _figure(row.error),
                "share_error": _figure(row.share_error),
                "off": round(row.off, 9),
                "dosed": dosed(row),
                "pre_mix": None
                if row.pre_mix is None
                else {
                    "own_g": _figure(row.pre_mix.own_g),
                    "carrier": batch.rows[0].name,
                    "carrier_g": _figure(row.pre_mix.carrier_g),
                    "take_g": _figure(row.pre_mix.take_g),
                    "left_g": _figure(row.pre_mix.left_g),
                    "pots": row.pre_mix.pots,
                },
            }
            for row in batch.rows
        ],
        "discard_after_s": None if discard is None else discard.after_s,
        "discard": wording.discarding(batch, mixable),
        "notes": [
            *weighing.notes,
            *wording.rounded(batch, weighing.units),
        ],
        "cautions": [*wording.cautions([mixable]), wording.HARMLESS],
    }


def _figure(value: float) -> float:
    return float(f"{value:.9g}")


def _write(asked: MixRequest, weighing: Weighing) -> None:
    """Write the page.

    :raises OutputError: the file can't be written
    :raises InputError: there is no typesetter for this computer
    """
    from prep.typeset import can_typeset
    from prep_mix.page import page

    if asked.pdf is None:
        return
    if not can_typeset():
        raise InputError(
            "there is no typesetter for this computer",
            where=f"--pdf {asked.pdf}",
            do="print what the command shows without --pdf",
        )
    try:
        asked.pdf.write_bytes(page(weighing))
    except OSError as error:
        raise OutputError(
            f"can't be written: {error.strerror or error}",
            where=f"--pdf {asked.pdf}",
            do="choose another file",
        ) from error
