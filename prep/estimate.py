"""Figures that are known only within a range, and how their uncertainty travels.

Every uncertain parameter has a name. Its 512 draws follow from that name alone, so a parameter means
the same hundred possible worlds on every screen, and sums over screens keep their correlation.
"""

from __future__ import annotations

import functools
import hashlib
import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

DRAWS = 512
_Z90 = 1.2815515655446004  # 90 % point of the standard normal distribution

Floats = NDArray[np.float64]
Status = Literal["published", "from memory", "common practice", "guess", "measured here"]


@dataclass(frozen=True, slots=True)
class Parameter:
    """An uncertain figure of a model.

    The range is the 10-90 % interval and the default its median; in between and beyond, the draws
    follow a normal distribution of the figure (``spread="normal"``) or of its logarithm
    (``"lognormal"``), each side of the median with its own width.

    :param name: unique within the whole job, like ``ink.transfer``
    :param unit: plain text, empty for a bare number
    :param source: where default and range come from
    :raises ValueError: default outside the range, or a lognormal figure not above zero
    """

    name: str
    default: float
    low: float
    high: float
    unit: str
    source: str
    status: Status
    spread: Literal["normal", "lognormal"] = "lognormal"
    at_least: float = -math.inf
    at_most: float = math.inf

    def __post_init__(self) -> None:
        """Check the range."""
        if not self.low <= self.default <= self.high:
            raise ValueError(f"{self.name}: {self.default} lies outside {self.low}..{self.high}")
        if self.spread == "lognormal" and not self.low > 0:
            raise ValueError(f"{self.name}: a lognormal range must lie above zero")

    def draws(self) -> Floats:
        """Give its 512 draws, read-only, cut off at ``at_least`` and ``at_most``."""
        z = normal_draws(self.name)
        if self.spread == "lognormal":
            up, down = math.log(self.high / self.default), math.log(self.default / self.low)
            drawn = self.default * np.exp(z / _Z90 * np.where(z > 0, up, down))
        else:
            up, down = self.high - self.default, self.default - self.low
            drawn = self.default + z / _Z90 * np.where(z > 0, up, down)
        drawn = np.clip(drawn, self.at_least, self.at_most)
        drawn.setflags(write=False)
        return drawn


@functools.lru_cache(maxsize=1024)
def normal_draws(name: str) -> Floats:
    """Give 512 standard normal draws that belong to a name, read-only.

    One column of a Latin hypercube (McKay, Beckman and Conover, Technometrics 21 (1979), from
    memory): the midpoints of 512 equally likely slices, in an order drawn from the name's digest.
    """
    from scipy.special import ndtri

    seed = int.from_bytes(hashlib.sha256(name.encode()).digest()[:4], "little")
    # RandomState's stream is frozen across numpy versions, default_rng's is not
    order = np.random.RandomState(seed).permutation(DRAWS)
    drawn: Floats = ndtri((order + 0.5) / DRAWS)
    drawn.setflags(write=False)
    return drawn


@dataclass(frozen=True, slots=True, eq=False)
class Estimate:
    """A figure with its interval; the one value that carries its unit.

    ``value`` is the model at its defaults, ``low`` and ``high`` the 10 % and 90 % points of the draws.

    :param draws: (512,) the model at each draw
    :param basis: what it rests on, sentences for the sheet
    """

    value: float
    unit: str
    draws: Floats
    basis: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Freeze the draws.

        :raises ValueError: not 512 finite draws
        """
        if self.draws.shape != (DRAWS,) or not np.isfinite(self.draws).all():
            raise ValueError(f"an estimate needs {DRAWS} finite draws, got {self.draws.shape}")
        if self.draws.flags.writeable:
            frozen = self.draws.copy()
            frozen.setflags(write=False)
            object.__setattr__(self, "draws", frozen)

    def __getstate__(self) -> tuple[object, ...]:
        return self.value, self.unit, np.array(self.draws), self.basis

    def __setstate__(self, state: tuple[object, ...]) -> None:
        for name, value in zip(("value", "unit", "draws", "basis"), state, strict=True):
            object.__setattr__(self, name, value)
        self.draws.setflags(write=False)

    @property
    def low(self) -> float:
        """The 10 % point."""
        return float(np.quantile(self.draws, 0.1))

    @property
    def high(self) -> float:
        """The 90 % point."""
        return float(np.quantile(self.draws, 0.9))

    def enough_at(self, chance: float) -> float:
        """Give the amount that suffices with this chance (0..1)."""
        return float(np.quantile(self.draws, chance, method="higher"))

    def __add__(self, other: Estimate) -> Estimate:
        if other.unit != self.unit:
            raise ValueError(f"can't add {other.unit} to {self.unit}")
        basis = self.basis + tuple(line for line in other.basis if line not in self.basis)
        return Estimate(self.value + other.value, self.unit, self.draws + other.draws, basis)

    def __mul__(self, factor: float) -> Estimate:
        return Estimate(self.value * factor, self.unit, self.draws * factor, self.basis)

    __rmul__ = __mul__

    def digest(self) -> str:
        """Digest of value, unit, draws and basis."""
        from prep.digest import digest_of

        return digest_of((self.value, self.unit, np.asarray(self.draws), self.basis))
