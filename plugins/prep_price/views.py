"""What costs show on the page: what would change them, worked out when it is asked for."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from prep.errors import InputError
from prep.views import Address, Link, Place, View, ViewPage

if TYPE_CHECKING:
    from prep.line import Line
    from prep.request import Request

_TITLE = "What would change the price"
CHANGES = ("changes",)
MORE = 50
"""Shirts more, as the command takes them."""


def views() -> Iterator[View]:
    """Give them."""
    yield View(
        "price",
        _TITLE,
        "What fifty shirts more, or one colour less, would change of what an order costs.",
        _page,
        of_order=(Link("What would change the price?", CHANGES),),
    )


def _page(address: Address, place: Place) -> ViewPage:
    from prep.sections import Paragraph, Section

    if address == ():
        about = (
            "Open an order, and ask from where its work ends: it is worked through again for each"
            " change."
        )
        return ViewPage(_TITLE, (Section("job", "", (Paragraph(about),), 10),))
    if address != CHANGES or place.line is None:
        raise InputError("there is no such page", do="open an order and ask from there")
    from prep_price.changes import changes_of, reckoned
    from prep_price.wording import change_blocks

    # the line that lies open is never changed: changes are tried on a copy of the order
    with _copied(place.line, place.shop) as (line, request):
        jobs, cost = reckoned(line)
        blocks = tuple(change_blocks(changes_of(line, request, jobs, cost, MORE)))
    return ViewPage(_TITLE, (Section("job", "", blocks, 10),))


@contextmanager
def _copied(line: Line, shop: Path | None) -> Iterator[tuple[Line, Request]]:
    from prep.line import open_line
    from prep.request import Request

    order = line.loaded.order
    own = order.print[0].artwork.parent
    with TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "order.toml").write_text(line.loaded.in_force(folder=own), "utf-8")
        for file in {*(one.artwork for one in order.print), *(one.file for one in order.font)}:
            copied = folder / os.path.relpath(file, own)
            if not copied.resolve().is_relative_to(folder.resolve()):
                raise InputError(
                    f"{file} lies outside the order's folder", do="lay it beside the order"
                )
            copied.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(file, copied)
        request = Request(folder / "order.toml", shop=shop)
        with open_line(request, plugins=line.plugins, tell=line.tell) as fresh:
            yield fresh, request
