"""Where wet ink lies thick and where thin: a screen's openings in classes of deposit.

The deposit falls from the film's edge inwards (:mod:`prep_ink.deposit`), over all strokes and passes:

    h(x) = h_open + (h_edge - h_open) exp(-x / reach)

so that a deposit h is reached at one distance from the edge,

    x(h) = reach ln((h_edge - h_open) / (h - h_open))

and a class ends where the openings, drawn in by x, begin. How much lies in each is known from the areas
inside the edge that every measurement holds. Only the nearest edge counts, so that ink
between two near edges may lie thicker than told. Own model; its parameters tell how sure they are.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon

from prep.remembered import remembered

Floats = NDArray[np.float64]

MOST_CLASSES = 5
_LIMITS = (2, MOST_CLASSES - 1)
_BEST = 3
_STEPS = (1.0, 2.0, 5.0, 2.5, 4.0)  # times a power of ten, the rounder first
_MARGIN = 0.05  # a limit nearer to either end, as a share of the span, makes a class hardly there
_SEGMENTS = 8  # of a quarter circle round corners that turn towards the opening
_CELLS = 4  # so many in a window, each way


@dataclass(frozen=True, slots=True)
class Profile:
    """The wet deposit by the distance to the film's edge.

    :param open_um: far from any edge
    :param edge_um: at the edge
    :param reach_mm: distance over which what the edge adds falls to 1/e
    """

    open_um: float
    edge_um: float
    reach_mm: float

    def __post_init__(self) -> None:
        """Check the figures.

        :raises ValueError: a deposit or reach not above 0, or less ink at the edge
        """
        if not (0.0 < self.open_um <= self.edge_um < math.inf and 0.0 < self.reach_mm < math.inf):
            raise ValueError(f"there is no such profile: {self}")

    def deposit_um(self, distance_mm: float) -> float:
        """Give the deposit at a distance from the edge."""
        lift = (self.edge_um - self.open_um) * math.exp(-distance_mm / self.reach_mm)
        return self.open_um + lift

    def distance_mm(self, deposit_um: float) -> float:
        """Give the distance from the edge at which a deposit is reached.

        :raises ValueError: a deposit that is reached nowhere, or only infinitely far away
        """
        if not self.open_um < deposit_um <= self.edge_um:
            raise ValueError(f"{deposit_um} µm is not between {self.open_um} and {self.edge_um} µm")
        share = (deposit_um - self.open_um) / (self.edge_um - self.open_um)
        return -self.reach_mm * math.log(share)


def round_limits_um(low_um: float, high_um: float) -> tuple[float, ...]:
    """Give two to four round deposits between two others, whole µm in even steps, rising.

    None lies within 5 % of the span from either. Spans under about 3 µm have none: nobody could
    tell their classes apart.

    >>> round_limits_um(71.8, 176.2), round_limits_um(10.0, 10.5)
    ((100.0, 125.0, 150.0), ())
    """
    span = high_um - low_um
    if not span > 0.0:
        return ()
    low, high = low_um + _MARGIN * span, high_um - _MARGIN * span
    found: list[tuple[int, int, float, tuple[float, ...]]] = []
    power = math.floor(math.log10(span))
    for exponent in (power - 1, power):
        for rank, times in enumerate(_STEPS):
            step = times * 10.0**exponent
            if step < 1.0 or not step.is_integer():
                continue
            first, last = math.ceil(low / step), math.floor(high / step)
            count = last - first + 1
            if _LIMITS[0] <= count <= _LIMITS[1]:
                limits = tuple(number * step for number in range(first, last + 1))
                found.append((abs(count - _BEST), rank, -step, limits))
    return min(found)[-1] if found else ()


@dataclass(frozen=True, slots=True)
class Classes:
    """Openings by their wet deposit.

    :param limits_um: (k,) between the classes, rising
    :param borders_mm: (k,) distances from the edge at which they lie, falling
    :param areas_mm2: (k + 1,) of the classes, the thinnest first
    """

    limits_um: tuple[float, ...]
    borders_mm: tuple[float, ...]
    areas_mm2: tuple[float, ...]

    def shares(self) -> tuple[float, ...]:
        """Give each class's share of the area, 0..1."""
        whole = sum(self.areas_mm2)
        return tuple(area / whole for area in self.areas_mm2)


def in_classes(
    region: MultiPolygon,
    insets_mm: Floats,
    inset_areas_mm2: Floats,
    profile: Profile,
    limits_um: Sequence[float],
) -> Classes:
    """Share openings out among classes of wet deposit.

    :param region: the openings, mm
    :param insets_mm: (n,) distances from the edge, rising from 0
    :param inset_areas_mm2: (n,) what of the openings lies farther from the edge than each
    :param limits_um: rising, between the deposits in the open field and at the edge
    :raises ValueError: nothing is open, or a limit outside the profile
    """
    if not inset_areas_mm2[0] > 0.0:
        raise ValueError("nothing is open, so there are no classes")
    borders = tuple(profile.distance_mm(limit) for limit in limits_um)
    beyond = np.interp(borders, insets_mm, inset_areas_mm2)
    for number, border in enumerate(borders):
        if border > insets_mm[-1] and inset_areas_mm2[-1] > 0.0:  # deeper than was measured
            beyond[number] = drawn_in(region, (border,))[0].area
    areas = np.diff(np.concatenate([[0.0], beyond, inset_areas_mm2[:1]]))
    return Classes(tuple(limits_um), borders, tuple(np.maximum(areas, 0.0).tolist()))


@remembered(kept=32)
def drawn_in(region: MultiPolygon, borders_mm: Sequence[float]) -> tuple[MultiPolygon, ...]:
    """Give what of a region lies farther from its edge than each of several distances.

    :param region: mm, valid
    :param borders_mm: falling, above 0
    """
    found: list[MultiPolygon] = []
    inner, so_far = region, 0.0
    for border in reversed(borders_mm):  # each from the last one, which has fewer points
        parts = shapely.get_parts(inner)
        inner = _polygons(shapely.buffer(parts, so_far - border, quad_segs=_SEGMENTS))
        found.insert(0, inner)
        so_far = border
    return tuple(found)


def percents(shares: Sequence[float]) -> tuple[int, ...]:
    """Round shares that add up to 1 to whole percents that add up to 100, by largest remainders.

    >>> percents([1 / 3, 1 / 3, 1 / 3])
    (34, 33, 33)
    """
    exact = 100.0 * np.asarray(shares, dtype=np.float64)
    whole = np.floor(exact + 1e-9)
    left = round(100.0 - float(whole.sum()))
    order = np.argsort(-(exact - whole), kind="stable")
    whole[order[:left]] += 1.0
    return tuple(int(share) for share in whole)


@remembered(kept=32)
def most_rim(
    region: MultiPolygon, wide_mm: float, high_mm: float, within_mm: float
) -> tuple[float, float]:
    """Find the window with the most thick ink along edges in it.

    What counts is the edge, drawn into the openings. Windows are tried a quarter of their size
    apart; of several with as much, the topmost, leftmost.

    :param region: mm, not empty
    :param wide_mm: of the window
    :param within_mm: how far inside the openings the rim runs
    :return: the window's middle
    :raises ValueError: a region without edges
    """
    edge = shapely.segmentize(
        shapely.get_rings(shapely.orient_polygons(shapely.get_parts(region))),
        min(wide_mm, high_mm) / _CELLS / 2,
    )
    points, line = shapely.get_coordinates(edge, return_index=True)
    if not len(points):
        raise ValueError("a region without edges has no window with the most")
    joined = line[1:] == line[:-1]
    along = (points[1:] - points[:-1])[joined]
    lengths = np.hypot(*along.T)
    # openings lie on the left of their rings
    inwards = np.column_stack([-along[:, 1], along[:, 0]]) / np.maximum(lengths, 1e-12)[:, None]
    middles = ((points[1:] + points[:-1]) / 2)[joined] + within_mm * inwards
    cell = np.array([wide_mm, high_mm]) / _CELLS
    # a window begins up to three cells before the region
    corner = middles.min(axis=0) - (_CELLS - 1) * cell
    column, row = ((middles - corner) / cell).astype(np.int64).T
    across, down = column.max() + _CELLS, row.max() + _CELLS
    in_cell = np.bincount(row * across + column, lengths, down * across).reshape(down, across)
    sums = np.zeros((down + 1, across + 1))
    sums[1:, 1:] = in_cell.cumsum(axis=0).cumsum(axis=1)
    n = _CELLS
    in_window = sums[n:, n:] - sums[:-n, n:] - sums[n:, :-n] + sums[:-n, :-n]
    best = np.argmax(np.round(in_window, 6))  # so that rounding decides nothing
    at_row, at_column = np.unravel_index(best, in_window.shape)
    x, y = corner + np.array([at_column, at_row]) * cell + np.array([wide_mm, high_mm]) / 2
    return float(x), float(y)


def _polygons(shapes: NDArray[np.object_]) -> MultiPolygon:
    """Give the polygons of many geometries as one."""
    parts = shapely.get_parts(shapely.get_parts(shapes))
    return MultiPolygon([p for p in parts if isinstance(p, shapely.Polygon) and not p.is_empty])
