"""How a drawing spells the families of its fonts.

In CSS a family's name is the same in any letter case (CSS Fonts Module Level 4, 5.1); blanks count for
some viewers only. A renderer that compares letter by letter is given every spelling there is.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import tinycss2

from prep.svg.document import SVG, Element

_MOST = 50
_ATTRIBUTES = ("font-family", "font", "style")


def family_key(family: str) -> str:
    """Give what two spellings of one family have in common."""
    return " ".join(family.split()).casefold()


def spellings(root: Element, family: str) -> tuple[str, ...]:
    """Give how a drawing spells a family in attributes, style attributes and style sheets.

    :return: each spelling once; no more than the table of names of a font is sure to hold
    """
    key = family_key(family)
    found: dict[str, None] = {}
    for text in _texts(root):
        for named in _named(tinycss2.parse_component_value_list(text), len(key.split())):
            if family_key(named) == key:
                found[named] = None
    return tuple(found)[:_MOST]


def own_families(root: Element) -> frozenset[str]:
    """Give the keys of the families that a drawing brings fonts of its own for.

    They stand in ``@font-face`` rules and in ``font-face`` elements of SVG 1.1.
    """
    found: set[str] = set()
    for element in root.iter(f"{{{SVG}}}font-face"):
        found.add(family_key((element.get("font-family") or "").strip().strip("'\"")))
    for element in root.iter(f"{{{SVG}}}style"):
        text = "".join(str(part) for part in element.itertext())
        for rule in tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True):
            if rule.type == "at-rule" and rule.lower_at_keyword == "font-face" and rule.content:
                found.update(_described(rule.content))
    return frozenset(found - {""})


def _described(content: list[Any]) -> Iterator[str]:
    """Give the family that a rule describes."""
    for one in tinycss2.parse_blocks_contents(content, skip_comments=True, skip_whitespace=True):
        if one.type == "declaration" and one.lower_name == "font-family":
            words = [str(t.value) for t in one.value if t.type in ("string", "ident")]
            yield family_key(" ".join(words))


def _texts(root: Element) -> Iterator[str]:
    for element in root.iter():
        if not isinstance(element.tag, str):
            continue  # a comment
        for name in _ATTRIBUTES:
            if (text := element.get(name)) is not None:
                yield text
        if element.tag == f"{{{SVG}}}style":
            yield "".join(str(part) for part in element.itertext())


def _named(tokens: list[Any], count: int) -> Iterator[str]:
    """Give all strings, and all runs of as many words in a row."""
    words: list[str] = []
    for token in tokens:
        if token.type == "ident":
            words.append(str(token.value))
            if len(words) >= count:
                yield " ".join(words[-count:])
        elif token.type not in ("whitespace", "comment"):
            words = []
            if token.type == "string":
                yield str(token.value)
            elif token.type == "{} block":
                yield from _named(token.content, count)
