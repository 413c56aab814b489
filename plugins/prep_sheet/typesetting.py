"""The sheet as PDF, laid out by the Typst compiler.

The document is tagged and held to PDF/UA-1, which refuses a letter the fonts can't show. The bundled
font covers Latin, Greek, Cyrillic and more; what it lacks is set in fonts of this computer, and what
no font has is printed as boxes. Either is said in a box at the top of the sheet.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from importlib import resources
from typing import Any

from prep import typeset
from prep.typeset import Letters, by_number
from prep_sheet.layout import Notice, Sheet, plain
from prep_sheet.packing import packed

_IN_PICTURE = re.compile(r"<text[^>]*>([^<]*)<")


def pdf(sheet: Sheet) -> bytes:
    """Typeset a sheet. The same sheet gives the same bytes, but where this computer's fonts help out.

    :raises prep.typeset.LaidOutBadly: the typesetter warned of something
    """
    letters = typeset.letters_lacking("".join(_texts(plain(sheet))))
    if letters.own_fonts_only:
        return _compiled(sheet, letters)
    items = []
    if letters.helped_out:
        items.append(
            f"Set in a font of this computer, so that they may look otherwise on another:"
            f" {by_number(letters.helped_out)}."
        )
    if letters.nowhere:
        items.append(
            "No font on this computer has these; they are printed as empty boxes:"
            f" {by_number(letters.nowhere)}."
            " The file is therefore not marked as accessible (PDF/UA)."
        )
    said = Notice("Letters this sheet's font lacks", tuple(items))
    first, *rest = sheet.pages
    pages = (replace(first, pieces=(said, *first.pieces)), *rest)
    return _compiled(replace(sheet, pages=pages), letters)


def _compiled(sheet: Sheet, letters: Letters) -> bytes:
    template = resources.files("prep_sheet").joinpath("sheet.typ").read_bytes()
    inputs = {"sheet": json.dumps(plain(sheet), ensure_ascii=False)}
    return packed(typeset.compiled(template, inputs, letters))


def _texts(part: Any) -> Iterator[str]:
    """Give every text of a sheet; of a picture, what is written in it."""
    if isinstance(part, dict):
        for key, value in part.items():
            yield from _IN_PICTURE.findall(value) if key == "svg" else _texts(value)
    elif isinstance(part, list):
        for item in part:
            yield from _texts(item)
    elif isinstance(part, str):
        yield part
