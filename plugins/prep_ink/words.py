"""Figures as text: never more digits than they are good for, never without their interval."""

from __future__ import annotations

from typing import TYPE_CHECKING

from prep_ink.mixing import GRAMS_PER_OUNCE

if TYPE_CHECKING:
    from prep.estimate import Estimate


def figure(value: float) -> str:
    """Write a number with two digits that count, whole from 10 on.

    >>> figure(0.0342), figure(1.449), figure(9.96), figure(43.4)
    ('0.034', '1.4', '10', '43')
    """
    if value == 0:
        return "0"
    if abs(value) >= 9.95:
        return f"{value:.0f}"
    text = f"{value:.2g}"
    return f"{value:.6f}".rstrip("0") if "e" in text else text


def between(estimate: Estimate) -> str:
    """Write an estimate: ``1.5 g (0.9 to 2.6)``."""
    unit = f" {estimate.unit}" if estimate.unit else ""
    return f"{figure(estimate.value)}{unit} ({figure(estimate.low)} to {figure(estimate.high)})".replace(
        " um", " µm"
    )


def weight(grams: float, units: str) -> str:
    """Write a weighed amount; in ounces by weight too, where the shop reads those.

    >>> weight(265, "metric"), weight(265, "inch")
    ('265 g', '265 g (9.35 oz by weight)')
    """
    text = f"{grams:g} g"
    return text if units == "metric" else f"{text} ({grams / GRAMS_PER_OUNCE:.2f} oz by weight)"


def several(names: tuple[str, ...]) -> str:
    """Write names as a list: ``a, b and c``."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
