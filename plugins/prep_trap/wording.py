"""What the sheet says of traps."""

from __future__ import annotations

from collections.abc import Iterator

from prep.job import Ask, Job
from prep.phrases import length, percent, place, several
from prep.press_error import press_error
from prep.sections import Block, Paragraph, Section, Table
from prep_trap.answers import GapChances, PairChance
from prep_trap.likeness import LIKE

_DONE = {
    "spread": "spread under",
    "butt": "edge to edge",
    "overprint": "printed under",
    "base": "base below",
}


_WHOLE = 0.95
"""Share of the border from which a trap counts as having its whole width: corners leave some out."""


def sections_of(job: Job, ask: Ask) -> Iterator[Section]:
    """Give a table of pairs on the job page, and what it rests on."""
    chances = ask(GapChances)
    if len(job.screens) < 2:
        return
    if not chances.pairs:
        yield Section("job", "Where colours meet", (Paragraph("No two colours meet."),), rank=25)
        return
    units = job.shop.units
    head = ("First", "Next", "Done", "Trap", "Bad runs", "Prints with a gap", "Worst gap", "Where")
    rows = tuple(_row(job, pair) for pair in chances.pairs)
    caption = (
        f"Gaps wider than {length(chances.visible_mm, units)} count. Bad runs show one from the first"
        " print to the last. Worst gap: the widest of a print, on average. Where it shows most often is"
        " told from the artwork's top left."
    )
    if any(pair.like is not None and pair.print_any > 0.0 for pair in chances.pairs):
        caption += (
            " *: shirt or base shows there and is so near to one of the two colours, under"
            f" {LIKE:g} CIEDE2000, that it looks like more of it; no trouble, and by rule no trap."
        )
    if any(pair.do == "overprint" for pair in chances.pairs):
        caption += (
            f" {_DONE['overprint'].capitalize()} (overprint): the next covers the first, which goes on"
            " below it, right through where the next lies wholly within, else as far as the trap."
        )
    blocks: list[Block] = [Table(head, rows, "lllrrrrl", caption)]
    if not chances.error_stated:
        blocks.append(Paragraph(_usual(job)))
    blocks.append(Paragraph(_reasons(job, chances)))
    if narrow := _narrow(job, chances):
        blocks.append(Paragraph(narrow))
    yield Section("job", "Where colours meet", tuple(blocks), rank=25)


def _row(job: Job, pair: PairChance) -> tuple[str, ...]:
    units = job.shop.units
    shows = pair.print_any > 0.0
    return (
        job.screen(pair.earlier).ink,
        job.screen(pair.later).ink,
        _DONE[pair.do],
        trap_text(pair, units),
        percent(pair.run_bad),
        f"{percent(pair.print_any)}{' *' if shows and pair.like is not None else ''}",
        length(pair.worst_gap_mm, units),
        place(pair.at_mm, units) if shows else "nowhere",
    )


def trap_text(pair: PairChance, units: str) -> str:
    """Say how wide a trap is, and where the first colour goes right through."""
    if pair.all_through:
        return "right through"
    width = length(pair.width_mm, units) if pair.width_mm else "none"
    return f"{width}, or right through" if pair.through > 0.0 else width


def _usual(job: Job) -> str:
    error, units = press_error(job.shop.press, len(job.films)), job.shop.units
    set_up, scatter = length(error.set_up_mm, units), length(error.scatter_mm, units)
    again = " with shirts laid again" if error.laid_again else ""
    return (
        f"The shop states no error of its press, or not all of it. What is usual for a"
        f" {job.shop.press.kind}{again} was taken: a screen lies off by {set_up} each way for a"
        f" whole run and by {scatter} from print to print (one standard deviation). State"
        f" {several(error.lacking)} under [press] in shop.toml."
    )


def _narrow(job: Job, chances: GapChances) -> str:
    """Say where a trap hasn't its whole width; nothing where all have it nearly everywhere."""
    names = [
        f"{_names(job, pair)} along {percent(1.0 - pair.full)} of their border"
        for pair in chances.pairs
        if pair.width_mm and not pair.all_through and pair.full < _WHOLE
    ]
    if not names:
        return ""
    return (
        "A trap takes no more than half of the next colour's width, and comes down to that by a slope."
        f" So it is narrower than told between {several(names)}."
    )


def _names(job: Job, pair: PairChance) -> str:
    return f"{job.screen(pair.earlier).ink} and {job.screen(pair.later).ink}"


def _reasons(job: Job, chances: GapChances) -> str:
    said: dict[str, list[str]] = {}
    for pair in chances.pairs:
        said.setdefault(pair.why, []).append(_names(job, pair))
    return " ".join(f"{', '.join(names)}: {why}" for why, names in said.items())
