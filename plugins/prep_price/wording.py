"""What an order costs, in words and tables."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.phrases import percent, several
from prep.sections import Block, Paragraph, Section, Table

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep_price.changes import Change
    from prep_price.costs import Cost, Item, Part

TITLE = "What it costs"
WORDS: dict[Part, str] = {
    "garments": "Garments",
    "ink": "Ink",
    "film": "Film",
    "screens": "Screens",
    "wear": "Mesh and squeegee",
    "work": "Work",
    "other": "Other",
}
OWN_AFFAIR = (
    "What the job costs the shop by its own prices; taxes, law and what a customer is asked for are the"
    " shop's affair."
)
_IN_BRACKETS = (
    "In brackets: the range it lies in eight times out of ten; that of a sum is the sum's own, not a sum of"
    " bounds."
)
_UNPRICED = (
    "Not priced: no price is stated, and none is assumed. State hour under [price] in shop.toml, and beside"
    " it what garments, ink, film and screens cost you; each part is priced once its own is there."
)
_HAIR = 1e-9


def section(cost: Cost, currency: str | None) -> Section:
    """Give the part of the job page."""
    return Section("job", TITLE, tuple(blocks(cost, currency)), rank=68, step="run")


def unpriced() -> Section:
    """Say how prices are stated, where none are: for the page in the browser, not for paper."""
    return Section("why", TITLE, (Paragraph(_UNPRICED),), rank=68, step="run")


def blocks(cost: Cost, currency: str | None) -> Iterator[Block]:
    """Tell what is priced by its parts, and what goes into it."""
    if cost.total is None:
        yield Paragraph(
            "No price is stated that anything here is reckoned by: nothing is assumed in its place."
            " State prices under [price] in shop.toml."
        )
    else:
        yield _by_part(cost, currency)
    yield _what_goes_in(cost)
    for key, whats in _to_set(cost).items():
        yield Paragraph(f"Not priced: {several(whats)}. State {key} in shop.toml.")
    for one in cost.lacking:
        yield Paragraph(f"Not priced: {one.what}. {one.why}")
    for note in cost.notes:
        yield Paragraph(note)
    yield Paragraph(OWN_AFFAIR)


def _by_part(cost: Cost, currency: str | None) -> Table:
    total, each, shares = cost.total, cost.per_shirt, cost.shares
    assert total is not None and each is not None  # noqa: PT018  # asked by the caller
    rows = [(WORDS[part], money(costs), _share(shares[part])) for part, costs in cost.parts.items()]
    rows.append(("All of it" if cost.complete else "All that is priced", money(total), ""))
    rows.append((f"Each of {cost.shirts} good shirts", money(each), ""))
    missing = "" if cost.complete else f" Not in it: {several(_missing(cost))}."
    amounts = (
        "Amounts are in the shop's currency" if currency is None else f"Amounts are in {currency}"
    )
    return Table(
        ("", "Costs", "Share"), tuple(rows), "lrr", caption=f"{amounts}. {_IN_BRACKETS}{missing}"
    )


def _missing(cost: Cost) -> list[str]:
    return [item.what for item in cost.unpriced] + [one.what for one in cost.lacking]


def _to_set(cost: Cost) -> dict[str, list[str]]:
    """Give what isn't priced by the key to be set."""
    keys: dict[str, list[str]] = {}
    for item in cost.unpriced:
        keys.setdefault(item.key, []).append(item.what)
    return keys


def _what_goes_in(cost: Cost) -> Table:
    rows = tuple((item.what, amount(item), _price(item), _costs(item)) for item in cost.items)
    caption = (
        "Spoilt garments are bought again: each is spoilt with the chance that the order states as its"
        " spoilage. Ink: what is printed or washed out, and all of a mix that doesn't keep; what is"
        " scraped back is stock. Additives are priced as the ink that they go into."
    )
    return Table(("What goes in", "How much", "Price", "Costs"), rows, "lrrr", caption=caption)


def _price(item: Item) -> str:
    if item.price is None:
        return "not priced"
    return f"{item.price:.12g} for one" if item.unit == "one" else f"{item.price:.12g} {item.unit}"


def _costs(item: Item) -> str:
    return "" if item.cost is None else money(item.cost)


def amount(item: Item) -> str:
    """Write how much of something: exact counts plainly, others with their range."""
    of = item.amount
    digits = {"g": 0 if of.value >= 10 else 1, "h": 1, "m": 2}.get(of.unit, 0)
    if not of.unit and _wide(of):
        digits = 1
    text = f"{of.value:.{digits}f} {of.unit}".strip()
    if not _wide(of):
        return text
    bounds = 0 if not of.unit else digits
    return f"{text} ({of.low:.{bounds}f} to {of.high:.{bounds}f})"


def money(costs: Estimate) -> str:
    """Write an amount of money with its range, where it has one."""
    if not _wide(costs):
        return f"{costs.value:.2f}"
    return f"{costs.value:.2f} ({costs.low:.2f} to {costs.high:.2f})"


def more_or_less(costs: Estimate) -> str:
    """Write a difference of money with its sign and its range: ``+12.00 (+9.50 to +15.10)``."""
    value, low, high = (_signed(one) for one in (costs.value, costs.low, costs.high))
    return f"{value} ({low} to {high})" if _wide(costs) else value


def change_blocks(changes: tuple[Change, ...]) -> Iterator[Block]:
    """Tell what each change would come to, and of those that aren't reckoned why."""
    rows = []
    for change in changes:
        cost, apart = change.cost, change.apart
        if cost is None or apart is None:
            continue
        total, each = cost.total, cost.per_shirt
        if total is not None and each is not None:
            rows.append((change.what, "all of it", money(total), more_or_less(apart.total)))
            rows.append(("", "each good shirt", money(each), more_or_less(apart.per_shirt)))
    if rows:
        yield Table(
            ("Change", "", "Costs then", "Difference"),
            tuple(rows),
            "llrr",
            caption="The changed order is worked through from the drawing on; differences are draw by"
            " draw.",
        )
    for change in changes:
        if change.why_not:
            yield Paragraph(f"{change.what}: not reckoned. {change.why_not}")
        if change.told:
            yield Paragraph(change.told)


def _wide(of: Estimate) -> bool:
    return of.high - of.low > _HAIR * max(1.0, abs(of.value))


def _signed(value: float) -> str:
    text = f"{value:+.2f}"
    return "0.00" if float(text) == 0 else text.replace("-", "−")


def _share(share: Estimate) -> str:
    value, low, high = (percent(one) for one in (share.value, share.low, share.high))
    return value if low == high else f"{value} ({low} to {high})"
