"""How good the predictions were, in words."""

from __future__ import annotations

from collections.abc import Sequence

from prep_log.agreement import Agreement, Pair

HEAD = ("ink used up", "predicted g", "range", "weighed g", "")
NOTHING = "Nothing was both predicted and weighed yet: weigh what is mixed and what is left of it."


def pair_rows(pairs: Sequence[Pair]) -> tuple[tuple[str, ...], ...]:
    """Give a row of texts under :data:`HEAD` for each pair."""
    return tuple(
        (
            pair.name,
            f"{pair.predicted.value:.0f}",
            f"{pair.predicted.low:.0f} to {pair.predicted.high:.0f}",
            f"{pair.measured:.0f}",
            "" if pair.inside else "outside",
        )
        for pair in pairs
    )


def lines_of(found: Agreement) -> list[str]:
    """Say how good the predictions were, and what to do where they are off."""
    several = (
        "" if found.runs == found.pairs else f", of {found.runs} runs that count for one each,"
    )
    low, high = (100.0 * share for share in found.share)
    lines = [
        f"{found.inside} of {found.pairs}{several} lie in their range; 8 of 10 should"
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
