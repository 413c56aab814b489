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

from prep_sheet.layout import Notice, Sheet, plain

_IN_PICTURE = re.compile(r"<text[^>]*>([^<]*)<")
_NOT_SHOWN = re.compile(r'the text `"(.*?)"` could not be displayed')
_ESCAPED = re.compile(r"\\u\{([0-9a-f]+)\}")
# one character a paragraph: each that no font has gets an error of its own
_CHARACTERS = """
#set document(title: "characters")
#set text(font: "DejaVu Sans", lang: "en")
#for one in sys.inputs.characters.clusters() { par(one) }
"""


class LaidOutBadly(Exception):
    """The typesetter gave warnings, which a right template never does."""


def can_typeset() -> bool:
    """Tell whether the typesetter is here; it isn't built for every computer."""
    try:
        import typst  # noqa: F401  # only whether it can be loaded
    except ImportError:
        return False
    return True


def pdf(sheet: Sheet) -> bytes:
    """Typeset a sheet. The same sheet gives the same bytes, but where this computer's fonts help out.

    :raises LaidOutBadly: the typesetter warned of something
    """
    used = "".join(sorted({c for text in _texts(plain(sheet)) for c in text if ord(c) > 126}))
    lacking = _not_shown(used, own_fonts_only=True)
    if not lacking:
        return _compiled(sheet, own_fonts_only=True, accessible=True)
    nowhere = _not_shown(lacking, own_fonts_only=False)
    helped_out = "".join(c for c in lacking if c not in nowhere)
    items = []
    if helped_out:
        items.append(
            f"Set in a font of this computer, so that they may look otherwise on another:"
            f" {_named(helped_out)}."
        )
    if nowhere:
        items.append(
            f"No font on this computer has these; they are printed as empty boxes: {_named(nowhere)}."
            " The file is therefore not marked as accessible (PDF/UA)."
        )
    said = Notice("Letters this sheet's font lacks", tuple(items))
    first, *rest = sheet.pages
    pages = (replace(first, pieces=(said, *first.pieces)), *rest)
    return _compiled(replace(sheet, pages=pages), own_fonts_only=False, accessible=not nowhere)


def _compiled(sheet: Sheet, *, own_fonts_only: bool, accessible: bool) -> bytes:
    template = resources.files("prep_sheet").joinpath("sheet.typ").read_bytes()
    inputs = {"sheet": json.dumps(plain(sheet), ensure_ascii=False)}
    made, warnings = _run(template, inputs, own_fonts_only=own_fonts_only, accessible=accessible)
    if warnings:
        raise LaidOutBadly("; ".join(str(warning) for warning in warnings))
    return made


def _not_shown(characters: str, *, own_fonts_only: bool) -> str:
    """Give those of the characters that no font can show."""
    import typst

    if not characters:
        return ""
    try:
        _run(
            _CHARACTERS.encode(),
            {"characters": characters},
            own_fonts_only=own_fonts_only,
            accessible=True,
        )
    except typst.TypstError as error:
        found = "".join(_NOT_SHOWN.findall(error.diagnostic))
        if not found:
            raise
        shown = _ESCAPED.sub(lambda code: chr(int(code[1], 16)), found)
        return "".join(c for c in characters if c in shown)
    return ""


def _run(
    source: bytes, inputs: dict[str, str], *, own_fonts_only: bool, accessible: bool
) -> tuple[bytes, list[Any]]:
    import typst

    with resources.as_file(resources.files("prep_sheet").joinpath("fonts")) as fonts:
        made, warnings = typst.compile_with_warnings(
            source,
            format="pdf",
            sys_inputs=inputs,
            font_paths=typst.Fonts(
                include_system_fonts=not own_fonts_only, font_paths=[str(fonts)]
            ),
            pdf_standards=["ua-1"] if accessible else None,
            timestamp=0,
        )
    if not isinstance(made, bytes):
        raise LaidOutBadly("the typesetter gave no document")
    return made, list(warnings)


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


def _named(characters: str) -> str:
    """Name characters by their numbers, which any font can show."""
    return ", ".join(f"U+{ord(c):04X}" for c in characters)
