"""From a paint to one solid colour, or the reason why there is none.

Source: SVG 2, chapters 13.2 (specifying paint) and 14 (paint servers).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from prep.svg.colours import Colour
from prep.svg.document import SVG, Element, children, hint, href, local_name, namespace
from prep.svg.notation import is_computed, is_degenerate, parse_length
from prep.svg.styles import (
    CURRENT,
    NONE,
    Keyword,
    Paint,
    Reference,
    Style,
    Unread,
    found_by,
    target_of,
)

if TYPE_CHECKING:
    from prep.svg.scene import Content, Context
    from prep.svg.walk import Walk

_GRADIENTS = ("linearGradient", "radialGradient")
_FOCUS = ("fx", "fy", "fr")


@dataclass(frozen=True, slots=True)
class Solid:
    """A colour to paint with.

    :param tint: element that made it transparent, when alpha is below 1
    """

    colour: str
    alpha: float
    tint: str


@dataclass(frozen=True, slots=True)
class _Asker:
    """What is painted, and what its paint may look up.

    :param context: its painter says what ``context-fill`` and ``context-stroke`` mean
    """

    walk: Walk
    element: Element
    style: Style
    content: Content
    context: Context

    def refuse(self, feature: str, detail: str) -> None:
        """Refuse the painted element."""
        self.walk.report.refuse(feature, hint(self.element), detail[:60])

    def note(self, feature: str, detail: str = "") -> None:
        """Note something about the painted element."""
        self.walk.report.note(feature, hint(self.element), detail[:60])

    def flat(self) -> bool:
        """Say whether the element's bounding box has no width or no height."""
        box = self.content.box(self.context.matrix, self.walk.tolerance)
        return box is None or is_degenerate(box)


def solid_paint(
    walk: Walk, element: Element, style: Style, which: str, content: Content, context: Context
) -> Solid | None:
    """Give the colour of an element's fill or stroke; None if it paints nothing or is refused.

    :param which: ``fill`` or ``stroke``
    """
    paint = style[which]
    if paint == NONE:
        return None
    asker = _Asker(walk, element, style, content, context)
    opacity = style[f"{which}-opacity"]
    if isinstance(opacity, Unread):
        asker.refuse(opacity.feature, opacity.text)
        return None
    if which == "stroke" and walk.pen(element, style, context) is None:
        return None
    colour = _colour(asker, paint)
    if colour is None:
        return None
    alpha = colour.alpha * opacity
    if alpha == 0:
        asker.note("invisible", which)
        return None
    if colour.remark:
        asker.note(colour.remark)
    return Solid(colour.hex, alpha, hint(element) if alpha < 1 else "")


def _colour(asker: _Asker, paint: Paint | None) -> Colour | None:
    match paint:
        case Colour():
            return paint
        case Unread():
            asker.refuse(paint.feature, paint.text)
        case Reference():
            return _served(asker, paint)
        case Keyword("currentcolor"):
            return _colour(asker, asker.style["color"])
        case Keyword("context-fill" | "context-stroke") if asker.context.painter is not None:
            painter = asker.context.painter
            inner = replace(
                asker,
                style=painter.style,
                context=replace(asker.context, painter=painter.outer),
            )
            return _colour(inner, painter.style[paint.word.removeprefix("context-")])
    return None


def _served(asker: _Asker, paint: Reference) -> Colour | None:
    target = target_of(paint.target)
    if target is None:
        asker.refuse("elsewhere", paint.target)
        return None
    server = found_by(asker.walk.ids, target)
    name = local_name(server) if server is not None and namespace(server) == SVG else ""
    if server is not None and name in _GRADIENTS:
        return _gradient(asker, server, paint)
    if server is not None and name == "pattern":
        return _pattern(asker, server, paint)
    if name in ("meshgradient", "solidcolor", "solidColor", "hatch"):
        asker.refuse("gradient", f"#{target}")
    elif server is None and paint.fallback is not None:
        return _colour(asker, paint.fallback)
    else:
        asker.refuse("missing", f"#{target}")
    return None


def _gradient(asker: _Asker, server: Element, paint: Reference) -> Colour | None:
    """Give a gradient's colour where all its stops have one."""
    chain = list(_chain(asker, server, _GRADIENTS))
    stops = next((found for one in chain if (found := _stops_of(one))), [])
    if not stops:
        if paint.fallback is None:
            asker.note("empty paint")
        else:
            asker.refuse("gradient", "without stops, which viewers read differently")
        return None
    if _by_box(chain, "gradientUnits") and asker.flat():
        asker.note("empty paint")
        return _colour(asker, paint.fallback)
    first, *others = [_stop(asker.walk, stop) for stop in stops]
    if first is None or any(one != first for one in others) or _may_leave_gaps(chain):
        asker.refuse("gradient", paint.target)
        return None
    asker.note("one-colour gradient")
    return first


def _pattern(asker: _Asker, server: Element, paint: Reference) -> Colour | None:
    """Tell a pattern that paints nothing from one that is refused."""
    chain = list(_chain(asker, server, ("pattern",)))
    if _by_box(chain, "patternUnits") and asker.flat():
        asker.note("empty paint")
        return _colour(asker, paint.fallback)
    content = any(next(children(one), None) is not None for one in chain)
    if not content or not all(_has_size(chain, side) for side in ("width", "height")):
        asker.note("empty paint")
    else:
        asker.refuse("pattern", paint.target)
    return None


def _has_size(chain: list[Element], side: str) -> bool:
    text = next((one.get(side) for one in chain if one.get(side) is not None), None)
    try:
        length = parse_length(text or "")
    except OverflowError:
        return True
    if length is None:
        return is_computed(text or "")
    return length.number > 0


def _by_box(chain: list[Element], name: str) -> bool:
    units = next((one.get(name) for one in chain if one.get(name) is not None), None)
    return units != "userSpaceOnUse"


def _may_leave_gaps(chain: list[Element]) -> bool:
    """Say whether a gradient may leave places unpainted though it has one colour.

    A focus outside the circle makes a cone (SVG 2, 14.2.3).
    """
    return any(one.get(name) is not None for one in chain for name in _FOCUS)


def _stops_of(gradient: Element) -> list[Element]:
    return [
        stop for stop in children(gradient) if namespace(stop) == SVG and local_name(stop) == "stop"
    ]


def _chain(asker: _Asker, server: Element, kinds: tuple[str, ...]) -> Iterator[Element]:
    """Give a paint server and those it takes what it lacks from."""
    seen: list[Element] = []
    at: Element | None = server
    while at is not None and local_name(at) in kinds:
        if at in seen:
            asker.refuse("itself", f"#{server.get('id', '')}")
            return
        seen.append(at)
        yield at
        at = asker.walk.linked(at) if href(at) is not None else None


def _stop(walk: Walk, stop: Element) -> Colour | None:
    style = walk.cascade.style_in_place(stop)
    colour = style["stop-color"]
    if colour == CURRENT:
        colour = style["color"]
    opacity = style["stop-opacity"]
    if not isinstance(colour, Colour) or isinstance(opacity, Unread):
        return None
    return replace(colour, alpha=colour.alpha * opacity)
