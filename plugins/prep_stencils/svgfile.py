"""The cut file as SVG, and a plain reader of what we write. Imports nothing of prep.

One user unit is one millimetre: ``width`` and ``height`` are given in mm and the viewBox has the same
numbers. No transforms, no styles; one path of straight lines for each stroke of the blade; one group for
each purpose, in the order they are cut.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterable
from html import escape

import numpy as np

from prep_stencils.outlines import Layer
from prep_stencils.sheet import Points

_NS = "http://www.w3.org/2000/svg"
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_STROKES = {
    "weeding": "#8a8a8a",
    "openings": "#000000",
    "marks": "#a63603",
    "sheet-edge": "#0072b2",
}


def plain_text(text: str) -> str:
    """Give text on one line, without the characters XML doesn't allow."""
    return " ".join(_NOT_XML.sub(" ", text).split())


def write_svg(
    layers: Iterable[Layer], *, across_mm: float, along_mm: float, title: str, about: str
) -> bytes:
    """Give the cut file.

    :param title: which film it is and which way round
    :param about: what else whoever opens the file must know
    """
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="{_NS}" width="{across_mm:.5f}mm" height="{along_mm:.5f}mm"'
        f' viewBox="0 0 {across_mm:.5f} {along_mm:.5f}">\n'
        f"<title>{escape(plain_text(title))}</title>\n<desc>{escape(plain_text(about))}</desc>\n"
    ]
    for layer in layers:
        stroke = _STROKES.get(layer.name, "#000000")
        parts.append(f'<g id="{layer.name}" fill="none" stroke="{stroke}" stroke-width="0.1">\n')
        end = "Z" if layer.closed else ""
        parts += [f'<path d="M{_steps(stroke)}{end}"/>\n' for stroke in layer.strokes]
        parts.append("</g>\n")
    parts.append("</svg>\n")
    return "".join(parts).encode()


def _steps(stroke: Points) -> str:
    # one format for the whole stroke: ten times faster than one for each number
    return " ".join(["%.5f,%.5f"] * len(stroke)) % tuple(stroke.ravel().tolist())


def read_svg(data: bytes) -> tuple[tuple[float, float], tuple[Layer, ...]]:
    """Read a cut file of ours back.

    :return: (width, height) in mm, and the layers
    :raises ValueError: it isn't what :func:`write_svg` writes
    """
    root = ET.fromstring(data)
    width, height = (_millimetres(root.get(name, "")) for name in ("width", "height"))
    if [float(v) for v in root.get("viewBox", "").split()] != [0.0, 0.0, width, height]:
        raise ValueError("the viewBox doesn't say that a unit is a millimetre")
    layers = []
    for group in root.findall(f"{{{_NS}}}g"):
        paths = [path.get("d", "") for path in group]
        closed = {each.endswith("Z") for each in paths}
        if len(closed) > 1:
            raise ValueError("some outlines of a layer are closed and some aren't")
        strokes = tuple(_points(each) for each in paths)
        layers.append(Layer(group.get("id", ""), strokes, closed != {False}))
    return (width, height), tuple(layers)


def _millimetres(text: str) -> float:
    if not text.endswith("mm"):
        raise ValueError(f"{text!r} is not in millimetres")
    return float(text[:-2])


def _points(data: str) -> Points:
    if not data.startswith("M") or data.count("M") != 1:
        raise ValueError("a path is not one stroke of the blade")
    numbers = data[1:].removesuffix("Z").replace(",", " ").split()
    return np.array(numbers, dtype=np.float64).reshape(-1, 2)
