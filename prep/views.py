"""What a plugin shows and takes in beside the orders: a log, a form for readings, a comparison.

A view is made of pages. A page is looked at by its address, a few words; it is told with the same blocks as
the sheet, links to others, and may hold forms. A form is made from a settings model, as the settings of
an order are. What is taken in is the plugin's own affair: the core keeps nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from prep.line import Line
    from prep.sections import Document, Section
    from prep.tables import Table

Address = tuple[str, ...]
"""Which page of a view: ``()`` is its first, ``("entry", "12")`` might be one of an entry."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a view is looked at.

    :param shop: shop.toml that holds; ``None`` = a usual shop
    :param line: the order that lies open, for pages that are about one (:attr:`View.of_order`); it is read
        and never changed
    """

    shop: Path | None
    line: Line | None = None


@dataclass(frozen=True, slots=True)
class Link:
    """Leads to another page of the same view.

    :param words: what is read, enough to tell it from others: ``Run 12: pea pod, 48 shirts``
    """

    words: str
    address: Address


@dataclass(frozen=True, slots=True)
class FormPart:
    """Some fields of a form under a title.

    :param key: that what is typed comes back under
    :param model: its fields with their kinds and help
    :param given: what stands in the fields before anything is typed, in the shape of a TOML table; a list
        of tables gives rows that wait to be filled in
    :param about: a sentence above them
    """

    key: str
    title: str
    model: type[Table]
    given: Mapping[str, Any]
    about: str = ""


@dataclass(frozen=True, slots=True)
class Taken:
    """What came of a form.

    :param said: sentences, the first says what was entered
    :param go: page of the view to show next; ``None`` = the same again, with its fields as they were given
    :param opens: folder with an order.toml and its artworks, to be laid open as an order: a copy is made,
        and a folder among the temporary files is removed then
    :param files: to be downloaded
    """

    said: tuple[str, ...]
    go: Address | None = None
    opens: Path | None = None
    files: tuple[Document, ...] = ()


@dataclass(frozen=True, slots=True)
class EntryForm:
    """A form to fill in and send.

    :param name: tells it from the other forms of its page
    :param do: words of its button
    :param take: takes part's key -> what was typed, in the shape of ``given`` and with fields left empty
        left out; values are plain, and checked against no model yet.
        Raises :class:`prep.errors.InputError` where it can't be used: nothing is entered then. A line of it
        that holds ``part.key``, or ``part.rows[2].key`` of the second row, is told at that field, too
    """

    name: str
    title: str
    parts: tuple[FormPart, ...]
    do: str
    take: Callable[[Mapping[str, Mapping[str, Any]]], Taken]


@dataclass(frozen=True, slots=True)
class ViewPage:
    """A page as it is shown.

    :param sections: told in their order; of chapter ``job``
    :param links: below what they lead on from: after the sections
    """

    title: str
    sections: tuple[Section, ...] = ()
    links: tuple[Link, ...] = ()
    forms: tuple[EntryForm, ...] = ()


@dataclass(frozen=True, slots=True)
class View:
    """What a plugin shows beside the orders.

    :param name: one word, the same at all times, for addresses
    :param title: what it is called where it is chosen
    :param about: a sentence on what is found in it
    :param show: gives a page by its address; raises :class:`prep.errors.InputError` where there is none
    :param of_order: pages about the order that lies open, linked where its work ends; these, and those
        whose addresses begin with theirs, are shown with :attr:`Place.line` when come to from an order, and
        wait for it while it is worked out. All others have none
    """

    name: str
    title: str
    about: str
    show: Callable[[Address, Place], ViewPage]
    of_order: tuple[Link, ...] = ()
