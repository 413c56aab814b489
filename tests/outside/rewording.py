"""Says a drawing in other words, in which the renderer does what the standard says.

Used only where reading and renderer disagree: what differs then isn't the reading's fault.
"""

from __future__ import annotations

from lxml import etree

from prep.svg.colours import UnreadColour, parse_colour
from prep.svg.curves import evaluate, pieces_of, steps_of
from prep.svg.document import parse
from prep.svg.notation import parse_view_box
from prep.svg.paths import Path, parse_path

_FINE = 50_000  # parts of the page
_WORDS = ("none", "currentcolor", "inherit", "initial", "unset", "context-fill", "context-stroke")


def reworded(data: bytes, name: str) -> bytes:
    """Give a drawing that means the same.

    - An attribute with an invalid paint isn't there (SVG 2, 6.6); the renderer takes it for black.
    - Curves are many straight lines: where a curve bends tighter than a wide pen, or a control point
      lies on its end, the renderer leaves holes in the stroke (SVG 2, 13.5.8 has none); it also measures
      dashes along curves coarsely. Not where there are markers, which would multiply.
    """
    root = parse(data, name)
    box = parse_view_box(root.get("viewBox", "")) or parse_view_box("0 0 100 100")
    assert box is not None
    marked = b"marker-mid" in data
    for element in root.iter(etree.Element):
        for attribute, value in element.attrib.items():
            text = str(value)
            if attribute in ("fill", "stroke") and not _is_paint(text.strip().lower()):
                del element.attrib[attribute]
            elif attribute == "d" and not marked:
                element.set("d", _in_lines(text, max(box.width, box.height) / _FINE))
    return etree.tostring(root)


def _is_paint(text: str) -> bool:
    if text in _WORDS or text.startswith("url("):
        return True
    try:
        return parse_colour(text) is not None
    except UnreadColour:
        return True


def _in_lines(text: str, tolerance: float) -> str:
    try:
        path, _ = parse_path(text)
    except OverflowError:
        return text
    return text if len(path.lone) else _lines(path, tolerance)


def _lines(path: Path, tolerance: float) -> str:
    pieces = pieces_of(path.control, path.straight, tolerance)
    words = []
    for part, closed in path.subpaths():
        control = path.control[part]
        segment, t = steps_of(pieces[part])
        points = [*evaluate(control[segment], t).tolist(), control[-1, 3].tolist()]
        words.append("M" + "L".join(f"{x!r} {y!r}" for x, y in points) + ("z" if closed else ""))
    return "".join(words)
