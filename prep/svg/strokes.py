"""Strokes to rings: what a pen of a given width covers along a path, in user units.

The pen's region is made of one small quadrilateral for each flattened piece, between its normals,
plus a wedge at each corner and a cap at each open end. All of these are wound the same way. So the
rings returned here, filled by the nonzero rule, give their union exactly: a ring runs along one side
of the sub-path and back along the other. Where the inner side of a bend is too tight for its offset,
the ring keeps to the path's own point, or to its centres of curvature, instead of folding back. The
matrix is applied afterwards, so that uneven scales make uneven strokes.

Source: SVG 2, 13.5 (stroke properties) and 13.5.8 (computing the shape of the stroke).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from prep.svg import limits
from prep.svg.curves import directions, evaluate, pieces_of, steps_of
from prep.svg.paths import Bools, Floats, Path

_SMOOTH_RAD = 1e-4  # less of a turn is no corner: it would change the edge by 1e-4 of the width
_SAME = 1e-6  # of half the width: points this near are one
_REFINEMENTS = 6


@dataclass(frozen=True, slots=True)
class Pen:
    """How a stroke is drawn.

    :param width: in user units
    :param cap: ``butt``, ``round`` or ``square``
    :param join: ``miter``, ``round`` or ``bevel``
    :param dashes: lengths of dash and gap in turn, even in number; empty for a solid line
    """

    width: float
    cap: str = "butt"
    join: str = "miter"
    miter_limit: float = 4.0
    dashes: tuple[float, ...] = ()
    dash_offset: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class _Trail:
    """A flattened sub-path, or one dash of it.

    :param points: shape (n, 2), n >= 2; the first again at the end when closed
    :param before: unit direction in which each point is reached, shape (n, 2)
    :param after: unit direction in which it is left, shape (n, 2)
    :param cusp: where a curve turns back on the spot, shape (n,): there the pen turns with it, round
    """

    points: Floats
    before: Floats
    after: Floats
    cusp: Bools
    closed: bool


def stroke_rings(path: Path, pen: Pen, tolerance: float) -> list[Floats]:
    """Give the rings that, filled by the nonzero rule, are the stroke.

    :param tolerance: largest distance between the stroke's edge and the rings, in user units
    :returns: closed rings of shape (m, 2)
    :raises PastLimit: too many dashes or points
    """
    half = pen.width / 2
    fan = _fan_step(half, tolerance)
    rings: list[Floats] = []
    for trail in _trails(path, half, tolerance, fan):
        pieces = _dashed(trail, pen) if pen.dashes else [trail]
        for piece in pieces:
            rings += _outline(piece, pen, half, fan)
    for dot in path.lone:
        if not pen.dashes or _starts_inked(pen):
            ring = _dot(dot, pen, half, fan)
            if ring is not None:
                rings.append(ring)
    return rings


def _fan_step(half: float, tolerance: float) -> float:
    """Give the angle between points of a round edge: its chord's sagitta is the tolerance."""
    return 2 * math.acos(max(1 - tolerance / half, 0.5)) if half > 0 else math.pi / 3


def _trails(path: Path, half: float, tolerance: float, fan: float) -> Iterator[_Trail]:
    if not len(path):
        return
    control, straight = path.control, path.straight
    segment, t = _steps(control, straight, tolerance, half, fan)
    points = evaluate(control[segment], t)
    lead = t == 0
    points[lead] = control[segment[lead], 0]
    ways = directions(control[segment], t)
    ends = directions(control, np.ones(len(control)))
    starts = np.flatnonzero(lead)
    bounds = np.append(starts, len(points))
    for part, closed in path.subpaths():
        begin, end = bounds[part.start], bounds[part.stop]
        after = np.concatenate([ways[begin:end], ends[part.stop - 1 : part.stop]])
        before = after.copy()
        # where a segment begins, the point is reached in the direction the one before it ends
        inner = starts[part.start + 1 : part.stop] - begin
        before[inner] = ends[part.start : part.stop - 1]
        corners = np.concatenate([points[begin:end], control[part.stop - 1 : part.stop, 3]])
        if closed:
            before[0], after[-1] = before[-1], after[0]
        yield _with_cusps(corners, before, after, closed, fan)


def _with_cusps(points: Floats, before: Floats, after: Floats, closed: bool, fan: float) -> _Trail:
    """Make one point of each piece that still turns sharply, however finely it was cut."""
    turn = np.abs(np.arctan2(_cross(after[:-1], before[1:]), _dot_product(after[:-1], before[1:])))
    cusp = np.zeros(len(points), dtype=np.bool_)
    sharp = np.flatnonzero(turn > 2 * fan)
    if len(sharp) and len(points) > len(sharp) + 1:
        for number in sharp[::-1].tolist():
            after[number] = after[number + 1]
        cusp[sharp] = True
        gone = np.zeros(len(points), dtype=np.bool_)
        gone[sharp + 1] = True
        gone[-1] = False  # the end stays where it is
        points, before, after, cusp = points[~gone], before[~gone], after[~gone], cusp[~gone]
    return _Trail(points, before, after, cusp, closed)


def _steps(
    control: Floats, straight: Bools, tolerance: float, half: float, fan: float
) -> tuple[NDArray[np.intp], Floats]:
    """Cut curves so finely that the edges of the stroke are within tolerance, too.

    The outer edge of a bend turns with a larger radius than the path, so the turn between two
    points is bounded as well as their chord.
    """
    segment, t = steps_of(pieces_of(control, straight, tolerance))
    if half <= 0 or straight.all():
        return segment, t
    for _ in range(_REFINEMENTS):
        here = directions(control[segment], t)
        last = np.append(segment[1:] != segment[:-1], True)
        until = np.where(last, 1.0, np.append(t[1:], 1.0))
        there = directions(control[segment], until)
        turn = np.abs(np.arctan2(_cross(here, there), _dot_product(here, there)))
        turn[straight[segment]] = 0
        parts = np.clip(np.ceil(turn / fan - 1e-9), 1, 64).astype(np.intp)
        # a cusp turns at once, however finely it is cut
        parts[until - t < 1e-7] = 1
        if (parts == 1).all():
            break
        which, share = steps_of(parts)
        t = t[which] + (until - t)[which] * share
        segment = segment[which]
    return segment, t


def _cross(a: Floats, b: Floats) -> Floats:
    return a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]


def _dot_product(a: Floats, b: Floats) -> Floats:
    return a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1]


def _left(direction: Floats) -> Floats:
    """Turn directions by a quarter."""
    turned = np.empty_like(direction)
    turned[..., 0], turned[..., 1] = -direction[..., 1], direction[..., 0]
    return turned


# --- one trail -----------------------------------------------------------------------------------


def _outline(trail: _Trail, pen: Pen, half: float, fan: float) -> list[Floats]:
    course = _Course.of(trail)
    left, left_folds = _side(trail, course, pen, half, fan, 1.0)
    right, right_folds = _side(trail, course, pen, half, fan, -1.0)
    folds = [*left_folds, *(fold[::-1] for fold in right_folds)]
    if trail.closed:
        edges = [left[::-1], right]
    else:
        start = _cap(trail.points[0], -trail.after[0], pen.cap, half, fan)
        end = _cap(trail.points[-1], trail.before[-1], pen.cap, half, fan)
        edges = [np.concatenate([right, end, left[::-1], start])]
    thinned = [_thinned(ring, half) for ring in (*edges, *folds)]
    return [ring for ring in thinned if len(ring) >= 4]


def _thinned(points: Floats, half: float) -> Floats:
    """Close a ring, leaving out points that are one but for rounding."""
    step = np.abs(np.diff(points, axis=0)).max(axis=1)
    kept = points[np.append(True, step > _SAME * half)]
    return np.concatenate([kept, kept[:1]])


@dataclass(frozen=True, slots=True, eq=False)
class _Course:
    """What both sides of a trail of n points have in common.

    :param left_in: unit normals to the left where each point is reached, shape (n, 2)
    :param left_out: the same where it is left
    :param chord: from each point to the next, shape (n - 1, 2)
    :param length: of these
    :param turn: angle by which the trail turns at each point, shape (n,)
    :param corner: whether that is a corner; for a closed trail the last point stands for the first
    """

    left_in: Floats
    left_out: Floats
    chord: Floats
    length: Floats
    turn: Floats
    corner: Bools

    @classmethod
    def of(cls, trail: _Trail) -> _Course:
        """Measure a trail."""
        chord = trail.points[1:] - trail.points[:-1]
        turn = np.arctan2(
            _cross(trail.before, trail.after), _dot_product(trail.before, trail.after)
        )
        corner = np.abs(turn) > _SMOOTH_RAD
        corner[0] = False  # an end, or for a closed trail the last point
        corner[-1] &= trail.closed
        return cls(
            _left(trail.before),
            _left(trail.after),
            chord,
            np.hypot(chord[:, 0], chord[:, 1]),
            turn,
            corner,
        )


def _side(
    trail: _Trail, course: _Course, pen: Pen, half: float, fan: float, side: float
) -> tuple[Floats, list[Floats]]:
    """Give one edge of the stroke along the trail, and the rings of its tight bends.

    Where a bend is tighter than the pen, the normals of a piece cross before they reach its edge, at
    the centre of curvature. Up to there the edge keeps to the centres; what the normals sweep beyond
    is wound the other way and gets rings of its own.

    :param side: 1 for the left as y points up, -1 for the right
    """
    points, n = trail.points, len(trail.points)
    chord, length, turn, corner = course.chord, course.length, course.turn, course.corner
    normal_in, normal_out = side * half * course.left_in, side * half * course.left_out
    offset = (points[1:] + normal_in[1:]) - (points[:-1] + normal_out[:-1])
    folded = np.flatnonzero((_dot_product(offset, chord) <= 0) & (length > 0))
    corners = np.flatnonzero(corner)
    if not len(folded) and not len(corners):  # smooth all along, and nowhere tighter than the pen
        edge = points + normal_out
        return edge[1:] if trail.closed else edge, []
    centres = _centres(points, normal_out, normal_in, folded)
    is_folded = np.zeros(n, dtype=np.bool_)  # by the number of the piece's first point
    is_folded[folded] = True
    if trail.closed:
        is_folded[-1] = is_folded[0]
    within = np.append(False, is_folded[:-1]) & is_folded & ~corner  # its normal is passed over
    numbers = np.flatnonzero(~(within | corner))
    numbers = numbers[numbers > 0] if trail.closed else numbers
    # points and centres in turn along the trail: a point at 2 n, a piece after it at 2 n + 1
    keys = np.concatenate([2 * numbers, 2 * folded + 1])
    order = np.argsort(keys)
    stream = np.concatenate([points[numbers] + normal_out[numbers], centres])[order]
    cuts = [*np.searchsorted(keys[order], 2 * corners).tolist(), len(stream)]
    pieces = [stream[: cuts[0]]]
    for number, begin, end in zip(corners.tolist(), cuts, cuts[1:], strict=False):
        following = number if number < n - 1 else 0
        made = _corner(
            points[number],
            normal_in[number],
            normal_out[number],
            float(turn[number]),
            "round" if trail.cusp[number] else pen.join,
            pen.miter_limit,
            half,
            fan,
            side,
            min(float(length[number - 1]), float(length[following])),
        )
        pieces += [made, stream[begin:end]]
    return np.concatenate(pieces), _folds(points, normal_in, normal_out, folded, centres, corner)


def _centres(
    points: Floats, normal_out: Floats, normal_in: Floats, folded: NDArray[np.intp]
) -> Floats:
    """Give where the normals at both ends of a piece cross, at most at the stroke's edge."""
    here, there = normal_out[folded], normal_in[folded + 1]
    chord = points[folded + 1] - points[folded]
    across = _cross(here, there)
    share = np.divide(
        _cross(chord, there), across, out=np.ones(len(folded)), where=np.abs(across) > 0
    )
    centres: Floats = points[folded] + np.clip(share, 0.0, 1.0)[:, None] * here
    return centres


def _folds(
    points: Floats,
    normal_in: Floats,
    normal_out: Floats,
    folded: NDArray[np.intp],
    centres: Floats,
    corner: Bools,
) -> list[Floats]:
    """Give a ring for each run of pieces whose normals cross: their edge and back by the centres."""
    if not len(folded):
        return []
    breaks = np.flatnonzero((np.diff(folded) != 1) | corner[folded[1:]]) + 1
    rings = []
    for run, middle in zip(np.split(folded, breaks), np.split(centres, breaks), strict=True):
        last = run[-1] + 1
        rings.append(
            np.concatenate(
                [
                    points[run] + normal_out[run],
                    (points[last] + normal_in[last])[None],
                    middle[::-1],
                ]
            )
        )
    return rings


def _corner(
    point: Floats,
    come: Floats,
    go: Floats,
    turn: float,
    join: str,
    miter_limit: float,
    half: float,
    fan: float,
    side: float,
    room: float,
) -> Floats:
    """Give the edge at a corner.

    :param come: offset by which the piece before it ends
    :param go: offset by which the piece after it begins
    :param turn: angle of the corner
    :param room: length of the shorter of the two pieces
    """
    here, there = point + come, point + go
    if turn * side > 0:  # the inner side
        back = half * math.tan(abs(turn) / 2) if abs(turn) < 3.1 else math.inf
        if back <= 0.5 * room:  # both edges are long enough to meet
            return (point + (come + go) / (1 + math.cos(turn)))[None]
        return np.array([here, point, there])
    if join == "round":
        return np.concatenate([here[None], _fan(point, come, turn, fan), there[None]])
    # mitre length over stroke width is 1 / sin(half the angle between the edges)
    sharp = math.cos(turn / 2)
    if join == "miter" and sharp > 1e-9 and 1 / sharp <= miter_limit:
        tip = point + (come + go) / (1 + math.cos(turn))
        return np.array([here, tip, there])
    return np.array([here, there])


def _fan(centre: Floats, spoke: Floats, turn: float, fan: float) -> Floats:
    """Give the points of an arc that turns a spoke, without its ends."""
    steps = max(1, math.ceil(abs(turn) / fan - 1e-9))
    angles = turn * np.arange(1, steps) / steps
    cos, sin = np.cos(angles), np.sin(angles)
    x, y = spoke
    arc: Floats = centre + np.stack((cos * x - sin * y, sin * x + cos * y), axis=-1)
    return arc


def _cap(point: Floats, outwards: Floats, kind: str, half: float, fan: float) -> Floats:
    """Give the points of a cap from the right edge to the left one, as seen along ``outwards``."""
    if kind == "butt":
        return np.zeros((0, 2))
    right = -half * _left(outwards)
    if kind == "square":
        return np.array([point + right + half * outwards, point - right + half * outwards])
    return _fan(point, right, math.pi, fan)


def _dot(point: Floats, pen: Pen, half: float, fan: float) -> Floats | None:
    """Give the ring of a sub-path without length (SVG 2, 13.5.5: round and square caps paint it)."""
    if pen.cap == "butt":
        return None
    if pen.cap == "square":
        square = np.array([[-half, -half], [half, -half], [half, half], [-half, half]])
        return _closed(point + square)
    spoke = np.array([half, 0.0])
    return _closed(np.concatenate([(point + spoke)[None], _fan(point, spoke, 2 * math.pi, fan)]))


def _closed(points: Floats) -> Floats:
    return np.concatenate([points, points[:1]])


# --- dashes --------------------------------------------------------------------------------------


def _starts_inked(pen: Pen) -> bool:
    return _phase(pen)[0] % 2 == 0


def _phase(pen: Pen) -> tuple[int, float]:
    """Give the dash (even) or gap (odd) a sub-path starts in, and how much of it is left."""
    total = sum(pen.dashes)
    rest = pen.dash_offset % total
    for number, length in enumerate(pen.dashes):
        if rest < length or rest == length == 0:  # a dash may be a dot
            return number, length - rest
        rest -= length
    return 0, pen.dashes[0]


def _dashed(trail: _Trail, pen: Pen) -> list[_Trail]:
    chord = np.diff(trail.points, axis=0)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(chord[:, 0], chord[:, 1]))])
    length = float(along[-1])
    if length / sum(pen.dashes) * len(pen.dashes) / 2 > limits.DASHES:
        raise limits.PastLimit("dashes")
    number, left = _phase(pen)
    spans: list[tuple[float, float]] = []
    at = 0.0
    while at < length:
        to = min(at + left, length)
        if number % 2 == 0:
            spans.append((at, to))
        at, number = at + left, (number + 1) % len(pen.dashes)
        left = pen.dashes[number]
    if pen.cap == "square" and any(start == end for start, end in spans):
        ways = np.abs(np.concatenate([trail.before, trail.after]))
        if (
            ways.min(axis=1).max() > _SMOOTH_RAD
        ):  # some set them along the axes, some along the path
            raise limits.PastLimit("square dots")
    # a dash longer than the path has two ends that meet at its start, as viewers draw it
    if trail.closed and spans:
        starts, ends = spans[0][0] == 0.0, spans[-1][1] == length
        if starts and ends and len(spans) > 1:
            # ink at the start goes on from ink at the end, round the corner
            tail, head = _part(trail, along, *spans[-1]), _part(trail, along, *spans[0])
            whole = _Trail(
                np.concatenate([tail.points, head.points[1:]]),
                np.concatenate([tail.before, head.before[1:]]),
                np.concatenate([tail.after[:-1], head.after]),
                np.concatenate([tail.cusp[:-1], head.cusp]),
                False,
            )
            return [whole, *(_part(trail, along, *span) for span in spans[1:-1])]
    return [_part(trail, along, *span) for span in spans]


def _part(trail: _Trail, along: Floats, start: float, end: float) -> _Trail:
    """Cut out what lies between two lengths along a trail."""
    first = int(np.searchsorted(along, start, side="right"))
    last = int(np.searchsorted(along, end, side="left"))
    inside = slice(first, max(first, last))
    head, head_way = _at(trail, along, start, forward=True)
    tail, tail_way = _at(trail, along, end, forward=False)
    if start == end:  # a dash without length has one direction, also on a corner
        tail_way = head_way
    return _Trail(
        np.concatenate([head[None], trail.points[inside], tail[None]]),
        np.concatenate([head_way[None], trail.before[inside], tail_way[None]]),
        np.concatenate([head_way[None], trail.after[inside], tail_way[None]]),
        np.concatenate([[False], trail.cusp[inside], [False]]),
        False,
    )


def _at(trail: _Trail, along: Floats, where: float, *, forward: bool) -> tuple[Floats, Floats]:
    """Give point and direction at a length along a trail."""
    if forward:
        number = int(np.searchsorted(along, where, side="right")) - 1
    else:
        number = int(np.searchsorted(along, where, side="left")) - 1
    number = min(max(number, 0), len(along) - 2)
    span = along[number + 1] - along[number]
    share = float((where - along[number]) / span) if span > 0 else 0.0
    point = trail.points[number] + share * (trail.points[number + 1] - trail.points[number])
    way = (1 - share) * trail.after[number] + share * trail.before[number + 1]
    size = float(np.hypot(*way))
    return point, way / size if size > 0 else trail.after[number]
