"""What differs between two pictures of one drawing: blobs, spots strewn about, and shares.

A pixel differs only when its colour isn't found next to it in the other picture either: edges may be off
by a pixel, a missing hairline may not. Three things are told:

- a blob of differing pixels over 1 mm² and 3 pixels, with its place;
- spots too small for that which together are over 0.5 % of the artboard in one colour; or over 1 mm² and
  3 pixels in a colour that the other picture lacks altogether, for then a whole ink is missing;
- a colour, or what is bare, whose pixels in all are off by more than 0.5 % of the artboard.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

SHARE = 0.005
"""Of the artboard, by which a colour may be off in all."""
BLOB_MM2 = 1.0
BLOB_PIXELS = 3
BARE = "bare"
_LEVEL_SLACK = 2  # levels by which colours of other colour spaces may be rounded apart
_COMPARED = 40
_CURVE_PIXELS = 0.2  # by which the rasteriser's chords may lie inside a small curve
_NOTHING = np.uint32(0)

Code = np.uint32
Codes = NDArray[np.uint32]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Difference:
    """Something that was read otherwise than the renderer draws it.

    :param what: in words
    :param colour: the colour it is about, ``#rrggbb``, or ``bare``
    :param at_mm: where, from the top left of the artboard; None for what is strewn about
    :param area_mm2: how large
    """

    what: str
    colour: str
    at_mm: tuple[float, float] | None
    area_mm2: float


@dataclass(frozen=True, slots=True)
class Found:
    """A difference, and what makes it the same one in pictures of another size.

    :param kind: blob; lost or made up; drawn or read, of spots; more or less, of shares
    :param bounds: of a blob in mm: left, top, right, bottom
    """

    difference: Difference
    kind: str
    bounds: tuple[float, float, float, float] | None = None

    def is_about(self, other: Found) -> bool:
        """Say whether both are about the same place, or about the same colour's spots or share."""
        if self.kind != other.kind:
            return False
        if self.bounds is None or other.bounds is None:
            return self.difference.colour == other.difference.colour
        left, top, right, bottom = self.bounds
        other_left, other_top, other_right, other_bottom = other.bounds
        return (
            left <= other_right
            and other_left <= right
            and top <= other_bottom
            and other_top <= bottom
        )


def in_both(first: list[Found], second: list[Found]) -> list[Found]:
    """Keep the differences that show in both comparisons."""
    return [one for one in first if any(one.is_about(other) for other in second)]


def told_once(found: list[Found]) -> list[Difference]:
    """Give the differences; those without a place only where no other tells of their colour.

    What is bare is told of without a place only where no colour says the same.
    """
    told: dict[str, Difference] = {}
    placed = [one.difference for one in found if one.bounds is not None]
    named = {one.colour for one in placed}
    for one in found:
        if one.bounds is None and one.difference.colour not in named:
            told.setdefault(one.difference.colour, one.difference)
    if len(told) + len(placed) > 1:
        told.pop(BARE, None)
    return [*placed, *told.values()]


@dataclass(frozen=True, slots=True, eq=False)
class Pair:
    """Two pictures of one drawing.

    :param drawn: by the renderer, shape (height, width), each pixel its bytes red, green, blue, alpha
    :param read: of what was read, likewise
    :param pixel_mm: side of a pixel
    :param colours: that were read
    """

    drawn: Codes
    read: Codes
    pixel_mm: float
    colours: Sequence[str]


def differences(pair: Pair) -> list[Found]:
    """Give what differs, those with a place first: they are easier to find in the drawing.

    What is found of inks that are lacking may be mixed pixels of smoothed edges; see :func:`strewn`.
    """
    inks = _inks(pair.colours)
    apart = _differing(pair.drawn, pair.read, inks)
    _leave_out_rim(apart)
    unlike = pair.drawn != pair.read
    _leave_out_rim(unlike)
    found = [
        *_blobs(pair, apart),
        *_lacking(pair, unlike, apart, inks),
        *_spots(pair, apart, inks),
        *_shares(pair, unlike, apart, inks, {}),
    ]
    return sorted(found, key=lambda one: (one.bounds is None, -one.difference.area_mm2))


def strewn(pair: Pair, outline_mm: Mapping[str, float]) -> list[Found]:
    """Give the differences without a place that finer pictures show beyond what the rasteriser does.

    It draws a small curve as few chords, which lie up to a fifth of a pixel inside it: a thousand
    dots lose more in that way than a share may be off. Mixed pixels along an edge don't count here: a
    line that lies there is wider than an edge in finer pictures.

    :param outline_mm: length of outline of each colour, and of what is bare
    """
    inks = _inks(pair.colours)
    apart = _differing(pair.drawn, pair.read, inks)
    _leave_out_rim(apart)
    unlike = pair.drawn != pair.read
    _leave_out_rim(unlike)
    return [
        *_lacking(pair, apart, apart, inks),
        *_spots(pair, apart, inks),
        *_shares(pair, unlike, apart, inks, outline_mm),
    ]


def _leave_out_rim(pixels: Bools) -> None:
    """Leave out the outermost pixels: they may reach over the page's edge, where only one is drawn."""
    pixels[[0, -1], :] = pixels[:, [0, -1]] = False


def _blobs(pair: Pair, apart: Bools) -> Iterator[Found]:
    from scipy import ndimage

    pixel_mm = pair.pixel_mm
    # a hairline thinner than a pixel is drawn in bits: those belong together
    near = np.ones((3, 3), dtype=np.bool_)
    labels, count = ndimage.label(ndimage.binary_dilation(apart, near), structure=near)
    labels[~apart] = 0
    if not count:
        return
    sizes = np.bincount(labels.ravel(), minlength=count + 1)[1:]
    large = np.flatnonzero(_is_large(sizes, pixel_mm)) + 1
    large = large[np.argsort(-sizes[large - 1])][:_COMPARED]
    for label in large.tolist():
        rows, columns = np.nonzero(labels == label)
        off = (rows - rows.mean()) ** 2 + (columns - columns.mean()) ** 2
        row, column = int(rows[off.argmin()]), int(columns[off.argmin()])
        area = len(rows) * pixel_mm**2
        place = ((column + 0.5) * pixel_mm, (row + 0.5) * pixel_mm)
        shown, got = pair.drawn[row, column], pair.read[row, column]
        what = f"{area:.1f} mm² should be {_name(shown)}, but was read as {_name(got)}"
        colour = _hex(got if _is_bare(shown) else shown)
        bounds = (columns.min(), rows.min(), columns.max() + 1, rows.max() + 1)
        left, top, right, bottom = (float(edge) * pixel_mm for edge in bounds)
        yield Found(Difference(what, colour, place, area), "blob", (left, top, right, bottom))


def _is_large(pixels: NDArray[np.intp], pixel_mm: float) -> Bools:
    large: Bools = (pixels > BLOB_PIXELS) & (pixels * pixel_mm**2 > BLOB_MM2)
    return large


def _lacking(pair: Pair, lost: Bools, apart: Bools, inks: Codes) -> Iterator[Found]:
    """Give the solid colours that one of the pictures lacks altogether.

    :param lost: where to look in the renderer's picture
    :param apart: where to look in that of what was read
    """
    for kind, where, here, other in (
        ("lost", lost, pair.drawn, pair.read),
        ("made up", apart, pair.read, pair.drawn),
    ):
        rows, columns = np.nonzero(where)
        side = _plain(here[rows, columns], inks)
        codes, counts = np.unique(side, return_counts=True)
        missing = (_bytes(codes)[:, 3] == 255) & _is_large(counts, pair.pixel_mm)
        if missing.any():
            missing &= ~np.isin(codes, _plain(np.unique(other), inks))
        for code in codes[missing]:
            found = side == code
            yield _strewn(pair, kind, code, rows[found], columns[found])


def _spots(pair: Pair, apart: Bools, inks: Codes) -> Iterator[Found]:
    """Add up what differs by colour, as drawn and as read, however small the pieces are."""
    rows, columns = np.nonzero(apart)
    for kind, picture in (("drawn", pair.drawn), ("read", pair.read)):
        side = _plain(picture[rows, columns], inks)
        codes, counts = np.unique(side, return_counts=True)
        for code in codes[counts > SHARE * apart.size]:
            found = side == code
            yield _strewn(pair, kind, code, rows[found], columns[found])


def _strewn(
    pair: Pair, kind: str, code: Code, rows: NDArray[np.intp], columns: NDArray[np.intp]
) -> Found:
    area = len(rows) * pair.pixel_mm**2
    x, y = ((float(at[0]) + 0.5) * pair.pixel_mm for at in (columns, rows))
    one, other = (
        ("should be", "were read") if kind in ("lost", "drawn") else ("were read as", "should be")
    )
    what = (
        f"{area:.1f} mm² in all {one} {_name(code)}, but {other} otherwise, the first at"
        f" {x:.1f}, {y:.1f} mm"
    )
    return Found(Difference(what, _name_of_ink(code), None, area), kind)


def _shares(
    pair: Pair, unlike: Bools, apart: Bools, inks: Codes, outline_mm: Mapping[str, float]
) -> Iterator[Found]:
    sides = [_plain(picture[unlike], inks) for picture in (pair.drawn, pair.read)]
    # mixed pixels of smoothed edges are of neither colour
    whole = apart[unlike] | np.isin(sides[0], inks) | (sides[0] == _NOTHING)
    counted = [np.unique(side[whole], return_counts=True) for side in sides]
    counts: dict[int, int] = {}
    for sign, (codes, numbers) in zip((-1, 1), counted, strict=True):
        for code, number in zip(codes.tolist(), numbers.tolist(), strict=True):
            counts[code] = counts.get(code, 0) + sign * number
    page_mm2 = pair.drawn.size * pair.pixel_mm**2
    for number, off in counts.items():
        colour = _name_of_ink(np.uint32(number))
        curves_mm2 = _CURVE_PIXELS * pair.pixel_mm * outline_mm.get(colour, 0.0)
        allowed_mm2 = SHARE * page_mm2 + curves_mm2
        area = abs(off) * pair.pixel_mm**2
        if area > allowed_mm2:
            kind = "more" if off > 0 else "less"
            name = "what is bare" if colour == BARE else colour
            what = (
                f"{name} was read as covering {area / page_mm2:.1%} of the artboard "
                f"{kind} than it should"
            )
            yield Found(Difference(what, colour, None, area), kind)


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


def _plain(codes: Codes, inks: Codes) -> Codes:
    """Give a colour that was rounded otherwise than an ink the ink's code, and what is bare the code 0."""
    kinds, which = np.unique(codes, return_inverse=True)
    plain = kinds.copy()
    plain[_bytes(kinds)[:, 3] == 0] = _NOTHING
    for ink in inks:
        near = _alike(kinds, np.full_like(kinds, ink)) & ~np.isin(plain, inks)
        plain[near] = ink
    return plain[which.reshape(codes.shape)]


def _mixed(codes: Codes, inks: Codes) -> Bools:
    """Say which pixels have none of the colours read, and aren't bare."""
    mixed: Bools = _bytes(codes)[:, 3] != 0
    for ink in inks:
        mixed &= ~_alike(codes, np.full_like(codes, ink))
    return mixed


def _differing(drawn: Codes, read: Codes, inks: Codes) -> Bools:
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


def _inks(colours: Sequence[str]) -> Codes:
    levels = [[*(int(c[at : at + 2], 16) for at in (1, 3, 5)), 255] for c in dict.fromkeys(colours)]
    return np.array(levels, dtype=np.uint8).reshape(-1, 4).view(np.uint32)[:, 0]


def _is_bare(code: Code) -> bool:
    return bool(_bytes(np.array([code]))[0, 3] == 0)


def _hex(code: Code) -> str:
    return "#" + "".join(f"{int(level):02x}" for level in _bytes(np.array([code]))[0, :3])


def _name_of_ink(code: Code) -> str:
    return BARE if _is_bare(code) else _hex(code)


def _name(code: Code) -> str:
    if _is_bare(code):
        return BARE
    solid = _bytes(np.array([code]))[0, 3] == 255
    return _hex(code) if solid else f"{_hex(code)}, partly transparent"
