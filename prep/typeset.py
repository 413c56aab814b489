"""Runs the Typst compiler with Firstpull's own fonts; knows which letters they lack.

Documents are held to PDF/UA-1, which refuses a letter that no font shows. The bundled font covers
Latin, Greek, Cyrillic and more; what it lacks is set in fonts of this computer.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from importlib import resources
from typing import Any

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


@dataclass(frozen=True, slots=True)
class Letters:
    """Letters that the bundled font lacks.

    :param helped_out: those a font of this computer shows
    :param nowhere: those that no font here shows; printed as empty boxes or not at all
    """

    helped_out: str = ""
    nowhere: str = ""

    @property
    def own_fonts_only(self) -> bool:
        """Whether the bundled font is enough."""
        return not (self.helped_out or self.nowhere)

    @property
    def accessible(self) -> bool:
        """Whether the document can be marked as accessible (PDF/UA)."""
        return not self.nowhere


def can_typeset() -> bool:
    """Tell whether the typesetter is here; it isn't built for every computer."""
    try:
        import typst  # noqa: F401  # only whether it can be loaded
    except ImportError:
        return False
    return True


def letters_lacking(text: str) -> Letters:
    """Tell which letters of a text the bundled font lacks, and which of these no font here has."""
    used = "".join(sorted({c for c in text if ord(c) > 126}))
    lacking = not_shown(used, own_fonts_only=True)
    nowhere = not_shown(lacking, own_fonts_only=False)
    return Letters("".join(c for c in lacking if c not in nowhere), nowhere)


def not_shown(characters: str, *, own_fonts_only: bool) -> str:
    """Give those of the characters that no font can show."""
    import typst

    if not characters:
        return ""
    try:
        run(
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


def compiled(source: bytes, inputs: dict[str, str], letters: Letters) -> bytes:
    """Typeset a document; the same source and inputs give the same bytes, but where letters lack.

    :param source: what is written in Typst; texts of others come in ``inputs``, never in it
    :raises LaidOutBadly: the typesetter warned of something
    """
    made, warnings = run(
        source, inputs, own_fonts_only=letters.own_fonts_only, accessible=letters.accessible
    )
    if warnings:
        raise LaidOutBadly("; ".join(str(warning) for warning in warnings))
    return made


def run(
    source: bytes, inputs: dict[str, str], *, own_fonts_only: bool, accessible: bool
) -> tuple[bytes, list[Any]]:
    """Run the typesetter once: the PDF, and its warnings.

    :raises LaidOutBadly: it gave no document
    """
    import typst

    with resources.as_file(resources.files("prep").joinpath("fonts")) as fonts:
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


def by_number(characters: str) -> str:
    """Name characters by their numbers, which any font can show.

    >>> by_number("é中")
    'U+00E9, U+4E2D'
    """
    return ", ".join(f"U+{ord(c):04X}" for c in characters)
