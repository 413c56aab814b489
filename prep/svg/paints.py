"""From a paint to one solid colour, or the reason why there is none."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from prep.svg.colours import Colour
from prep.svg.document import SVG, Element, children, hint, local_name, namespace
from prep.svg.styles import CURRENT, NONE, Keyword, Paint, Style, Unread, target_of

if TYPE_CHECKING:
    from prep.svg.scene import Content, Context
    from prep.svg.walk import Walk

_GRADIENTS = ("linearGradient", "radialGradient")


@dataclass(frozen=True, slots=True)
class Solid:
    """A colour to paint with.

    :param tint: element that made it transparent, when alpha is below 1
    """

    colour: str
    alpha: float
    tint: str


def solid_paint(
    walk: Walk, element: Element, style: Style, which: str, content: Content, context: Context
) -> Solid | None:
    """Give the colour of an element's fill or stroke; None if it paints nothing or is refused.

    :param which: ``fill`` or ``stroke``
    """
    paint = style[which]
    if paint == NONE:
        return None
    opacity = style[f"{which}-opacity"]
    if isinstance(opacity, Unread):
        walk.report.refuse(opacity.feature, hint(element), opacity.text)
        return None
    if which == "stroke" and walk.pen(element, style, context) is None:
        return None
    colour = _colour(walk, paint, element, style, content, context)
    if colour is None:
        return None
    alpha = colour.alpha * opacity
    if alpha == 0:
        walk.report.note("invisible", hint(element), which)
        return None
    if colour.clipped:
        walk.report.note("gamut", hint(element))
    return Solid(colour.hex, alpha, hint(element) if alpha < 1 else "")


def _colour(
    walk: Walk,
    paint: Paint | None,
    element: Element,
    style: Style,
    content: Content,
    context: Context,
) -> Colour | None:
    if paint is None or paint == NONE:
        return None
    if isinstance(paint, Colour):
        return paint
    if isinstance(paint, Unread):
        walk.report.refuse(paint.feature, hint(element), paint.text[:60])
        return None
    if isinstance(paint, Keyword):
        if paint == CURRENT:
            return _colour(walk, style["color"], element, style, content, context)
        walk.report.refuse("context paint", hint(element), paint.word)
        return None
    target = target_of(paint.target)
    if target is None:
        walk.report.refuse("elsewhere", hint(element), paint.target[:60])
        return None
    server = walk.ids.get(target)
    name = local_name(server) if server is not None and namespace(server) == SVG else ""
    if server is not None and name in _GRADIENTS:
        return _gradient(walk, server, element, content, context)
    if name in ("pattern", "hatch"):
        walk.report.refuse("pattern", hint(element), f"#{target[:60]}")
    elif name in ("meshgradient", "solidcolor", "solidColor"):
        walk.report.refuse("gradient", hint(element), f"#{target[:60]}")
    elif server is None and paint.fallback is not None:
        return _colour(walk, paint.fallback, element, style, content, context)
    else:
        walk.report.refuse("missing", hint(element), f"#{target[:60]}")
    return None


def _gradient(
    walk: Walk, server: Element, element: Element, content: Content, context: Context
) -> Colour | None:
    """Give a gradient's colour where all its stops have one."""
    chain = list(_chain(walk, server, element))
    stops: list[Element] = []
    for one in chain:
        stops = [
            stop for stop in children(one) if namespace(stop) == SVG and local_name(stop) == "stop"
        ]
        if stops:
            break
    colours = [_stop(walk, stop) for stop in stops]
    first = colours[0] if colours else None
    if not colours:
        walk.report.refuse("gradient", hint(element), "without stops")
        return None
    if first is None or any(one != first for one in colours) or _odd(chain):
        walk.report.refuse("gradient", hint(element), f"#{server.get('id', '')[:60]}")
        return None
    box = content.box(context.matrix, walk.tolerance)
    if box is None or box.width <= 0 or box.height <= 0:
        walk.report.refuse("gradient", hint(element), "over a shape without width or height")
        return None
    walk.report.note("one-colour gradient", hint(element))
    return first


def _odd(chain: list[Element]) -> bool:
    """Say whether a gradient may leave places unpainted even though it has one colour."""
    return any(
        one.get(name) is not None
        for one in chain
        if local_name(one) == "radialGradient"
        for name in ("fx", "fy", "fr")
    )


def _chain(walk: Walk, server: Element, element: Element) -> Iterator[Element]:
    """Give a gradient and those it takes its stops from."""
    seen: list[Element] = []
    at: Element | None = server
    while at is not None:
        if at in seen:
            walk.report.refuse("itself", hint(element), f"#{server.get('id', '')[:60]}")
            return
        seen.append(at)
        yield at
        if at.get("href") is None and at.get("{http://www.w3.org/1999/xlink}href") is None:
            return
        at = walk.linked(at)
        if at is not None and local_name(at) not in _GRADIENTS:
            return


def _stop(walk: Walk, stop: Element) -> Colour | None:
    style = walk.cascade.style_in_place(stop)
    colour = style["stop-color"]
    if colour == CURRENT:
        colour = style["color"]
    opacity = style["stop-opacity"]
    if not isinstance(colour, Colour) or isinstance(opacity, Unread):
        return None
    return Colour(colour.hex, colour.alpha * opacity, colour.clipped)
