"""An answer on drying whose chances are known, in the form that details are judged by."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from prep.job import Job

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class OneDrying:
    """Widths in mm (N,) -> chance (N,) that an opening dries shut."""

    lost: Callable[[Floats], Floats]


@dataclass(frozen=True, slots=True)
class Drying:
    """Stands where the plugin's own answer would."""

    by_screen: Mapping[str, OneDrying]


def dries(job: Job, lost: Callable[[Floats], Floats]) -> Drying:
    """Give the same chances on all screens."""
    return Drying({screen.key: OneDrying(lost) for screen in job.screens})


def stays_open(job: Job) -> Drying:
    """Give an answer by which nothing dries."""
    return dries(job, np.zeros_like)


def falling(width_mm: Floats) -> Floats:
    """Give a chance that falls from 1 at nothing to 0 at 1 mm, in a straight line."""
    return np.clip(1.0 - width_mm, 0.0, 1.0)
