"""Curves to points: flattening within a stated distance."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from prep.svg import limits
from prep.svg.notation import Matrix
from prep.svg.paths import Floats, Path


def transformed(points: Floats, matrix: Matrix) -> Floats:
    """Apply a matrix to points of shape (..., 2)."""
    a, b, c, d, e, f = matrix
    x, y = points[..., 0], points[..., 1]
    made = np.empty_like(points)
    made[..., 0], made[..., 1] = a * x + c * y + e, b * x + d * y + f
    return made


def pieces_of(control: Floats, straight: NDArray[np.bool_], tolerance: float) -> NDArray[np.intp]:
    """Give into how many equal steps of its parameter each cubic is cut.

    A chord over a parameter step h lies within h²/8 · max|B''| of the curve; for a cubic
    |B''| <= 6 · max(|p0 - 2 p1 + p2|, |p1 - 2 p2 + p3|). Hence n² >= 6/8 · M / tolerance (the bound
    is known as Wang's; from memory).

    :param control: shape (n, 4, 2)
    :param tolerance: in the unit of the control points
    """
    bends = control[:, :-2] - 2 * control[:, 1:-1] + control[:, 2:]
    squares = bends[..., 0] * bends[..., 0] + bends[..., 1] * bends[..., 1]
    longest = np.sqrt(np.maximum(squares[:, 0], squares[:, 1]))
    pieces = np.ceil(np.sqrt(0.75 * longest / tolerance))
    pieces = np.minimum(np.maximum(pieces, 1), limits.SEGMENT_PIECES)
    pieces[straight] = 1
    return pieces.astype(np.intp)


def evaluate(control: Floats, t: Floats) -> Floats:
    """Give the points of cubics of shape (n, 4, 2) at their parameters, shape (n,)."""
    t = t[:, None]
    s = 1 - t
    return (
        s * s * s * control[:, 0]
        + 3 * s * s * t * control[:, 1]
        + 3 * s * t * t * control[:, 2]
        + t * t * t * control[:, 3]
    )


def steps_of(pieces: NDArray[np.intp]) -> tuple[NDArray[np.intp], Floats]:
    """Give, for every piece, its segment's number and the parameter where it begins.

    :raises PastLimit: too many
    """
    if pieces.sum() > limits.POINTS:
        raise limits.PastLimit("points")
    segment = np.repeat(np.arange(len(pieces)), pieces)
    before = np.repeat(np.cumsum(pieces) - pieces, pieces)
    return segment, (np.arange(len(segment)) - before) / pieces[segment]


def rings_of(path: Path, matrix: Matrix, tolerance: float) -> list[Floats]:
    """Flatten every sub-path to a closed ring, as a fill takes it.

    :param matrix: from user units to mm
    :param tolerance: in mm
    :returns: rings of shape (m, 2), first point again at the end, each with at least three corners
    """
    if not len(path):
        return []
    control = transformed(path.control, matrix)
    if path.straight.all():
        if len(path) > limits.POINTS:
            raise limits.PastLimit("points")
        starts, points = np.arange(len(path)), control[:, 0]
    else:
        pieces = pieces_of(control, path.straight, tolerance)
        segment, t = steps_of(pieces)
        starts = np.cumsum(pieces) - pieces
        points = evaluate(control[segment], t)
        points[starts] = control[:, 0]
    rings = []
    for part, _ in path.subpaths():
        begin = starts[part.start]
        end = starts[part.stop] if part.stop < len(starts) else len(points)
        last = control[part.stop - 1, 3]
        ring = np.concatenate([points[begin:end], last[None]])
        if ring[0, 0] != last[0] or ring[0, 1] != last[1]:
            ring = np.concatenate([ring, ring[:1]])
        if len(ring) >= 4:
            rings.append(ring)
    return rings


def directions(control: Floats, t: Floats) -> Floats:
    """Give unit tangents of cubics at their parameters; at a dead end, where they come from or go."""
    first = control[:, 1:] - control[:, :-1]
    s = (1 - t)[:, None]
    u = t[:, None]
    tangent = s * s * first[:, 0] + 2 * s * u * first[:, 1] + u * u * first[:, 2]
    size = np.hypot(tangent[:, 0], tangent[:, 1])
    scale = np.abs(control - control[:, :1]).max(axis=(1, 2))
    dead = size <= 1e-9 * scale
    if dead.any():
        rows = np.flatnonzero(dead)
        tangent[rows] = [_dead_end(control[row], float(t[row])) for row in rows]
        size = np.hypot(tangent[:, 0], tangent[:, 1])
    unit: Floats = tangent / size[:, None]
    return unit


def _dead_end(control: Floats, t: float) -> Floats:
    """Give the direction of a cubic where its derivative vanishes: towards the next other point."""
    ways: tuple[Floats, ...]
    if t < 0.5:
        ways = (control[1] - control[0], control[2] - control[0], control[3] - control[0])
    else:
        ways = (control[3] - control[2], control[3] - control[1], control[3] - control[0])
    if 1e-6 < t < 1 - 1e-6:  # a cusp: as it leaves it
        near = evaluate(control[None], np.array([t, min(t + 1e-4, 1.0)]))
        ways = (near[1] - near[0], *ways)
    size = float(np.abs(control - control[0]).max())
    for way in ways:
        if float(np.abs(way).max()) > 1e-12 * size:
            return way
    return np.array([1.0, 0.0])
