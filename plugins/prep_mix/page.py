"""The page of ``prep mix --pdf``: what to weigh, with room to write what was weighed."""

from __future__ import annotations

import json
import textwrap
from importlib import resources
from typing import TYPE_CHECKING

from prep import typeset
from prep_mix import wording

if TYPE_CHECKING:
    from prep_mix.weighing_out import Weighing

_LONGEST_WORD = 28
_PAPERS = {"A4": "a4", "US Letter": "us-letter"}


def page(weighing: Weighing) -> bytes:
    """Typeset a batch. The same batch gives the same bytes, but where fonts of this computer help out.

    :raises prep.typeset.LaidOutBadly: the typesetter warned of something
    """
    from prep_mix.weighing_out import lines, table

    shop, mixable = weighing.shelf.shop, weighing.mixable
    head, rows, align = table(weighing)
    each = f" in each of {weighing.count} pots" if weighing.count > 1 else ""
    said = {
        "paper": _PAPERS[shop.paper],
        "title": _broken(mixable.mixture.ink.name),
        "subtitle": wording.title(shop.name, weighing.batch, mixable, weighing.units) + each,
        "pre_mixes": list(wording.pre_mixes(weighing.batch, mixable, weighing.units)),
        "head": [*head, "weighed"],
        "rows": [[_broken(row[0]), *row[1:], ""] for row in rows],
        "align": align + "l",
        "lines": lines(weighing),
        "blanks": ["Mixed on", "at", "by", "Batch, lot numbers"],
    }
    letters = typeset.letters_lacking(json.dumps(said, ensure_ascii=False))
    said["letters"] = typeset.by_number(letters.helped_out + letters.nowhere)
    template = resources.files("prep_mix").joinpath("mix.typ").read_bytes()
    return typeset.compiled(template, {"mix": json.dumps(said, ensure_ascii=False)}, letters)


def _broken(name: str) -> str:
    """Break words too long for a line of the page."""
    words = name.split(" ")
    return " ".join("\n".join(textwrap.wrap(word, _LONGEST_WORD)) or word for word in words)
