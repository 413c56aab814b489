"""A sheet of paper to draw on, in millimetres, written as SVG text."""

from __future__ import annotations

import re
import textwrap
import zlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from html import escape
from typing import TYPE_CHECKING

import numpy as np
import shapely

from prep.at_place import round_length
from prep.measure_pictures.styles import Style
from prep.pictures import Picture

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    Floats = NDArray[np.float64]

Point = tuple[float, float]

TEXT_MM = 2.9
"""Height of ordinary text, about 8 pt."""
SMALL_MM = 2.5
INK, GREY = "#1f1a17", "#6b6660"

_WIDEST_LETTER = 0.63  # mean width of a letter of a wide sans-serif, as a share of its height
_PER_MM = 100  # outlines are written to a hundredth of a millimetre of paper
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True, slots=True)
class View:
    """Where on the paper the artwork lies.

    :param scale: mm of paper for a mm of the artwork
    :param origin_mm: where on the paper the artwork's (0, 0) lies
    """

    scale: float
    origin_mm: Point

    def on_paper(self, xy: Floats) -> Floats:
        """Give places of the artwork, (n, 2), as places on the paper."""
        return np.asarray(xy * self.scale + np.asarray(self.origin_mm))

    def back(self, spot: Point) -> Point:
        """Give the place of the artwork that lies at a spot of the paper."""
        x0, y0 = self.origin_mm
        return (spot[0] - x0) / self.scale, (spot[1] - y0) / self.scale

    def at(self, place: Point) -> Point:
        """Give one place."""
        x, y = self.on_paper(np.asarray([place], dtype=float))[0]
        return float(x), float(y)


@dataclass
class Paper:
    """Draws marks one over the other; all lengths in mm of paper, y downwards."""

    width_mm: float
    height_mm: float
    _marks: list[str] = field(default_factory=list)
    _defined: dict[str, str] = field(default_factory=dict)

    def outline(
        self,
        data: str,
        *,
        fill: str = "none",
        stroke: str = "none",
        stroke_mm: float = 0.0,
        kind: str = "",
    ) -> None:
        """Draw path data, filled by evenodd.

        :param kind: what it stands for, written as the element's class
        """
        if data:
            named = f' class="{escape(kind)}"' if kind else ""
            self._marks.append(
                f'<path{named} d="{data}" fill="{fill}" fill-rule="evenodd"'
                f"{_stroke(stroke, stroke_mm)}/>"
            )

    def hatched(self, data: str, style: Style, *, kind: str = "", least_mm: float = 0.0) -> None:
        """Draw path data in the tone and hatch of a class, ``least_mm`` thicker than it is."""
        if not data:
            return
        if not style.hatch:
            self.outline(data, fill=style.tone, kind=kind)
            return
        self._defined[style.hatch] = style.pattern
        # the same name for the same outline, also where several pictures stand in one page
        name = f"o{zlib.crc32(data.encode()):08x}"
        self._defined[name] = f'<path id="{name}" d="{data}" fill-rule="evenodd"/>'
        stroke = _stroke(style.tone, least_mm) if least_mm else ""
        named = f' class="{escape(kind)}"' if kind else ""
        self._marks.append(
            f'<use{named} xlink:href="#{name}" fill="{style.tone}"{stroke}/>'
            f'<use xlink:href="#{name}" fill="url(#{style.hatch})"/>'
        )

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        fill: str = "none",
        stroke: str = "none",
        stroke_mm: float = 0.0,
    ) -> None:
        """Draw a rectangle."""
        self._marks.append(
            f'<rect x="{short(x)}" y="{short(y)}" width="{short(width)}"'
            f' height="{short(height)}" fill="{fill}"{_stroke(stroke, stroke_mm)}/>'
        )

    def line(
        self,
        *points: Point,
        stroke: str = INK,
        stroke_mm: float = 0.2,
        kind: str = "",
        dash: str = "",
    ) -> None:
        """Draw a line through points."""
        named = f' class="{escape(kind)}"' if kind else ""
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        steps = " ".join(f"{short(x)},{short(y)}" for x, y in points)
        self._marks.append(
            f'<polyline{named} points="{steps}" fill="none"{_stroke(stroke, stroke_mm)}{dashed}/>'
        )

    def circle(self, at: Point, radius: float, *, stroke: str, stroke_mm: float) -> None:
        """Draw an empty circle."""
        self._marks.append(
            f'<circle cx="{short(at[0])}" cy="{short(at[1])}" r="{short(radius)}" fill="none"'
            f"{_stroke(stroke, stroke_mm)}/>"
        )

    def text(
        self,
        text: str,
        at: Point,
        *,
        height: float = TEXT_MM,
        fill: str = INK,
        anchor: str = "start",
        bold: bool = False,
        turned: bool = False,
        halo: bool = False,
    ) -> None:
        """Write a line of text.

        :param at: on its baseline
        :param anchor: ``start``, ``middle`` or ``end`` lies there
        :param turned: written upwards
        :param halo: on white, so that it can be read over a drawing
        """
        x, y = short(at[0]), short(at[1])
        more = ' font-weight="bold"' if bold else ""
        more += f' transform="rotate(-90 {x} {y})"' if turned else ""
        body = (
            f'x="{x}" y="{y}" font-family="DejaVu Sans, sans-serif" font-size="{short(height)}"'
            f' text-anchor="{anchor}"{more}'
        )
        said = clean(text)
        if halo:  # twice, since not every viewer knows paint-order
            self._marks.append(
                f'<text {body} fill="#ffffff" stroke="#ffffff" stroke-width="1"'
                f' stroke-linejoin="round" aria-hidden="true">{said}</text>'
            )
        self._marks.append(f'<text {body} fill="{fill}">{said}</text>')

    def picture(self, title: str, told: str) -> Picture:
        """Close the drawing.

        :param title: what it is
        :param told: what is to be seen, for those who can't see it
        """
        size = f"{short(self.width_mm)} {short(self.height_mm)}"
        width, height = size.split()
        defined = "".join(self._defined.values())
        svg = (
            f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
            f' width="{width}mm" height="{height}mm" viewBox="0 0 {size}" role="img">'
            f"<title>{clean(title)}</title><desc>{clean(told)}</desc>"
            f"{f'<defs>{defined}</defs>' if defined else ''}"
            f'<rect width="{width}" height="{height}" fill="#ffffff"/>'
            f"{''.join(self._marks)}</svg>\n"
        )
        return Picture(svg, float(width), float(height), f"{title}. {told}")


def clean(text: str) -> str:
    """Escape text; characters that XML has no place for become the replacement character."""
    return escape(_NOT_XML.sub("\ufffd", text))


def short(value: float) -> str:
    """Write a length to a hundredth of a millimetre, without noughts at its end."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def text_width(text: str, height: float = TEXT_MM) -> float:
    """Give about how long a line of text is, rather too long than too short."""
    return _WIDEST_LETTER * height * len(text)


def fine(width_mm: float) -> str:
    """Write a width with the digits that matter."""
    return f"{width_mm:.{2 if width_mm >= 0.095 else 3}f} mm"


def fitted(text: str, room_mm: float, height: float = TEXT_MM) -> str:
    """Cut a line of text off where there is no room for more."""
    most = max(int(room_mm / (_WIDEST_LETTER * height)), 4)
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def wrapped(text: str, room_mm: float, height: float = TEXT_MM) -> list[str]:
    """Break text into lines that fit."""
    return textwrap.wrap(text, max(int(room_mm / (_WIDEST_LETTER * height)), 4))


def outline_data(region: BaseGeometry, view: View, *, within_mm: float = 0.04) -> str:
    """Give polygons as path data on paper, to a hundredth of a millimetre.

    :param within_mm: how far, on paper, the outline may stray from the region's
    """
    rings = shapely.get_rings(_polygons(region))
    light = shapely.simplify(rings, within_mm / view.scale, preserve_topology=False)
    # what is finer than that would vanish: it keeps its coarsest outline
    gone = shapely.get_num_coordinates(light) < 4
    light[gone] = shapely.simplify(rings[gone], within_mm / view.scale)
    xy, ring = shapely.get_coordinates(light, return_index=True)
    if not len(xy):
        return ""
    steps = np.rint(view.on_paper(xy) * _PER_MM).astype(np.int64)
    again = (ring[1:] == ring[:-1]) & (steps[1:] == steps[:-1]).all(axis=1)
    fresh = np.r_[True, ~again]
    steps, ring = steps[fresh], ring[fresh]
    first = np.r_[True, ring[1:] != ring[:-1]]
    moves = np.diff(steps, axis=0, prepend=0)
    moves[first] = steps[first]
    values, index = np.unique(moves, return_inverse=True)
    words = np.array([_hundredths(int(v)) for v in values], dtype=object)[index.reshape(-1, 2)]
    # the last point of each ring is its first: z stands for it
    last = np.r_[first[1:], True]
    lone = first & last
    lead = np.where(first, "M", np.where(np.r_[False, first[:-1]], "l", " "))
    between = np.where(moves[:, 1] < 0, "", " ")
    pairs = lead.astype(object) + words[:, 0] + between.astype(object) + words[:, 1]
    pairs[last & ~lone] = "z"
    pairs[lone] = pairs[lone] + "h0z"
    return str("".join(pairs.tolist()))


def _polygons(region: BaseGeometry) -> NDArray[np.object_]:
    parts = shapely.get_parts(shapely.get_parts(region))
    is_one = (shapely.get_type_id(parts) == 3) & ~shapely.is_empty(parts)
    return np.asarray(parts[is_one], dtype=object)


def _hundredths(value: int) -> str:
    text = f"{value / _PER_MM:.2f}".rstrip("0").rstrip(".")
    sign, text = ("-", text[1:]) if text.startswith("-") else ("", text)
    return sign + (text.removeprefix("0") or "0")


def _stroke(stroke: str, stroke_mm: float) -> str:
    if stroke == "none":
        return ""
    return f' stroke="{stroke}" stroke-width="{short(stroke_mm)}" stroke-linejoin="round"'


def scale_bar(paper: Paper, at: Point, view: View, room_mm: float) -> float:
    """Draw a bar of a round length of the artwork, and say it; give the bar's length on paper."""
    length = round_length(room_mm / view.scale)
    x, y, wide = *at, length * view.scale
    paper.box(x, y, wide / 2, 1.0, fill=INK)
    paper.box(x, y, wide, 1.0, stroke=INK, stroke_mm=0.15)
    paper.text(f"{length:g} mm of the print", (x, y + 1.0 + SMALL_MM * 1.2), height=SMALL_MM)
    return wide


def legend(paper: Paper, at: Point, rows: Sequence[tuple[Style, str]], room_mm: float) -> float:
    """Draw swatches with what they mean, as many in a row as fit; give the height taken."""
    wide = 9.5 + max(text_width(said) for _, said in rows) + 3.0
    columns = max(1, min(len(rows), int(room_mm // wide)))
    deep = -(-len(rows) // columns)
    for number, (style, said) in enumerate(rows):
        column, row = divmod(number, deep)
        x, y = at[0] + column * wide, at[1] + row * 5.6
        data = f"M{short(x)} {short(y)}h7.5v4.2h-7.5z"
        paper.hatched(data, style, kind="legend")
        paper.outline(data, stroke=INK, stroke_mm=0.15)
        paper.text(said, (x + 9.5, y + 3.1))
    return deep * 5.6
