"""The sheet of film: its size, its edge, and how the print lies on it. Imports nothing of prep."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from prep_stencils.packing import HAIR_MM

Bounds = tuple[float, float, float, float]
Points = NDArray[np.float64]

_SNIP_MM = 12.0
_NOTCH_MM = 4.0
_NOTCH_HALF = 0.6  # of its depth
_NOTCH_IN_SEAM = 0.4
"""Half the width of a seam's notch is at most this share of the overlap: it lies within both strips."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of film, or one strip of a sheet that is parted.

    The sheet's plane is the artwork's, y downwards; the cut file's plane starts at the file's upper
    left corner, y downwards too.

    :param left_mm: left edge of the sheet, seen as printed, in mm of the artwork
    :param top_mm: its upper edge
    :param width_mm: as printed
    :param height_mm: as printed
    :param middle_mm: centre of the print, in mm of the artwork
    :param margin_mm: film between the openings and the edge of the whole sheet, at least
    :param mirrored: the cut file is the mirror image of the print
    :param turned: the cut file holds the print a quarter turn clockwise
    :param stretch: (across, along) times its size a length has in the cut file, against what the
        cutter adds or loses
    :param snipped: it holds the upper right corner of the whole sheet
    :param seam_mm: width of the overlaps with its neighbours
    :param seams_mm: middles of the overlaps with its neighbours, in mm of the artwork: along x, or
        along y where ``turned``
    """

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float
    middle_mm: tuple[float, float]
    margin_mm: float
    mirrored: bool
    turned: bool
    stretch: tuple[float, float] = (1.0, 1.0)
    snipped: bool = True
    seam_mm: float = 0.0
    seams_mm: tuple[float, ...] = ()

    @property
    def across_mm(self) -> float:
        """Width of the film that is cut, across the roll."""
        return self.height_mm if self.turned else self.width_mm

    @property
    def along_mm(self) -> float:
        """Length of the film that is cut, along the roll."""
        return self.width_mm if self.turned else self.height_mm

    @property
    def file_mm(self) -> tuple[float, float]:
        """Width and height of the cut file: across and along, times the stretch."""
        return self.across_mm * self.stretch[0], self.along_mm * self.stretch[1]

    def to_true(self, points: Points) -> Points:
        """Take points (n, 2) from the artwork to the film as it comes out of the cutter."""
        x, y = points[:, 0] - self.left_mm, points[:, 1] - self.top_mm
        if self.mirrored:
            x = self.width_mm - x
        return np.column_stack((self.height_mm - y, x) if self.turned else (x, y))

    def to_film(self, points: Points) -> Points:
        """Take points (n, 2) from the artwork to the cut file."""
        return self.to_true(points) * self.stretch

    def to_artwork(self, points: Points) -> Points:
        """Take points (n, 2) from the cut file back to the artwork."""
        x, y = points[:, 0] / self.stretch[0], points[:, 1] / self.stretch[1]
        if self.turned:
            x, y = y, self.height_mm - x
        if self.mirrored:
            x = self.width_mm - x
        return np.column_stack((x + self.left_mm, y + self.top_mm))

    def edge(self) -> Points:
        """Give the sheet's edge as one outline (n, 2) in mm of the artwork, not closed.

        The upper right corner as printed is snipped off, so that a sheet laid the wrong way round
        shows; a strip without that corner has a notch more instead, near its upper right corner. Notches
        mark the centre lines of the print, and on strips the middle of each overlap: there the notches
        of both strips fall together. They lie in the margin and never print; the edge that another strip
        overlaps has none. Notches and edge are one outline, so no line is cut twice.
        """
        snip = min(_SNIP_MM, self.margin_mm / 2.0)
        deep = min(_NOTCH_MM, self.margin_mm / 5.0)
        if self.seams_mm:
            deep = min(deep, _NOTCH_IN_SEAM * self.seam_mm / _NOTCH_HALF)
        half = deep * _NOTCH_HALF
        x0, y0 = self.left_mm, self.top_mm
        x1, y1 = x0 + self.width_mm, y0 + self.height_mm
        seams_x, seams_y = ((), self.seams_mm) if self.turned else (self.seams_mm, ())
        over = snip if self.snipped else 0.0
        more = () if self.snipped else (self.seam_mm + _SNIP_MM,)
        more_x = () if self.turned else tuple(x1 - at for at in more)
        more_y = tuple(y0 + at for at in more) if self.turned else ()
        xs = _apart((*seams_x, *more_x, self.middle_mm[0]), x0 + half, x1 - over - half, half)
        ys = _apart((*seams_y, *more_y, self.middle_mm[1]), y0 + over + half, y1 - half, half)
        # no notches where another strip overlaps: there a seam lies within an overlap of the edge
        top = [] if any(at < y0 + self.seam_mm for at in seams_y) else xs
        bottom = [] if any(at > y1 - self.seam_mm for at in seams_y) else xs
        bottom = [x for x in bottom if x not in more_x]
        left = [] if any(at < x0 + self.seam_mm for at in seams_x) else ys
        left = [y for y in left if y not in more_y]
        right = [] if any(at > x1 - self.seam_mm for at in seams_x) else ys
        points = [(x0, y0)]
        for x in top:
            points += [(x - half, y0), (x, y0 + deep), (x + half, y0)]
        points += [(x1 - snip, y0), (x1, y0 + snip)] if self.snipped else [(x1, y0)]
        for y in right:
            points += [(x1, y - half), (x1 - deep, y), (x1, y + half)]
        points.append((x1, y1))
        for x in reversed(bottom):
            points += [(x + half, y1), (x, y1 - deep), (x - half, y1)]
        points.append((x0, y1))
        for y in reversed(left):
            points += [(x0, y + half), (x0 + deep, y), (x0, y - half)]
        return np.array(points)

    def strips(self, seams_mm: Iterable[float], overlap_mm: float) -> tuple[Sheet, ...]:
        """Part the sheet at seams: along x, or along y where it is turned.

        :param seams_mm: middles of the overlaps, rising, in mm of the artwork
        :return: from left to right, or from top to bottom
        """
        seams, half = tuple(seams_mm), overlap_mm / 2.0
        first = self.top_mm if self.turned else self.left_mm
        last = first + (self.height_mm if self.turned else self.width_mm)
        starts = [first, *(at - half for at in seams)]
        ends = [*(at + half for at in seams), last]
        made = []
        for number, (low, high) in enumerate(zip(starts, ends, strict=True)):
            has_corner = number == (0 if self.turned else len(seams))
            left, top = (self.left_mm, low) if self.turned else (low, self.top_mm)
            width, height = (
                (self.width_mm, high - low) if self.turned else (high - low, self.height_mm)
            )
            made.append(
                Sheet(
                    left,
                    top,
                    width,
                    height,
                    self.middle_mm,
                    self.margin_mm,
                    self.mirrored,
                    self.turned,
                    self.stretch,
                    self.snipped and has_corner,
                    overlap_mm,
                    seams[max(0, number - 1) : number + 1],
                )
            )
        return tuple(made)


def _apart(wanted: Iterable[float], low: float, high: float, half: float) -> list[float]:
    """Give places of notches, rising: those within the side, and none over another, the first first."""
    kept: list[float] = []
    for at in wanted:
        if low < at < high and all(abs(at - other) > 2.0 * half for other in kept):
            kept.append(at)
    return sorted(kept)


def lay_out(
    print_bounds_mm: Bounds,
    all_bounds_mm: Bounds,
    *,
    margin_mm: float,
    film_width_mm: float,
    mirrored: bool,
    stretch: tuple[float, float] = (1.0, 1.0),
    longest_mm: float = math.inf,
) -> Sheet:
    """Lay one sheet around the openings and marks of all screens, so that every film is alike.

    All films of a job have one size, one place of the print and one turn: their notches and edges
    then line up with the same ticks on every frame, and what the roll and the cutter stretch, they
    stretch alike. A sheet wider than the film is turned when that makes it fit. It may not fit either
    way: see :meth:`Sheet.strips`.

    :param print_bounds_mm: of the openings of all screens; its centre is where the notches point
    :param all_bounds_mm: of openings and marks
    :param longest_mm: along the film, where it comes in sheets
    """
    x0, y0, x1, y1 = all_bounds_mm
    width, height = _whole(x1 - x0 + 2.0 * margin_mm), _whole(y1 - y0 + 2.0 * margin_mm)
    upright = width <= film_width_mm and height <= longest_mm
    lying = height <= film_width_mm and width <= longest_mm
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
        turned=lying and not upright,
        stretch=stretch,
    )


def _whole(length_mm: float) -> float:
    """Round up to whole millimetres; a hair over one, left by floats, isn't a millimetre more."""
    return float(math.ceil(length_mm - HAIR_MM))


def largest_scale(
    print_bounds_mm: Bounds,
    all_bounds_mm: Bounds,
    *,
    margin_mm: float,
    film_width_mm: float,
    longest_mm: float = math.inf,
) -> float:
    """Give how many times its size the print may have so that its sheet just fits the film unparted.

    Across the film lies either the print's width or its height, and beside it what the marks add and
    two margins, which don't grow with the print: scale = (film - 2 margin - added) / size, the larger of
    the two; and so along it, where it comes in sheets. The film is taken in whole millimetres, as the
    sheet is. Zero or less: no print fits.
    """

    def most(film_mm: float, low: int, high: int) -> float:
        if math.isinf(film_mm):
            return math.inf
        size = print_bounds_mm[high] - print_bounds_mm[low]
        added = all_bounds_mm[high] - all_bounds_mm[low] - size
        return (math.floor(film_mm + HAIR_MM) - 2.0 * margin_mm - added) / size

    upright = min(most(film_width_mm, 0, 2), most(longest_mm, 1, 3))
    lying = min(most(film_width_mm, 1, 3), most(longest_mm, 0, 2))
    return max(upright, lying)
