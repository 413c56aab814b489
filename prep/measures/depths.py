"""How deep a region is behind each piece of its edge, and how much area lies at which depth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

_EVEN_MM = 1e-6  # a strip that gets deeper by no more than this counts as evenly deep


@dataclass(frozen=True, slots=True, eq=False)
class Depths:
    """How far a region reaches behind each piece of its edge, and under which width it counts.

    The points of a region that are nearest to one point of its edge lie on the normal there, up to
    the centre of the largest disc that touches the edge at that point and holds no other part of
    it: the medial axis.

    Where a curve is flattened, such a disc may only reach to the next edge of the curve. It then
    says nothing of the width; the nearest disc along the edge that reaches across does.

    :param near: (n,) radius of that disc at one end of the piece, mm
    :param far: (n,) and at the other; between them it changes evenly
    :param length: (n,) length of the piece, mm; 0 at a corner
    :param angle: (n,) angle of the normals of a corner, radians; on an edge less than nothing where
        corners that turn towards the region cut its strip off aslant
    :param width: (n, 2) local width at both ends of the piece, mm
    :param apart_deg: (n, 2) separation angle at both ends
    :param bare: (n,) the piece's own disc only reaches to the next edge of a flattened curve: there
        is no medial axis behind it
    :param loose_deg: (n,) by how much the separation angle may be off: where the piece stands for
        part of a curve by as much as the edge turns at its ends, and at a single disc by as much as
        it differs from the next
    """

    near: Floats
    far: Floats
    length: Floats
    angle: Floats
    width: Floats
    apart_deg: Floats
    bare: Bools
    loose_deg: Floats

    def deepest(self) -> float:
        """Give the largest depth, mm."""
        return float(np.maximum(self.near, self.far).max(initial=0.0))

    def area_within(self, insets: Floats) -> Floats:
        """Give the area that lies no farther from the edge than each distance.

        Behind an edge lies a strip as deep as the distance or the disc, whichever is less, cut off
        aslant at corners that turn by b towards the region: length m - (tan b/2 + tan b'/2) m²/2.
        Behind a corner that turns away lies a sector: angle m²/2.
        """
        low, high = np.minimum(self.near, self.far), np.maximum(self.near, self.far)
        rises = high - low > _EVEN_MM
        even = _even_within(insets, high[~rises], self.length[~rises], self.angle[~rises])
        return even + _rising_within(insets, low[rises], high[rises], self.length[rises])

    def area_behind(self) -> Floats:
        """Give the area behind each piece up to the medial axis."""
        depth = (self.near + self.far) / 2
        return np.asarray(self.length * depth + self.angle * depth**2 / 2)


def joined(parts: Sequence[Depths]) -> Depths:
    """Put pieces together."""
    columns = {f.name: np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(Depths)}
    return Depths(**columns)


def _even_within(insets: Floats, depth: Floats, length: Floats, angle: Floats) -> Floats:
    order = np.argsort(depth)
    depth, length, angle = depth[order], length[order], angle[order]
    below = np.searchsorted(depth, insets)
    full = _sums(length * depth + angle * depth**2 / 2)[below]
    lengths, angles = _sums(length), _sums(angle)
    left = (lengths[-1] - lengths[below]) * insets + (angles[-1] - angles[below]) * insets**2 / 2
    return np.asarray(full + left)


def _rising_within(insets: Floats, low: Floats, high: Floats, length: Floats) -> Floats:
    """Strips whose depth rises evenly from ``low`` to ``high``.

    Less than ``low`` deep: length s. In between, the part deeper than s is left out:
    length (s - (s - low)² / (2 (high - low))).
    """
    steep = length / (2 * (high - low))
    by_low, by_high = np.argsort(low), np.argsort(high)
    begun, ended = np.searchsorted(low[by_low], insets), np.searchsorted(high[by_high], insets)
    full = _sums((length * (low + high) / 2)[by_high])[ended]
    unended = length.sum() - _sums(length[by_high])[ended]
    between = [
        _sums((steep * low**power)[by_low])[begun] - _sums((steep * low**power)[by_high])[ended]
        for power in range(3)
    ]
    missing = between[0] * insets**2 - 2 * between[1] * insets + between[2]
    return np.asarray(full + unended * insets - missing)


def _sums(values: Floats) -> Floats:
    return np.concatenate([[0.0], np.cumsum(values)])
