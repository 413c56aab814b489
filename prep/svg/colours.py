"""CSS colours to sRGB.

tinycss2 reads the syntax (CSS Color Level 4); coloraide turns other colour spaces into sRGB.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache

import tinycss2
import tinycss2.color4

_HEX = re.compile(r"#([0-9a-fA-F]{3}|[0-9a-fA-F]{6})\Z")
_PLAIN = {"srgb", "hsl", "hwb"}
_PROFILES = {"device-cmyk", "icc-color", "cmyk"}
_SEPARATELY = {"light-dark", "color-mix", "contrast-color", "color-contrast", "color-layers"}
_SYSTEM = frozenset(
    (
        *(
            "accentcolor",
            "accentcolortext",
            "activetext",
            "buttonborder",
            "buttonface",
            "buttontext",
        ),
        *("canvas", "canvastext", "field", "fieldtext", "graytext", "highlight", "highlighttext"),
        *("linktext", "mark", "marktext", "selecteditem", "selecteditemtext", "visitedtext"),
        # the older ones of CSS 2, which still are (CSS Color Level 4, 6.2 and appendix A)
        *("activeborder", "activecaption", "appworkspace", "background", "buttonhighlight"),
        *(
            "buttonshadow",
            "captiontext",
            "inactiveborder",
            "inactivecaption",
            "inactivecaptiontext",
        ),
        *("infobackground", "infotext", "menu", "menutext", "scrollbar", "threeddarkshadow"),
        *("threedface", "threedhighlight", "threedlightshadow", "threedshadow", "window"),
        *("windowframe", "windowtext"),
    )
)
"""Colours of the viewer's own windows."""
_FULL_LIGHTNESS = {"lab": 100.0, "lch": 100.0, "oklab": 1.0, "oklch": 1.0}
_WITH_ALPHA = frozenset(
    (
        *("rgb", "rgba", "hsl", "hsla", "hwb", "lab", "lch", "oklab", "oklch"),
        "color",
    )
)
_GAMUT_SLACK = 0.5 / 255


@dataclass(frozen=True, slots=True)
class Colour:
    """An sRGB colour.

    :param hex: ``#rrggbb`` in lower case
    :param alpha: 0 transparent to 1 opaque
    :param remark: key of a noted feature, where the colour isn't what was written
    """

    hex: str
    alpha: float = 1.0
    remark: str = ""


BLACK = Colour("#000000")


class UnreadColour(ValueError):
    """A colour that is valid but can't be told from the file; carries the feature's key."""

    def __init__(self, feature: str, text: str) -> None:
        self.feature = feature
        super().__init__(text)


@lru_cache(maxsize=4096)
def parse_colour(text: str) -> Colour | None:
    """Read a colour; None if it isn't one (``currentcolor`` isn't: it is kept until use).

    :raises UnreadColour: it is valid, but what it shows depends on the viewer or on a profile
    """
    text = text.strip()
    found = _HEX.match(text)
    if found:
        digits = found[1] if len(found[1]) == 6 else "".join(2 * digit for digit in found[1])
        return Colour(f"#{digits.lower()}")
    tokens = [t for t in tinycss2.parse_component_value_list(text) if t.type != "whitespace"]
    for token in tokens:
        if token.type == "ident" and (
            token.lower_value in _SYSTEM or token.lower_value.startswith(("-webkit-", "-moz-"))
        ):
            raise UnreadColour("colour", text)
        if token.type == "function":
            if token.lower_name in _PROFILES:
                raise UnreadColour("icc", text)
            if token.lower_name in _SEPARATELY or _is_relative(token):
                raise UnreadColour("colour", text)
    if len(tokens) != 1 or _has_none_among_commas(tokens[0]):
        return None
    colour = tinycss2.color4.parse_color(_with_alpha(tokens[0]))
    if colour is None or colour == "currentcolor":
        return None
    if colour.space == "rec2020":
        raise UnreadColour("unlike colour", text)
    if colour.space in _PLAIN:
        channels = tuple(_clamped(colour).to("srgb").coordinates)
    else:
        from coloraide import Color

        space = "xyz-d65" if colour.space == "xyz" else colour.space
        channels = tuple(Color(space, _within_range(colour)).convert("srgb").coords())
    clipped = any(not -_GAMUT_SLACK <= c <= 1 + _GAMUT_SLACK for c in channels)
    # halves go up (CSS Color Level 4 on serializing sRGB, from memory), also those just missed in binary
    levels = [math.floor(round(min(max(c, 0.0), 1.0) * 255, 6) + 0.5) for c in channels]
    hexadecimal = "#" + "".join(f"{level:02x}" for level in levels)
    # a plain rgb() beyond its range is clamped by the standard, not out of gamut
    outside = clipped and colour.space not in _PLAIN
    return Colour(hexadecimal, colour.alpha, "gamut" if outside else "")


def _clamped(colour: tinycss2.color4.Color) -> tinycss2.color4.Color:
    """Keep the percentages of hsl() and hwb() within their range, as viewers do."""
    if colour.space == "srgb":
        return colour
    hue, *percent = (coordinate or 0.0 for coordinate in colour.coordinates)
    kept = (min(max(number, 0.0), 100.0) for number in percent)
    return tinycss2.color4.Color(colour.space, (hue, *kept), colour.alpha)


def _within_range(colour: tinycss2.color4.Color) -> list[float]:
    """Clamp lightness and chroma as they are read (CSS Color Level 4, 9.3, 9.4; sections from memory)."""
    given = [coordinate or 0.0 for coordinate in colour.coordinates]
    if full := _FULL_LIGHTNESS.get(colour.space):
        given[0] = min(max(given[0], 0.0), full)
        if colour.space in ("lch", "oklch"):
            given[1] = max(given[1], 0.0)
    return given


def _with_alpha(token: tinycss2.ast.Node) -> tinycss2.ast.Node:
    """Give a colour with 0 for an alpha of ``none`` (CSS Color Level 4, 4.4), which tinycss2 refuses."""
    if token.type != "function" or token.lower_name not in _WITH_ALPHA:
        return token
    given = [t for t in token.arguments if t.type not in ("whitespace", "comment")]
    if len(given) < 5 or given[-2] != "/" or not _is_none(given[-1]):
        return token
    nought = tinycss2.ast.NumberToken(given[-1].source_line, given[-1].source_column, 0.0, 0, "0")
    return tinycss2.ast.FunctionBlock(
        token.source_line, token.source_column, token.name, [*given[:-1], nought]
    )


def _has_none_among_commas(token: tinycss2.ast.Node) -> bool:
    """Say whether a colour is no colour, for the syntax of CSS Color Level 3 has no ``none``."""
    given = token.arguments if token.type == "function" else ()
    return any(map(_is_none, given)) and any(one == "," for one in given)


def _is_none(token: tinycss2.ast.Node) -> bool:
    return bool(token.type == "ident" and token.lower_value == "none")


def _is_relative(token: tinycss2.ast.FunctionBlock) -> bool:
    inside = [t for t in token.arguments if t.type != "whitespace"]
    return bool(inside) and inside[0].type == "ident" and inside[0].lower_value == "from"
