"""Findings and notes as paper has them: settings told in words, not by the names they are typed by.

The terminal and the page in the browser keep the names, as settings are changed there.
"""

from __future__ import annotations

import re

_TABLE = r"(?:its )?\[\[?[\w.]+\]\]?"
_FILE = r"(?:shop|order)\.toml"
# what stands in brackets only to say what is typed
_IN_BRACKETS = re.compile(
    rf" \((?:--[^()]*|[^()]*(?:under {_TABLE}|\[\[?[a-z_]+\]\]?| = )[^()]*"
    r"|[a-z]+(?:_[a-z]+)+ in the order[^()]*)\)"
)
_AFTER_COLON = re.compile(
    rf": (?:\w+ = [^.;]+? under {_TABLE}|--set (?:'[^']+'|\S+?(?=[.,;]?(?:\s|$))))(?: in {_FILE})?"
)
_TABLES_OF = re.compile(rf"\b(shop|order)\.toml's {_TABLE}")
_UNDER = re.compile(rf" under {_TABLE}(?: in (shop|order)\.toml)?")
_OF_FILE = re.compile(rf"{_TABLE} of (shop|order)\.toml|\b(shop|order)\.toml\b")
# a setting by its table, no file by its ending
_DOTTED = re.compile(r"\b[a-z_]+\.(?!(?:svg|pdf|dxf|png|ttf|otf|json)\b)([a-z_]+)\b")
_CHOICE = re.compile(r'\b[a-z_]+ = ("[^"]*")')
_YES_OR_NO = re.compile(r"\b([a-z]+(?:_[a-z]+)*) = (true|false)\b")
_NAME = re.compile(r"\b[a-z]+(?:_[a-z]+)+\b")


def on_paper(text: str) -> str:
    """Tell in words what a text names as it is typed.

    >>> on_paper("Draw it blunter, or set sharpest_corner under [stencils] to what your blade turns.")
    "Draw it blunter, or set sharpest corner in the shop's settings to what your blade turns."
    >>> on_paper("The order can ask for that: thicken = true under [fill_in].")
    'The order can ask for that: see its settings.'
    """
    said = _IN_BRACKETS.sub("", text)
    said = _AFTER_COLON.sub(": see its settings", said)
    said = _TABLES_OF.sub(r"the \1's settings", said)
    said = _UNDER.sub(lambda found: f" in the {found[1] or 'shop'}'s settings", said)
    said = _OF_FILE.sub(lambda found: f"the {found[1] or found[2]}'s settings", said)
    if said == text:
        return text
    said = _YES_OR_NO.sub(lambda it: f"{it[1]} as {'yes' if it[2] == 'true' else 'no'}", said)
    said = _CHOICE.sub(r"\1", _DOTTED.sub(r"\1", said))
    return _NAME.sub(lambda name: name[0].replace("set_up", "set-up").replace("_", " "), said)
