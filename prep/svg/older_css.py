"""Restates styles in the CSS of SVG 1.1, for a renderer that knows no newer one.

Only how a thing is written changes, never what was made of it: units of transforms and the unit Q become
plain numbers and mm, ``unset`` becomes what it stands for, and a selector that the renderer lacks becomes a
mark on the elements it selects, as heavy as the selector was. Nothing here asks the reader: units and
the lists of properties are written out once more. What can't be restated stays as it is.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from typing import Any

import cssselect2
import tinycss2

from prep.svg.document import SVG, Element

_MARK = "data-shown"
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_ARGUMENT = re.compile(rf"\s*({_NUMBER})([A-Za-z%]*)\s*,?\s*")
_CALL = re.compile(r"([A-Za-z]+)\s*\(([^()]*)\)")
_WORD = re.compile(r"[A-Za-z]+")
_NAMES = {
    name.lower(): name
    for name in (
        *("matrix", "translate", "translateX", "translateY", "scale", "scaleX", "scaleY"),
        *("rotate", "skew", "skewX", "skewY"),
    )
}
"""In CSS the names of transform functions may be in any case, in the renderer only in this."""
_QUARTERS = re.compile(rf"({_NUMBER})[qQ](?![\w%])")
_LENGTHS = frozenset(
    (
        *("x", "y", "width", "height", "r", "rx", "ry", "cx", "cy", "x1", "y1", "x2", "y2"),
        *("dx", "dy", "markerWidth", "markerHeight", "refX", "refY", "font-size"),
        *("stroke-width", "stroke-dasharray", "stroke-dashoffset", "letter-spacing"),
        "word-spacing",
    )
)
# 96 px, 72 points, 6 picas and 101.6 Q are an inch (CSS Values 3, 6.2)
_PX = {"px": 1.0, "in": 96.0, "cm": 96 / 2.54, "mm": 9.6 / 2.54, "q": 2.4 / 2.54}
_PX |= {"pt": 4 / 3, "pc": 16.0, "": 1.0}
_ANGLES = {"": 1.0, "deg": 1.0, "grad": 0.9, "turn": 360.0, "rad": 180 / math.pi}
_FACTORS = {"": 1.0, "%": 0.01}
_UNSET = frozenset(("unset", "revert", "revert-layer"))
_NOT_INHERITED = frozenset(
    (
        *("display", "opacity", "overflow", "clip-path", "mask", "mask-type", "filter"),
        *("transform", "transform-origin", "stop-color", "stop-opacity", "mix-blend-mode"),
        *("isolation", "vector-effect", "text-decoration", "baseline-shift", "unicode-bidi"),
    )
)
_SIMPLE = ("first-child",)


def restate_styles(root: Element) -> None:
    """Restate attributes, style attributes and style sheets of a drawing."""
    sheets = _Sheets(root)  # first: selectors may ask for attributes
    for element in root.iter(f"{{{SVG}}}style"):
        if element.text and not len(element):
            element.text = sheets.restated(element.text)
    for element in root.iter():
        if not isinstance(element.tag, str):
            continue
        for name, value in element.attrib.items():
            if name in _LENGTHS:
                element.set(name, _in_mm(str(value)))
            elif name in ("transform", "gradientTransform"):
                element.set(name, older_transform(str(value)))
            elif str(value).strip().lower() in _UNSET:
                element.set(name, _stands_for(str(name)))
        if style := element.get("style"):
            element.set("style", _declarations(style) or style)


def _in_mm(text: str) -> str:
    return _QUARTERS.sub(lambda found: f"{float(found[1]) / 4!r}mm", text)


def _stands_for(name: str) -> str:
    """Say what ``unset`` means (CSS Cascading 4, 7.3)."""
    return "initial" if name in _NOT_INHERITED else "inherit"


def older_transform(text: str) -> str:
    """Give a list of transforms with plain numbers; one that isn't understood stays."""
    return _CALL.sub(lambda call: _older_call(call[1], call[2]) or call[0], text)


def _older_call(name: str, inside: str) -> str | None:
    written = _ARGUMENT.findall(inside)
    if not written or _ARGUMENT.sub("", inside).strip():
        return None
    units: dict[str, tuple[dict[str, float], ...]] = {
        "rotate": (_ANGLES, _PX, _PX),
        **dict.fromkeys(("skew", "skewX", "skewY"), (_ANGLES, _ANGLES)),
        **dict.fromkeys(("scale", "scaleX", "scaleY"), (_FACTORS, _FACTORS)),
        **dict.fromkeys(("translate", "translateX", "translateY"), (_PX, _PX)),
    }
    numbers = []
    for (number, unit), known in zip(written, units.get(name, ()), strict=False):
        if unit.lower() not in known:
            return None
        numbers.append(float(number) * known[unit.lower()])
    if len(numbers) != len(written):
        return None
    match name, numbers:
        case ("translateX", [x]):
            name, numbers = "translate", [x, 0.0]
        case ("translateY", [y]):
            name, numbers = "translate", [0.0, y]
        case ("scaleX", [x]):
            name, numbers = "scale", [x, 1.0]
        case ("scaleY", [y]):
            name, numbers = "scale", [1.0, y]
        case ("skew", [x]):
            name = "skewX"
        case ("skew", [x, y]):
            across, down = (math.tan(math.radians(angle)) for angle in (x, y))
            name, numbers = "matrix", [1.0, down, across, 1.0, 0.0, 0.0]
    return f"{name}({' '.join(map(repr, numbers))})"


def _declarations(content: Any) -> str | None:
    """Give declarations anew; None where something else stands among them."""
    made = []
    for node in tinycss2.parse_blocks_contents(content, skip_comments=True, skip_whitespace=True):
        if node.type == "error":
            continue  # left out alone (CSS Syntax 3, 2.2); the renderer would leave out what follows
        if node.type != "declaration":
            return None
        value = tinycss2.serialize([_token(token) for token in node.value]).strip()
        if value.lower() in _UNSET:
            value = _stands_for(node.lower_name)
        elif node.lower_name == "transform":
            value = older_transform(
                _WORD.sub(lambda word: _NAMES.get(word[0].lower(), word[0]), value)
            )
        made.append(f"{node.lower_name}: {value}{' !important' if node.important else ''}")
    return "; ".join(made)


def _token(token: Any) -> Any:
    if token.type == "dimension" and token.lower_unit == "q":
        (plain,) = tinycss2.parse_component_value_list(f"{token.value / 4!r}mm")
        return plain
    return token


class _Sheets:
    """Restates style sheets; marks the elements that a selector unknown to the renderer selects."""

    def __init__(self, root: Element) -> None:
        self._root = root
        self._tree: cssselect2.ElementWrapper | None = None
        self._marks = 0

    def restated(self, text: str) -> str:
        """Give a sheet anew, its rules in their order."""
        made = []
        for rule in tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True):
            if rule.type != "qualified-rule":
                made.append("" if rule.type == "error" else rule.serialize())
                continue
            body = _declarations(rule.content)
            selectors = ", ".join(self._selectors(rule.prelude))
            made.append(
                rule.serialize() if body is None else f"{selectors} {{{body}}}" if selectors else ""
            )
        return "\n".join(made)

    def _selectors(self, prelude: Sequence[Any]) -> Iterator[str]:
        parts = _split(prelude)
        try:
            compiled = cssselect2.compile_selector_list(prelude)
        except cssselect2.SelectorError:
            compiled = []
        for number, part in enumerate(parts):
            plain = tinycss2.serialize(part).strip()
            if len(compiled) != len(parts) or compiled[number].pseudo_element or _is_known(part):
                yield plain
            else:
                yield from self._marked(plain, compiled[number].specificity)

    def _marked(self, selector: str, weight: tuple[int, int, int]) -> Iterator[str]:
        """Give selectors of the same weight that select the same elements by a mark set on them."""
        ids, classes, types = weight
        if self._tree is None:
            self._tree = cssselect2.ElementWrapper.from_xml_root(self._root)
        found = [wrapper.etree_element for wrapper in self._tree.query_all(selector)]
        if ids or not classes or types > 2 or (types == 2 and self._root in found):
            yield selector  # no mark weighs as much
            return
        self._marks += 1
        for element in found:
            element.set(_MARK, f"{element.get(_MARK, '')} {self._marks}".strip())
        mark = f'[{_MARK}~="{self._marks}"]' * classes
        if not types:
            yield mark
        else:
            for name in sorted({str(one.tag).rpartition("}")[2] for one in found}):
                yield f"{'svg ' if types == 2 else ''}{name}{mark}"


def _split(prelude: Sequence[Any]) -> list[list[Any]]:
    """Divide a list of selectors at its commas."""
    parts: list[list[Any]] = [[]]
    for token in prelude:
        if token == ",":
            parts.append([])
        else:
            parts[-1].append(token)
    return parts


def _is_known(selector: Sequence[Any]) -> bool:
    """Say whether the renderer has what a selector is made of."""
    for at, token in enumerate(selector):
        if token == "~":
            return False
        if token == ":":
            after = selector[at + 1] if at + 1 < len(selector) else None
            if after is None or after.type != "ident" or after.lower_value not in _SIMPLE:
                return False
        if token.type == "[] block" and _has_flag(token.content):
            return False
    return True


def _has_flag(inside: Sequence[Any]) -> bool:
    """Say whether an attribute's selector says how to compare: ``[x="a" i]``."""
    tokens = [token for token in inside if token.type not in ("whitespace", "comment")]
    return len(tokens) > 2 and tokens[-1].type == "ident" and tokens[-2].type != "literal"
