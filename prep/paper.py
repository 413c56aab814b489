"""Pages at true scale: pictures that each fill a page of their own size, as one document.

What is drawn 100 mm long measures 100 mm on paper when it is printed at 100 %.
"""

from __future__ import annotations

import base64
import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from prep.pictures import Picture
from prep.sections import Document
from prep.typeset import Letters, by_number, can_typeset, compiled, letters_lacking

_WRITTEN = re.compile(r"<(?:text|tspan|title)[^>]*>([^<]*)<")
_TEMPLATE = """
#let pages = json(bytes(sys.inputs.pages))
#set document(title: sys.inputs.title, date: none)
#set text(font: "DejaVu Sans", size: 5pt, lang: "en")
#set par(leading: 0.5em, spacing: 0pt)
#for (i, one) in pages.enumerate() {
  page(width: one.width_mm * 1mm, height: one.height_mm * 1mm, margin: 0pt, {
    place(top + left, image(
      bytes(one.svg), format: "svg", fit: "stretch",
      width: one.width_mm * 1mm, height: one.height_mm * 1mm, alt: one.alt,
    ))
    if i == 0 and sys.inputs.said != "" {
      place(bottom + left, dx: 7mm, dy: -2mm, block(width: 100% - 14mm, sys.inputs.said))
    }
  })
}
"""
# images run no script and load nothing, whatever is in them
_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"


@dataclass(frozen=True, slots=True)
class Size:
    """A size of paper, upright, in mm."""

    width_mm: float
    height_mm: float


SHEETS = {"A4": Size(210.0, 297.0), "US Letter": Size(215.9, 279.4)}
"""Papers a shop prints on (ISO 216; ANSI/ASME Y14.1)."""


def document(name: str, pages: Sequence[Picture], *, title: str) -> Document:
    """Give pages as ``NAME.pdf``, or as ``NAME.html`` where there is no typesetter.

    :param name: path inside the job folder, without ending
    :param pages: one or more; each is as large as its page
    """
    if can_typeset():
        return Document(f"{name}.pdf", pdf(pages, title=title))
    return Document(f"{name}.html", web_page(pages, title=title))


def pdf(pages: Sequence[Picture], *, title: str) -> bytes:
    """Typeset pages. The same pages give the same bytes, but where fonts of this computer help out.

    Letters are set in DejaVu Sans, which is bundled. Where it lacks some, the foot of the first page
    names them, by number; where no font has them, the file isn't marked as accessible (PDF/UA).

    :param pages: one or more; each is as large as its page
    :raises ValueError: no pages
    :raises prep.typeset.LaidOutBadly: the typesetter warned of something
    """
    if not pages:
        raise ValueError("a document has one page or more")
    told = [title, *(page.alt for page in pages)]
    told += [text for page in pages for text in _WRITTEN.findall(page.svg)]
    letters = letters_lacking("".join(told))
    inputs = {"title": title, "said": _said(letters), "pages": json.dumps(_plain(pages))}
    return compiled(_TEMPLATE.encode(), inputs, letters)


def web_page(pages: Sequence[Picture], *, title: str) -> bytes:
    """Write pages as HTML, UTF-8: each on paper of its own size, to be printed at 100 %.

    :param pages: one or more; each is as large as its page
    """
    sizes = {(page.width_mm, page.height_mm): f"p{i}" for i, page in enumerate(pages)}
    rules = "".join(
        f"@page {name} {{ size: {wide:g}mm {high:g}mm; margin: 0; }}\n.{name} {{ page: {name}; }}\n"
        for (wide, high), name in sizes.items()
    )
    images = "".join(
        f'<img class="{sizes[page.width_mm, page.height_mm]}" alt="{escape(page.alt)}"'
        f' style="width:{page.width_mm:g}mm;height:{page.height_mm:g}mm"'
        f' src="data:image/svg+xml;base64,{base64.b64encode(page.svg.encode()).decode()}">\n'
        for page in pages
    )
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">\n'
        f"<title>{escape(title)}</title>\n<style>\nbody {{ margin: 0; }}\n"
        f"img {{ display: block; break-after: page; }}\n{rules}</style>\n</head>\n"
        f"<body>\n{images}</body>\n</html>\n"
    ).encode()


def _plain(pages: Sequence[Picture]) -> list[dict[str, str | float]]:
    return [
        {"svg": p.svg, "width_mm": p.width_mm, "height_mm": p.height_mm, "alt": p.alt}
        for p in pages
    ]


def _said(letters: Letters) -> str:
    said = []
    if letters.helped_out:
        said.append(f"Set in a font of this computer: {by_number(letters.helped_out)}.")
    if letters.nowhere:
        said.append(f"No font on this computer has these letters: {by_number(letters.nowhere)}.")
    return " ".join(said)
