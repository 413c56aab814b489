"""Room that a squeegee takes, and which frames and squeegees give it. Imports nothing of prep."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import min_weight_full_bipartite_matching

Bounds = tuple[float, float, float, float]
_HAIR_MM = 1e-6


@dataclass(frozen=True, slots=True)
class FrameSize:
    """A frame in stock: its inside, and how many of it there are; ``None`` = as many as are needed."""

    name: str
    width_mm: float
    height_mm: float
    count: int | None = None


@dataclass(frozen=True, slots=True)
class Limits:
    """Room that must be left, in mm, each side, and the squeegees there are.

    :param overhang_mm: squeegee beyond the print, at least; ``good_overhang_mm`` as advised
    :param to_frame_mm: between squeegee and frame
    :param well_mm: above and below the print, for the stroke and the ink
    :param squeegees_mm: lengths in stock; empty = any
    """

    overhang_mm: float
    good_overhang_mm: float
    to_frame_mm: float
    well_mm: float
    squeegees_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Path:
    """What is printed through one film, and what lies in the middle of its frame.

    :param cut_mm: bounds of openings and marks, (min x, min y, max x, max y)
    :param middle_mm: the place that is laid in the frame's middle
    """

    cut_mm: Bounds
    middle_mm: tuple[float, float]

    @property
    def width_mm(self) -> float:
        """How wide it is."""
        return self.cut_mm[2] - self.cut_mm[0]

    @property
    def aside_mm(self) -> float:
        """How far its own middle lies beside the frame's."""
        return abs((self.cut_mm[0] + self.cut_mm[2]) / 2.0 - self.middle_mm[0])

    @property
    def reach_mm(self) -> float:
        """How far it reaches above or below the frame's middle, the larger of the two."""
        return max(self.middle_mm[1] - self.cut_mm[1], self.cut_mm[3] - self.middle_mm[1])


@dataclass(frozen=True, slots=True)
class Own:
    """What one ink prints through a film that others share, and the room it has beyond that.

    The room ends half way to the other inks' openings: beside those that stand to the left and right, and
    before or behind those that stand above and below.

    :param cut_mm: bounds of its openings, (min x, min y, max x, max y)
    :param room_mm: half the lane to the left, above, to the right, below; infinite where none is
    """

    cut_mm: Bounds
    room_mm: Bounds

    @property
    def width_mm(self) -> float:
        """How wide its openings lie."""
        return self.cut_mm[2] - self.cut_mm[0]


def own_of(cut_mm: Bounds, others_mm: Sequence[Bounds]) -> Own:
    """Give the room of an ink among others of its film.

    Between two whose bounds lie apart both ways, the wider lane is the one that is kept.
    """
    room = [math.inf] * 4
    for other in others_mm:
        lanes = (
            cut_mm[0] - other[2],
            cut_mm[1] - other[3],
            other[0] - cut_mm[2],
            other[1] - cut_mm[3],
        )
        side = max(range(4), key=lambda i: lanes[i])
        room[side] = min(room[side], lanes[side] / 2.0)
    left, above, right, below = room
    return Own(cut_mm, (left, above, right, below))


def own_squeegee(
    own: Own, path: Path, limits: Limits, *, frame_mm: float | None, film_mm: float
) -> float | None:
    """Give the length of the squeegee for one ink of a film, which stays within half the lanes beside it.

    It needn't be in the middle of its openings: where one side has less room, the other takes more.

    :param path: what is printed through the whole film
    :param frame_mm: inside width of the frame; ``None`` = not known
    :param film_mm: width of the film's sheet
    :return: whole millimetres, or a length in stock; ``None`` when none will do
    """
    left, right = room_beside(own, path, limits, frame_mm, film_mm)
    if min(left, right) < limits.overhang_mm - _HAIR_MM:
        return None
    wide = own.width_mm
    least, most = wide + 2.0 * limits.overhang_mm, wide + left + right
    good = wide + sum(min(limits.good_overhang_mm, side) for side in (left, right))
    if limits.squeegees_mm:
        fit = [s for s in limits.squeegees_mm if least - _HAIR_MM <= s <= most + _HAIR_MM]
        return min(fit, key=lambda s: (abs(s - good), s), default=None)
    return max(math.floor(good + _HAIR_MM), least)


def room_beside(
    own: Own, path: Path, limits: Limits, frame_mm: float | None, film_mm: float
) -> tuple[float, float]:
    """Give how far a squeegee may reach over an ink's openings to the left and to the right."""
    margin = (film_mm - path.width_mm) / 2.0
    left = min(own.room_mm[0], own.cut_mm[0] - path.cut_mm[0] + margin)
    right = min(own.room_mm[2], path.cut_mm[2] - own.cut_mm[2] + margin)
    if frame_mm is not None:
        half = frame_mm / 2.0 - limits.to_frame_mm
        left = min(left, own.cut_mm[0] - path.middle_mm[0] + half)
        right = min(right, path.middle_mm[0] - own.cut_mm[2] + half)
    return left, right


def least_squeegee(path: Path, limits: Limits) -> float:
    """Give the shortest squeegee that prints a path: of the stock, where one is long enough."""
    least = path.width_mm + 2.0 * limits.overhang_mm
    return min((s for s in limits.squeegees_mm if s >= least - _HAIR_MM), default=least)


def needed(path: Path, limits: Limits) -> tuple[float, float]:
    """Give the (width, height) that a frame must have inside.

    Width: the shortest squeegee that will do, in the middle of its path, and the room to the frame
    each side: 2 (aside + squeegee / 2 + to_frame). Height: 2 (reach + well).
    """
    half = path.aside_mm + least_squeegee(path, limits) / 2.0 + limits.to_frame_mm
    return 2.0 * half, 2.0 * (path.reach_mm + limits.well_mm)


def holds(frame: FrameSize, width_mm: float, height_mm: float) -> bool:
    """Tell whether a frame's inside is as large or larger."""
    return frame.width_mm >= width_mm - _HAIR_MM and frame.height_mm >= height_mm - _HAIR_MM


def by_size(frames: Sequence[FrameSize]) -> list[FrameSize]:
    """Sort frames, the smallest first; the order of equal ones doesn't depend on how they came."""
    return sorted(frames, key=lambda f: (f.width_mm * f.height_mm, f.width_mm, f.name))


def longest_squeegee(
    path: Path, limits: Limits, *, frame_mm: float | None, film_mm: float
) -> float:
    """Give the longest squeegee that moves freely inside the frame and stays on the film.

    :param frame_mm: inside width of the frame; ``None`` = not known
    :param film_mm: width of the film's sheet
    """
    if frame_mm is None:
        return film_mm
    return min(film_mm, frame_mm - 2.0 * (limits.to_frame_mm + path.aside_mm))


def longest_own_squeegee(
    own: Own, path: Path, limits: Limits, *, frame_mm: float | None, film_mm: float
) -> float:
    """Give the longest squeegee for one ink of a film that stays within half the lanes beside it."""
    return own.width_mm + sum(room_beside(own, path, limits, frame_mm, film_mm))


def squeegee_for(
    path: Path, limits: Limits, *, frame_mm: float | None, film_mm: float
) -> float | None:
    """Give the squeegee's length: as near to what is advised as frame and film leave room for.

    :param frame_mm: inside width of the frame; ``None`` = not known
    :param film_mm: width of the film's sheet; a squeegee that runs over its edge lifts it
    :return: whole millimetres, or a length in stock; ``None`` when none will do
    """
    least = path.width_mm + 2.0 * limits.overhang_mm
    good = path.width_mm + 2.0 * limits.good_overhang_mm
    most = longest_squeegee(path, limits, frame_mm=frame_mm, film_mm=film_mm)
    if limits.squeegees_mm:
        fit = [s for s in limits.squeegees_mm if least - _HAIR_MM <= s <= most + _HAIR_MM]
        return min(fit, key=lambda s: (abs(s - good), s), default=None)
    if most < least - _HAIR_MM:
        return None
    return max(math.floor(min(good, most) + _HAIR_MM), least)


def stretch_mm(off_contact_mm: float, span_mm: float) -> float:
    """Give how much longer a print gets as the mesh is pushed down in the middle of its frame.

    Two straight halves over a span: 2 sqrt((span / 2)^2 + h^2) - span, about 2 h^2 / span. Exact for a
    squeegee in the middle; elsewhere it is more.

    >>> round(stretch_mm(3.0, 400.0), 3)
    0.045
    """
    return 2.0 * math.hypot(span_mm / 2.0, off_contact_mm) - span_mm


def hang(
    needs: Sequence[tuple[float, float]], frames: Sequence[FrameSize]
) -> tuple[FrameSize | None, ...]:
    """Give films that hang at the same time a frame each that holds them: as many of them as can be.

    Of all ways to do so, frames are the smallest together, counted by their place in order of size. Where
    not all get one, those that need least go without; where ways are equal, those that need most take the
    smaller frames.

    :param needs: (width, height) inside that each needs
    :return: its frame, or ``None`` where none is left
    """
    if not needs:
        return ()
    ranked, films = by_size(frames), len(needs)
    free = [
        rank
        for rank, frame in enumerate(ranked)
        for _ in range(films if frame.count is None else min(frame.count, films))
    ]
    largest_first = sorted(range(films), key=lambda i: (-needs[i][0] * needs[i][1], i))
    unit = len(ranked) * films * films + 1  # more than all that is added for who needs most
    without = films * len(ranked) * (unit + films) + 1  # more than any frames together
    costs = np.zeros((films, len(free) + films))  # 0 = can't be
    for weight, i in zip(range(films, 0, -1), largest_first, strict=True):
        for slot, rank in enumerate(free):
            if holds(ranked[rank], *needs[i]):
                costs[i, slot] = (rank + 1) * (unit + weight)
        costs[i, len(free) + i] = without * weight
    _, taken = min_weight_full_bipartite_matching(csr_array(costs))
    return tuple(ranked[free[slot]] if slot < len(free) else None for slot in taken)


def largest_scale(
    path: Path,
    print_mm: Bounds,
    limits: Limits,
    margin_mm: float,
    frames: Sequence[FrameSize],
) -> float:
    """Give how many times its size a print may have so that some frame holds it; 0 when none does.

    What lies on each side of the frame's middle grows with the print, but for what marks add to it;
    squeegee, wells and margins stay as they are. Film is cut to whole millimetres, rounded up.

    :param print_mm: bounds of the openings of all screens, without marks
    :param margin_mm: film around openings and marks, which must lie inside the frame too
    """
    left, above, right, below = _sides(path, print_mm)
    room = [
        min(
            _blade_scale(left, right, frame.width_mm - 2.0 * limits.to_frame_mm, limits),
            *(_reaches(side, frame.height_mm / 2.0 - limits.well_mm) for side in (above, below)),
            _spans(left, right, math.floor(frame.width_mm + _HAIR_MM) - 2.0 * margin_mm),
            _spans(above, below, math.floor(frame.height_mm + _HAIR_MM) - 2.0 * margin_mm),
        )
        for frame in frames
    ]
    return max(room, default=0.0)


Side = tuple[float, float]
"""What lies on one side of the frame's middle, in mm: what grows with the print, and what doesn't."""


def _sides(path: Path, print_mm: Bounds) -> tuple[Side, Side, Side, Side]:
    x, y = path.middle_mm
    whole = (x - path.cut_mm[0], y - path.cut_mm[1], path.cut_mm[2] - x, path.cut_mm[3] - y)
    prints = (x - print_mm[0], y - print_mm[1], print_mm[2] - x, print_mm[3] - y)
    left, above, right, below = (
        (all_ - max(0.0, all_ - own), max(0.0, all_ - own))
        for all_, own in zip(whole, prints, strict=True)
    )
    return left, above, right, below


def _reaches(side: Side, room_mm: float) -> float:
    """Give how many times its size a side may have so that it ends within some room."""
    grows, stays = side
    if grows <= 0.0:
        return math.inf if stays <= room_mm + _HAIR_MM else 0.0
    return max(0.0, (room_mm - stays) / grows)


def _spans(one: Side, other: Side, room_mm: float) -> float:
    """Give how many times their size both sides may have so that they fit some room together."""
    return _reaches((one[0] + other[0], one[1] + other[1]), room_mm)


def _blade_scale(left: Side, right: Side, inside_mm: float, limits: Limits) -> float:
    """Give how many times its size a print may have so that some squeegee prints it inside a frame.

    A squeegee stands in the middle of its path, which may lie beside the frame's middle.
    """
    if not limits.squeegees_mm:
        room = inside_mm / 2.0 - limits.overhang_mm
        return min(_reaches(left, room), _reaches(right, room))
    aside: Side = (right[0] - left[0], right[1] - left[1])
    if aside[0] < 0.0:
        aside = (-aside[0], -aside[1])
    return max(
        min(
            _spans(left, right, blade - 2.0 * limits.overhang_mm),
            _reaches(aside, inside_mm - blade),
        )
        for blade in limits.squeegees_mm
    )
