"""What readings of the shop make of a figure that was a guess: Bayes' rule on a grid of its logarithm.

A figure above zero is believed as its parameter says: a median, and a range it lies in eight times in ten.
Readings on several days differ, because shirts do and because days do. Both are followed::

    ln reading_i = m + day_i + shirts_i,   day_i ~ N(0, t²),   shirts_i ~ N(0, s_i²)

with m unknown, believed as the parameter was, and t unknown too, believed as :data:`BETWEEN_DAYS`. What
is given back is the figure of a *next* day, m + day: that is what the next job is printed with. With t
known and a symmetrical prior this is the normal distribution's conjugate update (Gelman et al., Bayesian
Data Analysis, 3rd edition, section 2.5, from memory), which the tests hold it against.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

Z90 = 1.2815515655446004
"""90 % point of the standard normal distribution."""
BETWEEN_DAYS = (0.04, 0.08, 0.16)
"""How far a figure differs from day to day, as a standard deviation of its logarithm: 10, 50 and 90 %
points. A guess; no source found."""
STEPS = 801
DAY_STEPS = 41


@dataclass(frozen=True, slots=True)
class Belief:
    """A figure above zero: its median, and the bounds it lies between eight times in ten.

    :raises ValueError: not above zero, or not in order
    """

    low: float
    value: float
    high: float

    def __post_init__(self) -> None:
        """Check the order."""
        if not 0.0 < self.low <= self.value <= self.high < math.inf:
            raise ValueError(f"a belief needs 0 < low <= value <= high, not {self}")


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading.

    :param value: in the figure's unit, above zero
    :param spread: standard deviation of its logarithm from what is not the day: the shirts', the balance's
    :param day: readings of one day share that day's deviation
    :raises ValueError: not above zero
    """

    value: float
    spread: float
    day: str = ""

    def __post_init__(self) -> None:
        """Check both figures."""
        if not (0.0 < self.value < math.inf and 0.0 < self.spread < math.inf):
            raise ValueError(f"a reading and its spread must lie above zero, not {self}")


def learnt(
    prior: Belief,
    readings: Sequence[Reading],
    between_days: tuple[float, float, float] = BETWEEN_DAYS,
) -> Belief:
    """Give what is believed of a next day's figure after readings.

    Readings of one day are joined first, each weighted by its precision: their common deviation is the
    day's.

    :param between_days: 10, 50 and 90 % points of the deviation from day to day; three equal ones = known
    """
    if not readings:
        return prior
    days = _by_day(readings)
    low, high = _grid_bounds(prior, days, between_days[2])
    for _ in range(2):  # coarse, then fine where it matters
        grid = np.linspace(low, high, STEPS)
        deviations, joint = _on_grid(grid, prior, days, between_days)
        chance = joint.sum(axis=0)
        mean = float((chance * grid).sum())
        reach = 8.0 * math.sqrt(float((chance * (grid - mean) ** 2).sum())) + (grid[1] - grid[0])
        low, high = mean - reach, mean + reach
    return _next_day(grid, joint, deviations)


def _on_grid(
    grid: Floats,
    prior: Belief,
    days: Sequence[tuple[float, float]],
    between_days: tuple[float, float, float],
) -> tuple[Floats, Floats]:
    """Give deviations from day to day (D,), and the chance of each with each figure, (D, grid).

    Chances sum to one.
    """
    deviations, chances = _day_grid(between_days)
    believed = _two_sided(grid, prior)
    values, variances = (np.array(column) for column in zip(*days, strict=True))
    total = variances[None, :] + deviations[:, None] ** 2
    # constants left out
    logs = np.log(chances)[:, None] + believed[None, :] - 0.5 * np.log(total).sum(axis=1)[:, None]
    for day, value in enumerate(values):
        logs = logs - 0.5 * (grid[None, :] - value) ** 2 / total[:, day, None]
    joint = np.exp(logs - logs.max())
    return deviations, joint / joint.sum()


def _by_day(readings: Sequence[Reading]) -> list[tuple[float, float]]:
    """Give of each day (mean of the logarithms, variance of that mean without the day's own)."""
    found: list[tuple[float, float]] = []
    for day in dict.fromkeys(reading.day for reading in readings):
        of_day = [reading for reading in readings if reading.day == day]
        weights = np.array([reading.spread**-2 for reading in of_day])
        logs = np.log([reading.value for reading in of_day])
        found.append((float((weights * logs).sum() / weights.sum()), float(1.0 / weights.sum())))
    return found


def _grid_bounds(
    prior: Belief, days: Sequence[tuple[float, float]], between: float
) -> tuple[float, float]:
    """Give the ends of a grid that holds all that has a chance."""
    own = math.log(prior.value)
    width = max(math.log(prior.high / prior.value), math.log(prior.value / prior.low), 1e-3) / Z90
    spreads = [6.0 * math.sqrt(var + between**2) for _, var in days]
    lows = [mean - far for (mean, _), far in zip(days, spreads, strict=True)]
    highs = [mean + far for (mean, _), far in zip(days, spreads, strict=True)]
    return min(own - 6.0 * width, *lows), max(own + 6.0 * width, *highs)


def _two_sided(grid: Floats, prior: Belief) -> Floats:
    """Give the logarithm of the prior's density, a constant left out: half of it lies each side."""
    middle = math.log(prior.value)
    sides = [
        max(math.log(prior.high / prior.value), 1e-9),
        max(math.log(prior.value / prior.low), 1e-9),
    ]
    up, down = (side / Z90 for side in sides)
    width = np.where(grid > middle, up, down)
    logs: Floats = -0.5 * ((grid - middle) / width) ** 2 - np.log(width)
    return logs


def _day_grid(between: tuple[float, float, float]) -> tuple[Floats, Floats]:
    """Give deviations from day to day and their chances, evenly spaced in the logarithm."""
    low, middle, high = between
    if low == high:
        return np.array([middle]), np.array([1.0])
    z = np.linspace(-3.0, 3.0, DAY_STEPS)
    widths = np.where(z > 0, math.log(high / middle), math.log(middle / low)) / Z90
    chances = np.exp(-0.5 * z**2)
    return middle * np.exp(z * widths), chances / chances.sum()


def _next_day(grid: Floats, joint: Floats, deviations: Floats) -> Belief:
    """Give the 10, 50 and 90 % points of the grid's figure and a day's deviation upon it.

    :param joint: (deviations, grid), sums to one
    """
    from scipy.optimize import brentq
    from scipy.special import ndtr

    # a cell of the grid is as wide as its step
    widths = np.sqrt(deviations**2 + (grid[1] - grid[0]) ** 2 / 12.0)

    def below(point: float) -> float:
        return float((joint * ndtr((point - grid[None, :]) / widths[:, None])).sum())

    span = 6.0 * float(deviations.max())
    ends = float(grid[0]) - span, float(grid[-1]) + span
    low, value, high = (
        math.exp(brentq(lambda point, share=share: below(point) - share, *ends, xtol=1e-7))
        for share in (0.1, 0.5, 0.9)
    )
    return Belief(low, value, high)
