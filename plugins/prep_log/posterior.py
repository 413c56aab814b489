"""What readings of the shop make of a figure that was a guess: Bayes' rule on a grid of its logarithm.

A figure above zero is believed as its parameter says: a median, and a range it lies in eight times in ten.
Readings differ because shirts do, because days do, and because they were taken with unlike things, as on
another mesh. All are followed::

    ln reading_i = m + group_i + day_i + shirts_i
    group_i ~ N(0, u²),   day_i ~ N(0, t²),   shirts_i ~ N(0, s_i²)

with m unknown, believed as the parameter was, and t and u unknown too, believed as :data:`BETWEEN_DAYS` and
:data:`BETWEEN_GROUPS`. What is given back is the figure of a *next* day, m + day: that is what the next job
is printed with. With readings of several groups it is that of a next group as well, m + group + day, which
is the wider the more they differ; with those of one group m is that group's own and u nothing. With t and u
known and a symmetrical prior this is the normal distribution's conjugate update (Gelman et al., Bayesian
Data Analysis, 3rd edition, sections 2.5 and 5.4, from memory), which the tests hold it against.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Points = tuple[float, float, float]
Deviations = tuple[Floats, Floats]
_NONE: Deviations = (np.zeros(1), np.ones(1))

Z90 = 1.2815515655446004
"""90 % point of the standard normal distribution."""
BETWEEN_DAYS = (0.04, 0.08, 0.16)
"""How far a figure differs from day to day, as a standard deviation of its logarithm: 10, 50 and 90 %
points. A guess; no source found."""
BETWEEN_GROUPS = (0.05, 0.15, 0.45)
"""How far a figure differs between unlike meshes, inks or strokes, likewise. A guess; no source found."""
STEPS = 801
DAY_STEPS = 41
GROUP_STEPS = 11
"""Steps of either deviation where readings are of several groups."""


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
    :param group: readings of one group share that group's
    :raises ValueError: not above zero
    """

    value: float
    spread: float
    day: str = ""
    group: str = ""

    def __post_init__(self) -> None:
        """Check both figures."""
        if not (0.0 < self.value < math.inf and 0.0 < self.spread < math.inf):
            raise ValueError(f"a reading and its spread must lie above zero, not {self}")


def learnt(
    prior: Belief,
    readings: Sequence[Reading],
    between_days: Points = BETWEEN_DAYS,
    between_groups: Points = BETWEEN_GROUPS,
) -> Belief:
    """Give what is believed of a next day's figure after readings; of several groups, of a next group's.

    Readings of one day and group are joined first, each weighted by its precision: they share all but what
    is their own.

    :param between_days: 10, 50 and 90 % points of the deviation from day to day; three equal ones = known
    :param between_groups: the same of that from group to group; not looked at with one group
    """
    if not readings:
        return prior
    cells = _by_cell(readings)
    several = len({cell.group for cell in cells}) > 1
    days = _deviations(between_days, GROUP_STEPS if several else DAY_STEPS)
    groups = _deviations(between_groups, GROUP_STEPS) if several else _NONE
    far = math.hypot(between_days[2], between_groups[2] if several else 0.0)
    low, high = _grid_bounds(prior, cells, far)
    for _ in range(2):  # coarse, then fine where it matters
        grid = np.linspace(low, high, STEPS)
        deviations, joint = _on_grid(grid, prior, cells, days, groups)
        chance = joint.sum(axis=0)
        mean = float((chance * grid).sum())
        reach = 8.0 * math.sqrt(float((chance * (grid - mean) ** 2).sum())) + (grid[1] - grid[0])
        low, high = mean - reach, mean + reach
    return _next_day(grid, joint, deviations)


@dataclass(frozen=True, slots=True)
class _Cell:
    """Readings of one day and group: the mean of their logarithms, and its variance but for these two."""

    mean: float
    variance: float
    day: str
    group: str


def _by_cell(readings: Sequence[Reading]) -> list[_Cell]:
    found = []
    for day, group in dict.fromkeys((reading.day, reading.group) for reading in readings):
        own = [one for one in readings if (one.day, one.group) == (day, group)]
        weights = np.array([one.spread**-2 for one in own])
        logs = np.log([one.value for one in own])
        mean = float((weights * logs).sum() / weights.sum())
        found.append(_Cell(mean, float(1.0 / weights.sum()), day, group))
    return found


def _on_grid(
    grid: Floats, prior: Belief, cells: Sequence[_Cell], days: Deviations, groups: Deviations
) -> tuple[Floats, Floats]:
    """Give deviations of what comes next, (D,), and the chance of each with each figure, (D, grid).

    D are all pairs of a deviation between days and one between groups. Chances sum to one.
    """
    own = _Joined.of(cells)
    believed = _two_sided(grid, prior)
    deviations, logs = [], []
    for by_day, chance in zip(*days, strict=True):
        within = own.with_days(by_day)
        for by_group, chance_of_group in zip(*groups, strict=True):
            (least, middle, precision), log_det = within.with_groups(by_group)
            # constants left out
            likely = -0.5 * (least + precision * (grid - middle) ** 2 + log_det)
            logs.append(math.log(chance) + math.log(chance_of_group) + believed + likely)
            deviations.append(math.hypot(by_day, by_group))
    whole = np.array(logs)
    joint = np.exp(whole - whole.max())
    return np.array(deviations), joint / joint.sum()


@dataclass(frozen=True, slots=True)
class _Joined:
    """Products of values y, ones and groups' marks, X (N, 2 + G), with their covariance's inverse V.

    :param products: X' V X, (2 + G, 2 + G)
    :param log_det: logarithm of the covariance's determinant
    :param by_day: per day the sum of X over the variances of its cells, (D, 2 + G)
    :param weights: per day the sum of one over these variances, (D,)
    :param shift: taken off y, so that little is lost in differences
    """

    products: Floats
    log_det: float
    by_day: Floats
    weights: Floats
    shift: float

    @classmethod
    def of(cls, cells: Sequence[_Cell]) -> _Joined:
        """Give what holds with no deviation of days or groups."""
        days = {day: n for n, day in enumerate(dict.fromkeys(cell.day for cell in cells))}
        groups = {group: n for n, group in enumerate(dict.fromkeys(cell.group for cell in cells))}
        means = np.array([cell.mean for cell in cells])
        x = np.zeros((len(cells), 2 + len(groups)))
        x[:, 0], x[:, 1] = means - means.mean(), 1.0
        x[np.arange(len(cells)), [2 + groups[cell.group] for cell in cells]] = 1.0
        weights = np.array([1.0 / cell.variance for cell in cells])
        of_day = [days[cell.day] for cell in cells]
        by_day, day_weights = np.zeros((len(days), x.shape[1])), np.zeros(len(days))
        np.add.at(by_day, of_day, x * weights[:, None])
        np.add.at(day_weights, of_day, weights)
        products = x.T @ (x * weights[:, None])
        log_det = -float(np.log(weights).sum())
        return cls(products, log_det, by_day, day_weights, float(means.mean()))

    def with_days(self, deviation: float) -> _Joined:
        """Add what days do to all their cells alike, by the formula of Sherman and Morrison."""
        share = deviation**2 / (1.0 + deviation**2 * self.weights)
        less = self.by_day.T @ (self.by_day * share[:, None])
        more = float(np.log1p(deviation**2 * self.weights).sum())
        return replace(self, products=self.products - less, log_det=self.log_det + more)

    def with_groups(self, deviation: float) -> tuple[tuple[float, float, float], float]:
        """Add what groups do to theirs, by Woodbury's formula.

        :return: squares of y about a figure m as (least, middle, precision), which are least + precision
            (m - middle)²; and the logarithm of the determinant
        """
        square, log_det = self.products[:2, :2], self.log_det
        if deviation > 0.0:
            groups = self.products[2:, 2:]
            inner = np.eye(len(groups)) + deviation**2 * groups
            across = self.products[2:, :2]
            square = square - deviation**2 * across.T @ np.linalg.solve(inner, across)
            log_det += float(np.linalg.slogdet(inner)[1])
        (of_y, mixed), (_, precision) = square.tolist()
        return (of_y - mixed**2 / precision, self.shift + mixed / precision, precision), log_det


def _grid_bounds(prior: Belief, cells: Sequence[_Cell], between: float) -> tuple[float, float]:
    """Give the ends of a grid that holds all that has a chance."""
    own = math.log(prior.value)
    width = max(math.log(prior.high / prior.value), math.log(prior.value / prior.low), 1e-3) / Z90
    spreads = [6.0 * math.sqrt(cell.variance + between**2) for cell in cells]
    lows = [cell.mean - far for cell, far in zip(cells, spreads, strict=True)]
    highs = [cell.mean + far for cell, far in zip(cells, spreads, strict=True)]
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


def _deviations(between: Points, steps: int) -> Deviations:
    """Give deviations and their chances, evenly spaced in the logarithm."""
    low, middle, high = between
    if low == high:
        return np.array([middle]), np.array([1.0])
    z = np.linspace(-3.0, 3.0, steps)
    widths = np.where(z > 0, math.log(high / middle), math.log(middle / low)) / Z90
    chances = np.exp(-0.5 * z**2)
    return middle * np.exp(z * widths), chances / chances.sum()


def _next_day(grid: Floats, joint: Floats, deviations: Floats) -> Belief:
    """Give the 10, 50 and 90 % points of the grid's figure and what comes next deviating from it.

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
