"""What a drawing holds and doesn't show: hidden shapes, and shapes within what is no drawing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from lxml import etree

from prep.svg.document import SVG, Element, local_name, namespace
from prep.svg.report import Report
from prep.svg.styles import NONE, Style

SHAPES = frozenset(("path", "rect", "circle", "ellipse", "line", "polyline", "polygon"))
_SEEN = SHAPES | {"text", "image", "use"}
_ASIDE = frozenset(("defs", "symbol", "clipPath", "mask", "marker", "pattern", "metadata"))
_LONGEST = 60


def holds_drawing(element: Element) -> bool:
    """Say whether an element that viewers pass over holds elements they would draw elsewhere."""
    return any(namespace(one) == SVG and local_name(one) in _SEEN for one in element.iter())


class Hidden:
    """The hidden shapes of a drawing, by the layer they lie in."""

    def __init__(self) -> None:
        """Start with none."""
        self._hidden: dict[Element, None] = {}
        self._shown: set[Element] = set()

    def take(self, element: Element, style: Style) -> None:
        """Remember whether a lone element shows here; it may show elsewhere, by a use.

        :param style: its computed style
        """
        if style["visibility"] == "visible":
            self._shown.add(element)
        elif style["fill"] != NONE or style["stroke"] != NONE:
            self._hidden[element] = None

    def hide(self, element: Element) -> None:
        """Remember the shapes in an element that isn't displayed."""
        self._hidden.update(dict.fromkeys(_shapes_in(element)))

    def tell(self, report: Report) -> None:
        """Note how many are hidden, once for each layer."""
        counts = Counter(_layer_of(one) for one in self._hidden if one not in self._shown)
        for layer, count in counts.items():
            what = "1 hidden shape" if count == 1 else f"{count} hidden shapes"
            report.say("hidden", f"{what}{layer} {'is' if count == 1 else 'are'} not printed.")


def _shapes_in(element: Element) -> Iterator[Element]:
    if namespace(element) != SVG:
        return
    if local_name(element) in _SEEN:
        yield element
    elif local_name(element) not in _ASIDE:
        for child in element.iterchildren(tag=etree.Element):
            yield from _shapes_in(child)


def _layer_of(element: Element) -> str:
    """Name the nearest layer around an element, or else the nearest group with an id."""
    groups = [one for one in (element, *element.iterancestors()) if local_name(one) == "g"]
    for group in groups:
        for name, value in group.attrib.items():
            # drawing programs mark layers by a label in a namespace of their own
            if str(name).endswith("}label") and str(value).strip():
                return f' in layer "{str(value).strip()[:_LONGEST]}"'
    for group in groups:
        if identity := group.get("id"):
            return f' in group "{identity[:_LONGEST]}"'
    return ""
