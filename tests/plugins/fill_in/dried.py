"""An answer on drying whose chances are known, in the form that details are judged by."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from prep.estimate import Estimate
from prep.job import Job


@dataclass(frozen=True, slots=True)
class OneDrying:
    """Width in mm -> chance that an opening dries shut."""

    lost: Callable[[float], float]


@dataclass(frozen=True, slots=True)
class RunOf:
    """The run, by screens, and how long each lies wet."""

    by_screen: Mapping[str, OneDrying]
    wet_s: Mapping[str, Estimate]


@dataclass(frozen=True, slots=True)
class Drying:
    """Stands where the plugin's own answer would."""

    run: RunOf


def dries(job: Job, lost: Callable[[float], float], wet_h: float = 1.0) -> Drying:
    """Give the same chances and hours on all screens."""
    wet = Estimate(wet_h * 3600.0, "s", np.full(512, wet_h * 3600.0))
    return Drying(
        RunOf(
            {screen.key: OneDrying(lost) for screen in job.screens},
            {screen.key: wet for screen in job.screens},
        )
    )


def stays_open(job: Job) -> Drying:
    """Give an answer by which nothing dries."""
    return dries(job, lambda _: 0.0)


def falling(width_mm: float) -> float:
    """Give a chance that falls from 1 at nothing to 0 at 1 mm, in a straight line."""
    return max(1.0 - width_mm, 0.0)
