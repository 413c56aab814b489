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

# mm a letter takes in the sheet's font at 9 pt: in running text, in words and figures, in bold
_TEXT_MM, _WORD_MM, _HEAD_MM = 1.85, 2.05, 2.1
_PADDING_MM, _TEXT_LEAST_MM, _TO_FILL_IN_MM = 4.0, 40.0, 24.0


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
            values = tuple((clean(a), clean(b), clean(c)) for a, b, c in rows)
            return Values(values, wide=True)
        case Drawing(picture, caption, scale):
            room = paper.room_wide_mm, 0.45 * paper.room_high_mm
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
    to_fill_in = [bool(rows) and not any(cell.text for cell in column) for column in cells]
    needs = [
        max(_wants(column), _HEAD_MM * len(title) + _PADDING_MM)
        for title, column in zip(head, cells, strict=True)
    ]
    if roomy or sum(needs) <= paper.room_wide_mm:
        widths = tuple(
            (f"{need:.1f}fr" if roomy else f"{need:.1f}mm") if empty else "auto"
            for need, empty in zip(needs, to_fill_in, strict=True)
        )
    else:
        widths = _shared(head, cells, align, paper.room_wide_mm)
    return Grid(head, rows, align, widths, clean(caption), roomy)


def _shared(
    head: Sequence[str], cells: Sequence[Sequence[Cell]], align: str, room_mm: float
) -> tuple[str, ...]:
    """Share the room among columns: text gives way before figures, the widest first.

    No column gets narrower than its longest word, no text narrower than a few words.
    """
    columns = range(len(head))
    words = [
        _WORD_MM
        * max((len(w) for text in (head[c], *_texts(cells[c])) for w in text.split()), default=0)
        + _PADDING_MM
        for c in columns
    ]
    wants = [max(_wants(cells[c], figures=align[c] == "r"), words[c]) for c in columns]
    least = [
        max(words[c], _TEXT_LEAST_MM if align[c] == "l" and wants[c] > _TEXT_LEAST_MM else 0.0)
        for c in columns
    ]
    shared: set[int] = set()
    for column in sorted(columns, key=lambda c: (align[c] == "r", -wants[c])):
        if sum(least[c] if c in shared else wants[c] for c in columns) <= room_mm:
            break
        shared.add(column)
    spare = max(room_mm - sum(least[c] if c in shared else wants[c] for c in columns), 0.0)
    lacking = sum(wants[c] - least[c] for c in shared) or 1.0
    return tuple(
        f"{least[c] + spare * (wants[c] - least[c]) / lacking:.1f}fr"
        if c in shared
        else f"{wants[c]:.1f}mm"  # not auto: a long head may break where its figures may not
        for c in columns
    )


def _wants(cells: Sequence[Cell], *, figures: bool = False) -> float:
    """Estimate the width a column's cells want to stay on one line, in mm."""
    widest = max((len(c.text) + (3 if c.swatch else 0) for c in cells), default=0)
    if widest == 0 and cells:
        return _TO_FILL_IN_MM
    return (_WORD_MM if figures else _TEXT_MM) * widest + _PADDING_MM


def _texts(cells: Sequence[Cell]) -> Iterator[str]:
    # a long run may break at its zero-width spaces
    return (cell.text.replace("\u200b", " ") for cell in cells)


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
