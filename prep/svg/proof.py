"""The reader's own proof: an independent renderer draws the file, and what was read is laid over it.

What was read is drawn by the same rasteriser as plain polygons, so that both pictures decide alike which
pixels an edge takes. They are compared pixel by pixel (:mod:`prep.svg.proof_differences`), and again at
other sizes where they differ.

Both pictures are drawn without anti-aliasing by resvg.
"""

from __future__ import annotations

import contextlib
import io
import math
import os
import re
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from lxml import etree
from shapely import MultiPolygon

from prep.artwork import Artwork
from prep.errors import InputError, OurFault
from prep.svg.document import SVG, XLINK, parse
from prep.svg.family_names import spellings
from prep.svg.fonts import FontFile, renamed
from prep.svg.notation import parse_length, parse_view_box
from prep.svg.older_colours import restate_colours
from prep.svg.older_css import restate_styles
from prep.svg.proof_differences import (
    BARE,
    Codes,
    Difference,
    Pair,
    differences,
    in_both,
    strewn,
    told_once,
)
from prep.svg.reader import page_px

_MOST_PIXELS = 600_000
_OTHER_SIZES = (1.31, 0.83)  # of the width, on disagreement
_FINER = 2.5
_MOST_FINER_PIXELS = 4_000_000
_MOVED = (0.29, 0.13)  # pixels
_VIEW_BOX = re.compile('viewBox="([^"]*)"')
_FINEST_PIXEL_MM = 0.1
_COARSEST_PIXEL_MM = 0.5
_UNITS_PER_MM = 100
_SHOWN = 5


@dataclass(frozen=True, slots=True, eq=False)
class Proof:
    """The outcome of a proof.

    :param differences: largest first; none when what was read looks like the artwork
    :param drawn_png: the renderer's picture of the file
    :param read_png: the picture of what was read
    """

    differences: tuple[Difference, ...]
    drawn_png: bytes
    read_png: bytes


def proof(
    data: bytes,
    artwork: Artwork,
    visible: Sequence[tuple[str, MultiPolygon]],
    *,
    ground: str | None = None,
    fonts: Sequence[FontFile] = (),
) -> Proof:
    """Compare what was read with what an independent renderer draws.

    Meant to run in the guard's worker: the renderer can't be interrupted.

    :param data: the file
    :param visible: colour and region of what shows, in mm
    :param ground: colour both pictures lie on, where tints were made solid on it
    :param fonts: the files that text was outlined with
    :raises InputError: the renderer refuses the file
    """
    with _at_hand(fonts, data, artwork.name) as files:
        return _compared(data, artwork, visible, _Look(artwork.name, ground, files))


def _compared(
    data: bytes, artwork: Artwork, visible: Sequence[tuple[str, MultiPolygon]], look: _Look
) -> Proof:
    drawing, reading = _restated(data, artwork), _as_svg(artwork, visible)
    colours = [colour for colour, _ in visible] + ([look.ground] if look.ground else [])

    def pair(pictures: _Pictures) -> Pair:
        pixel_mm = artwork.width_mm / pictures.drawn.shape[1]
        return Pair(pictures.drawn, pictures.read, pixel_mm, colours)

    def other(width: int) -> Pair:
        return pair(_pictures(_moved(drawing, width), _moved(reading, width), width, look))

    pictures = _pictures(drawing, reading, _pixels_across(artwork), look)
    width = pictures.drawn.shape[1]
    found = differences(pair(pictures))
    # a difference of the drawing is there at every size, one of the rasteriser is not
    for factor in _OTHER_SIZES:
        if found:
            found = in_both(found, differences(other(round(width * factor))))
    without_place = [one for one in found if one.bounds is None]
    if without_place:
        finer = min(_FINER, max(1.0, (_MOST_FINER_PIXELS / pictures.drawn.size) ** 0.5))
        seen = strewn(other(round(width * finer)), _outlines(visible, look.ground))
        kept = in_both(without_place, seen)
        found = [one for one in found if one.bounds is not None or one in kept]
    return Proof(tuple(told_once(found)[:_SHOWN]), pictures.drawn_png, pictures.read_png)


def _outlines(visible: Sequence[tuple[str, MultiPolygon]], ground: str | None) -> dict[str, float]:
    """Give the length of outline in mm of each colour, and of what they lie on."""
    lengths: dict[str, float] = {}
    for colour, region in visible:
        lengths[colour] = lengths.get(colour, 0.0) + region.length
    lengths[ground or BARE] = sum(lengths.values())
    return lengths


@dataclass(frozen=True, slots=True)
class _Look:
    """What both pictures are drawn with: name for messages, ground, paths of font files."""

    name: str
    ground: str | None
    fonts: tuple[str, ...]


@contextlib.contextmanager
def _at_hand(fonts: Sequence[FontFile], data: bytes, name: str) -> Iterator[tuple[str, ...]]:
    """Lay font files out under the names that the order and the file give them."""
    if not fonts:
        yield ()
        return
    root = parse(data, name)
    with tempfile.TemporaryDirectory(prefix="firstpull-") as folder:
        files = [os.path.join(folder, f"{number}.font") for number in range(len(fonts))]
        for font, file in zip(fonts, files, strict=True):
            with open(file, "wb") as out:
                out.write(renamed(font, spellings(root, font.family)))
        yield tuple(files)


@dataclass(frozen=True, slots=True, eq=False)
class _Pictures:
    drawn_png: bytes
    read_png: bytes
    drawn: Codes
    read: Codes


def _pictures(drawing: str, reading: str, width: int, look: _Look) -> _Pictures:
    drawn_png, read_png = (_render(svg, width, look) for svg in (drawing, reading))
    drawn, read = _decoded(drawn_png), _decoded(read_png)
    if drawn.shape != read.shape:  # the same page at the same width
        raise OurFault(f"{look.name}: the pictures of the proof differ in size")
    return _Pictures(drawn_png, read_png, drawn, read)


def _pixels_across(artwork: Artwork) -> int:
    """Give a modest width in pixels: fine enough for a square millimetre, no finer than needed."""
    width, height = artwork.width_mm, artwork.height_mm
    pixel = math.sqrt(width * height / _MOST_PIXELS)
    # a small print is looked at as closely as a larger one
    pixel = min(max(pixel, _FINEST_PIXEL_MM), _COARSEST_PIXEL_MM, max(width, height) / 400)
    pixel = max(pixel, max(width, height) / 8000)
    return max(1, round(width / pixel))


def _restated(data: bytes, artwork: Artwork) -> str:
    """Give the file as plain text, its page at the size it was read at."""
    root = parse(data, artwork.name)
    if root.get("viewBox") is None:
        wide, high = _page_px(root, artwork.name)
        root.set("viewBox", f"0 0 {wide!r} {high!r}")
    restate_colours(root)
    restate_styles(root)
    # pictures that would show were refused; the renderer mustn't open the others either
    for picture in root.iter(f"{{{SVG}}}image", f"{{{SVG}}}feImage"):
        for name in ("href", f"{{{XLINK}}}href"):
            picture.attrib.pop(name, "")
    width, height = _page(artwork)
    root.set("width", width)
    root.set("height", height)
    return etree.tostring(root, encoding="unicode")


def _moved(svg: str, width: int) -> str:
    """Move a picture by a part of a pixel, so that no edge runs through the middle of pixels for long.

    There the rasteriser may leave a crack between two regions that share the edge.
    """

    def moved(found: re.Match[str]) -> str:
        box = parse_view_box(found[1])
        if box is None:
            return found[0]
        pixel = max(box.width, box.height) / width
        x, y = box.x + _MOVED[0] * pixel, box.y + _MOVED[1] * pixel
        return f'viewBox="{x!r} {y!r} {box.width!r} {box.height!r}"'

    return _VIEW_BOX.sub(moved, svg, count=1)


def _page_px(root: etree._Element, name: str) -> tuple[float, float]:
    """Give the page's width and height, from what was read only where styles may set them."""
    styles = [root.get("style"), *(sheet.text for sheet in root.iter(f"{{{SVG}}}style"))]
    if any(side in (text or "").lower() for text in styles for side in ("width", "height")):
        return page_px(root, name)
    wide, high = (_px(root.get(side)) for side in ("width", "height"))
    return wide, high


def _px(text: str | None) -> float:
    length = parse_length(text or "")
    if length is not None and length.unit == "rem":  # on the root it is an em
        return length.number * 16.0
    return length.px(0.0, 16.0) if length else 0.0


def _as_svg(artwork: Artwork, visible: Sequence[tuple[str, MultiPolygon]]) -> str:
    """Write regions as the plainest SVG there is."""
    paths = "".join(
        f'<path fill="{colour}" fill-rule="evenodd" d="{_path_data(region)}"/>'
        for colour, region in visible
    )
    width, height = _page(artwork)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" '
        f'viewBox="0 0 {artwork.width_mm!r} {artwork.height_mm!r}">{paths}</svg>'
    )


def _page(artwork: Artwork) -> tuple[str, str]:
    """Give width and height of the page, so large that rounding them to whole units changes nothing."""
    return f"{artwork.width_mm * _UNITS_PER_MM!r}", f"{artwork.height_mm * _UNITS_PER_MM!r}"


def _path_data(region: MultiPolygon) -> str:
    rings = shapely.get_rings(shapely.get_parts(region))
    points, owner = shapely.get_coordinates(rings, return_index=True)
    if not len(points):
        return ""
    starts = np.append(True, owner[1:] != owner[:-1])
    words = np.char.mod("%.4f", points)
    pairs = np.char.add(np.char.add(words[:, 0], " "), words[:, 1])
    lead = np.where(starts, "M", "L")
    return "".join(np.char.add(lead, pairs).tolist())


def _render(svg: str, width: int, look: _Look) -> bytes:
    import resvg_py

    try:
        return bytes(
            resvg_py.svg_to_bytes(
                svg_string=svg,
                dpi=96,
                width=width,
                background=look.ground,
                shape_rendering="crisp_edges",
                text_rendering="optimize_speed",
                skip_system_fonts=True,
                font_files=list(look.fonts),
                languages=["en"],
            )
        )
    except ValueError as error:
        raise InputError(
            f"can't be compared with what was read: the renderer refuses it ({error})",
            where=look.name,
            do="export it again as plain SVG, or go on without this comparison: --no-proof",
        ) from error


def _decoded(png: bytes) -> Codes:
    """Give each pixel as one number, its bytes red, green, blue, alpha."""
    from PIL import Image

    pixels = np.ascontiguousarray(np.asarray(Image.open(io.BytesIO(png)).convert("RGBA")))
    return pixels.view(np.uint32)[..., 0]
