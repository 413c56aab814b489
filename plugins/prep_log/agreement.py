"""Predicted against measured: is the model off to one side, and do its bands hold 8 weighings of 10?

Inks of one run are off together, by the same hand on the same day, so that a run counts as one value: the
mean of its inks, and the share of them inside. And a log is looked at after every run, so that a usual test
would blame any model in the end. Both questions are therefore put to bets that start at 1 and that a right
model lets grow to 1 / p at some look, ever, in no more than a share p of logs (Ville's inequality for
nonnegative martingales, from memory):

- middle: with z how far a run's weighings lie off in standard deviations of their bands, the likelihood of
  z about a middle of d deviations, d ~ N(0, 1), over that about 0, the deviation s itself believed as 1 / s
  in both, so that only the t statistic counts (the mixture t-test)::

      (1 + n)^(-1/2) · ((S + n m²) / (S + n m² / (1 + n)))^(n / 2)

  with m the mean of the n values and S the sum of squares about it;
- bands: with s the share inside in a run, the mean over q between 0 and 1 of the product over runs of
  1 + (q - 0.8) (s - 0.8) / 0.16, which for runs of one ink is the likelihood of q over that of 0.8; as s
  has the mean 0.8 where bands hold, each factor has the mean 1, however the inks of a run hang together.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from prep_log.posterior import Z90, Belief

IN_BAND = 0.8
"""Share of weighings that a band of 10 to 90 % should hold."""
UNLIKELY = 0.05
"""Share of right models' logs in which one of the two questions is ever answered by a blame. Our choice;
both together are answered so in no more than twice as many."""
FEWEST = 5
"""Runs from which on anything is said of the model. Our choice."""
FARTHEST = 8.0
"""Standard deviations beyond which a weighing lies off no farther. Our choice."""

_SHARES = 400
Floats = NDArray[np.float64]

Verdict = Literal[
    "too few runs",
    "as good as it says",
    "off to one side",
    "bands too narrow",
    "bands too wide",
]


@dataclass(frozen=True, slots=True)
class Pair:
    """One figure, predicted and measured, in one unit.

    :param run: pairs of one run have the same; empty = a run of its own
    :raises ValueError: not above zero
    """

    name: str
    predicted: Belief
    measured: float
    run: str = ""

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
        return 0.5 * (1.0 + math.erf(self.off / math.sqrt(2.0)))

    @property
    def off(self) -> float:
        """How far it lies off, in standard deviations of the band's side, at most :data:`FARTHEST`."""
        up = math.log(self.predicted.high / self.predicted.value)
        down = math.log(self.predicted.value / self.predicted.low)
        side = up if self.ratio > 1.0 else down
        far = math.log(self.ratio)
        if far == 0.0:
            return 0.0
        wide = FARTHEST if side <= 0.0 else min(FARTHEST, abs(far) / side * Z90)
        return math.copysign(wide, far)


@dataclass(frozen=True, slots=True)
class Agreement:
    """How predictions and measurements agree.

    :param runs: that the pairs are of
    :param bias: measured over predicted, the middle of runs, with the range it lies in 8 times in 10
    :param inside: pairs that lie in their band
    :param share: of those inside: low and high end of its 95 % interval (Clopper and Pearson), each run
        counting for one
    :param verdicts: what is to be said of the model
    """

    pairs: int
    runs: int
    bias: Belief | None
    inside: int
    share: tuple[float, float]
    verdicts: tuple[Verdict, ...]

    @property
    def off(self) -> bool:
        """Whether a warning is due."""
        return any(one not in ("too few runs", "as good as it says") for one in self.verdicts)


def agreement(pairs: Sequence[Pair]) -> Agreement:
    """Compare; see the module for how."""
    if not pairs:
        return Agreement(0, 0, None, 0, (0.0, 1.0), ("too few runs",))
    runs = _by_run(pairs)
    count, inside = len(runs), sum(pair.inside for pair in pairs)
    logs, off, shares = (
        np.array([np.mean([value(pair) for pair in run]) for run in runs])
        for value in (_log_ratio, _off, _inside)
    )
    share, bias = _bounds(float(shares.sum()), count), _middle(logs)
    if count < FEWEST:
        return Agreement(len(pairs), count, bias, inside, share, ("too few runs",))
    verdicts: list[Verdict] = []
    if against_middle(off) >= 1.0 / UNLIKELY:
        verdicts.append("off to one side")
    if against_bands(shares) >= 1.0 / UNLIKELY:
        narrow = float(shares.mean()) < IN_BAND
        verdicts.append("bands too narrow" if narrow else "bands too wide")
    return Agreement(
        len(pairs), count, bias, inside, share, tuple(verdicts) or ("as good as it says",)
    )


def against_middle(off: Floats) -> float:
    """Give what was won by betting that the middle of values isn't zero; see the module."""
    n = len(off)
    middle = n * float(off.mean()) ** 2
    about = float(((off - off.mean()) ** 2).sum())
    if middle == 0.0:
        return float((1.0 + n) ** -0.5)
    ratio = (about + middle) / (about + middle / (1.0 + n))
    return math.exp(min(700.0, 0.5 * n * math.log(ratio) - 0.5 * math.log(1.0 + n)))


def against_bands(shares: Floats) -> float:
    """Give what was won by betting that shares inside have another mean than 0.8; see the module."""
    q = (np.arange(_SHARES) + 0.5) / _SHARES
    spread = IN_BAND * (1.0 - IN_BAND)
    factors = 1.0 + (q[:, None] - IN_BAND) * (shares[None, :] - IN_BAND) / spread
    with np.errstate(over="ignore"):
        return float(np.exp(np.log(factors).sum(axis=1)).mean())


def _by_run(pairs: Sequence[Pair]) -> list[list[Pair]]:
    found: dict[object, list[Pair]] = {}
    for number, pair in enumerate(pairs):
        found.setdefault(pair.run or number, []).append(pair)
    return list(found.values())


def _log_ratio(pair: Pair) -> float:
    return math.log(pair.ratio)


def _off(pair: Pair) -> float:
    return pair.off


def _inside(pair: Pair) -> float:
    return float(pair.inside)


def _bounds(inside: float, count: int) -> tuple[float, float]:
    """Give the ends of the 95 % interval of a share, Clopper and Pearson's; parts of one count in part."""
    from scipy.special import betaincinv

    low = 0.0 if inside <= 0.0 else float(betaincinv(inside, count - inside + 1.0, 0.025))
    high = 1.0 if inside >= count else float(betaincinv(inside + 1.0, count - inside, 0.975))
    return low, high


def _middle(logs: Floats) -> Belief | None:
    """Give the middle of ratios with its range, by Student's t; ``None`` for a single one."""
    from scipy import stats

    if len(logs) < 2:
        return None
    mean, error = float(logs.mean()), float(logs.std(ddof=1)) / math.sqrt(len(logs))
    reach = float(stats.t.ppf(0.9, len(logs) - 1)) * error
    return Belief(math.exp(mean - reach), math.exp(mean), math.exp(mean + reach))
