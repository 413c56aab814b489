"""``prep price``: the breakdown and two changes, on the screen or as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from prep.console import out, out_table, progress, say

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep.request import Request
    from prep.sections import Block
    from prep_price.changes import Change
    from prep_price.costs import Cost, Item


def run(request: Request, more: int, as_json: bool) -> int:
    """Print what an order costs; give the exit status.

    :param more: shirts more, of which it is told what they would change
    :raises PluginFailed: a plugin failed, also while answering another
    """
    from prep.line import open_line
    from prep_price.changes import changes_of, reckoned
    from prep_price.settings import Price
    from prep_price.wording import TITLE, blocks, change_blocks

    with progress() as tell, open_line(request, tell=tell) as line:
        jobs, cost = reckoned(line)
        changes = changes_of(line, request, jobs, cost, more)
    currency = jobs[0].settings(Price).currency
    if as_json:
        setups = [job.setup.name for job in jobs]
        whole = document(jobs[0].order.name, setups, cost, changes, currency)
        out(json.dumps(whole, indent=2, ensure_ascii=False))
        return 0
    out(jobs[0].order.name)
    _tell(TITLE, blocks(cost, currency))
    _tell("What would change it", change_blocks(changes))
    for note in dict.fromkeys(note for job in jobs for note in job.notes):
        say(f"- {note}")
    return 0


def document(
    order: str, setups: list[str], cost: Cost, changes: Iterable[Change], currency: str | None
) -> dict[str, Any]:
    """Give the document ``firstpull.price/1``: amounts of money are in the shop's currency."""
    return {
        "schema": "firstpull.price/1",
        "order": order,
        "setups": setups,
        "currency": currency,
        **_reckoned(cost),
        "complete": cost.complete,
        "parts": [
            {"part": part, **_figures("cost", costs), **_figures("share", cost.shares[part])}
            for part, costs in cost.parts.items()
        ],
        "items": [_item(item) for item in cost.items],
        "not_priced": [
            *({"part": i.part, "what": i.what, "set": i.key, "why": None} for i in cost.unpriced),
            *({"part": m.part, "what": m.what, "set": None, "why": m.why} for m in cost.lacking),
        ],
        "notes": list(cost.notes),
        "changes": [_change(change) for change in changes],
    }


def _reckoned(cost: Cost) -> dict[str, Any]:
    return {
        "good_shirts": cost.shirts,
        **_figures("total", cost.total),
        **_figures("per_shirt", cost.per_shirt),
    }


def _item(item: Item) -> dict[str, Any]:
    return {
        "part": item.part,
        "what": item.what,
        **_figures("amount", item.amount),
        "amount_unit": item.amount.unit or None,
        "price": item.price,
        "price_for": item.unit,
        **_figures("cost", item.cost),
    }


def _change(change: Change) -> dict[str, Any]:
    apart = change.apart
    return {
        "change": change.kind,
        "what": change.told or change.what,
        **(
            _reckoned(change.cost)
            if change.cost is not None
            else {"good_shirts": None, **_figures("total", None), **_figures("per_shirt", None)}
        ),
        **_figures("difference", None if apart is None else apart.total),
        **_figures("per_shirt_difference", None if apart is None else apart.per_shirt),
        "why_not": change.why_not or None,
    }


def _figures(name: str, estimate: Estimate | None) -> dict[str, float | None]:
    if estimate is None:
        return {name: None, f"{name}_low": None, f"{name}_high": None}
    return {
        name: round(estimate.value, 4),
        f"{name}_low": round(estimate.low, 4),
        f"{name}_high": round(estimate.high, 4),
    }


def _tell(title: str, blocks: Iterable[Block]) -> None:
    from prep.sections import Paragraph, Table

    out()
    out(title.upper())
    for block in blocks:
        if isinstance(block, Table):
            out_table(block.head, block.rows, block.align)
            if block.caption:
                out(block.caption)
            out()
        elif isinstance(block, Paragraph):
            out(block.text)
