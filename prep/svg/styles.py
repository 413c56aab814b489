"""The cascade: which value each property of each element has, by CSS.

tinycss2 reads the sheets, cssselect2 matches selectors. Order of weight: presentation attributes, rules
by specificity and place, the style attribute, then the important ones of rules and style attribute
(CSS Cascading and Inheritance Level 4, 6; SVG 2, 6.6 for presentation attributes).
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any
from urllib.parse import unquote

import cssselect2
import tinycss2

from prep.errors import InputError
from prep.svg import limits
from prep.svg.boxes import is_boxed
from prep.svg.colours import BLACK, Colour, UnreadColour, parse_colour
from prep.svg.document import SVG, XHTML, Element, hint, local_name, outer_sheets
from prep.svg.notation import (
    IDENTITY,
    Length,
    NoTransform,
    UnknownUnit,
    is_computed,
    is_side,
    parse_length,
    parse_number,
    parse_transform,
)
from prep.svg.report import Report


@dataclass(frozen=True, slots=True)
class Unread:
    """A value that is valid but isn't read; refused where it would be used.

    :param feature: key of the refused feature
    """

    feature: str
    text: str


@dataclass(frozen=True, slots=True)
class Keyword:
    """A paint that is a word: ``none``, ``currentcolor``, ``context-fill``, ``context-stroke``."""

    word: str


@dataclass(frozen=True, slots=True)
class Reference:
    """A ``url(...)``.

    :param target: what stands in it
    :param fallback: a paint to take when the target isn't there
    """

    target: str
    fallback: Paint | None = None


Paint = Keyword | Colour | Reference | Unread
NONE = Keyword("none")
CURRENT = Keyword("currentcolor")

Style = Mapping[str, Any]
"""Computed value by property; every property of :data:`PROPERTIES` is there."""

_INVALID = object()
_VENDOR = re.compile(r"-(?:webkit|moz|ms|o|khtml|epub|apple)-(.+)")


def _words(*allowed: str) -> Callable[[str], object]:
    def parse(text: str) -> object:
        word = text.lower()
        return word if word in allowed else _INVALID

    return parse


def _parse_paint(text: str) -> object:
    word = text.lower()
    if word in ("none", "currentcolor", "context-fill", "context-stroke"):
        return Keyword(word)
    if word.startswith("url("):
        return _parse_url_paint(text)
    return _parse_colour_value(text)


def _parse_url_paint(text: str) -> object:
    tokens = [t for t in tinycss2.parse_component_value_list(text) if t.type != "whitespace"]
    target = _url_of(tokens[0]) if tokens else None
    if target is None:
        return _INVALID
    if len(tokens) == 1:
        return Reference(target)
    fallback = _parse_paint(tinycss2.serialize(tokens[1:]).strip())
    return _INVALID if fallback is _INVALID else Reference(target, fallback)  # type: ignore[arg-type]  # a paint, as it isn't invalid


def _url_of(token: Any) -> str | None:
    if token.type == "url":
        return str(token.value).strip()
    if token.type == "function" and token.lower_name == "url":
        inside = [t for t in token.arguments if t.type != "whitespace"]
        if len(inside) == 1 and inside[0].type == "string":
            return str(inside[0].value).strip()
    return None


def _parse_colour_value(text: str) -> object:
    try:
        colour = parse_colour(text)
    except UnreadColour as error:
        return Unread(error.feature, text)
    return _INVALID if colour is None else colour


def _parse_current(text: str) -> object:
    return CURRENT if text.lower() == "currentcolor" else _parse_colour_value(text)


def _parse_share(text: str) -> object:
    length = parse_length(text)
    if length is None or length.unit not in ("", "%"):
        return _INVALID
    number = length.number / 100 if length.unit else length.number
    return min(max(number, 0.0), 1.0)


def _parse_width(text: str) -> object:
    length = parse_length(text)
    if length is not None and length.number < 0:
        return Unread("negative stroke", text)
    return _INVALID if length is None else length


def _parse_offset(text: str) -> object:
    length = parse_length(text)
    return _INVALID if length is None else length


def _parse_miter(text: str) -> object:
    number = parse_number(text)
    return _INVALID if number is None or number < 1 else number


def _parse_dashes(text: str) -> object:
    if text.lower() == "none":
        return ()
    lengths = [parse_length(part) for part in text.replace(",", " ").split()]
    if not lengths or any(length is None or length.number < 0 for length in lengths):
        return _INVALID
    return tuple(lengths)


def _parse_join(text: str) -> object:
    word = text.lower()
    if word in ("miter", "round", "bevel"):
        return word
    return Unread("join", text) if word in ("miter-clip", "arcs") else _INVALID


def _parse_link(feature: str) -> Callable[[str], object]:
    def parse(text: str) -> object:
        if text.lower() == "none":
            return None
        tokens = [t for t in tinycss2.parse_component_value_list(text) if t.type != "whitespace"]
        if len(tokens) == 1 and (target := _url_of(tokens[0])) is not None:
            return Reference(target)
        if any(t.type in ("function", "url") for t in tokens) or len(tokens) > 1:
            return Unread(feature, text)
        return _INVALID

    return parse


def _parse_filter(text: str) -> object:
    if text.lower() == "none":
        return None
    tokens = [t for t in tinycss2.parse_component_value_list(text) if t.type != "whitespace"]
    if tokens and all(t.type in ("function", "url") for t in tokens):
        return Unread("filter", text)
    return _INVALID


def _parse_blend(text: str) -> object:
    word = text.lower()
    modes = {
        *("multiply", "screen", "overlay", "darken", "lighten", "color-dodge", "color-burn"),
        *("hard-light", "soft-light", "difference", "exclusion", "hue", "saturation", "color"),
        *("luminosity", "plus-lighter"),
    }
    return "normal" if word == "normal" else Unread("blend", text) if word in modes else _INVALID


_DISPLAYED = frozenset(
    (
        *("none", "inline", "block", "inline-block", "list-item", "run-in", "flow-root", "table"),
        *("inline-table", "table-row-group", "table-header-group", "table-footer-group"),
        *("table-row", "table-cell", "table-column-group", "table-column", "table-caption"),
        *("flex", "inline-flex", "grid", "inline-grid", "ruby", "ruby-base", "ruby-text"),
        *("ruby-base-container", "ruby-text-container", "compact", "marker"),
    )
)
_NEWER_DISPLAY = frozenset(("flow", "math", "grid-lanes", "inline-grid-lanes", "contents"))


def _parse_display(text: str) -> object:
    """Give the word; those that only some viewers know may leave an earlier ``none`` standing."""
    words = text.lower().split()
    if len(words) == 1 and words[0] in _DISPLAYED:
        return words[0]
    known = all(
        word in _DISPLAYED | _NEWER_DISPLAY or _VENDOR.match(word) is not None for word in words
    )
    alone = len(words) > 1 and not {"none", "contents"}.isdisjoint(words)
    return Unread("display", text) if words and known and not alone else _INVALID


def _parse_order(text: str) -> object:
    """Give fill, stroke and markers in the order they are painted."""
    words = text.lower().split()
    if words == ["normal"]:
        words = []
    known = ["fill", "stroke", "markers"]
    if any(word not in known for word in words) or len(set(words)) != len(words):
        return _INVALID
    return (*words, *(word for word in known if word not in words))


def _transform(*, css: bool) -> Callable[[str], object]:
    def parse(text: str) -> object:
        try:
            return parse_transform(text, css=css)
        except NoTransform as error:
            if error.unlike:
                return Unread("unlike transform", text)
            return Unread("3d", text) if error.known else _INVALID

    return parse


def _with_unit(name: str, feature: str, parse: Callable[[str], object]) -> Callable[[str], object]:
    """Refuse lengths without a unit, which aren't right in CSS, though some viewers take them."""

    def parse_in_css(text: str) -> object:
        value = parse(text)
        if isinstance(value, Length) and value.unit == "" and value.number:
            return Unread(feature, f"{name}: {text} without a unit")
        return value

    return parse_in_css


_EDGES = {
    "left": ("x", 0.0),
    "right": ("x", 100.0),
    "top": ("y", 0.0),
    "bottom": ("y", 100.0),
    "center": ("", 50.0),
}


def _parse_origin(text: str) -> object:
    """Give x and y; words may stand in either order (CSS Transforms Level 1, 6)."""
    words = text.lower().split()
    if not 1 <= len(words) <= 3:
        return _INVALID
    parts: list[tuple[str, Length]] = []
    for word in words[:2]:  # the third is depth
        axis, share = _EDGES.get(word, ("", None))
        length = parse_length(word) if share is None else Length(share, "%")
        if length is None:
            return _INVALID
        parts.append((axis, length))
    if len(parts) == 1:
        parts.append(("", Length(50.0, "%")))
    (axis, first), (other, second) = parts
    if axis == "y" or other == "x":
        if (
            axis == "x"
            or other == "y"
            or (axis == "" and words[0] not in _EDGES and len(words) > 1)
        ):
            return _INVALID
        return second, first
    return first, second


def _parse_origin_in_css(text: str) -> object:
    value = _parse_origin(text)
    if isinstance(value, tuple) and any(one.unit == "" and one.number for one in value):
        return Unread("unlike transform", f"transform-origin {text} without units")
    return value


def _parse_effect(text: str) -> object:
    word = text.lower()
    if word == "none":
        return "none"
    known = ("non-scaling-stroke", "non-scaling-size", "non-rotation", "fixed-position")
    return Unread("fixed stroke", text) if any(w in known for w in word.split()) else _INVALID


def _refused(feature: str, *harmless: str) -> Callable[[str], object]:
    def parse(text: str) -> object:
        return None if text.lower() in harmless else Unread(feature, text)

    return parse


def _parse_font_size(text: str) -> object:
    word = text.lower()
    if word in _FONT_SIZES:
        return Unread("unit", f"font-size: {word}")  # each viewer has its own
    if word in ("larger", "smaller"):
        return Length(1.2 if word == "larger" else 1 / 1.2, "em")
    length = parse_length(text)
    if length is not None and length.number < 0:
        return Unread("negative font", f"font-size: {text}")
    return _INVALID if length is None else length


def _parse_families(text: str) -> object:
    """Give the names of font families, in the order of preference."""
    names: list[str] = []
    words: list[str] = []
    quoted = False
    for token in [*tinycss2.parse_component_value_list(text), None]:
        if token is None or token == ",":
            if not words:
                return _INVALID
            names.append(" ".join(words))
            words, quoted = [], False
        elif token.type == "string" and not words:
            words, quoted = [str(token.value)], True
        elif token.type == "ident" and not quoted:
            words.append(str(token.value))
        elif token.type not in ("whitespace", "comment"):
            return _INVALID
    return tuple(names)


def _parse_weight(text: str) -> object:
    word = text.lower()
    if word in ("bolder", "lighter"):
        return Unread("lettering", f"font-weight: {word}")
    number = {"normal": 400.0, "bold": 700.0}.get(word, parse_number(text))
    return number if number is not None and 1 <= number <= 1000 else _INVALID


def _parse_slant(text: str) -> object:
    words = text.lower().split()
    if len(words) == 2 and words[0] == "oblique":
        return Unread("lettering", f"font-style: {text}")
    return words[0] if words in (["normal"], ["italic"], ["oblique"]) else _INVALID


def _parse_spacing(text: str) -> object:
    if text.lower() == "normal":
        return _NO_SPACING
    length = parse_length(text)
    if length is not None and length.unit in ("%", "ex"):
        return Unread("lettering", f"spacing {text}")
    return _INVALID if length is None else length


def _parse_white_space(text: str) -> object:
    word = text.lower()
    if word in ("normal", "nowrap", "pre", "pre-wrap", "break-spaces"):
        return word
    return Unread("lettering", f"white-space: {text}")


_STRETCHES = frozenset(
    (
        *("ultra-condensed", "extra-condensed", "condensed", "semi-condensed"),
        *("semi-expanded", "expanded", "extra-expanded", "ultra-expanded"),
    )
)
_FONT_PARTS = ("font-style", "font-variant", "font-weight", "font-stretch")


def _parts_of_font(text: str) -> dict[str, str] | None:
    """Take the shorthand ``font`` apart (CSS Fonts Level 4, 2.7); None if it isn't read."""
    tokens = [t for t in tinycss2.parse_component_value_list(text) if t.type != "comment"]
    parts = {**dict.fromkeys(_FONT_PARTS, "normal"), "font": "normal"}
    at = 0
    while at < len(tokens):
        token = tokens[at]
        word = token.lower_value if token.type == "ident" else ""
        if word in ("italic", "oblique"):
            parts["font-style"] = word
        elif word in ("bold", "bolder", "lighter"):
            parts["font-weight"] = word
        elif token.type == "number":
            parts["font-weight"] = token.representation
        elif word == "small-caps":
            parts["font-variant"] = word
        elif word in _STRETCHES:
            parts["font-stretch"] = word
        elif token.type != "whitespace" and word != "normal":
            break
        at += 1
    if at == len(tokens):
        return None
    size = tokens[at]
    if size.type not in ("dimension", "percentage") and not (
        size.type == "ident" and size.lower_value in (*_FONT_SIZES, "larger", "smaller")
    ):
        return None
    parts["font-size"] = size.serialize()
    rest = tokens[at + 1 :]
    if any(token == "/" for token in rest):
        return None  # some viewers don't read the height of lines
    parts["font-family"] = tinycss2.serialize(rest).strip()
    return parts if _parse_families(parts["font-family"]) is not _INVALID else None


_FONT_SIZES = frozenset(
    (
        *("xx-small", "x-small", "small", "medium", "large", "x-large", "xx-large"),
        *("xxx-large", "math"),
    )
)


@dataclass(frozen=True, slots=True)
class Property:
    """A property the reader heeds.

    :param parse: from text to a value, or to ``_INVALID``, by which the declaration is dropped
    :param attribute: whether it may stand as an attribute, too
    :param parse_in_css: how it is parsed in style sheets and style attributes, where otherwise
    """

    initial: Any
    inherited: bool
    parse: Callable[[str], object]
    attribute: bool = True
    parse_in_css: Callable[[str], object] | None = None


_ONE = Length(1.0, "")
_ZERO = Length(0.0, "")
_NO_SPACING = Length(0.0, "px")

_OF_MASKS = {
    "mask-mode": ("match-source",),
    "mask-composite": ("add", "source-over"),
    "mask-clip": ("border-box", "no-clip"),
    "mask-origin": ("border-box",),
    "mask-size": ("auto", "auto auto"),
    "mask-position": ("0% 0%", "0 0", "0px 0px", "left top", "top left"),
    "mask-position-x": ("0%", "0", "0px", "left"),
    "mask-position-y": ("0%", "0", "0px", "top"),
    "mask-repeat": ("repeat", "repeat repeat"),
}
"""What CSS does with the layers of a mask, by the values that do nothing."""
MASKED = tuple(_OF_MASKS)

PROPERTIES: dict[str, Property] = {
    "color": Property(BLACK, True, _parse_current),
    "fill": Property(BLACK, True, _parse_paint),
    "fill-rule": Property("nonzero", True, _words("nonzero", "evenodd")),
    "fill-opacity": Property(1.0, True, _parse_share),
    "stroke": Property(NONE, True, _parse_paint),
    "stroke-width": Property(_ONE, True, _parse_width),
    "stroke-linecap": Property("butt", True, _words("butt", "round", "square")),
    "stroke-linejoin": Property("miter", True, _parse_join),
    "stroke-miterlimit": Property(4.0, True, _parse_miter),
    "stroke-dasharray": Property((), True, _parse_dashes),
    "stroke-dashoffset": Property(_ZERO, True, _parse_offset),
    "stroke-opacity": Property(1.0, True, _parse_share),
    "paint-order": Property(("fill", "stroke", "markers"), True, _parse_order),
    "visibility": Property("visible", True, _words("visible", "hidden", "collapse")),
    "clip-rule": Property("nonzero", True, _words("nonzero", "evenodd")),
    "marker-start": Property(None, True, _parse_link("css clip")),
    "marker-mid": Property(None, True, _parse_link("css clip")),
    "marker-end": Property(None, True, _parse_link("css clip")),
    "font-size": Property(
        Length(16.0, "px"),
        True,
        _parse_font_size,
        parse_in_css=_with_unit("font-size", "unit", _parse_font_size),
    ),
    "display": Property("inline", False, _parse_display),
    "opacity": Property(1.0, False, _parse_share),
    "clip-path": Property(None, False, _parse_link("css clip")),
    "mask": Property(None, False, _parse_link("css clip")),
    "mask-type": Property("luminance", False, _words("luminance", "alpha")),
    "filter": Property(None, False, _parse_filter),
    "overflow": Property(None, False, _words("visible", "hidden", "scroll", "auto", "clip")),
    "mix-blend-mode": Property("normal", False, _parse_blend),
    "transform": Property(
        IDENTITY, False, _transform(css=False), parse_in_css=_transform(css=True)
    ),
    "transform-origin": Property(
        (_ZERO, _ZERO), False, _parse_origin, parse_in_css=_parse_origin_in_css
    ),
    "transform-box": Property(None, False, _refused("origin in part", "view-box"), False),
    "stop-color": Property(BLACK, False, _parse_current),
    "stop-opacity": Property(1.0, False, _parse_share),
    "vector-effect": Property("none", False, _parse_effect),
    "rotate": Property(None, False, _refused("3d", "none"), False),
    "scale": Property(None, False, _refused("3d", "none"), False),
    "translate": Property(None, False, _refused("3d", "none"), False),
    "perspective": Property(None, False, _refused("3d", "none"), False),
    "offset-path": Property(None, False, _refused("3d", "none"), False),
    "clip": Property(None, False, _refused("css clip", "auto"), False),
    "background": Property(
        None, False, _refused("background", "none", "transparent", "0 0", "0"), False
    ),
    "background-color": Property(None, False, _refused("background", "transparent"), False),
    "background-image": Property(None, False, _refused("background", "none"), False),
    "mask-image": Property(None, False, _refused("css clip", "none"), False),
    "mask-border": Property(None, False, _refused("css clip", "none"), False),
    **{
        name: Property(None, False, _refused("css clip", *harmless), False)
        for name, harmless in _OF_MASKS.items()
    },
    "zoom": Property(None, False, _refused("unlike transform", "1", "100%", "normal"), False),
    "content-visibility": Property(None, False, _refused("display", "visible", "auto"), False),
}
"""Every property that bears on what is printed."""


def _lettering(inherited: bool, *harmless: str) -> Property:
    return Property(None, inherited, _refused("lettering", *harmless))


_DECORATIONS = {
    "text-decoration": _lettering(False, "none"),
    "text-decoration-line": _lettering(False, "none"),
}
_UNREAD_LETTERING = {
    "font": _lettering(True, "normal"),
    **{
        f"font-variant{part}": _lettering(True, "normal")
        for part in (
            *("", "-ligatures", "-caps", "-numeric", "-east-asian", "-alternates", "-position"),
            "-emoji",
        )
    },
    "font-feature-settings": _lettering(True, "normal"),
    "font-variation-settings": _lettering(True, "normal"),
    "font-kerning": _lettering(True, "auto", "normal"),
    "kerning": _lettering(True, "auto"),
    "font-stretch": _lettering(True, "normal", "100%"),
    "font-width": _lettering(True, "normal", "100%"),
    "font-size-adjust": _lettering(True, "none"),
    "text-rendering": _lettering(
        True, "auto", "optimizelegibility", "geometricprecision"
    ),  # optimizeSpeed leaves out kerning in some viewers
    "text-shadow": _lettering(True, "none"),
    "text-transform": _lettering(True, "none"),
    "text-indent": _lettering(True, "0", "0px"),
    "text-emphasis": _lettering(True, "none"),
    "text-emphasis-style": _lettering(True, "none"),
    "text-combine-upright": _lettering(True, "none"),
    "-webkit-text-security": _lettering(True, "none"),
    "-webkit-text-stroke": _lettering(True, "0", "0px"),
    "-webkit-text-stroke-width": _lettering(True, "0", "0px"),
    "-webkit-text-fill-color": _lettering(True, "currentcolor"),
    "writing-mode": _lettering(True, "lr", "lr-tb", "horizontal-tb"),
    "direction": _lettering(True, "ltr"),
    "unicode-bidi": _lettering(False, "normal"),
    "glyph-orientation-horizontal": _lettering(True, "0", "0deg", "auto"),
    "glyph-orientation-vertical": _lettering(True, "auto", "0", "0deg", "90", "90deg"),
    "baseline-shift": _lettering(False, "baseline", "0", "0px", "0%"),
    "vertical-align": _lettering(False, "baseline", "0", "0px", "0%"),
    "alignment-baseline": _lettering(False, "auto", "baseline", "alphabetic"),
    "dominant-baseline": _lettering(True, "auto", "alphabetic"),
    "white-space-collapse": _lettering(True, "collapse"),
    "inline-size": _lettering(False, "auto", "0", "0px"),
    "shape-inside": _lettering(False, "auto", "none"),
    "shape-subtract": _lettering(False, "none"),
}
LETTERING = tuple(_UNREAD_LETTERING)
"""Properties of text that are refused where they change it."""
PROPERTIES |= {
    "font-family": Property(None, True, _parse_families),
    "font-weight": Property(400.0, True, _parse_weight),
    "font-style": Property("normal", True, _parse_slant),
    "letter-spacing": Property(
        _NO_SPACING,
        True,
        _parse_spacing,
        parse_in_css=_with_unit("letter-spacing", "lettering", _parse_spacing),
    ),
    "word-spacing": Property(
        _NO_SPACING,
        True,
        _parse_spacing,
        parse_in_css=_with_unit("word-spacing", "lettering", _parse_spacing),
    ),
    "text-anchor": Property("start", True, _words("start", "middle", "end")),
    "white-space": Property(None, True, _parse_white_space),
    **_UNREAD_LETTERING,
    **_DECORATIONS,
}

_GEOMETRY = frozenset(("cx", "cy", "r", "rx", "ry", "x", "y", "d", "width", "height"))
_AT_REST = frozenset(("animation", "animation-name", "transition"))
_HARMLESS = frozenset(
    (
        *("isolation", "shape-rendering", "text-rendering", "image-rendering", "color-rendering"),
        *("color-interpolation", "color-interpolation-filters", "color-profile", "color-scheme"),
        *("enable-background", "pointer-events", "cursor", "will-change", "backface-visibility"),
        *("flood-color", "flood-opacity", "lighting-color", "solid-color", "solid-opacity"),
        *("clip-rule", "white-space", "direction", "unicode-bidi", "writing-mode", "kerning"),
        *("text-anchor", "text-align", "text-indent", "text-transform", "text-decoration"),
        *(
            "text-decoration-line",
            "text-decoration-style",
            "text-decoration-color",
            "text-overflow",
        ),
        *("text-orientation", "letter-spacing", "word-spacing", "line-height", "block-progression"),
        *(
            "baseline-shift",
            "alignment-baseline",
            "dominant-baseline",
            "glyph-orientation-vertical",
        ),
        *("glyph-orientation-horizontal", "shape-padding", "shape-margin", "shape-inside"),
        *("inline-size", "position", "left", "top", "right", "bottom", "z-index", "box-sizing"),
        *(
            "margin",
            "padding",
            "border",
            "outline",
            "box-shadow",
            "user-select",
            "overflow-x",
            "overflow-y",
        ),
        *("max-width", "max-height", "min-width", "min-height", "float", "vertical-align"),
        *("margin-left", "margin-right", "margin-top", "margin-bottom", "font", "tab-size"),
        *("flex", "flex-shrink", "flex-grow"),
    )
)
_OWN_DATA = ("-inkscape-",)
"""What drawing programs keep for themselves; no viewer draws by it."""
_ALSO_CALLED = {"mask-box-image": "mask-border"}
_VENDORS_HARMLESS = frozenset(
    (
        *("font-smoothing", "osx-font-smoothing", "tap-highlight-color", "touch-callout"),
        *("print-color-adjust", "text-size-adjust", "user-drag", "appearance", "hyphens"),
        *("overflow-scrolling", "overflow-style", "line-break", "line-clamp", "locale"),
        *("background-clip", "background-size", "transform-style"),
    )
)
_SILENT_RULES = frozenset(
    ("font-face", "charset", "keyframes", "-webkit-keyframes", "-moz-keyframes", "-o-keyframes")
)
_INHERITED = tuple(name for name, prop in PROPERTIES.items() if prop.inherited)
_OWN = {name: prop.initial for name, prop in PROPERTIES.items() if not prop.inherited}
INITIAL: Style = {name: prop.initial for name, prop in PROPERTIES.items()}
_ATTRIBUTES = frozenset(name for name, prop in PROPERTIES.items() if prop.attribute)


@lru_cache(maxsize=16384)
def _value(name: str, text: str, css: bool) -> object:
    """Parse a value; remembered, as drawings repeat themselves."""
    text = text.strip()
    lower = text.lower()
    if lower in ("inherit", "initial", "unset", "revert", "revert-layer"):
        return lower
    if is_computed(text):
        return Unread("css value", text)
    try:
        prop = PROPERTIES[name]
        return (prop.parse_in_css if css and prop.parse_in_css else prop.parse)(text)
    except OverflowError:
        return Unread("number", text[:60])


@dataclass(frozen=True, slots=True)
class _Declaration:
    """A declaration in a style sheet or style attribute; without a name, what is wrong there.

    :param vendor: how it was written, if under the prefix of some viewers
    """

    name: str
    text: str
    important: bool
    vendor: str = ""


def _font(declaration: _Declaration) -> Iterator[_Declaration]:
    """Give the properties that the shorthand ``font`` sets."""
    word, parts = declaration.text.strip().lower(), _parts_of_font(declaration.text)
    if word in ("inherit", "initial", "unset", "revert", "revert-layer"):
        parts = dict.fromkeys((*_FONT_PARTS, "font-size", "font-family"), word)
    for name, text in (parts or {"font": declaration.text}).items():
        yield _Declaration(name, text, declaration.important)


def _is_harmless(name: str) -> bool:
    """Say whether a property bears on nothing that is printed."""
    return name in _HARMLESS or name.startswith(
        ("font-", "border-", "padding-", "text-", "outline-")
    )


def _is_svg_by_default(rule: Any) -> bool:
    """Say whether a rule makes selectors mean elements of SVG, the only ones that are drawn."""
    given = [token for token in rule.prelude if token.type not in ("whitespace", "comment")]
    if len(given) != 1:
        return False
    url = given[0].value if given[0].type == "string" else _url_of(given[0])
    return bool(url == SVG)


class Cascade:
    """The styles of one drawing."""

    def __init__(self, root: Element, report: Report) -> None:
        """Read all sheets of the drawing."""
        self._report = report
        self._matcher = cssselect2.Matcher()
        self._selectors: list[cssselect2.compiler.CompiledSelector] = []
        self._wrappers: dict[Element, cssselect2.ElementWrapper] = {}
        self._root = root
        self._in_place: dict[Element, Style] = {}
        self._inline: dict[str, tuple[_Declaration, ...]] = {}
        self._refuse_other_sheets()
        for element in root.iter(f"{{{SVG}}}style"):
            self._read_sheet(element)
        if self._selectors:
            tests = self._tests()
            if tests > limits.SELECTOR_TESTS:
                raise InputError(
                    f"has {len(self._selectors)} selectors of styles that would be tried {tests} times"
                    " on its elements, too often to be read",
                    do="export with styles as attributes",
                )
            tree = cssselect2.ElementWrapper.from_xml_root(root)
            self._wrappers = {wrapper.etree_element: wrapper for wrapper in tree.iter_subtree()}

    def style(self, element: Element, parent: Style) -> Style:
        """Give the computed style of an element.

        :param parent: what it inherits from; for what a ``use`` shows, the style of the ``use``
        """
        made: dict[str, Any] = {**parent, **_OWN}
        declared = list(self._declarations(element))
        won = self._winners(element, [one for one in declared if not one.vendor])
        for name, value in won.items():
            made[name] = _settled(name, value, parent)
        vendors = {one.name: one.vendor for one in declared if one.vendor}
        if vendors:
            won = self._winners(element, declared)
            for name, vendor in vendors.items():
                if name in won and _settled(name, won[name], parent) != made[name]:
                    self._report.refuse("vendor", hint(element), vendor)
        size = made["font-size"]
        if isinstance(size, Length) and size.unit != "px":
            made["font-size"] = _in_px(size, parent["font-size"])
        for name in ("letter-spacing", "word-spacing"):
            if isinstance(made[name], Length) and made[name].unit != "px":
                # inherited as it comes out here, whatever the font's size further in
                made[name] = _in_px(made[name], made["font-size"])
        for name in ("stroke-width", "stroke-dashoffset", "stroke-dasharray"):
            if made[name] is not parent[name]:
                made[name] = _by_font(made[name], made["font-size"])
        return made

    def _tests(self) -> int:
        """Count how often a selector is tried: on all elements that may have its id, class or name."""
        found: Counter[tuple[str, str]] = Counter()
        for element in self._root.iter():
            found["any", ""] += 1
            found["name", local_name(element).lower()] += 1
            found["id", element.get("id") or ""] += 1
            found.update(("class", one) for one in set((element.get("class") or "").split()))
        tests = 0
        for one in self._selectors:
            if one.id is not None:
                tests += found["id", one.id]
            elif one.class_name is not None:
                tests += found["class", one.class_name]
            elif one.local_name is not None:
                tests += found["name", one.lower_local_name]
            else:
                tests += found["any", ""]
        return tests

    def style_in_place(self, element: Element) -> Style:
        """Give the computed style of an element where it stands in the document."""
        chain: list[Element] = []
        at: Element | None = element
        while at is not None and at not in self._in_place:
            chain.append(at)
            at = at.getparent()
        style = self._in_place[at] if at is not None else INITIAL
        for link in reversed(chain):
            style = self._in_place[link] = self.style(link, style)
        return style

    def _winners(self, element: Element, declared: list[_Declaration]) -> dict[str, object]:
        """Give the winning value of each property that is set on the element.

        :param declared: what sheets and style attribute declare
        """
        won: dict[str, object] = {}
        for name, text in element.attrib.items():
            if name == "marker" and str(text).strip().lower() != "none":
                # no presentation attribute (SVG 2, 6.6): only a part of it each is
                self._report.note("unknown property", hint(element), "marker as an attribute")
            elif name in _ATTRIBUTES:
                self._declare(won, str(name), str(text), element, css=False)
        for important in (False, True):
            for declaration in declared:
                if declaration.important is important:
                    self._declare(won, declaration.name, declaration.text, element)
        return won

    def _declare(
        self,
        won: dict[str, object],
        name: str,
        text: str,
        element: Element,
        *,
        css: bool = True,
    ) -> None:
        value = _value(name, text, css)
        if value is _INVALID:
            self._report.note("bad value", hint(element), f"{name}: {text.strip()[:60]}")
        else:
            won[name] = value

    def _declarations(self, element: Element) -> Iterator[_Declaration]:
        """Give what sheets and style attribute declare, later ones outweighing earlier ones."""
        wrapper = self._wrappers.get(element)
        if wrapper is not None:
            for _, _, pseudo, declarations in self._matcher.match(wrapper):
                if pseudo is None:
                    yield from self._heeded(declarations, element)
        text = element.get("style")
        if text:
            if text not in self._inline:
                self._inline[text] = tuple(self._parse_declarations(text))
            yield from self._heeded(self._inline[text], element)

    def _heeded(
        self, declarations: tuple[_Declaration, ...], element: Element
    ) -> Iterator[_Declaration]:
        """Keep what bears on the print; say what is left out."""
        for declaration in declarations:
            name = declaration.name
            if name == "font":
                yield from _font(declaration)
            elif name.startswith("-") and name not in PROPERTIES:
                yield from self._prefixed(declaration, element)
            elif name in PROPERTIES:
                yield declaration
            elif name == "marker":
                for edge in ("marker-start", "marker-mid", "marker-end"):
                    yield _Declaration(edge, declaration.text, declaration.important)
            elif name in _GEOMETRY:
                if element.getparent() is not None or name not in ("width", "height"):
                    self._report.refuse("css geometry", hint(element), name)
            elif name == "":
                self._report.note("bad value", hint(element), declaration.text)
            elif is_boxed(name, declaration.text, page=element is self._root):
                self._report.refuse("box", hint(element), f"{name}: {declaration.text[:60]}")
            elif name == "all":
                self._report.refuse("css value", hint(element), "all")
            elif name in _AT_REST:
                self._report.note("rest", hint(element))
            elif not _is_harmless(name):
                self._report.note("unknown property", hint(element), name)

    def _prefixed(self, declaration: _Declaration, element: Element) -> Iterator[_Declaration]:
        """Give what a property with a vendor's prefix means to the viewers that heed it."""
        name = declaration.name
        if name.startswith(("--", *_OWN_DATA)):
            return
        found = _VENDOR.match(name)
        plain = _ALSO_CALLED.get(found[1], found[1]) if found else ""
        if plain in PROPERTIES:
            yield replace(declaration, name=plain, vendor=name)
        elif plain in _AT_REST:
            self._report.note("rest", hint(element))
        elif not (plain in _VENDORS_HARMLESS or (plain and _is_harmless(plain))):
            self._report.note("unknown property", hint(element), name)

    def declared_side(self, element: Element, name: str) -> str | None:
        """Give width or height as sheets and style attribute set it; what is no size in CSS is noted."""
        found: str | None = None
        weight = False
        wrapper = self._wrappers.get(element)
        sets = [m[3] for m in self._matcher.match(wrapper)] if wrapper is not None else []
        sets.append(tuple(self._parse_declarations(element.get("style") or "")))
        for declaration in (one for group in sets for one in group):
            if declaration.name != name:
                continue
            if not is_side(declaration.text):
                self._report.note("bad size", hint(element), f"{name}: {declaration.text[:60]}")
            elif declaration.important or not weight:
                found, weight = declaration.text, declaration.important
        return found

    def _parse_declarations(self, content: Any) -> Iterator[_Declaration]:
        nodes = tinycss2.parse_blocks_contents(content, skip_comments=True, skip_whitespace=True)
        for node in nodes:
            if node.type == "declaration":
                text = tinycss2.serialize(
                    [token for token in node.value if token.type != "comment"]
                ).strip()
                yield _Declaration(node.lower_name, text, node.important)
            elif node.type in ("qualified-rule", "at-rule"):
                self._report.refuse("css rule", "style sheet", "a rule within a rule")
            elif node.type == "error":
                text = content if isinstance(content, str) else tinycss2.serialize(content)
                yield _Declaration("", f"style: {text.strip()[:60]}", False)

    def _refuse_other_sheets(self) -> None:
        """Refuse sheets that browsers heed and most drawing programs don't."""
        for sheet in outer_sheets(self._root):
            self._report.refuse("other sheet", "file", sheet)
        for element in self._root.iter(f"{{{XHTML}}}link"):
            if "stylesheet" in (element.get("rel") or "").lower().split():
                self._report.refuse("other sheet", hint(element), element.get("href") or "")
        for element in self._root.iter(f"{{{XHTML}}}style"):
            if "".join(str(part) for part in element.itertext()).strip():
                self._report.refuse("other sheet", hint(element), "a style element of XHTML")
        titles = {
            title: element
            for element in self._root.iter(f"{{{SVG}}}style")
            if (title := (element.get("title") or "").strip())
        }
        if (
            len(titles) > 1
        ):  # the first is heeded, those of other titles are for the viewer to choose
            last = list(titles.values())[-1]
            self._report.refuse("other sheet", hint(last), "one of several titles")

    def _read_sheet(self, element: Element) -> None:
        kind = (element.get("type") or "text/css").strip().lower()
        media = (element.get("media") or "all").strip().lower()
        if kind not in ("text/css", ""):
            return
        if media not in ("all", "screen", ""):
            self._report.refuse("css rule", hint(element), f"media={media}")
            return
        text = "".join(str(part) for part in element.itertext())
        rules = tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True)
        for rule in rules:
            if rule.type == "qualified-rule":
                self._add(rule, element)
            elif rule.type == "at-rule" and rule.lower_at_keyword == "namespace":
                if not _is_svg_by_default(rule):
                    self._report.refuse("css rule", hint(element), "@namespace")
            elif rule.type == "at-rule" and rule.lower_at_keyword not in _SILENT_RULES:
                self._report.refuse("css rule", hint(element), f"@{rule.at_keyword}")
            elif rule.type == "error":
                self._report.note("bad value", hint(element), f"a rule: {rule.message}")

    def _add(self, rule: Any, element: Element) -> None:
        declarations = tuple(self._parse_declarations(rule.content))
        count = len(self._selectors) + sum(token == "," for token in rule.prelude)
        if count >= limits.SELECTORS:
            raise InputError(
                f"has more than {limits.SELECTORS} selectors in its style rules",
                do="export with styles as attributes",
            )
        try:
            selectors = cssselect2.compile_selector_list(rule.prelude)
        except cssselect2.SelectorError:
            selector = tinycss2.serialize(rule.prelude).strip()
            if any(one.name in PROPERTIES or one.name in _GEOMETRY for one in declarations):
                self._report.refuse("selector", hint(element), selector[:60])
            return
        self._selectors += selectors
        for compiled in selectors:
            self._matcher.add_selector(compiled, declarations)


def _settled(name: str, value: object, parent: Style) -> object:
    """Give what a declared value stands for, where it is one of the words that every property has."""
    prop = PROPERTIES[name]
    if isinstance(value, str) and value in ("inherit", "unset", "revert", "revert-layer"):
        value = parent[name] if value == "inherit" or prop.inherited else prop.initial
    elif isinstance(value, str) and value == "initial":
        value = prop.initial
    if name == "color" and value == CURRENT:
        value = parent["color"]
    if name == "overflow" and value is None:
        value = "visible"  # None stands for the viewer's own style sheet, which isn't asked
    return value


def _in_px(length: Length, font_size: object) -> object:
    if not isinstance(font_size, Length):
        return font_size  # can't be told either
    if length.unit == "ex":  # asks the font
        return Unread("unit", f"{length.number:g}{length.unit}")
    try:
        return Length(length.px(font_size.number, font_size.number), "px")
    except UnknownUnit:
        return Unread("unit", f"{length.number:g}{length.unit}")


def _by_font(value: object, font_size: object) -> object:
    """Settle what is in em or ex by the font of the element that says it, for those that inherit it."""
    if isinstance(value, tuple):
        return tuple(_by_font(one, font_size) for one in value)
    if not isinstance(value, Length) or value.unit not in ("em", "ex"):
        return value
    if not isinstance(font_size, Length):
        return font_size  # can't be told either
    return Length(value.px(0.0, font_size.number), "px")


def found_by(ids: Mapping[str, Element], identity: str) -> Element | None:
    """Give the element of an id as a reference writes it: with ``%20`` for a space, where it must.

    An id that is written just so goes first (CSS and URLs, from memory; SVG 2, 16.1.1).
    """
    found = ids.get(identity)
    return ids.get(unquote(identity)) if found is None and "%" in identity else found


def target_of(reference: str) -> str | None:
    """Give the id a reference within the file means; None if it points to another file."""
    return reference[1:] if reference.startswith("#") and len(reference) > 1 else None


def by_id(root: Element) -> tuple[dict[str, Element], list[Element]]:
    """Give the first element of each id, and those that bear the id of an earlier one."""
    found: dict[str, Element] = {}
    again = []
    for element in root.iter():
        identity = element.get("id")
        if identity:
            if identity in found:
                again.append(element)
            else:
                found[identity] = element
    return found, again
