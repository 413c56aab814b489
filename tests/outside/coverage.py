"""How often what the log says lies in the range it gives: simulated, truths drawn from what is believed.

    python tests/outside/coverage.py [--trials 1000]

Eight times in ten is what a range claims. Each row: what it is of, how many trials, how often the truth lay
inside, and the 95 % interval of that share (Clopper and Pearson). The tests hold smaller samples of the
same.
"""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
from scipy.stats import binomtest

sys.path.insert(0, str(Path(__file__).parents[2]))

from prep_log.posterior import BETWEEN_DAYS, Z90, Belief, Reading, learnt
from prep_log.survival import ALSO, RISE, Step, fitted

PRIOR = Belief(0.5, 0.9, 1.4)
SIZES = (0.3, 0.5, 0.8, 1.0, 1.4, 2.0)
USUAL = 0.7
Truths = tuple[bool, ...]


def next_day(random: np.random.Generator, days: int) -> Truths:
    """Draw a transfer, a shop's days and their readings; was the next day's inside?"""
    z = random.normal()
    side = math.log(PRIOR.high / PRIOR.value) if z > 0 else math.log(PRIOR.value / PRIOR.low)
    middle = math.log(PRIOR.value) + z / Z90 * side
    between = BETWEEN_DAYS[1] * math.exp(random.normal() / Z90 * math.log(2.0))
    readings = [
        Reading(
            math.exp(middle + between * random.normal() + 0.06 * random.normal()), 0.06, str(day)
        )
        for day in range(days)
    ]
    found = learnt(PRIOR, readings)
    return (found.low <= math.exp(middle + between * random.normal()) <= found.high,)


def ladder(random: np.random.Generator, each: int) -> Truths:
    """Draw a curve and a ladder's readings; were the sizes at which half and nine tenths hold inside?"""
    half = USUAL * ALSO ** (random.normal() / Z90)
    z = random.normal()
    rise = RISE[1] * (RISE[2] / RISE[1] if z > 0 else RISE[1] / RISE[0]) ** (z / Z90)
    chances = [1.0 / (1.0 + (half / size) ** (1.0 / rise)) for size in SIZES]
    steps = [
        Step(size, each, int(random.binomial(each, chance)))
        for size, chance in zip(SIZES, chances, strict=True)
    ]
    found = fitted(steps, USUAL)
    safe = half * 9.0**rise
    return (
        found.half.low <= half <= found.half.high,
        found.safe.low <= safe <= found.safe.high,
    )


def counted(trial: Callable[[np.random.Generator], Truths], trials: int, seed: int) -> list[int]:
    """Count how often each truth of a trial lay inside."""
    random = np.random.default_rng(seed)
    return np.sum([trial(random) for _ in range(trials)], axis=0).tolist()


def rows(trials: int) -> Iterator[tuple[str, int]]:
    """Give what was tried, and how often the truth lay inside."""
    for days in (1, 2, 5):
        (inside,) = counted(lambda random, n=days: next_day(random, n), trials, 7)
        yield f"transfer of a next day, read on {days} {'day' if days == 1 else 'days'}", inside
    for each in (2, 4, 12):
        half, safe = counted(lambda random, n=each: ladder(random, n), trials, 11)
        yield f"size at which half hold, {each} of each size", half
        yield f"size at which 9 of 10 hold, {each} of each size", safe


def main(arguments: list[str] | None = None) -> int:
    """Run the command."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--trials", type=int, default=1000)
    trials = parser.parse_args(arguments).trials
    print(f"{'':46s}  trials  inside  95 % interval")
    for what, inside in rows(trials):
        share = binomtest(inside, trials).proportion_ci(0.95, "exact")
        print(
            f"{what:46s}  {trials:6d}  {inside / trials:6.3f}  {share.low:.3f} to {share.high:.3f}"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
