"""Predicted against measured: is the model off to one side, and do its bands hold 8 weighings of 10?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from prep_log.posterior import Z90, Belief

IN_BAND = 0.8
"""Share of weighings that a band of 10 to 90 % should hold."""
UNLIKELY = 0.05
"""A model is told to be off where chance alone would do as badly this seldom. Our choice."""
FEWEST = 5
"""Weighings from which on anything is said of the model. Our choice."""

Verdict = Literal[
    "too few weighings",
    "as good as it says",
    "off to one side",
    "bands too narrow",
    "bands too wide",
]


@dataclass(frozen=True, slots=True)
class Pair:
    """One figure, predicted and measured, in one unit.

    :raises ValueError: not above zero
    """

    name: str
    predicted: Belief
    measured: float

    def __post_init__(self) -> None:
        """Check what was measured."""
        if not 0.0 < self.measured < math.inf:
            raise ValueError(f"{self.name}: measured must lie above zero, not {self.measured}")

    @property
    def ratio(self) -> float:
        """Measured over predicted."""
        return self.measured / self.predicted.value

    @property
    def inside(self) -> bool:
        """Whether it lies in the band."""
        return self.predicted.low <= self.measured <= self.predicted.high

    @property
    def chance(self) -> float:
        """Share of the predicted worlds that lie below it, between 0 and 1: 0.1 at the low bound."""
        up = math.log(self.predicted.high / self.predicted.value)
        down = math.log(self.predicted.value / self.predicted.low)
        side = up if self.ratio > 1.0 else down
        far = math.log(self.ratio)
        if side <= 0.0:
            return 0.5 if far == 0.0 else float(far > 0.0)
        return 0.5 * (1.0 + math.erf(far / side * Z90 / math.sqrt(2.0)))


@dataclass(frozen=True, slots=True)
class Agreement:
    """How predictions and measurements agree.

    :param bias: measured over predicted, the middle, with the range the middle lies in 8 times in 10
    :param inside: pairs that lie in their band
    :param share: of those inside: low and high end of its 95 % interval (Clopper and Pearson)
    :param verdicts: what is to be said of the model
    """

    pairs: int
    bias: Belief | None
    inside: int
    share: tuple[float, float]
    verdicts: tuple[Verdict, ...]

    @property
    def off(self) -> bool:
        """Whether a warning is due."""
        return any(one not in ("too few weighings", "as good as it says") for one in self.verdicts)


def agreement(pairs: Sequence[Pair]) -> Agreement:
    """Compare.

    The middle of ln(measured / predicted) is tested by Student's t, the count inside by the binomial
    distribution at 80 %, both two-sided at :data:`UNLIKELY`.
    """
    from scipy import stats

    count, inside = len(pairs), sum(pair.inside for pair in pairs)
    if count == 0:
        return Agreement(0, None, 0, (0.0, 1.0), ("too few weighings",))
    tested = stats.binomtest(inside, count, IN_BAND)
    bounds = tested.proportion_ci(0.95, "exact")
    share = float(bounds.low), float(bounds.high)
    logs = np.log([pair.ratio for pair in pairs])
    bias = _middle(logs)
    if count < FEWEST:
        return Agreement(count, bias, inside, share, ("too few weighings",))
    verdicts: list[Verdict] = []
    if float(np.ptp(logs)) == 0.0:
        aside = bool(logs[0] != 0.0)
    else:
        aside = float(stats.ttest_1samp(logs, 0.0).pvalue) < UNLIKELY
    if aside:
        verdicts.append("off to one side")
    if tested.pvalue < UNLIKELY:
        verdicts.append("bands too narrow" if inside < IN_BAND * count else "bands too wide")
    return Agreement(count, bias, inside, share, tuple(verdicts) or ("as good as it says",))


def _middle(logs: np.ndarray) -> Belief | None:
    """Give the middle of ratios with its range, by Student's t; ``None`` for a single one."""
    from scipy import stats

    if len(logs) < 2:
        return None
    mean, error = float(logs.mean()), float(logs.std(ddof=1)) / math.sqrt(len(logs))
    reach = float(stats.t.ppf(0.9, len(logs) - 1)) * error
    return Belief(math.exp(mean - reach), math.exp(mean), math.exp(mean + reach))
