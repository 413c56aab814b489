"""How each figure of a job's costs is worked out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.worked import Given, Worked, section_of
from prep_price.wording import WORDS

if TYPE_CHECKING:
    from prep.sections import Section
    from prep_price.costs import Cost, Item, Part
    from prep_price.settings import Price

_SPOILT = (
    "Garments spoilt are drawn from the binomial distribution: each garment laid for a set-up is spoilt"
    " with the order's spoilage, independently of the others; ink and hours are reckoned with the fixed"
    " count of spoilt shirts that they state. The value is the mean. Days on which more goes wrong than on"
    " others would spread it wider."
)
_DRAWS = (
    "Ranges are the 10 % and 90 % points of 512 draws; those of sums, shares and differences are taken"
    " draw by draw, so that what parts share stays shared. Prices are taken as exact."
)


def why_section(cost: Cost, price: Price) -> Section:
    """Give the section behind the page's "Why?"."""
    return section_of("How costs are worked out", worked(cost, price), _SPOILT, _DRAWS)


def worked(cost: Cost, price: Price) -> Iterator[Worked]:
    """Give every figure that is priced, with how it is worked out."""
    label = price.currency or ""
    for item in cost.items:
        if item.price is not None and item.cost is not None:
            yield _of_item(item, item.price, item.cost.value, label)
    parts = cost.parts
    total, each = cost.total, cost.per_shirt
    if total is None or each is None:
        return
    given: dict[str, Given] = {
        part: Given(WORDS[part].lower(), costs.value, label, "worked out")
        for part, costs in parts.items()
    }
    for part, costs in parts.items():
        yield _of_part(part, cost, costs.value, label)
    sum_of = " + ".join(f"{{{part}}}" for part in parts)
    yield Worked("All that is priced", sum_of, given, total.value, label, source="definition")
    yield Worked(
        "Each good shirt",
        "{total} ÷ {shirts}",
        {
            "total": Given("all that is priced", total.value, label, "worked out"),
            "shirts": Given("good shirts", float(cost.shirts), "", "from the order"),
        },
        each.value,
        label,
        source="definition",
    )


def _of_item(item: Item, price: float, value: float, label: str) -> Worked:
    amount = item.amount
    known = amount.high - amount.low <= 0
    given = {
        "amount": Given(
            "how much of it",
            amount.value,
            amount.unit,
            "worked out",
            low=None if known else amount.low,
            high=None if known else amount.high,
        ),
        "price": Given(f"price {item.unit}", price, label, "stated", "[price] in shop.toml"),
    }
    formula = "{amount} × {price}"
    if item.per != 1.0:
        formula += f" ÷ {item.per:g}"
    return Worked(
        "Cost of what is used", formula, given, value, label, source="definition", of=item.what
    )


def _of_part(part: Part, cost: Cost, value: float, label: str) -> Worked:
    items = [(i.what, i.cost.value) for i in cost.items if i.part == part and i.cost is not None]
    given = {
        f"item{number}": Given(what, costs, label, "worked out")
        for number, (what, costs) in enumerate(items)
    }
    formula = " + ".join(f"{{{key}}}" for key in given)
    return Worked(
        "Cost of a part", formula, given, value, label, source="definition", of=WORDS[part].lower()
    )
