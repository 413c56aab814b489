"""Corners sharper than the blade can turn. Imports nothing of prep.

A drag knife's tip trails its axis by the blade's offset. Round a corner it swivels; round a very sharp one
it drags the film along, tears the point off, or lifts it. Corners are looked at from a short way before to
the same way after them, so that a corner made of several short steps is one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Corners:
    """Sharp corners, the sharpest first.

    :param at: (n, 2) mm, in the plane of the outlines
    :param angle_deg: (n,) between the cut before and the cut after; 180 goes straight on
    """

    at: Floats
    angle_deg: Floats

    def __len__(self) -> int:
        return len(self.at)


def sharp_corners(rings: Sequence[Floats], offset_mm: float, sharpest_deg: float) -> Corners:
    """Find corners sharper than an angle.

    :param rings: each (k, 2), not closed
    :param offset_mm: of the blade; the cut is looked at so far before and after each point
    :param sharpest_deg: angle that the blade still turns
    :raises ValueError: no offset, or an angle outside 0 to 180°
    """
    if not (offset_mm > 0.0 and 0.0 <= sharpest_deg < 180.0):
        raise ValueError(f"no blade of {offset_mm} mm turns corners of {sharpest_deg}°")
    at, angle = [np.empty((0, 2))], [np.empty(0)]
    for ring in rings:
        step = np.hypot(*(np.roll(ring, -1, axis=0) - ring).T)
        whole = float(step.sum())
        if whole <= 4.0 * offset_mm:
            continue  # the blade goes round it on the spot; too small to cut is told elsewhere
        along = np.concatenate([[0.0], np.cumsum(step)])
        closed = np.vstack([ring, ring[:1]])
        before = _point_at(closed, along, (along[:-1] - offset_mm) % whole)
        after = _point_at(closed, along, (along[:-1] + offset_mm) % whole)
        back, on = before - ring, after - ring
        here = np.degrees(
            np.abs(
                np.arctan2(back[:, 0] * on[:, 1] - back[:, 1] * on[:, 0], (back * on).sum(axis=1))
            )
        )
        kept = _one_each(here, along[:-1], whole, offset_mm, sharpest_deg)
        at.append(ring[kept])
        angle.append(here[kept])
    places, angles = np.concatenate(at), np.concatenate(angle)
    by = np.argsort(angles, kind="stable")
    return Corners(places[by], angles[by])


def _point_at(closed: Floats, along: Floats, where: Floats) -> Floats:
    return np.column_stack([np.interp(where, along, closed[:, k]) for k in (0, 1)])


def _one_each(
    angle: Floats, along: Floats, whole: float, offset_mm: float, sharpest_deg: float
) -> NDArray[np.int64]:
    """Give the sharpest point of each corner: none within the offset of another one's."""
    sharp = np.flatnonzero(angle < sharpest_deg)
    kept: list[int] = []
    for one in sharp[np.argsort(angle[sharp], kind="stable")].tolist():
        away = np.abs(along[kept] - along[one]) if kept else np.empty(0)
        if not (np.minimum(away, whole - away) <= offset_mm).any():
            kept.append(one)
    return np.array(kept, dtype=np.int64)
