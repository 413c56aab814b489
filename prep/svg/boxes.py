"""The page as a box of CSS, and outlines: lines and space that browsers draw and drawing programs don't.

Source: CSS Backgrounds and Borders Module Level 3, 3 (borders), 4 (corners) and 6.1 (box-shadow).
"""

from __future__ import annotations

import re

from prep.svg.notation import is_computed, parse_length

_EDGES = re.compile(
    r"border(?:-(?:top|right|bottom|left|block|inline)(?:-(?:start|end))?)?(?:-style)?\Z"
)
_LINES = frozenset(
    ("dotted", "dashed", "solid", "double", "groove", "ridge", "inset", "outset", "auto")
)
_OF_ALL = frozenset(("inherit", "initial", "unset", "revert", "revert-layer"))


def is_boxed(name: str, text: str, *, page: bool) -> bool:
    """Say whether a property draws an outline, or gives the page a border, padding, shadow or corners.

    :param page: whether it stands on the outermost svg; no other element of SVG is a box
    """
    if name in ("outline", "outline-style"):
        return _draws_a_line(text)
    if not page:
        return False
    if name == "box-shadow":
        return text.strip().lower() not in {"none", *_OF_ALL}
    if name.startswith("padding") or (name.startswith("border-") and name.endswith("radius")):
        return not _is_nothing(text)
    return _EDGES.match(name) is not None and _draws_a_line(text)


def _draws_a_line(text: str) -> bool:
    """Say whether a border or outline shows: only one that has a style does."""
    return is_computed(text) or not _LINES.isdisjoint(text.lower().split())


def _is_nothing(text: str) -> bool:
    """Say whether all lengths of a padding or rounding are zero."""
    if is_computed(text):
        return False
    words = text.lower().replace("/", " ").split()
    try:
        lengths = [parse_length(word) for word in words if word not in _OF_ALL]
    except OverflowError:
        return False
    return all(length is None or length.number == 0 for length in lengths)
