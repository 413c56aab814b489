"""Restates colours in the syntax of CSS 2 and SVG 1.1, for a renderer that knows no newer one.

The renderer takes what it doesn't know for black, or leaves it out. Colours that it knows stay as they
are written, so that both read them for themselves.
"""

from __future__ import annotations

import re

from prep.svg.colours import UnreadColour, parse_colour
from prep.svg.document import SVG, Element, local_name, namespace

_PAINTS = ("fill", "stroke", "color", "stop-color", "style")
_COLOUR = re.compile(
    r"\b(?:rgba?|hsla?|hwb|lab|lch|oklab|oklch|color)\([^()]*\)"
    # not the names of classes and the like
    r"|(?<![\w.#-])(?:rebeccapurple|currentcolor)(?![\w-])",
    re.IGNORECASE,
)
_NUMBER = r"\s*[-+]?(?:\d+\.?\d*|\.\d+)"
_KNOWN = re.compile(
    rf"(?:rgb|hsl)a?\((?:{_NUMBER}%?\s*,){{2}}{_NUMBER}%?\s*(?:,{_NUMBER}\s*)?\)\Z", re.IGNORECASE
)


def restate_colours(root: Element) -> None:
    """Restate the colours of a drawing: of its attributes, style attributes and style sheets."""
    for element in root.iter():
        if not isinstance(element.tag, str):
            continue  # a comment
        for name in _PAINTS:
            if (text := element.get(name)) is not None:
                element.set(name, restated(text))
        if namespace(element) == SVG and local_name(element) == "style" and element.text:
            element.text = restated(element.text)


def restated(text: str) -> str:
    """Give a value or style sheet with its newer colours as ``#rrggbb``, with alpha as ``rgba()``."""
    return _COLOUR.sub(_older, text)


def _older(found: re.Match[str]) -> str:
    written = found[0]
    if written.lower() == "currentcolor":
        return "currentColor"
    if _KNOWN.match(written):
        return written
    try:
        colour = parse_colour(written)
    except UnreadColour:
        return written
    if colour is None:
        return written
    if colour.alpha == 1:
        return colour.hex
    levels = ", ".join(str(int(colour.hex[at : at + 2], 16)) for at in (1, 3, 5))
    return f"rgba({levels}, {colour.alpha:.6f})"
