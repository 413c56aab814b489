"""How large a detail must be to hold: the chance as a curve over its size, fitted to a ladder's readings.

The chance that a detail of size x holds is logistic in ln x::

    p(x) = 1 / (1 + exp(-(ln x - a) / b))

with a the logarithm of the size at which half of them hold, and b how gently it rises. Fitting by greatest
likelihood has no finite answer where a ladder parts cleanly, all below failing and all above holding, and
that is how a ladder read once usually comes out. So Bayes' rule is applied on a grid of (a, ln b), from a
weak belief about the limits in force; with many readings both agree, which the tests hold against a
reference library's fit. Isotonic regression with resampling was the other choice: it asks for no shape, but
gives a clean ladder no width at all between two steps, and no chance beyond its ends.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from prep_log.posterior import Z90, Belief

Floats = NDArray[np.float64]

RISE = (0.03, 0.12, 0.4)
"""b, 10, 50 and 90 % points: from half to nine tenths of details takes a size 7 to 140 % up. A guess."""
ALSO = 2.0
"""Before anything is read, a limit is believed to within this factor each way, eight times in ten."""
HOLDS = 0.9
"""Details pass from the size on at which so many of them hold. Our choice."""
SIZE_STEPS, RISE_STEPS = 401, 61


@dataclass(frozen=True, slots=True)
class Step:
    """Details of one size, in either direction.

    :param size: in mm, or mm² for areas
    :param held: so many of them held
    :raises ValueError: no size above zero, or not 0 <= held <= tried
    """

    size: float
    tried: int
    held: int

    def __post_init__(self) -> None:
        """Check the figures."""
        if not (0.0 < self.size < math.inf and 0 <= self.held <= self.tried and self.tried > 0):
            raise ValueError(f"a step needs a size above zero and 0 <= held <= tried, not {self}")


@dataclass(frozen=True, slots=True)
class Curve:
    """What a ladder says.

    :param half: size at which half of the details hold
    :param safe: size at which :data:`HOLDS` of them do
    :param tried: details read
    """

    half: Belief
    safe: Belief
    tried: int


def fitted(steps: Sequence[Step], usual: float, rise: tuple[float, float, float] = RISE) -> Curve:
    """Fit the curve.

    :param usual: the size at which half are believed to hold before reading
    :raises ValueError: nothing was read
    """
    if not steps:
        raise ValueError("a curve needs readings")
    sizes = np.log([step.size for step in steps])
    tried = np.array([step.tried for step in steps], dtype=float)
    held = np.array([step.held for step in steps], dtype=float)
    spread = math.log(ALSO) / Z90
    low = min(math.log(usual) - 5.0 * spread, float(sizes.min()) - 2.0)
    high = max(math.log(usual) + 5.0 * spread, float(sizes.max()) + 2.0)
    a = np.linspace(low, high, SIZE_STEPS)
    z = np.linspace(-3.5, 3.5, RISE_STEPS)
    b = rise[1] * np.exp(
        z * np.where(z > 0, math.log(rise[2] / rise[1]), math.log(rise[1] / rise[0])) / Z90
    )
    logs = -0.5 * ((a[:, None] - math.log(usual)) / spread) ** 2 - 0.5 * z[None, :] ** 2
    for size, n, k in zip(sizes, tried, held, strict=True):
        slope = (size - a[:, None]) / b[None, :]
        logs = logs - k * np.logaddexp(0.0, -slope) - (n - k) * np.logaddexp(0.0, slope)
    chance = np.exp(logs - logs.max())
    chance /= chance.sum()
    rises = math.log(HOLDS / (1.0 - HOLDS))
    safe = a[:, None] + b[None, :] * rises
    return Curve(
        _points(np.broadcast_to(a[:, None], chance.shape), chance),
        _points(safe, chance),
        int(tried.sum()),
    )


def _points(values: Floats, chance: Floats) -> Belief:
    """Give 10, 50 and 90 % points of values with chances, as sizes."""
    order = np.argsort(values, axis=None, kind="stable")
    flat, cumulative = values.ravel()[order], np.cumsum(chance.ravel()[order])
    low, value, high = (float(np.interp(share, cumulative, flat)) for share in (0.1, 0.5, 0.9))
    return Belief(math.exp(low), math.exp(value), math.exp(high))


def contradictions(steps: Sequence[Step], apart: float = 1.25) -> tuple[tuple[Step, Step], ...]:
    """Give pairs of steps of which the smaller held throughout and the larger, by some way, not at all.

    :param apart: how many times as large the other must be
    """
    held = [step for step in steps if step.held == step.tried]
    failed = [step for step in steps if step.held == 0]
    return tuple(
        (small, large)
        for small in sorted(held, key=lambda step: step.size)
        for large in sorted(failed, key=lambda step: step.size)
        if large.size >= apart * small.size
    )
