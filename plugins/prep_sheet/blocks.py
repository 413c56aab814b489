"""From the sections plugins give to pieces that are laid out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from prep.findings import Finding
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
from prep_sheet.images import drawing
from prep_sheet.layout import (
    Cell,
    Danger,
    Grid,
    Heading,
    Paper,
    Piece,
    Prose,
    Steps,
    Trouble,
    Troubles,
    Values,
)
from prep_sheet.wording import clean

_TEXT_MM, _HEAD_MM, _PADDING_MM = 1.85, 2.1, 4.0  # of a letter of the sheet's font at 9 pt
_SHARED_MM, _LONG_MM, _TO_FILL_IN_MM = 32.0, 110.0, 24.0


def pieces_of(
    sections: Iterable[Section], own: Iterable[tuple[int, str, Sequence[Piece]]], paper: Paper
) -> Iterator[Piece]:
    """Give a chapter: sections and the sheet's own parts, by rank.

    :param own: (rank, title, pieces); an empty title has no heading
    """
    parts: list[tuple[int, int, str, str, Sequence[Piece]]] = [
        (rank, 0, "", title, pieces) for rank, title, pieces in own
    ]
    parts += [(s.rank, 1, s.by, s.title, tuple(_pieces(s, paper))) for s in sections]
    # sorted() keeps the order in which one plugin gave sections of one rank
    for _, _, _, title, pieces in sorted(parts, key=lambda part: part[:3]):
        if title:
            yield Heading(clean(title))
        yield from pieces


def _pieces(section: Section, paper: Paper) -> Iterator[Piece]:
    for block in section.blocks:
        try:
            yield _piece(block, paper)
        except ValueError as error:
            raise ValueError(
                f'section "{section.title}" of {section.by or "?"}: {error}'
            ) from error


def _piece(block: Block, paper: Paper) -> Piece:
    match block:
        case Paragraph(text):
            return Prose(clean(text))
        case Table():
            return grid_of(block, paper)
        case Figures(rows):
            return Values(tuple((clean(a), clean(b), clean(c)) for a, b, c in rows))
        case Drawing(picture, caption, scale):
            room = paper.room_wide_mm, 0.6 * paper.room_high_mm
            return drawing(picture, caption, scale, room)
        case CheckList(steps):
            return Steps(tuple(clean(step) for step in steps))
        case Caution(text):
            return Danger(clean(text))
    raise ValueError(f"the sheet can't show a {type(block).__name__}")


def grid_of(table: Table, paper: Paper) -> Grid:
    """Lay out a plugin's table."""
    return grid(
        table.head,
        tuple(tuple(Cell(clean(text)) for text in row) for row in table.rows),
        table.align,
        paper,
        caption=table.caption,
    )


def grid(
    head: Sequence[str],
    rows: tuple[tuple[Cell, ...], ...],
    align: str,
    paper: Paper,
    *,
    caption: str = "",
    roomy: bool = False,
) -> Grid:
    """Lay out a table: its columns take what they need while there is room, then share it.

    A column whose cells are all empty is there to be filled in by hand.
    """
    head = tuple(clean(text) for text in head)
    align = align or "l" * len(head)
    cells = [[row[column] for row in rows] for column in range(len(head))]
    needs = [_need(title, column) for title, column in zip(head, cells, strict=True)]
    to_fill_in = [bool(rows) and not any(cell.text for cell in column) for column in cells]
    shared = _sharing(needs, align, paper.room_wide_mm)
    widths = []
    for number, need in enumerate(needs):
        if number in shared or (roomy and to_fill_in[number]):
            widths.append(f"{min(need, _LONG_MM):.1f}fr")
        else:
            widths.append(f"{need:.1f}mm" if to_fill_in[number] else "auto")
    return Grid(head, rows, align, tuple(widths), clean(caption), roomy)


def _sharing(needs: Sequence[float], align: str, room_mm: float) -> set[int]:
    """Give the columns that share what is left; text gives way before figures, the widest first."""
    shared: set[int] = set()
    order = sorted(range(len(needs)), key=lambda c: (align[c] == "r", -needs[c]))
    for column in order:
        taken = sum(_SHARED_MM if c in shared else need for c, need in enumerate(needs))
        if taken <= room_mm:
            break
        shared.add(column)
    return shared


def _need(head: str, cells: Sequence[Cell]) -> float:
    """Estimate the width a column wants, in mm."""
    widest = max((_TEXT_MM * (len(c.text) + (3 if c.swatch else 0)) for c in cells), default=0.0)
    if widest == 0.0 and cells:
        widest = _TO_FILL_IN_MM
    return max(widest, _HEAD_MM * len(head)) + _PADDING_MM


def troubles(
    lettered: Sequence[tuple[str, Finding]], where: dict[str, str], *, why: bool
) -> Troubles:
    """Lay out findings.

    :param where: key of a screen -> what it is called here
    :param why: give the reason too
    """
    return Troubles(
        tuple(
            Trouble(
                letter=name,
                severity=finding.severity,
                where=_where(finding, where),
                what=clean(finding.what),
                why=clean(finding.why) if why else "",
                do=clean(finding.do),
            )
            for name, finding in lettered
        )
    )


def _where(finding: Finding, names: dict[str, str]) -> str:
    screen = names.get(finding.screen or "", finding.screen or "")
    places = f"{finding.count} places" if finding.count > 1 else ""
    return clean(", ".join(part for part in (screen, places) if part))
