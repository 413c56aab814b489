"""Which painted shapes may hide parts of which: a coarse look at a drawing before the exact one.

A grid is laid over the drawing. For each shape it is told which cells its edge may pass and which lie
wholly inside it; doubtful ones count as passed. Below the topmost shape that fills a cell nothing shows
in that cell. So a shape that is filled over in all its cells can't be seen, and a shape need not be
compared with one that can be seen nowhere near it. Where many shapes lie over each other this leaves few
of all the pairs that meet, and none is lost that counts.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

_ACROSS = 16  # cells that a shape of middling size spans
_SIDE = (16, 600)  # least and most cells along the drawing's longer side
_DOUBT = 1e-9  # of a cell: far above rounding, far below what would cost anything
_CELLS = 4_000_000  # most pairs of shape and cell; some 100 bytes each
_JOINED = 40_000_000  # most pairs of shapes by cell
_AT_ONCE = 2_000_000


@dataclass(frozen=True, slots=True, eq=False)
class Hiding:
    """What hides what.

    :param seen: which shapes may be seen, shape (n,)
    :param low: numbers of shapes that may be seen, ascending
    :param high: for each of these a shape above it, of another colour, that may take something from it
    """

    seen: Bools
    low: Ints
    high: Ints


def hiding(regions: NDArray[np.object_], codes: Ints) -> Hiding | None:
    """Tell which shapes can't be seen, and which pairs must be compared exactly.

    Taking from each shape in ``low`` all its ``high`` leaves of its colour, over all shapes, what is
    visible: a ``high`` is left out only where other ones make up for it.

    :param regions: valid Polygons or MultiPolygons in paint order, bottom first; parts of one shape have
        one colour and may come in any order
    :param codes: a number for each one's colour
    :returns: None where the grid is of no help: too few cells, or too many shapes in one
    """
    grid = _Grid.over(regions)
    if grid is None:
        return None
    shape, cell, filled = grid.cells_of(regions)
    top = np.full(grid.count, -1, dtype=np.int64)
    np.maximum.at(top, cell[filled], shape[filled])
    shows = shape >= top[cell]
    seen = np.zeros(len(regions), dtype=np.bool_)
    seen[shape[shows]] = True
    # what shows in each cell
    order = np.argsort(cell[shows], kind="stable")
    shown, where = shape[shows][order], cell[shows][order]
    first = np.searchsorted(where, np.arange(grid.count + 1))
    # each shape that may be seen meets, in each of its cells, what shows there
    mine = seen[shape]
    shape, cell = shape[mine], cell[mine]
    # where one of another colour fills the cell, nothing is left to the rest
    over = top[cell]
    alone = (over > shape) & (codes[shape] != codes[over])
    count = len(regions)
    found = [_distinct(shape[alone] * count + over[alone])]
    shape, cell = shape[~alone], cell[~alone]
    many = first[cell + 1] - first[cell]
    if many.sum() > _JOINED:
        return None
    parts = np.searchsorted(np.cumsum(many), np.arange(_AT_ONCE, many.sum(), _AT_ONCE))
    for of_shape, start, number in zip(
        np.split(shape, parts), np.split(first[cell], parts), np.split(many, parts), strict=True
    ):
        low = np.repeat(of_shape, number)
        high = shown[_ranges(start, number)]
        counts = (high > low) & (codes[low] != codes[high])
        found.append(_distinct(low[counts] * count + high[counts]))
    pairs = _distinct(np.concatenate(found))
    return Hiding(seen, pairs // count, pairs % count)


def _distinct(keys: Ints) -> Ints:
    """Give each key once, ascending; sorting is several times as fast as numpy's ``unique``."""
    keys = np.sort(keys)
    return keys[np.append(True, keys[1:] != keys[:-1])] if len(keys) else keys


def _ranges(start: Ints, number: Ints) -> Ints:
    """Give start, start + 1, ... for each, as many as it has."""
    before = np.cumsum(number) - number
    made: Ints = np.arange(int(number.sum())) - np.repeat(before - start, number)
    return made


@dataclass(frozen=True, slots=True, eq=False)
class _Grid:
    """Square cells over a drawing.

    :param corner: lowest x and y
    :param size: of a cell
    :param side: cells along each side of the grid
    """

    corner: Floats
    size: float
    side: int

    @property
    def count(self) -> int:
        """How many cells there are."""
        return self.side * self.side

    @classmethod
    def over(cls, regions: NDArray[np.object_]) -> _Grid | None:
        """Lay a grid whose cells are fine to the shapes, within bounds of time and memory."""
        bounds = shapely.bounds(regions)
        low, high = np.split(shapely.total_bounds(regions), 2)
        span = float((high - low).max())
        across = bounds[:, 2:] - bounds[:, :2]
        middling = float(np.median(across.max(axis=1)))
        if not middling > 0:
            return None
        side = int(np.clip(_ACROSS * span / middling, *_SIDE))
        while side > _SIDE[0]:
            cells = (across * side / span + 2).prod(axis=1).sum()
            if cells <= _CELLS:
                break
            side = side * 3 // 4
        else:
            return None
        return cls(low, span / side, side + 1)

    def cells_of(self, regions: NDArray[np.object_]) -> tuple[Ints, Ints, Bools]:
        """Give all cells of all shapes: number of the shape, number of the cell, whether it is filled.

        A filled cell lies inside the shape, and no edge of the shape comes near it.
        """
        parts, of_part = shapely.get_parts(regions, return_index=True)
        rings, of_ring = shapely.get_rings(parts, return_index=True)
        points, of_point = shapely.get_coordinates(rings, return_index=True)
        tail = np.flatnonzero(of_point[1:] == of_point[:-1])
        shape = of_part[of_ring[of_point[tail]]]
        points = (points - self.corner) / self.size
        (x0, y0), (x1, y1) = points[tail].T, points[tail + 1].T
        # rows that an edge passes
        first, number = self._span(np.minimum(y0, y1), np.maximum(y0, y1))
        edge, row = np.repeat(np.arange(len(tail)), number), _ranges(first, number)
        x0, y0, x1, y1, shape = x0[edge], y0[edge], x1[edge], y1[edge], shape[edge]
        # and the columns it passes in each
        rise = np.where(y1 == y0, 1.0, y1 - y0)
        level = y1 == y0
        enter = np.where(level, 0.0, np.clip((row - _DOUBT - y0) / rise, 0.0, 1.0))
        leave = np.where(level, 1.0, np.clip((row + 1 + _DOUBT - y0) / rise, 0.0, 1.0))
        one, other = x0 + enter * (x1 - x0), x0 + leave * (x1 - x0)
        first, number = self._span(np.minimum(one, other), np.maximum(one, other))
        piece = np.repeat(np.arange(len(row)), number)
        passed = _distinct(
            (shape[piece] * self.side + row[piece]) * self.side + _ranges(first, number)
        )
        # between two crossings with the middle of a row lie its inner cells
        middle = row + 0.5
        crosses = (y0 <= middle) != (y1 <= middle)
        line = (shape * self.side + row)[crosses]
        x = (x0 + (middle - y0) / rise * (x1 - x0))[crosses]
        order = np.lexsort((x, line))
        line, x = line[order], x[order]
        first = np.ceil(x[::2] - 0.5).astype(np.int64)
        number = np.maximum(np.floor(x[1::2] - 0.5).astype(np.int64) - first + 1, 0)
        inner = np.repeat(line[::2], number) * self.side + _ranges(first, number)
        near = np.searchsorted(passed, inner)
        near[near == len(passed)] = 0
        inner = inner[passed[near] != inner] if len(passed) else inner
        keys = np.concatenate([passed, inner])
        filled = np.zeros(len(keys), dtype=np.bool_)
        filled[len(passed) :] = True
        return keys // self.count, keys % self.count, filled

    def _span(self, low: Floats, high: Floats) -> tuple[Ints, Ints]:
        """Give the first row or column between two values, and how many there are."""
        first = np.clip(np.floor(low - _DOUBT), 0, self.side - 1).astype(np.int64)
        last = np.clip(np.floor(high + _DOUBT), 0, self.side - 1).astype(np.int64)
        return first, last - first + 1
