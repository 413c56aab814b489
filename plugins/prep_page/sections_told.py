"""Sections as plain values for the page; pictures apart, by their digests."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any

from prep.digest import digest_of
from prep.sections import (
    Block,
    Caution,
    CheckList,
    Drawing,
    Figures,
    Paragraph,
    Section,
    Step,
    Table,
)

if TYPE_CHECKING:
    from prep.pictures import Picture

Json = dict[str, Any]
Keep = Callable[[str, str], None]
"""Takes a picture's digest and its SVG."""


def step_of(section: Section) -> Step:
    """Give the step of the work that a section is read in: its own word, else by its rank."""
    if section.step is not None:
        return section.step
    rank = section.rank
    if rank >= 90:
        return "rests"
    if section.chapter == "closing" or rank >= 70:
        return "cure"
    if rank >= 60:
        return "run"
    if rank >= 50 or 30 <= rank < 40:
        return "screens"
    if 40 <= rank < 45:
        return "ink"
    if rank >= 20:
        return "film"
    return "judge"


def told(section: Section, keep: Keep) -> Json:
    """Tell a section with its blocks."""
    return {
        "step": step_of(section),
        "rank": section.rank,
        "title": section.title,
        "screen": section.screen,
        "by": section.by,
        "rests_on": list(section.rests_on),
        "blocks": list(_blocks(section.blocks, keep)),
    }


def picture(one: Picture, keep: Keep) -> Json:
    """Tell a picture, and hand over its SVG."""
    digest = digest_of(one.svg)
    keep(digest, one.svg)
    return {
        "picture": digest,
        "width_mm": one.width_mm,
        "height_mm": one.height_mm,
        "alt": one.alt,
    }


def _blocks(blocks: Iterable[Block], keep: Keep) -> Iterable[Json]:
    for block in blocks:
        match block:
            case Paragraph(text):
                yield {"kind": "paragraph", "text": text}
            case Caution(text):
                yield {"kind": "caution", "text": text}
            case CheckList(steps):
                yield {"kind": "steps", "steps": list(steps)}
            case Figures(rows):
                yield {"kind": "figures", "rows": [list(row) for row in rows]}
            case Table():
                yield {
                    "kind": "table",
                    "head": list(block.head),
                    "rows": [list(row) for row in block.rows],
                    "align": block.align or "l" * len(block.head),
                    "caption": block.caption,
                    "literal": list(block.literal),
                }
            case Drawing():
                yield {
                    "kind": "drawing",
                    "caption": block.caption,
                    **picture(block.picture, keep),
                }
