"""Classes of local width, and how much area lies in each."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from prep.measures.result import AS_WIDE_MM

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from prep.measures.result import Distribution

    Floats = NDArray[np.float64]

LIMITS_MM = (0.25, 0.5, 1.0, 2.0)
"""Limits between classes of width where none are given. Our choice: each twice the one before."""


def check_classes(limits_mm: Sequence[float]) -> tuple[float, ...]:
    """Give limits between classes of width, checked.

    :raises ValueError: none at all, or not positive numbers that rise
    """
    limits = tuple(float(limit) for limit in limits_mm)
    rising = all(a < b for a, b in itertools.pairwise((0.0, *limits)))
    if not limits or not rising or not math.isfinite(limits[-1]):
        raise ValueError(f"limits of classes are {limits}: they must be positive and rise")
    return limits


def class_names(limits_mm: Sequence[float], *, corners: bool = True) -> tuple[str, ...]:
    """Name the classes by their bounds: ``under 0.25 mm``, ``0.25 to 0.5 mm``, ``2 mm and wider``.

    :param corners: the last holds corners too, and says so
    """
    last = f"{limits_mm[-1]:g} mm and wider" + (", and corners" if corners else "")
    between = (f"{a:g} to {b:g} mm" for a, b in itertools.pairwise(limits_mm))
    return (f"under {limits_mm[0]:g} mm", *between, last)


def in_classes(by_width: Distribution, values: Floats, limits_mm: Sequence[float]) -> Floats:
    """Sum what a distribution holds into classes, each with what misses its lower limit by 0.01 mm.

    A step of 0.005 mm that a limit cuts is shared evenly.

    :param values: ``by_width.area_mm2`` or ``by_width.axis_mm``, (k,)
    :param limits_mm: limits between the classes, (n,)
    :return: (n + 1,)
    """
    sums = np.concatenate([[0.0], np.cumsum(values)])
    at = np.interp(np.asarray(limits_mm, dtype=float) - AS_WIDE_MM, by_width.widths_mm, sums)
    # differences of large sums may fall below nothing by their last digits
    return np.maximum(np.diff(np.concatenate([[0.0], at, sums[-1:]])), 0.0)


def coarser(by_width: Distribution, step_mm: float = 0.05) -> Distribution:
    """Give a distribution in steps of a width, as far as its own are finer; what is wider as it was.

    A step holds what misses its lower limit by 0.01 mm, as classes do.
    """
    fine = by_width.widths_mm
    kept = np.flatnonzero(np.diff(fine, append=np.inf) >= step_mm)
    ends = fine[np.r_[kept, len(fine) - 1]]
    even = np.arange(math.ceil(ends[0] / step_mm - 1e-9)) * step_mm
    widths = np.unique(np.r_[even, ends])
    start = np.searchsorted(fine, np.maximum(widths[:-1] - AS_WIDE_MM - 1e-9, 0.0))
    parts = (by_width.area_mm2, by_width.axis_mm, by_width.unsure_mm2)
    area, axis, unsure = (np.maximum(np.add.reduceat(values, start), 0.0) for values in parts)
    return replace(by_width, widths_mm=widths, area_mm2=area, axis_mm=axis, unsure_mm2=unsure)
