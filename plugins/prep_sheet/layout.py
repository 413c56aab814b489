"""What a sheet is made of, ready to be laid out: text and pictures, no numbers left to format.

Both writers, the typeset one and the web page, take this and nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, is_dataclass
from typing import Any

from prep.findings import Severity


@dataclass(frozen=True, slots=True)
class Heading:
    """Title of a section."""

    text: str


@dataclass(frozen=True, slots=True)
class Prose:
    """A paragraph."""

    text: str


@dataclass(frozen=True, slots=True)
class Points:
    """Short sentences, one below the other."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Cell:
    """Text of a table, with a patch of colour before it where ``swatch`` is ``#rrggbb``."""

    text: str
    swatch: str = ""


@dataclass(frozen=True, slots=True)
class Grid:
    """A table.

    :param align: ``l`` or ``r`` for each column
    :param widths: for each column ``auto``, a share like ``2fr`` or a length like ``22mm``
    :param roomy: rows are high enough to write in by hand
    """

    head: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    align: str
    widths: tuple[str, ...]
    caption: str = ""
    roomy: bool = False


@dataclass(frozen=True, slots=True)
class Values:
    """Named values: (name, value, what it rests on).

    :param wide: the whole width is there, so that they stand in two columns
    """

    rows: tuple[tuple[str, str, str], ...]
    wide: bool = False


CAPTION_MM = 39.0
"""Least width of a caption on paper. Our choice."""


@dataclass(frozen=True, slots=True)
class Image:
    """An SVG picture at its size on paper, in mm.

    :param narrow: the caption is as wide as the picture, however small this is
    :param column_mm: width of picture and caption together, worked out from both
    """

    svg: str
    width_mm: float
    height_mm: float
    alt: str
    caption: str = ""
    narrow: bool = False
    column_mm: float = field(init=False)

    def __post_init__(self) -> None:
        """Leave a caption room to be read, however small the picture."""
        least_mm = CAPTION_MM if self.caption and not self.narrow else 0.0
        object.__setattr__(self, "column_mm", max(self.width_mm, least_mm))


@dataclass(frozen=True, slots=True)
class Steps:
    """Boxes to tick, in working order.

    :param first: number of the first one
    """

    items: tuple[str, ...]
    first: int = 1


@dataclass(frozen=True, slots=True)
class Danger:
    """A caution."""

    text: str


@dataclass(frozen=True, slots=True)
class Work:
    """Steps, and cautions before the steps they are for, in one or two columns.

    :param columns: read down the first, then down the second
    """

    columns: tuple[tuple[Steps | Danger, ...], ...]


@dataclass(frozen=True, slots=True)
class Notice:
    """A framed box that must not be overlooked."""

    title: str
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Trouble:
    """A finding: its letter on the picture, and what to read beside it.

    :param image: its place, close by
    """

    letter: str
    severity: Severity
    where: str
    what: str
    why: str
    do: str
    image: Image | None = None


@dataclass(frozen=True, slots=True)
class Troubles:
    """Findings, worst first.

    :param head: over what is said of each
    :param pictured: each stands beside a picture of its place, two side by side
    """

    items: tuple[Trouble, ...]
    head: str = "What, why, and what to do"
    pictured: bool = False


@dataclass(frozen=True, slots=True)
class Beside:
    """A picture with blocks to its right."""

    image: Image
    blocks: tuple[Heading | Prose | Points | Grid | Values | Troubles | Work | Row, ...]


@dataclass(frozen=True, slots=True)
class Row:
    """Pictures side by side."""

    images: tuple[Image, ...]


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines to write on by hand, below what they are for.

    :param names: what is written on each
    """

    names: tuple[str, ...]
    said: str


@dataclass(frozen=True, slots=True)
class Together:
    """Parts that stand on one page; they must have room there.

    :param blocks: one below the other
    """

    blocks: tuple[Heading | Prose | Points | Grid | Row | Lines, ...]


@dataclass(frozen=True, slots=True)
class Turn:
    """What follows stands on the back; at once where what comes before runs over onto it.

    :param small: it is in small print, and stands right below instead, up to a turn that isn't small
    """

    small: bool = False


Piece = (
    Heading
    | Prose
    | Points
    | Grid
    | Values
    | Image
    | Steps
    | Danger
    | Work
    | Notice
    | Troubles
    | Beside
    | Row
    | Lines
    | Together
    | Turn
)


@dataclass(frozen=True, slots=True)
class Page:
    """A page, or several where it doesn't fit on one.

    :param running: stands at the head of every page
    :param flags: warnings at the head of every page
    :param swatch: ``#rrggbb`` shown beside the title, or empty
    """

    running: str
    title: str
    subtitle: str
    pieces: tuple[Piece, ...]
    flags: tuple[str, ...] = ()
    swatch: str = ""


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper size and the room on it, in mm.

    :param name: as the typesetter calls it
    :param css: as a browser calls it
    """

    name: str
    css: str
    room_wide_mm: float
    room_high_mm: float


PAPERS = {
    "A4": Paper("a4", "A4", 180.0, 267.0),
    "US Letter": Paper("us-letter", "letter", 185.9, 249.4),
}


@dataclass(frozen=True, slots=True)
class CheckBar:
    """A bar of known length on every page, which shows whether the printer kept the size."""

    length_mm: float
    step_mm: float
    text: str


CHECK_BARS = {
    "metric": CheckBar(50.0, 10.0, "This bar is 50 mm long."),
    "inch": CheckBar(50.8, 12.7, "This bar is 2 in long."),
}


@dataclass(frozen=True, slots=True)
class Sheet:
    """The whole document.

    :param double_sided: each page begins on a front; a back with nothing on it says so
    """

    title: str
    paper: Paper
    bar: CheckBar
    pages: tuple[Page, ...]
    double_sided: bool = True


def plain(part: Any) -> Any:
    """Give a sheet, or a part of it, as dicts, lists and text; each dict names its ``kind``."""
    if is_dataclass(part) and not isinstance(part, type):
        named = {field.name: plain(getattr(part, field.name)) for field in fields(part)}
        return {"kind": type(part).__name__.lower(), **named}
    if isinstance(part, tuple):
        return [plain(item) for item in part]
    return part
