"""From the sections plugins give to pieces that are laid out."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from prep.findings import Finding
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
from prep_sheet.images import drawing
from prep_sheet.layout import (
    Beside,
    Cell,
    Danger,
    Grid,
    Heading,
    Image,
    Paper,
    Piece,
    Prose,
    Row,
    Steps,
    Trouble,
    Troubles,
    Turn,
    Values,
    Work,
)
from prep_sheet.plain_words import on_paper
from prep_sheet.wording import Units, clean, count, fine

# mm a letter takes in the sheet's font at 8 pt: in running text, in words and figures, in bold
_TEXT_MM, _WORD_MM, _HEAD_MM = 1.61, 1.77, 1.85
_NARROW_MM, _CELL_PADDING_MM = 1.1, 3.6
_PADDING_MM, _TEXT_LEAST_MM, _TO_FILL_IN_MM = 5.0, 36.0, 24.0
_WORDY = 24
"""Letters of figures beyond which they give way as text does."""
SMALL = 0.86
"""Size of small print against the sheet's type."""
_SMALL_PICTURE = 0.62
"""Size of pictures among small print against that of others, but for those at true size."""
_HIGH_MM = 260.0
"""Lower paper has lower pictures, so that as much stands on a page."""
_ONE_COLUMN = 3
"""As many steps stand in one column; more in two."""
# mm of a letter and a line of steps, and of a row of figures; about
_STEP_LETTER_MM, _STEP_LINE_MM, _ROW_MM = 1.44, 3.6, 3.6
_CAPTION_LETTER_MM, _CAPTION_LINE_MM = 1.32, 3.1
GUTTER_MM = 7.0
"""Between columns."""
_PICTURE_WIDE = 0.6
"""Share of the width; figures stand beside a picture that is narrower."""


def blocks_beside(
    section: Section, paper: Paper, room_mm: float
) -> Iterator[Heading | Grid | Values]:
    """Lay out a section of figures and tables in a column beside a picture, ``room_mm`` wide.

    A single figure needs no heading.
    """
    narrow = replace(paper, room_wide_mm=room_mm)
    if [len(b.rows) for b in section.blocks if isinstance(b, Figures)] != [1] or len(
        section.blocks
    ) > 1:
        yield Heading(clean(section.title))
    for piece in _pieces(section, narrow, 1.0):
        if isinstance(piece, Values):
            yield Values(piece.rows)
        elif isinstance(piece, Grid):
            yield piece


def pieces_of(
    sections: Iterable[Section],
    own: Iterable[tuple[int, str, Sequence[Piece]]],
    paper: Paper,
    *,
    turns: Iterable[tuple[int, Turn]] = (),
) -> Iterator[Piece]:
    """Give a chapter: sections and the sheet's own parts, by rank.

    :param own: (rank, title, pieces); an empty title has no heading
    :param turns: (rank, turn): before the first part of this rank or a higher one a new page begins
    """
    parts: list[tuple[int, int, str, str, Sequence[Piece]]] = [
        (rank, 0, "", title, pieces) for rank, title, pieces in own
    ]
    ahead = sorted(turns, key=lambda turn: turn[0])
    for s in sections:
        turned = [turn.small for rank, turn in ahead if rank <= s.rank]
        size = SMALL if turned and turned[-1] else 1.0
        parts.append((s.rank, 1, s.by, s.title, tuple(_pieces(s, paper, size))))
    # sorted() keeps the order in which one plugin gave sections of one rank
    for rank, _, _, title, pieces in sorted(parts, key=lambda part: part[:3]):
        while ahead and rank >= ahead[0][0]:
            yield ahead.pop(0)[1]
        if title:
            yield Heading(clean(title))
        yield from pieces


def _pieces(section: Section, paper: Paper, size: float) -> Iterator[Piece]:
    """Lay out a section: steps with their cautions as one run, figures beside their picture.

    :param size: of the type, against that of the sheet
    """
    row: list[Image] = []
    for piece in _one_by_one(section, paper, size):
        if isinstance(piece, Image) and (not row or _fit([*row, piece], paper)):
            row.append(piece)
            continue
        yield from _side_by_side(row)
        row = [piece] if isinstance(piece, Image) else []
        if not row:
            yield piece
    yield from _side_by_side(row)


def _fit(images: Sequence[Image], paper: Paper) -> bool:
    wide = sum(image.column_mm for image in images) + GUTTER_MM * (len(images) - 1)
    return wide <= paper.room_wide_mm


def _side_by_side(images: Sequence[Image]) -> Iterator[Piece]:
    if len(images) > 1:
        yield Row(tuple(images))
    else:
        yield from images


def _one_by_one(section: Section, paper: Paper, size: float) -> Iterator[Piece]:
    steps: list[Steps | Danger] = []
    beside: Beside | None = None
    for block in section.blocks:
        try:
            piece = _piece(block, paper, size)
        except ValueError as error:
            raise ValueError(
                f'section "{section.title}" of {section.by or "?"}: {error}'
            ) from error
        if isinstance(piece, Steps | Danger):
            steps.append(piece)
            continue
        if beside and beside.blocks and not steps and isinstance(block, Table):
            narrow = replace(
                paper, room_wide_mm=paper.room_wide_mm - beside.image.column_mm - GUTTER_MM
            )
            table = grid_of(block, narrow, size=size)
            if _room_beside(beside, paper) >= _height(table, narrow.room_wide_mm):
                beside = Beside(beside.image, (*beside.blocks, table))
                continue
        if (
            isinstance(piece, Values)
            and beside
            and not beside.blocks
            and not steps
            and (beside.image.column_mm < _PICTURE_WIDE * paper.room_wide_mm)
        ):
            beside = Beside(beside.image, (Values(piece.rows),))
            continue
        yield from _with_steps(beside, steps, paper)
        steps, beside = [], None
        if isinstance(piece, Image):
            beside = Beside(piece, ())
        else:
            yield piece
    yield from _with_steps(beside, steps, paper)


def _with_steps(
    beside: Beside | None, steps: Sequence[Steps | Danger], paper: Paper
) -> Iterator[Piece]:
    """Give a picture with what stands beside it, and the steps that follow.

    Steps begin beside the picture where there is room below its figures.
    """
    runs = _runs(steps)
    if beside is None or not beside.blocks:
        if beside is not None:
            yield beside.image
    else:
        wide = paper.room_wide_mm - beside.image.column_mm - GUTTER_MM
        room = _room_beside(beside, paper)
        ahead: list[tuple[Steps | Danger, ...]] = []
        while runs and (room := room - _STEP_LINE_MM * _lines(runs[0], wide)) >= 0.0:
            ahead.append(runs.pop(0))
        there = (Work((_joined(ahead),)),) if ahead else ()
        yield Beside(beside.image, (*beside.blocks, *there))
    if runs:
        yield _in_columns(runs, paper)


def _room_beside(beside: Beside, paper: Paper) -> float:
    """Estimate the height left beside a picture and its caption, in mm."""
    wide = paper.room_wide_mm - beside.image.column_mm - GUTTER_MM
    image = beside.image
    lines = math.ceil(_CAPTION_LETTER_MM * len(image.caption) / image.column_mm)
    taken = 0.0
    for block in beside.blocks:
        if isinstance(block, Values):
            taken += sum(
                _ROW_MM * math.ceil(_STEP_LETTER_MM * (len(" ".join(row)) + 4) / wide)
                for row in block.rows
            )
        elif isinstance(block, Grid):
            taken += _height(block, wide)
    return image.height_mm + _CAPTION_LINE_MM * lines - taken


def _height(table: Grid, wide_mm: float) -> float:
    """Estimate a table's height, in mm: a line for each word its longest cells may need more."""
    share = wide_mm / len(table.head)
    rows = ((Cell(text) for text in table.head), *table.rows)
    lines = sum(
        max(math.ceil(_TEXT_MM * (len(cell.text) + 2) / (1.4 * share)) for cell in row)
        for row in rows
    )
    caption = math.ceil(_CAPTION_LETTER_MM * len(table.caption) / wide_mm)
    return _ROW_MM * (lines + 0.5) + _CAPTION_LINE_MM * caption


def work(parts: Sequence[Steps | Danger], paper: Paper) -> Work:
    """Number steps through, and set them in two columns where there are many.

    A caution stays with the step it stands before.
    """
    return _in_columns(_runs(parts), paper)


def numbered_through(pieces: Iterable[Piece]) -> tuple[Piece, ...]:
    """Number the steps of a page on from section to section, in the order they stand in."""
    numbered: list[Piece] = []
    first = 1
    for piece in pieces:
        if isinstance(piece, Steps):
            numbered.append(replace(piece, first=first))
            first += len(piece.items)
        elif isinstance(piece, Work):
            laid, first = _numbered(piece, first)
            numbered.append(laid)
        elif isinstance(piece, Beside):
            blocks = list(piece.blocks)
            for at, block in enumerate(piece.blocks):
                if isinstance(block, Work):
                    blocks[at], first = _numbered(block, first)
            numbered.append(replace(piece, blocks=tuple(blocks)))
        else:
            numbered.append(piece)
    return tuple(numbered)


def _numbered(laid: Work, first: int) -> tuple[Work, int]:
    """Number steps from ``first`` on; give the number after the last, too."""
    columns = []
    for column in laid.columns:
        parts: list[Steps | Danger] = []
        for part in column:
            if isinstance(part, Steps):
                parts.append(replace(part, first=first))
                first += len(part.items)
            else:
                parts.append(part)
        columns.append(tuple(parts))
    return Work(tuple(columns)), first


def _runs(parts: Sequence[Steps | Danger]) -> list[tuple[Steps | Danger, ...]]:
    """Give each step by itself, with its number and the cautions before it."""
    runs: list[tuple[Steps | Danger, ...]] = []
    cautions: list[Danger] = []
    number = 1
    for part in parts:
        if isinstance(part, Danger):
            cautions.append(part)
            continue
        for item in part.items:
            runs.append((*cautions, Steps((item,), number)))
            cautions = []
            number += 1
    if cautions:
        runs.append(tuple(cautions))
    return runs


def _in_columns(runs: Sequence[tuple[Steps | Danger, ...]], paper: Paper) -> Work:
    wide = (paper.room_wide_mm - GUTTER_MM) / 2.0
    heights = [_lines(run, wide) for run in runs]
    cut = len(runs)
    if len(runs) > _ONE_COLUMN:
        cut = min(
            range(1, len(runs)),
            key=lambda c: (max(sum(heights[:c]), sum(heights[c:])), -c),
        )
    return Work(tuple(_joined(column) for column in (runs[:cut], runs[cut:]) if column))


def _lines(run: Sequence[Steps | Danger], wide_mm: float) -> float:
    """Estimate the height of a step with its cautions, in lines and the space below."""
    letters = (wide_mm - 7.0) / _STEP_LETTER_MM
    texts = [
        text
        for part in run
        for text in (part.items if isinstance(part, Steps) else (f"Caution. {part.text}",))
    ]
    return sum(math.ceil(len(text) / letters) + 0.5 for text in texts)


def _joined(runs: Sequence[tuple[Steps | Danger, ...]]) -> tuple[Steps | Danger, ...]:
    """Make one list of steps that follow each other."""
    joined: list[Steps | Danger] = []
    for part in (part for run in runs for part in run):
        last = joined[-1] if joined else None
        if isinstance(part, Steps) and isinstance(last, Steps):
            joined[-1] = Steps((*last.items, *part.items), last.first)
        else:
            joined.append(part)
    return tuple(joined)


def _piece(block: Block, paper: Paper, size: float) -> Piece:
    match block:
        case Paragraph(text):
            return Prose(clean(text))
        case Table():
            return grid_of(block, paper, size=size)
        case Figures(rows):
            values = tuple((clean(a), clean(b), clean(c)) for a, b, c in rows)
            return Values(values, wide=True)
        case Drawing(picture, caption, scale):
            share = (0.23 if paper.room_high_mm > _HIGH_MM else 0.205) if scale is None else 0.5
            if size < 1.0 and scale != 1.0:  # among small print, smaller
                share *= _SMALL_PICTURE
                scale = None if scale is None else scale * _SMALL_PICTURE
            room = paper.room_wide_mm, share * paper.room_high_mm
            return drawing(picture, caption, scale, room)
        case CheckList(steps):
            return Steps(tuple(clean(step) for step in steps))
        case Caution(text):
            return Danger(clean(text))
    raise ValueError(f"the sheet can't show a {type(block).__name__}")


def grid_of(table: Table, paper: Paper, *, size: float = 1.0) -> Grid:
    """Lay out a plugin's table; ``size`` of the type, against that of the sheet."""
    return grid(
        table.head,
        tuple(tuple(Cell(clean(text)) for text in row) for row in table.rows),
        table.align,
        paper,
        caption=table.caption,
        size=size,
    )


def grid(
    head: Sequence[str],
    rows: tuple[tuple[Cell, ...], ...],
    align: str,
    paper: Paper,
    *,
    caption: str = "",
    roomy: bool = False,
    size: float = 1.0,
) -> Grid:
    """Lay out a table: its columns take what they need while there is room, then share it.

    A column whose cells are all empty is there to be filled in by hand.

    :param size: of the type, against that of the sheet
    """
    room_mm = paper.room_wide_mm / size
    head = tuple(clean(text) for text in head)
    align = align or "l" * len(head)
    cells = [[row[column] for row in rows] for column in range(len(head))]
    to_fill_in = [bool(rows) and not any(cell.text for cell in column) for column in cells]
    needs = [
        max(_wants(column), _HEAD_MM * len(title) + _PADDING_MM)
        for title, column in zip(head, cells, strict=True)
    ]
    if roomy or sum(needs) <= room_mm:
        widths = tuple(
            (f"{need:.1f}fr" if roomy else f"{size * need:.1f}mm") if empty else "auto"
            for need, empty in zip(needs, to_fill_in, strict=True)
        )
    else:
        widths = _shared(head, cells, align, room_mm, size)
    return Grid(head, rows, align, widths, clean(caption), roomy)


def _shared(
    head: Sequence[str],
    cells: Sequence[Sequence[Cell]],
    align: str,
    room_mm: float,
    size: float,
) -> tuple[str, ...]:
    """Share the room among columns: text gives way before figures.

    No column gets narrower than its longest word, no text narrower than a few words. What is left
    goes to the texts by the square root of their length, which keeps the rows about as low as can be.
    """
    columns = range(len(head))
    words = [
        _WORD_MM
        * max((len(w) for text in (head[c], *_texts(cells[c])) for w in text.split()), default=0)
        + _PADDING_MM
        for c in columns
    ]
    wants = [max(_wants(cells[c], figures=align[c] == "r"), words[c]) for c in columns]
    # figures with so many words are a text
    wordy = [max((len(cell.text) for cell in cells[c]), default=0) > _WORDY for c in columns]
    least = [
        max(words[c], _TEXT_LEAST_MM if align[c] == "l" and wants[c] > _TEXT_LEAST_MM else 0.0)
        for c in columns
    ]
    shared = {c for c in columns if wants[c] > least[c] and (align[c] == "l" or wordy[c])}
    if sum(least[c] if c in shared else wants[c] for c in columns) > room_mm:
        shared = set(columns)
    spare = max(room_mm - sum(least[c] if c in shared else wants[c] for c in columns), 0.0)
    roots = sum(math.sqrt(wants[c] - least[c]) for c in shared) or 1.0
    return tuple(
        f"{size * (least[c] + spare * math.sqrt(wants[c] - least[c]) / roots):.1f}fr"
        if c in shared
        else f"{size * wants[c]:.1f}mm"  # not auto: a long head may break where its figures may not
        for c in columns
    )


def _wants(cells: Sequence[Cell], *, figures: bool = False) -> float:
    """Estimate the width a column's cells want to stay on one line, in mm."""
    letter_mm = _WORD_MM if figures else _TEXT_MM
    if cells and not any(cell.text or cell.swatch for cell in cells):
        return _TO_FILL_IN_MM
    widest = max((_wide_mm(c.text, letter_mm) + (4.8 if c.swatch else 0) for c in cells), default=0)
    return widest + _CELL_PADDING_MM


def _wide_mm(text: str, letter_mm: float) -> float:
    """Estimate how wide a text is set on one line; spaces, points and brackets are narrow."""
    narrow = sum(text.count(sign) for sign in " .,():")
    return letter_mm * (len(text) - narrow) + _NARROW_MM * narrow


def _texts(cells: Sequence[Cell]) -> Iterator[str]:
    # a long run may break at its zero-width spaces
    return (cell.text.replace("\u200b", " ") for cell in cells)


def troubles(lettered: Sequence[tuple[str, Finding]]) -> Troubles:
    """Lay out findings in full: what, why and what to do."""
    return Troubles(
        tuple(
            Trouble(
                letter=name,
                severity=finding.severity,
                where=count(finding.count, "place") if finding.count > 1 and finding.at_mm else "",
                what=clean(on_paper(finding.what)),
                why=clean(on_paper(finding.why)),
                do=clean(on_paper(finding.do)),
            )
            for name, finding in lettered
        )
    )


_LETTERS = 4
"""Letters named where findings share a line."""

Short = Sequence[tuple[str, Finding]]
"""Findings with their letters that are told in the same words."""


def told_alike(lettered: Short, units: Units) -> tuple[Short, ...]:
    """Put findings together whose lines differ in their screen alone, in the order of the first."""
    groups: dict[tuple[str, str], list[tuple[str, Finding]]] = {}
    for name, finding in lettered:
        key = finding.severity, _short(finding, units)
        groups.setdefault(key, []).append((name, finding))
    return tuple(groups.values())


def in_short(
    groups: Sequence[Short],
    where: Mapping[str, int],
    units: Units,
    shown: Callable[[Finding], Image | None],
) -> Troubles:
    """Lay out findings in a few words, with the first of what to do; all is read where they stand in full.

    :param groups: those told together; the first is shown
    :param where: key of a screen -> its number
    :param shown: gives a picture of a finding's place
    """
    return Troubles(
        tuple(
            Trouble(
                group[0][0],
                group[0][1].severity,
                "",
                clean(_line(group, where, units)),
                "",
                clean(_first_sentence(on_paper(group[0][1].do))),
                shown(group[0][1]),
            )
            for group in groups
        ),
        "What, and what to do first",
        pictured=True,
    )


def _first_sentence(text: str) -> str:
    first, stop, _ = text.partition(". ")
    return first + stop.strip()


def _line(group: Short, where: Mapping[str, int], units: Units) -> str:
    finding = group[0][1]
    said = _short(finding, units)
    if len(group) == 1:
        number = where.get(finding.screen or "")
        return f"Screen {number}: {said}" if number is not None else said
    screens = sorted(
        {where[f.screen] for _, f in group if f.screen is not None and f.screen in where}
    )
    on = f"Screen{'s' if len(screens) > 1 else ''} {several([str(n) for n in screens])}: "
    letters = [name for name, _ in group]
    if len(letters) > _LETTERS:
        letters = [*letters[:_LETTERS], f"{len(letters) - _LETTERS} more"]
    times = f", {len(group)} times" if len(screens) < len(group) else " each"
    return f"{on if screens else ''}{said}{times} ({several(letters)})"


def _short(finding: Finding, units: Units) -> str:
    said = [finding.kind]
    if finding.count > 1 and finding.at_mm:
        said.append(count(finding.count, "place"))
    if finding.size_mm is not None:
        said.append(f"{'from ' if finding.count > 1 else ''}{fine(finding.size_mm, units)}")
    return ", ".join(said)
