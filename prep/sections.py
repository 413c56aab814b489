"""The vocabulary of the sheet and the page: sections made of blocks, and documents made of bytes.

A plugin says what is to be read; how it is laid out is the affair of whoever writes the sheet. Every
number and unit is already text here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from prep.pictures import Picture


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Plain text."""

    text: str


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under a head.

    :param head: column titles
    :param rows: cells as text, each row as long as the head
    :param align: ``l`` or ``r`` for each column; empty = all left
    :param literal: columns, from 0, whose words name no setting, as a formula's don't, whatever they look
        like
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    align: str = ""
    caption: str = ""
    literal: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        """Check the shape.

        :raises ValueError: a row or ``align`` not as long as the head
        """
        if any(len(row) != len(self.head) for row in self.rows):
            raise ValueError(f"a row is not as long as the head {self.head}")
        if self.align and (len(self.align) != len(self.head) or set(self.align) - {"l", "r"}):
            raise ValueError(f"align {self.align!r} does not fit the head {self.head}")


@dataclass(frozen=True, slots=True)
class Figures:
    """Named values, one a line: (name, value, what it rests on)."""

    rows: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture. ``scale`` 1 prints it at true size, ``None`` lets the layout fit it."""

    picture: Picture
    caption: str = ""
    scale: float | None = None


@dataclass(frozen=True, slots=True)
class CheckList:
    """Steps to tick off, in working order."""

    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Caution:
    """A danger, named where the step stands."""

    text: str


Block = Paragraph | Table | Figures | Drawing | CheckList | Caution

Chapter = Literal["job", "screen", "closing", "customer", "why"]
Step = Literal["judge", "screens", "film", "ink", "run", "cure", "rests"]
"""Steps of the work in their order; at last what the figures rest on."""


@dataclass(frozen=True, slots=True)
class Column:
    """What the table of screens on the job page says of screens, under a head of its own.

    :param cells: (key of the screen, text); columns of one head are put together
    :param rank: lower stands farther left, right of what the table always has
    """

    head: str
    cells: tuple[tuple[str, str], ...]
    rank: int


@dataclass(frozen=True, slots=True)
class Section:
    """A titled part of the sheet.

    :param chapter: on the job page, on a screen's page, on the closing page, or on the page that the
        customer signs, which tells nothing of the shop's own affairs; ``why`` is for the page in the
        browser and the web page of the sheet, where room is no matter, and not for paper
    :param screen: key of the screen, for chapter ``screen``
    :param rank: lower stands first within its chapter; the work's order in steps of ten:
        10 what it is, 20 artwork and films, 30 mesh and frame, 40 ink, 45 film of a screen, 50
        registration, 60 printing, 70 cure, 90 what it rests on. A screen's steps of rank 44 join
        those with which ink goes on the screen, between 50 and 55; those of rank 60 tell how the run is
        printed with it; its parts from 45 on are for the back of its sheet, those from 70 to 89
        stand with the cure, behind the closing page. Parts of the job from 21 to 29 and from 62 to 69
        say how it was settled: an order of several set-ups has them in the sheet of each alone. From 62 on
        they stand in small print, as what the job rests on does
    :param by: name of the plugin, stamped by the core
    :param step: step of the work it is read in, where that isn't the one its rank names
    :param columns: what the table of screens says besides
    :param rests_on: titles of the sections that tell what its figures rest on, of whatever plugin; empty
        = all that its own plugin tells of that
    """

    chapter: Chapter
    title: str
    blocks: tuple[Block, ...]
    rank: int
    screen: str | None = None
    by: str = ""
    step: Step | None = None
    columns: tuple[Column, ...] = ()
    rests_on: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Check that a screen's section names its screen.

        :raises ValueError: chapter and screen don't fit, or a block or the step is of no kind known
        """
        if self.step is not None and self.step not in get_args(Step):
            raise ValueError(f"section {self.title!r}: there is no step {self.step!r}")
        if self.chapter not in get_args(Chapter):
            raise ValueError(f"section {self.title!r}: there is no chapter {self.chapter!r}")
        if not all(isinstance(block, Block) for block in self.blocks):
            raise ValueError(f"section {self.title!r} holds something that is no block")
        if (self.chapter == "screen") != (self.screen is not None):
            raise ValueError(f"section {self.title!r}: chapter and screen don't fit")


@dataclass(frozen=True, slots=True)
class Document:
    """A file of the job folder; only the core writes it.

    :param name: path inside the folder with forward slashes, like ``stencils/01-red.svg``
    :param by: name of the plugin, stamped by the core
    """

    name: str
    data: bytes
    by: str = ""

    def __post_init__(self) -> None:
        """Check that it can be written.

        :raises ValueError: no bytes, or a name that can't be a file's
        """
        if not isinstance(self.data, bytes):
            raise ValueError(f"{self.name!r} must be bytes")
        parts = self.name.split("/")
        if not all(0 < len(part.encode()) <= 200 and part.isprintable() for part in parts):
            raise ValueError(f"{self.name!r} can't be the name of a file")
