"""What is worth saying of mixing before the first pull."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from prep.findings import Finding
from prep.phrases import several
from prep_mix import wording
from prep_mix.inks import InkMix, mixed_at_once, of_job, shelf_of
from prep_mix.recipes import Shelf
from prep_mix.retarder import is_retarder
from prep_mix.settings import MixShop
from prep_mix.shares import masses

if TYPE_CHECKING:
    from prep.job import Ask, Job


def findings(job: Job, ask: Ask) -> Iterator[Finding]:
    """Give all findings about mixing.

    Inks of an order with several set-ups are mixed once, as its page says: a dose too small in the batch
    of one of them may be large enough in that of all, but what lacks for one lacks for all. What all of
    them take together is on that page alone, which is said.

    :raises SettingsError: what is asked for isn't known, or is above its maximum
    """
    mixes, whole = of_job(job, ask), mixed_at_once(job)
    for mix in mixes:
        for found in (*unweighable(mix, job), *splits(mix)):
            yield _of_a_part(found) if whole else found
        yield from pots_unknown(mix, job)
    yield from retarder_not_weighed(mixes, job)
    yield from short(mixes, job)
    yield from left_over(mixes, job)
    if whole:
        yield from _on_the_orders_page(mixes, job)


def _on_the_orders_page(mixes: Sequence[InkMix], job: Job) -> Iterator[Finding]:
    """Say that what several set-ups take together isn't looked at here."""
    pots = bool(job.settings(MixShop).pots)
    names = [mix.ink for mix in mixes if pots or not mix.plain]
    if names:
        yield Finding(
            "note",
            "mixed for the whole order",
            what=f"{several(names)}: doses, pots and stock are looked at for this set-up alone, and mixed"
            " for the whole order, see its page.",
            why="All set-ups together take more, in other pots, of the same stock.",
            do="Read the page over all set-ups before mixing; it says what can't be weighed or lacks.",
        )


def pots_unknown(mix: InkMix, job: Job) -> Iterator[Finding]:
    """Say where the pots stated can't be used, as a volume isn't known."""
    if mix.no_pots:
        yield Finding(
            "note",
            "pots can't be told",
            what=f"{mix.ink}: {mix.no_pots[:1].lower()}{mix.no_pots[1:]}",
            why="Without its volume nobody knows whether the batch goes into one pot.",
            do="Write the density from the maker's sheet, or weigh a measured volume.",
            screen=_screen(mix, job),
            colour=_colour(mix, job),
        )


def retarder_not_weighed(mixes: Sequence[InkMix], job: Job) -> Iterator[Finding]:
    """Say which inks are taken to hold their retarder, and how to have it weighed instead."""
    inks = [mix.ink for mix in mixes if mix.in_already]
    if not inks:
        return
    known = [one.name for one in job.settings(MixShop).additive if is_retarder(one.name)]
    do = (
        "To have it weighed, add it as [[mix.additive]] to shop.toml, with its maker's maximum (most) and"
        " usual share (usual)."
    )
    if known:
        do = (
            f"To have it weighed, state the usual share of {known[0]} under [[mix.additive]] in shop.toml,"
            " or ask for it under [mix] additives in order.toml."
        )
    yield Finding(
        "note",
        "retarder not weighed",
        what=f"{several(inks)}: {_taken(mixes)}.",
        why="How long the ink stays open is reckoned with it, and the tables to mix by don't weigh it.",
        do=do,
    )


def _taken(mixes: Sequence[InkMix]) -> str:
    return next(mix.in_already for mix in mixes if mix.in_already)


def _of_a_part(found: Finding) -> Finding:
    """Give a finding as a note, since the ink is mixed together with that of other set-ups."""
    return replace(
        found,
        severity="note",
        what=f"{found.what[:-1]}, mixed for this set-up alone; it is mixed for the whole order, see its"
        " page.",
        do="Mix it once for the whole order; the page over all set-ups says what to weigh.",
    )


def unweighable(mix: InkMix, job: Job) -> Iterator[Finding]:
    """Say which doses are too small for the balance, and what helps."""
    small, units = mix.batch.too_small, mix.units
    if not small:
        return
    limit = job.settings(MixShop).dose_error
    helps = wording.what_helps(small, units, mix.batch.rows[0].name, pots=mix.count)
    where = f" in each of {mix.count} pots" if mix.count > 1 else ""
    by_pre_mix = all(one.pre_mix is not None for one in small)
    lost = [row.name for row in mix.batch.lost]
    none_of = (
        f"; of {several(lost)} the balance shows nothing, so that none would go in" if lost else ""
    )
    yield Finding(
        "will fail" if lost else "at risk",
        "dose too small to weigh",
        what=f"{mix.ink}: {wording.too_small(small, units, limit)}{where}{none_of}.",
        why="An ink without what belongs into it doesn't come out, bind or last as it should."
        if lost
        else "A dose that is far off changes the colour, or passes its maker's maximum.",
        do=f"{helps[:1].upper()}{helps[1:]}"
        + (", as the table to mix by does." if by_pre_mix else ", or weigh on a finer balance."),
        screen=_screen(mix, job),
        colour=_colour(mix, job),
    )


def splits(mix: InkMix) -> Iterator[Finding]:
    """Say when a batch takes several pots."""
    if mix.pots is None or mix.count == 1:
        return
    size = mix.units.pot(mix.pots.pot_ml)
    yield Finding(
        "note",
        "batch larger than the pots",
        what=f"{mix.ink}: the batch takes {mix.count} pots of {size}, the largest in the shop.",
        why="Pots mixed apart differ in colour.",
        do="Weigh each pot alike, then stir all together, pouring from pot to pot.",
        screen=mix.screens[0] if "/" not in mix.screens[0] else None,
    )


def short(mixes: Sequence[InkMix], job: Job) -> Iterator[Finding]:
    """Say of what there is too little in stock to mix from, all inks together."""
    shelf = shelf_of(job)
    taken: dict[str, float] = {}
    used: dict[str, list[str]] = {}
    for mix in mixes:
        for name, grams in _from_stock(shelf, mix.batch.needs()).items():
            taken[name] = taken.get(name, 0.0) + grams
            used.setdefault(name, []).append(mix.ink)
    for name, grams in taken.items():
        # an ink used only as it comes is told of where its amount is reckoned
        stock = None if used[name] == [name] else shelf.in_stock_g(name)
        if stock is None or stock >= grams * (1 - 1e-9):
            continue
        units = mixes[0].units
        yield Finding(
            "at risk",
            "not enough to mix from",
            what=f"{name}: {units.short(grams)} for {several(used[name])}, {units.short(stock)} in stock.",
            why="A matched colour mixed again in the middle of a run seldom matches.",
            do="Get more before the run, or print fewer shirts.",
        )


def left_over(mixes: Sequence[InkMix], job: Job) -> Iterator[Finding]:
    """Say what is in stock of inks that are mixed from others, and isn't reckoned with."""
    shelf = shelf_of(job)
    for mix in mixes:
        stock = shelf.in_stock_g(mix.ink)
        if shelf.recipe(mix.ink) is None or not stock:
            continue
        yield Finding(
            "note",
            "left over and not counted",
            what=f"{mix.ink}: {mix.units.short(stock)} are left over in stock, which aren't counted:"
            " the whole amount is mixed by its recipe.",
            why="What was mixed at another time may differ in colour.",
            do="Print a patch of it beside a fresh one before stirring it in, and then mix so much less.",
            screen=_screen(mix, job),
            colour=_colour(mix, job),
        )


def _from_stock(shelf: Shelf, needs: Mapping[str, float]) -> dict[str, float]:
    """Give what is taken out of stock, parts that are mixed by recipes taken as what these hold."""
    found: dict[str, float] = {}
    for name, grams in needs.items():
        taken = {name: grams}
        if shelf.recipe(name) is not None:
            mixture = shelf.mixable(name).mixture
            ink_g, added_g = masses(grams, mixture.ink, [one.dosed for one in mixture.added])
            own = {part.name: part.share * ink_g for part in mixture.parts}
            own |= {o.dosed.name: mass for o, mass in zip(mixture.added, added_g, strict=True)}
            taken = _from_stock(shelf, own)
        for one, mass in taken.items():
            found[one] = found.get(one, 0.0) + mass
    return found


def _screen(mix: InkMix, job: Job) -> str | None:
    keys = {screen.key for screen in job.screens}
    return mix.screens[0] if mix.screens[0] in keys else None


def _colour(mix: InkMix, job: Job) -> str | None:
    key = _screen(mix, job)
    return None if key is None else job.screen(key).colour
