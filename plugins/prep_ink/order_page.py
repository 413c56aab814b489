"""What to mix over all set-ups of an order, for its page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from prep.phrases import several
from prep.sections import Block, Paragraph, Section
from prep_ink.answers import InkOnScreens, InkToMix, over_all
from prep_ink.sheet import BEHIND, EIGHT_IN_TEN, mix_table, thrown_away

if TYPE_CHECKING:
    from prep.job import Job
    from prep.shop import Shop

    Forecasts = Sequence[tuple[Job, InkOnScreens]]


def order_section(forecasts: Forecasts) -> Section:
    """Give the ink table of the page over all set-ups."""
    shop = forecasts[0][0].shop
    used: dict[str, list[str]] = {}
    for number, (_, ink) in enumerate(forecasts, start=1):
        for mix in ink.inks:
            used.setdefault(mix.ink, []).append(str(number))
    mixes = over_all(forecasts)
    table = mix_table(
        [(several(used[mix.ink]), mix) for mix in mixes],
        "Set-ups",
        shop.units,
        f"Mixed once for the whole order, the bead carried from one set-up to the next. {EIGHT_IN_TEN}"
        f" {BEHIND} What each set-up asks for on its own page need not add up to it.",
    )
    blocks: list[Block] = [table, *map(Paragraph, short_of_stock(shop, mixes)), *thrown_away(mixes)]
    return Section("job", "Ink over all set-ups", tuple(blocks), rank=40)


def short_of_stock(shop: Shop, mixes: Sequence[InkToMix]) -> Iterator[str]:
    """Say of which inks the stock is too little for the whole order."""
    for mix in mixes:
        stocked = shop.listed_ink(mix.ink)
        if stocked is None or stocked.in_stock_g is None or mix.pot_life_s is not None or mix.made:
            continue
        if stocked.in_stock_g < mix.to_mix_g:
            yield (
                f"Not enough in stock: of {mix.ink} the order takes {mix.to_mix_g:g} g, and there are"
                f" {stocked.in_stock_g:g} g. Get more before the first set-up."
            )
