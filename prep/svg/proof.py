"""The reader's own proof: an independent renderer draws the file, and what was read is laid over it.

What was read is drawn by the same rasteriser as plain polygons, so that both pictures decide alike which
pixels an edge takes. They are compared pixel by pixel. A pixel differs only when its colour isn't found
next to it in the other picture either: edges may be off by a pixel, a missing hairline may not.

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
from numpy.typing import NDArray
from shapely import MultiPolygon

from prep.artwork import Artwork
from prep.errors import InputError, OurFault
from prep.svg.document import SVG, XLINK, parse
from prep.svg.fonts import FontFile, renamed
from prep.svg.notation import parse_length, parse_view_box
from prep.svg.older_colours import restate_colours
from prep.svg.older_css import restate_styles

_SHARE = 0.005  # of the artboard, by which a colour may be off in all
_BLOB_MM2 = 1.0
_BLOB_PIXELS = 3
_MOST_PIXELS = 600_000
_OTHER_SIZES = (1.31, 0.83)  # of the width, on disagreement
_MOVED = (0.29, 0.13)  # pixels
_VIEW_BOX = re.compile('viewBox="([^"]*)"')
_FINEST_PIXEL_MM = 0.1
_COARSEST_PIXEL_MM = 0.5
_LEVEL_SLACK = 2  # levels by which colours of other colour spaces may be rounded apart
_UNITS_PER_MM = 100
_COMPARED = 40
_SHOWN = 5

Code = np.uint32
Codes = NDArray[np.uint32]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Difference:
    """Something that was read otherwise than the renderer draws it.

    :param what: in words
    :param colour: the colour it is about, ``#rrggbb``
    :param at_mm: where, from the top left of the artboard; None for a difference of shares
    :param area_mm2: how large
    """

    what: str
    colour: str
    at_mm: tuple[float, float] | None
    area_mm2: float


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
    with _at_hand(fonts) as files:
        return _compared(data, artwork, visible, _Look(artwork.name, ground, files))


def _compared(
    data: bytes, artwork: Artwork, visible: Sequence[tuple[str, MultiPolygon]], look: _Look
) -> Proof:
    drawing, reading = _restated(data, artwork), _as_svg(artwork, visible)
    colours = [colour for colour, _ in visible]
    pictures = _pictures(drawing, reading, _pixels_across(artwork), look)
    found = _differences(pictures, artwork, colours)
    if found:
        # a difference of the drawing is there at every size, one of the rasteriser is not
        for factor in _OTHER_SIZES:
            width = round(pictures.drawn.shape[1] * factor)
            other = _pictures(_moved(drawing, width), _moved(reading, width), width, look)
            found = _in_both(found, _differences(other, artwork, colours))
    shown = tuple(one.difference for one in found[:_SHOWN])
    return Proof(shown, pictures.drawn_png, pictures.read_png)


@dataclass(frozen=True, slots=True)
class _Look:
    """What both pictures are drawn with: name for messages, ground, paths of font files."""

    name: str
    ground: str | None
    fonts: tuple[str, ...]


@contextlib.contextmanager
def _at_hand(fonts: Sequence[FontFile]) -> Iterator[tuple[str, ...]]:
    """Lay font files out under the names that the order gives them."""
    if not fonts:
        yield ()
        return
    with tempfile.TemporaryDirectory(prefix="firstpull-") as folder:
        files = [os.path.join(folder, f"{number}.font") for number in range(len(fonts))]
        for font, file in zip(fonts, files, strict=True):
            with open(file, "wb") as out:
                out.write(renamed(font))
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


def _differences(pictures: _Pictures, artwork: Artwork, colours: Sequence[str]) -> list[_Found]:
    pixel_mm = artwork.width_mm / pictures.drawn.shape[1]
    found = [
        *_by_place(pictures.drawn, pictures.read, pixel_mm, colours),
        *_by_share(pictures.drawn, pictures.read, artwork, colours),
    ]
    # those with a place first: they are easier to find in the drawing
    return sorted(found, key=lambda one: (one.bounds is None, -one.difference.area_mm2))


@dataclass(frozen=True, slots=True)
class _Found:
    """A difference, and the bounds of its blob in mm: left, top, right, bottom; None for a share."""

    difference: Difference
    bounds: tuple[float, float, float, float] | None

    def is_about(self, other: _Found) -> bool:
        """Say whether both are about the same place, or about the same colour's share."""
        if self.bounds is None or other.bounds is None:
            same_kind = self.bounds is other.bounds
            return same_kind and self.difference.colour == other.difference.colour
        left, top, right, bottom = self.bounds
        other_left, other_top, other_right, other_bottom = other.bounds
        return (
            left <= other_right
            and other_left <= right
            and top <= other_bottom
            and other_top <= bottom
        )


def _in_both(first: list[_Found], second: list[_Found]) -> list[_Found]:
    """Keep the differences that show in both comparisons."""
    return [one for one in first if any(one.is_about(other) for other in second)]


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
    restate_colours(root)
    restate_styles(root)
    # pictures that would show were refused; the renderer mustn't open the others either
    for picture in root.iter(f"{{{SVG}}}image", f"{{{SVG}}}feImage"):
        for name in ("href", f"{{{XLINK}}}href"):
            picture.attrib.pop(name, "")
    if root.get("viewBox") is None:
        px = [_px(root.get(side)) for side in ("width", "height")]
        root.set("viewBox", f"0 0 {px[0]} {px[1]}")
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


def _bytes(codes: Codes) -> NDArray[np.int16]:
    """Give the four bytes of each pixel."""
    return np.ascontiguousarray(codes).view(np.uint8).reshape(*codes.shape, 4).astype(np.int16)


def _alike(a: Codes, b: Codes) -> Bools:
    """Say which pixels have the same colour, or are both bare."""
    same: Bools = a == b
    other = np.flatnonzero(~same)
    if len(other):
        x, y = _bytes(a[other]), _bytes(b[other])
        near = (np.abs(x - y) <= _LEVEL_SLACK).all(axis=-1)
        same[other] = near | ((x[:, 3] == 0) & (y[:, 3] == 0))
    return same


def _mixed(codes: Codes, inks: Sequence[Code]) -> Bools:
    """Say which pixels have none of the colours read, and aren't bare."""
    mixed: Bools = _bytes(codes)[:, 3] != 0
    for ink in inks:
        mixed &= ~_alike(codes, np.full_like(codes, ink))
    return mixed


def _differing(drawn: Codes, read: Codes, inks: Sequence[Code]) -> Bools:
    """Say where a pixel of one picture isn't found in or next to its place in the other.

    Edges the renderer insists on smoothing (of clips, and where a drawing asks for it) have mixed
    pixels. Those are taken for an edge where what was read has one, too.
    """
    apart: Bools = drawn != read
    rows, columns = np.nonzero(apart)
    if not len(rows):
        return apart
    height, width = apart.shape
    here_drawn, here_read = drawn[rows, columns], read[rows, columns]
    around = [
        (np.clip(rows + down, 0, height - 1), np.clip(columns + right, 0, width - 1))
        for down in (0, -1, 1)
        for right in (0, -1, 1)
    ]
    on_edge = np.zeros(len(rows), dtype=np.bool_)
    found_drawn, found_read = on_edge.copy(), on_edge.copy()
    for place in around:
        on_edge |= read[place] != here_read
        found_drawn |= _alike(here_drawn, read[place])
        found_read |= _alike(here_read, drawn[place]) | _mixed(drawn[place], inks)
    found_drawn |= on_edge & _mixed(here_drawn, inks)
    apart[rows, columns] = ~(found_drawn & found_read)
    return apart


def _by_place(drawn: Codes, read: Codes, pixel_mm: float, colours: Sequence[str]) -> list[_Found]:
    from scipy import ndimage

    apart = _differing(drawn, read, [_code(colour) for colour in colours])
    # the outermost pixels may reach over the edge of the page, where only the renderer draws
    apart[[0, -1], :] = apart[:, [0, -1]] = False
    # a hairline thinner than a pixel is drawn in bits: those belong together
    near = np.ones((3, 3), dtype=np.bool_)
    labels, count = ndimage.label(ndimage.binary_dilation(apart, near), structure=near)
    labels[~apart] = 0
    if not count:
        return []
    sizes = np.bincount(labels.ravel(), minlength=count + 1)[1:]
    large = np.flatnonzero((sizes > _BLOB_PIXELS) & (sizes * pixel_mm**2 > _BLOB_MM2)) + 1
    large = large[np.argsort(-sizes[large - 1])][:_COMPARED]
    found = []
    for label in large.tolist():
        rows, columns = np.nonzero(labels == label)
        off = (rows - rows.mean()) ** 2 + (columns - columns.mean()) ** 2
        row, column = int(rows[off.argmin()]), int(columns[off.argmin()])
        area = len(rows) * pixel_mm**2
        place = ((column + 0.5) * pixel_mm, (row + 0.5) * pixel_mm)
        shown, got = _bytes(drawn[row, column][None])[0], _bytes(read[row, column][None])[0]
        colour = _hex(shown if shown[3] else got)
        what = f"{area:.1f} mm² should be {_name(shown)}, but was read as {_name(got)}"
        bounds = (columns.min(), rows.min(), columns.max() + 1, rows.max() + 1)
        left, top, right, bottom = (float(edge) * pixel_mm for edge in bounds)
        found.append(_Found(Difference(what, colour, place, area), (left, top, right, bottom)))
    return found


def _by_share(drawn: Codes, read: Codes, artwork: Artwork, colours: Sequence[str]) -> list[_Found]:
    apart = drawn != read
    unlike = [_bytes(picture[apart]) for picture in (drawn, read)]
    page = artwork.width_mm * artwork.height_mm
    found = []
    for colour in dict.fromkeys(colours):
        wanted = _bytes(np.array([_code(colour)]))[0]
        counts = [
            int((np.abs(pixels - wanted) <= _LEVEL_SLACK).all(axis=-1).sum()) for pixels in unlike
        ]
        off = (counts[1] - counts[0]) / drawn.size
        if abs(off) > _SHARE:
            what = (
                f"{colour} was read as covering {abs(off):.1%} of the artboard "
                f"{'more' if off > 0 else 'less'} than it should"
            )
            found.append(_Found(Difference(what, colour, None, abs(off) * page), None))
    return found


def _code(colour: str) -> Code:
    levels = np.array([*(int(colour[at : at + 2], 16) for at in (1, 3, 5)), 255], dtype=np.uint8)
    code: Code = levels.view(np.uint32)[0]
    return code


def _hex(pixel: NDArray[np.int16]) -> str:
    return "#" + "".join(f"{int(level):02x}" for level in pixel[:3])


def _name(pixel: NDArray[np.int16]) -> str:
    if pixel[3] == 0:
        return "bare"
    return _hex(pixel) if pixel[3] == 255 else f"{_hex(pixel)}, partly transparent"
