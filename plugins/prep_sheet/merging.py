"""What several set-ups say under one title, told once: words alike once, words that differ by set-up."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from prep.phrases import several
from prep.sections import (
    Block,
    Caution,
    CheckList,
    Drawing,
    Figures,
    Paragraph,
    Section,
    Table,
)

_BETWEEN = re.compile(r"(?<=[.!?]) (?=[A-Z])")
"""Between two sentences."""

Said = tuple[int, Block]
"""Number of a set-up, from 1, and what it says."""


def merged(by_setup: Sequence[Sequence[Section]], names: Sequence[str] = ()) -> tuple[Section, ...]:
    """Put sections of one plugin and title together, in the order of the first.

    :param by_setup: the sections of each set-up, in the order of the set-ups
    :param names: what each set-up is called; without them, by its number
    """
    groups: dict[tuple[str, str, int], list[tuple[int, Section]]] = {}
    for number, sections in enumerate(by_setup, start=1):
        for section in sections:
            key = section.by, section.title, section.rank
            groups.setdefault(key, []).append((number, section))
    count = len(by_setup)
    return tuple(
        replace(found[0][1], blocks=tuple(_blocks(found, count, names)))
        for found in groups.values()
    )


def _blocks(
    found: Sequence[tuple[int, Section]], count: int, names: Sequence[str]
) -> Iterator[Block]:
    """Give the blocks of one title: the first of its kind of each set-up together, then the second ..."""
    places: dict[tuple[object, ...], list[Said]] = {}
    for number, section in found:
        seen: dict[tuple[object, ...], int] = {}
        for block in section.blocks:
            kind = _kind(block)
            seen[kind] = seen.get(kind, 0) + 1
            places.setdefault((*kind, seen[kind]), []).append((number, block))
    for said in places.values():
        yield from _together(said, count, names)


def _kind(block: Block) -> tuple[object, ...]:
    return (type(block), block.head if isinstance(block, Table) else ())


def _together(said: Sequence[Said], count: int, names: Sequence[str]) -> Iterator[Block]:
    alike: dict[Block, list[int]] = {}
    for number, block in said:
        alike.setdefault(block, []).append(number)
    first = said[0][1]
    if isinstance(first, Table):
        yield _table([(n, block) for n, block in said if isinstance(block, Table)], count, names)
        return
    if isinstance(first, Figures):
        rows = _rows([(n, b.rows) for n, b in said if isinstance(b, Figures)], count)
        yield Figures(tuple(_named(row, of, names) for row, of in rows))
        return
    if isinstance(first, Paragraph) and len(alike) > 1:
        said = [(n, one) for n, block in said for one in _sentences(block)]
        alike = _joined(said)
    for block, numbers in alike.items():
        yield block if len(numbers) == count else _marked(block, numbers, names)


def _sentences(block: Block) -> Iterator[Block]:
    if isinstance(block, Paragraph):
        yield from map(Paragraph, _BETWEEN.split(block.text))
    else:
        yield block


def _joined(said: Sequence[Said]) -> dict[Block, list[int]]:
    """Put sentences of the same set-ups together, in the order of the first."""
    of: dict[Block, list[int]] = {}
    for number, sentence in said:
        numbers = of.setdefault(sentence, [])
        if number not in numbers:
            numbers.append(number)
    texts: dict[tuple[int, ...], list[str]] = {}
    for sentence, numbers in of.items():
        if isinstance(sentence, Paragraph):
            texts.setdefault(tuple(numbers), []).append(sentence.text)
    return {Paragraph(" ".join(found)): list(numbers) for numbers, found in texts.items()}


def _marked(block: Block, numbers: Sequence[int], names: Sequence[str]) -> Block:
    of = _of(numbers, names)
    match block:
        case Paragraph(text):
            return Paragraph(f"{of}: {text}")
        case Caution(text):
            return Caution(f"{of}: {text}")
        case CheckList(steps):
            return CheckList(tuple(f"{of}: {step}" for step in steps))
        case Drawing():
            return replace(block, caption=f"{of}. {block.caption}".strip())
    return block


def _table(said: Sequence[tuple[int, Table]], count: int, names: Sequence[str]) -> Table:
    """Give one table: a row that not all set-ups have begins with their numbers."""
    first = said[0][1]
    rows = _rows([(number, table.rows) for number, table in said], count)
    captions: dict[str, list[int]] = {}
    for number, table in said:
        if table.caption:
            captions.setdefault(table.caption, []).append(number)
    caption = " ".join(
        text if len(captions) == 1 else f"{_of(numbers, names)}: {text}"
        for text, numbers in captions.items()
    )
    if all(not of for _, of in rows):
        return replace(first, caption=caption)
    align = first.align or "l" * len(first.head)
    return Table(
        ("Print" if names else "Set-up", *first.head),
        tuple((several(_called(of, names)) or "all", *row) for row, of in rows),
        f"l{align}",
        caption,
    )


def _rows(
    said: Sequence[tuple[int, Sequence[tuple[str, ...]]]], count: int
) -> list[tuple[tuple[str, ...], tuple[int, ...]]]:
    """Give each row once with the numbers of its set-ups; none where all have it.

    Rows that begin alike stand together, where the first of them does; an empty beginning goes on with
    the row before, and all stay in their order.
    """
    of: dict[tuple[str, ...], list[int]] = {}
    for number, rows in said:
        for row in dict.fromkeys(rows):
            of.setdefault(row, []).append(number)
    begins = {row[:1]: place for place, row in reversed(list(enumerate(of)))}
    return [
        (row, () if len(of[row]) == count else tuple(of[row]))
        for row in (
            sorted(of, key=lambda row: begins[row[:1]]) if all(row[0] for row in of) else of
        )
    ]


def _named(row: tuple[str, ...], of: Sequence[int], names: Sequence[str]) -> tuple[str, str, str]:
    """Mark a row with its set-ups: their numbers behind what it is, names before what it rests on."""
    what, value, rests = row
    if not of:
        return what, value, rests
    said = _of(of, names)
    if names:
        return what, value, f"{said}: {rests}" if rests else said
    return f"{what} ({said.lower()})", value, rests


def _of(numbers: Sequence[int], names: Sequence[str]) -> str:
    said = several(_called(numbers, names))
    return said if names else f"Set-up{'s' if len(numbers) > 1 else ''} {said}"


def _called(numbers: Sequence[int], names: Sequence[str]) -> list[str]:
    return [names[number - 1] if names else str(number) for number in numbers]
