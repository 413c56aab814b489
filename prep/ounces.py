"""Ounces: of mass and of volume, and which of the two units a balance shows."""

from __future__ import annotations

GRAMS_PER_OUNCE = 28.349523125
"""Exact: the international avoirdupois ounce, a sixteenth of a pound of 0.45359237 kg."""
ML_PER_US_FLUID_OUNCE = 29.5735295625
"""Exact: 231 cubic inches to the US gallon of 128 fluid ounces. A measure of volume, not of mass."""

_DIGITS = 3
"""A balance's step has no more digits than these, and no more places than :data:`_PLACES`."""
_PLACES = 3


def reads_ounces(readability_g: float) -> bool:
    """Say whether a balance shows ounces: its step is a plain figure in ounces.

    One that is plain in grams never is: 28.349523125 has more digits than a step.

    >>> [reads_ounces(step) for step in (0.1, 1.0, 2.8349523125, 0.28349523125, 3.543690390625)]
    [False, False, True, True, True]
    """
    return _plain(readability_g / GRAMS_PER_OUNCE)


def _plain(step: float) -> bool:
    said = float(f"{step:.{_DIGITS}g}")
    return abs(said - step) < 1e-9 * step and said == round(said, _PLACES)
