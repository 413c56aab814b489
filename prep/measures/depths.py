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
        """Give the area that lies no farther from the edge than each distance."""
        return np.asarray(self.moments_within(insets, 0)[0])

    def moments_within(self, insets: Floats, highest: int) -> Floats:
        """Integrate powers of the depth over what lies no farther from the edge than each distance.

        Behind an edge lies a strip as deep as the distance or the disc, whichever is less, cut off
        aslant at corners that turn by b towards the region: at the depth m it is still the length
        less (tan b/2 + tan b'/2) m long. Behind a corner that turns away lies a sector: angle m.

        :param insets: (m,) mm, rising
        :return: (highest + 1, m) integrals of the depth to the power 0, 1 ... highest, so that the
            first is the area; mm², mm³ ...
        """
        low, high = np.minimum(self.near, self.far), np.maximum(self.near, self.far)
        rises = high - low > _EVEN_MM
        even = _even_within(insets, high[~rises], self.length[~rises], self.angle[~rises], highest)
        return even + _rising_within(insets, low[rises], high[rises], self.length[rises], highest)

    def area_behind(self) -> Floats:
        """Give the area behind each piece up to the medial axis."""
        depth = (self.near + self.far) / 2
        return np.asarray(self.length * depth + self.angle * depth**2 / 2)


def joined(parts: Sequence[Depths]) -> Depths:
    """Put pieces together."""
    columns = {f.name: np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(Depths)}
    return Depths(**columns)


def _even_within(
    insets: Floats, depth: Floats, length: Floats, angle: Floats, highest: int
) -> Floats:
    """Strips as deep all along, and sectors: down to m, length m^(k+1)/(k+1) + angle m^(k+2)/(k+2)."""
    order = np.argsort(depth)
    depth, length, angle = depth[order], length[order], angle[order]
    below = np.searchsorted(depth, insets)
    lengths, angles = _sums(length), _sums(angle)
    deeper, wider = lengths[-1] - lengths[below], angles[-1] - angles[below]
    rows = []
    for k in range(highest + 1):
        whole = length * depth ** (k + 1) / (k + 1) + angle * depth ** (k + 2) / (k + 2)
        left = deeper * insets ** (k + 1) / (k + 1) + wider * insets ** (k + 2) / (k + 2)
        rows.append(_sums(whole)[below] + left)
    return np.stack(rows)


def _rising_within(
    insets: Floats, low: Floats, high: Floats, length: Floats, highest: int
) -> Floats:
    """Strips whose depth rises evenly from ``low`` to ``high``.

    Down to s they would give length s^(k+1)/(k+1). Between ``low`` and ``high`` the part deeper than
    the strip is left out: rise (s^(k+2)/(k+2) - low s^(k+1)/(k+1) + low^(k+2)/((k+1)(k+2))) with
    rise = length / (high - low); for the area that is rise (s - low)²/2. The whole strip gives
    length (high^(k+2) - low^(k+2)) / ((k+1)(k+2)(high - low)).
    """
    rise = length / (high - low)
    by_low, by_high = np.argsort(low), np.argsort(high)
    begun, ended = np.searchsorted(low[by_low], insets), np.searchsorted(high[by_high], insets)
    unended = length.sum() - _sums(length[by_high])[ended]

    def between(power: int) -> Floats:
        values = rise * low**power
        return np.asarray(_sums(values[by_low])[begun] - _sums(values[by_high])[ended])

    steep, moved = between(0), between(1)
    rows = []
    for k in range(highest + 1):
        both = (k + 1) * (k + 2)
        # the fraction of powers written out, without a difference of nearly equal numbers
        whole = length / both * sum(high**n * low ** (k + 1 - n) for n in range(k + 2))
        missing = steep * insets ** (k + 2) / (k + 2) - moved * insets ** (k + 1) / (k + 1)
        missing += between(k + 2) / both
        rows.append(_sums(whole[by_high])[ended] + unended * insets ** (k + 1) / (k + 1) - missing)
    return np.stack(rows)


def _sums(values: Floats) -> Floats:
    return np.concatenate([[0.0], np.cumsum(values)])
