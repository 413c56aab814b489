"""Where a region is how wide: the region cut into parts by classes of local width, for pictures.

:func:`prep.measures.measure` gives figures and places as points. A picture needs their shapes. They are
found here along the edge, by the same definition of the local width, and drawn together to polygons.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely import MultiPolygon, Polygon

from prep.measures.classes import check_classes
from prep.measures.edges import edges_of
from prep.measures.result import AS_WIDE_MM
from prep.measures.shrinking import ROUND_DEG, Shrinking, seen_apart

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from prep.measures.edges import Edges

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_FAN_DEG = 10.0
_NEAR = 0.25  # discs whose centres lie this share of the radius apart are the same
_RUN = 64  # so many samples in a row make one polygon


@dataclass(frozen=True, slots=True, eq=False)
class _Strips:
    """What lies between runs of the edge and the medial axis.

    :param shape: (n,) valid geometry
    :param of_class: (n,) number of the class of width
    """

    shape: NDArray[np.object_]
    of_class: Ints


def parts_by_width(
    region: BaseGeometry,
    limits_mm: Sequence[float],
    *,
    angle_deg: float = 120.0,
    step_mm: float = 0.12,
    within_mm: float = 0.005,
) -> tuple[MultiPolygon, ...]:
    """Cut a region into parts by local width, as :func:`prep.measures.measure` defines it.

    From every point of the edge the largest disc inside that touches there reaches to the medial
    axis; what lies before it belongs to the class of the disc's diameter, if two of the disc's
    contacts lie at least ``angle_deg`` apart. What lies in no class is the last part: what is
    wider than the last limit, and corners. Edges that turn by less than 60° count as round.

    The parts don't overlap and cover the region. Their borders along the edge lie within one step
    of where the width passes a limit; a width is taken within ``2 * within_mm`` and, under twice
    the step, within 5 %. For pictures: for figures there is :class:`prep.measures.Distribution`.

    :param region: polygons in mm, valid
    :param limits_mm: limits between the classes, rising; a class holds its lower limit, and what
        misses it by less than 0.01 mm
    :param step_mm: how often the edge is sampled
    :param within_mm: the edge is taken simpler than it is by at most this
    :return: as many parts as limits and one more, finest first
    :raises ValueError: limits that are not positive or don't rise
    """
    limits = check_classes(limits_mm)
    parts = _polygons(region)
    if not len(parts):
        return tuple(MultiPolygon() for _ in range(len(limits) + 1))
    light = _polygons(shapely.simplify(shapely.orient_polygons(parts), within_mm))
    edges = edges_of(shapely.get_rings(light), step_mm, fan_deg=_FAN_DEG)
    most = limits[-1] / 2 * 1.05
    at = (edges.start + edges.end) / 2
    radius, apart = _discs(edges, at, most)
    centre = at + edges.inward * radius[:, None]
    of_class = np.searchsorted(limits, 2 * radius + AS_WIDE_MM, side="right")
    counts = (apart >= angle_deg) & (radius < most)
    of_class[~counts] = len(limits)
    _join_like(of_class, centre, radius, counts)
    strips = _strips(edges, centre, radius, of_class)

    left: BaseGeometry = MultiPolygon(parts.tolist())
    result = []
    for number in range(len(limits)):
        found = _polygons(strips.shape[strips.of_class == number])
        closed = _closed(found, step_mm / 4, 2 * within_mm, limits[number] ** 2 / 8)
        result.append(_multi(shapely.intersection(left, closed)))
        left = shapely.difference(left, closed)
    return (*result, _multi(left))


def _polygons(region: BaseGeometry | NDArray[np.object_]) -> NDArray[np.object_]:
    parts = shapely.get_parts(shapely.get_parts(region))
    return np.asarray(parts[(shapely.get_type_id(parts) == 3) & (shapely.area(parts) > 0)], object)


def _closed(
    found: NDArray[np.object_], slack_mm: float, over_mm: float, hole_mm2: float
) -> BaseGeometry:
    """Join what lies on both sides of a middle, which is uneven by a step.

    :param slack_mm: how far apart it may lie
    :param over_mm: made larger by this, so that no slivers stay where the edge was taken simpler
    :param hole_mm2: smaller holes are filled: discs round a middle don't quite meet
    """
    joined = _polygons(shapely.disjoint_subset_union_all(found))
    light = shapely.simplify(joined, over_mm / 4)
    wide = shapely.buffer(light, slack_mm + over_mm, quad_segs=2)
    wide = _polygons(shapely.disjoint_subset_union_all(wide))
    closed = _polygons(shapely.buffer(wide, -slack_mm, quad_segs=2))
    rings = shapely.get_rings(shapely.orient_polygons(closed))
    holes = np.asarray(shapely.polygons(rings), dtype=object)
    small = holes[~shapely.is_ccw(rings) & (shapely.area(holes) < hole_mm2)]
    return shapely.disjoint_subset_union_all(np.concatenate([closed, small]))


def _multi(region: BaseGeometry) -> MultiPolygon:
    return MultiPolygon([part for part in _polygons(region) if isinstance(part, Polygon)])


def _discs(edges: Edges, at: Floats, most: float) -> tuple[Floats, Floats]:
    """Give the radius of the largest disc inside at each sample, and how far apart it touches.

    :return: (n,) mm; (n,) degrees
    """
    discs, every = Shrinking.along(edges), np.arange(len(at))
    radius, held_by = discs.shrink(every, at, np.full(len(at), most), least_deg=ROUND_DEG)
    centre = at + edges.inward * radius[:, None]
    apart = np.where(held_by >= 0, seen_apart(edges, centre, radius, held_by, edges.inward), 0.0)
    # a dot is held by its own edge; the point across says whether it is touched too
    return radius, np.maximum(apart, discs.across(centre, radius, edges.inward))


def _join_like(of_class: Ints, centre: Floats, radius: Floats, counts: Bools) -> None:
    """Give a disc that doesn't count the class of one that does and lies in the same place."""
    yes, no = np.flatnonzero(counts), np.flatnonzero(~counts)
    if not len(yes) or not len(no):
        return
    distance, nearest = cKDTree(centre[yes]).query(centre[no])
    like = yes[nearest]
    same = (distance <= _NEAR * radius[like]) & (
        np.abs(radius[no] - radius[like]) <= _NEAR * radius[like]
    )
    of_class[no[same]] = of_class[like[same]]


def _strips(edges: Edges, centre: Floats, radius: Floats, of_class: Ints) -> _Strips:
    """Give what lies between the edge and the medial axis, in runs of one class."""
    after, before = edges.after, edges.before
    to_next = _between(centre, radius, after, edges.end + edges.inward * radius[:, None])
    to_last = _between(centre, radius, before, edges.start + edges.inward * radius[:, None])
    number = np.arange(len(radius))
    goes_on = (before == number - 1) & (of_class == of_class[before])
    first = ~goes_on
    first |= (number - np.maximum.accumulate(np.where(first, number, 0))) % _RUN == 0
    run = np.cumsum(first) - 1
    # out along the edge, back along the axis
    points = np.concatenate([edges.start[first], edges.end, to_next, centre, to_last])
    of_run = np.concatenate([run[first], run, run, run, run])
    step = np.concatenate([np.full(first.sum(), -1), number, *(-3 * number + k for k in range(3))])
    back = np.repeat([0, 1], [first.sum() + len(number), 3 * len(number)])
    order = np.lexsort((step, back, of_run))
    rings = shapely.linearrings(points[order], indices=of_run[order])
    made = np.asarray(shapely.polygons(rings), dtype=object)
    bad = np.flatnonzero(~shapely.is_valid(made))
    mended = shapely.make_valid(made[bad], method="structure", keep_collapsed=False)
    # the fast way leaves a few undone
    still = ~shapely.is_valid(mended)
    mended[still] = shapely.make_valid(made[bad][still])
    made[bad] = mended
    return _Strips(made, of_class[first])


def _between(centre: Floats, radius: Floats, other: Ints, alone: Floats) -> Floats:
    """Give the middle to the next disc, unless it is of quite another size."""
    alike = np.abs(radius - radius[other]) <= 0.25 * np.minimum(radius, radius[other])
    alike |= np.hypot(*(centre - centre[other]).T) <= 0.5 * np.minimum(radius, radius[other])
    return np.where(alike[:, None], (centre + centre[other]) / 2, alone)
