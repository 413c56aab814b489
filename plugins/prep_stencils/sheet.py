"""The sheet of film: its size, its edge, and how the print lies on it. Imports nothing of prep."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Bounds = tuple[float, float, float, float]
Points = NDArray[np.float64]

_SNIP_MM = 12.0
_NOTCH_MM = 4.0


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of film.

    The sheet's plane is the artwork's, y downwards; the cut file's plane starts at the file's upper
    left corner, y downwards too.

    :param left_mm: left edge of the sheet, seen as printed, in mm of the artwork
    :param top_mm: its upper edge
    :param width_mm: as printed; whole millimetres
    :param height_mm: as printed; whole millimetres
    :param middle_mm: centre of the print, in mm of the artwork
    :param margin_mm: film between the openings and the sheet's edge, at least
    :param mirrored: the cut file is the mirror image of the print
    :param turned: the cut file holds the print a quarter turn clockwise
    """

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float
    middle_mm: tuple[float, float]
    margin_mm: float
    mirrored: bool
    turned: bool

    @property
    def across_mm(self) -> float:
        """Width of the cut file, across the film."""
        return self.height_mm if self.turned else self.width_mm

    @property
    def along_mm(self) -> float:
        """Height of the cut file, along the roll."""
        return self.width_mm if self.turned else self.height_mm

    def to_film(self, points: Points) -> Points:
        """Take points (n, 2) from the artwork to the cut file."""
        x, y = points[:, 0] - self.left_mm, points[:, 1] - self.top_mm
        if self.mirrored:
            x = self.width_mm - x
        return np.column_stack((self.height_mm - y, x) if self.turned else (x, y))

    def to_artwork(self, points: Points) -> Points:
        """Take points (n, 2) from the cut file back to the artwork."""
        x, y = points[:, 0], points[:, 1]
        if self.turned:
            x, y = y, self.height_mm - x
        if self.mirrored:
            x = self.width_mm - x
        return np.column_stack((x + self.left_mm, y + self.top_mm))

    def edge(self) -> Points:
        """Give the sheet's edge as one outline (n, 2) in mm of the artwork, not closed.

        The upper right corner as printed is snipped off, so that a sheet laid the wrong way round
        shows. Four notches mark the centre lines of the print; they lie in the margin and never
        print. Notches and edge are one outline, so no line is cut twice.
        """
        snip = min(_SNIP_MM, self.margin_mm / 2.0)
        deep = min(_NOTCH_MM, self.margin_mm / 5.0)
        half = deep * 0.6
        x0, y0 = self.left_mm, self.top_mm
        x1, y1 = x0 + self.width_mm, y0 + self.height_mm
        x, y = self.middle_mm
        return np.array(
            [
                (x0, y0),
                *((x - half, y0), (x, y0 + deep), (x + half, y0)),
                *((x1 - snip, y0), (x1, y0 + snip)),
                *((x1, y - half), (x1 - deep, y), (x1, y + half)),
                (x1, y1),
                *((x + half, y1), (x, y1 - deep), (x - half, y1)),
                (x0, y1),
                *((x0, y + half), (x0 + deep, y), (x0, y - half)),
            ]
        )


def lay_out(
    print_bounds_mm: Bounds,
    all_bounds_mm: Bounds,
    *,
    margin_mm: float,
    film_width_mm: float,
    mirrored: bool,
) -> Sheet:
    """Lay one sheet around the openings and marks of all screens, so that every film is alike.

    All films of a job have one size, one place of the print and one turn: their notches and edges
    then line up with the same ticks on every frame, and what the roll and the cutter stretch, they
    stretch alike. A sheet wider than the film is turned when that makes it fit.

    :param print_bounds_mm: of the openings of all screens; its centre is where the notches point
    :param all_bounds_mm: of openings and marks
    """
    x0, y0, x1, y1 = all_bounds_mm
    width, height = _whole(x1 - x0 + 2.0 * margin_mm), _whole(y1 - y0 + 2.0 * margin_mm)
    return Sheet(
        left_mm=(x0 + x1 - width) / 2.0,
        top_mm=(y0 + y1 - height) / 2.0,
        width_mm=width,
        height_mm=height,
        middle_mm=(
            (print_bounds_mm[0] + print_bounds_mm[2]) / 2.0,
            (print_bounds_mm[1] + print_bounds_mm[3]) / 2.0,
        ),
        margin_mm=margin_mm,
        mirrored=mirrored,
        turned=height <= film_width_mm < width,
    )


def _whole(length_mm: float) -> float:
    """Round up to whole millimetres; a hair over one, left by floats, isn't a millimetre more."""
    return float(math.ceil(length_mm - 1e-6))


def largest_scale(
    print_bounds_mm: Bounds, all_bounds_mm: Bounds, *, margin_mm: float, film_width_mm: float
) -> float:
    """Give how many times its size the print may have so that its sheet just fits across the film.

    Across the film lies either the print's width or its height, and beside it what the marks add and
    two margins, which don't grow with the print: scale = (film - 2 margin - added) / size, the larger of
    the two. The film is taken in whole millimetres, as the sheet is. Zero or less: no print fits.
    """
    room = math.floor(film_width_mm + 1e-6) - 2.0 * margin_mm
    scales = []
    for low, high in ((0, 2), (1, 3)):
        size = print_bounds_mm[high] - print_bounds_mm[low]
        added = all_bounds_mm[high] - all_bounds_mm[low] - size
        scales.append((room - added) / size)
    return max(scales)


def film_length(sheet: Sheet, count: int, film_width_mm: float) -> float:
    """Give the length of roll that ``count`` equal sheets take, side by side where the width allows."""
    beside = max(1, math.floor(film_width_mm / sheet.across_mm + 1e-9))
    return math.ceil(count / beside) * sheet.along_mm
