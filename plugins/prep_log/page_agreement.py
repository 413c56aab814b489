"""The page that holds what was predicted against what was weighed."""

from __future__ import annotations

from prep.errors import InputError
from prep.sections import Block, Drawing, Paragraph, Section, Table
from prep.views import Address, Place, ViewPage
from prep_log.agreement import Agreement, agreement
from prep_log.agreement_picture import MOST, drawn
from prep_log.compare import pairs_of
from prep_log.store import reading
from prep_log.telling_agreement import HEAD, NOTHING, lines_of, pair_rows
from prep_log.work import file_of

TITLE = "Predicted against weighed"


def page(address: Address, place: Place) -> ViewPage:
    """Show the only page.

    :raises InputError: there is no other, or the log can't be read
    """
    if address:
        raise InputError("there is no such page of this view", do="begin with its first")
    with reading(file_of(None, place.shop, ())) as store:
        pairs = pairs_of(store)
    if not pairs:
        return ViewPage(TITLE, (Section("job", TITLE, (Paragraph(NOTHING),), 10),))
    found = agreement(pairs)
    first: list[Block] = [Paragraph(line) for line in lines_of(found)]
    if found.off:
        first.insert(
            0, Paragraph("The model is off here: what it predicts is to be taken with care.")
        )
    first.append(_coverage(found))
    shown = tuple(reversed(pairs[-MOST:]))
    left = len(pairs) - len(shown)
    caption = "The latest first." + (f" {left} earlier ones aren't shown." if left else "")
    return ViewPage(
        TITLE,
        (
            Section("job", "How good it was", tuple(first), 10),
            Section("job", "As a picture", (Drawing(drawn(pairs)),), 20),
            Section("job", "Each", (Table(HEAD, pair_rows(shown), "lrrrl", caption),), 30),
        ),
    )


def _coverage(found: Agreement) -> Table:
    """Give shares that should lie in the range, and do."""
    low, high = found.share
    bias = found.bias
    rows = [
        (
            "weighed in their range",
            "80 %",
            f"{100 * found.inside / found.pairs:.0f} %",
            f"{100 * low:.0f} to {100 * high:.0f} %",
        ),
    ]
    if bias is not None:
        rows.append(
            (
                "weighed over predicted",
                "1",
                f"{bias.value:.2f}",
                f"{bias.low:.2f} to {bias.high:.2f}",
            )
        )
    return Table(
        ("what", "should be", "is", "may be, by chance"),
        tuple(rows),
        "lrrr",
        caption=f"Of {found.pairs} weighings in {found.runs} runs, each run counting once; the first by its"
        " 95 % interval, the second 8 times in 10.",
    )
