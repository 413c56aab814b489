"""Lines that part large waste into pieces that lift well. Imports nothing of prep.

Waste is what lies in the openings. Lines are straight, along and across the sheet, at even distances in
each opening, and keep off its edges a little, so that the blade never touches film that stays; what still
holds there tears when the piece is lifted.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

Lines = NDArray[np.float64]

SHORTEST_MM = 2.0
"""Shorter lines aren't cut: such strips tear where they are thin. Our choice."""


@dataclass(frozen=True, slots=True, eq=False)
class Weeding:
    """How waste is parted.

    :param lines: (n, 2, 2) ends of straight lines, in mm, in the plane of the openings
    :param pieces: pieces that are lifted
    """

    lines: Lines
    pieces: int

    @classmethod
    def none(cls, openings: MultiPolygon) -> Weeding:
        """Give no lines: each opening is one piece."""
        return cls(np.empty((0, 2, 2)), len(openings.geoms))


def weeding(openings: MultiPolygon, piece_mm: float, clear_mm: float) -> Weeding:
    """Part openings wider or longer than a piece may be.

    :param openings: valid; film lies around them
    :param piece_mm: width and length of a piece, at most
    :param clear_mm: between a line's end and the edge
    :raises ValueError: a length that isn't above zero
    """
    if not (piece_mm > 0.0 and clear_mm >= 0.0):
        raise ValueError(
            f"no waste can be parted into pieces of {piece_mm} mm, {clear_mm} mm clear"
        )
    lines, pieces = [np.empty((0, 2, 2))], 0
    for part in openings.geoms:
        across, down = _cuts(part, piece_mm)
        if not across[1] and not down[1]:
            pieces += 1
            continue
        room = shapely.buffer(part, -clear_mm)
        made = np.concatenate([_within(room, part.bounds, at) for at in (across, down)])
        lines.append(made)
        pieces += _parted(part, made) if len(made) else 1
    return Weeding(np.concatenate(lines), pieces)


_At = tuple[int, list[float]]
"""Whether lines stand upright (0) or lie (1), and where."""


def _cuts(part: Polygon, piece_mm: float) -> tuple[_At, _At]:
    x0, y0, x1, y1 = part.bounds
    return (0, _evenly(x0, x1, piece_mm)), (1, _evenly(y0, y1, piece_mm))


def _evenly(low: float, high: float, piece_mm: float) -> list[float]:
    count = int(np.ceil((high - low) / piece_mm - 1e-9))
    return np.linspace(low, high, count + 1)[1:-1].tolist() if count > 1 else []


def _within(room: BaseGeometry, bounds: tuple[float, ...], at: _At) -> Lines:
    """Give what of straight lines lies where there is room for them, as ends (n, 2, 2)."""
    axis, places = at
    ends = np.empty((len(places), 2, 2))
    ends[:, :, axis] = np.array(places)[:, None]
    ends[:, :, 1 - axis] = bounds[1 - axis], bounds[3 - axis]
    inside = shapely.get_parts(shapely.intersection(room, shapely.linestrings(ends)))
    inside = inside[shapely.length(inside) >= SHORTEST_MM]
    x0, y0, x1, y1 = shapely.bounds(inside).reshape(-1, 4).T
    return np.stack([np.column_stack([x0, y0]), np.column_stack([x1, y1])], axis=1)


def _parted(part: Polygon, lines: Lines) -> int:
    """Count the pieces that lines part an opening into, each gone on to the edges it stops before."""
    x0, y0, x1, y1 = part.bounds
    low, high = np.array([x0, y0]) - 1.0, np.array([x1, y1]) + 1.0
    upright = lines[:, 0, 0] == lines[:, 1, 0]
    through = lines.copy()
    through[upright, 0, 1], through[upright, 1, 1] = low[1], high[1]
    through[~upright, 0, 0], through[~upright, 1, 0] = low[0], high[0]
    chords, of = shapely.get_parts(
        shapely.intersection(part, shapely.linestrings(through)), return_index=True
    )
    middles = shapely.points(lines.mean(axis=1))
    cut = chords[shapely.dwithin(chords, middles[of], 1e-6)]
    ends = shapely.get_coordinates(cut).reshape(len(cut), -1, 2)[:, [0, -1]]
    ends += np.sign(ends - ends[:, ::-1]) * 1e-6  # so that they surely cross the edge
    across: list[BaseGeometry] = [shapely.LineString(two) for two in ends]
    net = shapely.union_all([part.boundary, *across])
    pieces = shapely.get_parts(shapely.polygonize(shapely.get_parts(net)))
    shapely.prepare(part)
    return int(shapely.contains(part, shapely.point_on_surface(pieces)).sum())
