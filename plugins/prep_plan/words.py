"""Times, chances and shirts as words."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from prep.estimate import Estimate

Range = tuple[float, float, float]
"""10, 50 and 90 % points."""


def chance(share: float) -> str:
    """Write a chance reckoned by draws as something to go by, in steps of a tenth between.

    >>> [chance(share) for share in (0.0, 0.02, 0.27, 0.5, 0.96, 1.0)]
    ['hardly ever', 'hardly ever', '3 in 10', '5 in 10', 'nearly always', 'nearly always']
    """
    tenths = round(10 * share)
    if share < 0.05 or tenths == 0:
        return "hardly ever"
    return "nearly always" if share >= 0.95 or tenths == 10 else f"{tenths} in 10"


def minutes(low_s: float, high_s: float) -> str:
    """Write a range of times, in seconds under two minutes and in hours from two on.

    >>> minutes(30, 100), minutes(90, 1270), minutes(3600, 9000), minutes(0, 40)
    ('30 to 100 s', '2 to 21 min', '1.0 to 2.5 h', 'under 40 s')
    """
    if high_s < 120:
        low, high, unit = round(low_s / 5) * 5, max(5, round(high_s / 5) * 5), "s"
    elif high_s < 7200:
        low, high, unit = round(low_s / 60), round(high_s / 60), "min"
    else:
        return f"{low_s / 3600:.1f} to {high_s / 3600:.1f} h"
    if low <= 0:
        return f"under {high} {unit}"
    return f"{high} {unit}" if low == high else f"{low} to {high} {unit}"


def at_most_minutes(limit_s: float) -> str:
    """Write a time that mustn't be passed, rounded down.

    >>> at_most_minutes(212), at_most_minutes(97), at_most_minutes(3)
    ('3 min', '95 s', '3 s')
    """
    if limit_s >= 120:
        return f"{math.floor(limit_s / 60)} min"
    return f"{math.floor(limit_s / 5) * 5 if limit_s >= 5 else math.floor(limit_s)} s"


def hours(estimate: Estimate) -> str:
    """Write hours with their range, to a tenth, or to a hundredth under half an hour, or in minutes.

    The value stands first: ``1.8 h (1.3 to 2.6)``, ``2 min (1 to 4)``.
    """
    if estimate.high < 0.1:
        value, low, high = (
            f"{60.0 * end:.0f}" for end in (estimate.value, estimate.low, estimate.high)
        )
        return "under 1 min" if high == "0" else f"{value} min ({low} to {high})"
    digits = 1 if estimate.value >= 0.5 else 2
    return (
        f"{estimate.value:.{digits}f} h ({estimate.low:.{digits}f} to {estimate.high:.{digits}f})"
    )


def shirts(of: Range) -> str:
    """Write between which shirts something comes; the first stands for a test pull as well.

    >>> shirts((3.0, 8.4, 20.0)), shirts((7.0, 7.0, 7.0)), shirts((0.0, 0.0, 0.0))
    ('shirt 3 to 20', 'shirt 7', 'the test pulls')
    """
    low, high = (round(end) for end in (of[0], of[2]))
    if high <= 0:
        return "the test pulls"
    if low <= 0:
        return f"the test pulls to shirt {high}"
    return f"shirt {low}" if low == high else f"shirt {low} to {high}"


def listed(numbers: tuple[int, ...]) -> str:
    """Write rising numbers of shirts; of many the first, the step and the last.

    >>> listed((7, 17)), listed((7,)), listed(tuple(range(7, 100, 10)))
    ('7 and 17', '7', '7, 17, 27 and so on every 10 to 97')
    >>> listed(tuple(range(1, 32)))
    '1, 2, 3 and so on to 31'
    """
    if len(numbers) > 5:
        first = ", ".join(map(str, numbers[:3]))
        step = numbers[1] - numbers[0]
        return f"{first} and so on{'' if step == 1 else f' every {step}'} to {numbers[-1]}"
    *before, last = map(str, numbers)
    return f"{', '.join(before)} and {last}" if before else last


def decimals(grams_: float, step_g: float) -> int:
    """Give the digits behind the point that an amount is told with: as a balance shows it, at most one.

    >>> decimals(1.6, 0.1), decimals(1.6, 1.0), decimals(12.0, 0.1)
    (1, 0, 0)
    """
    return 0 if grams_ >= 9.5 or step_g > 0.5 else 1


def grams(of: Range, step_g: float = 0.1) -> str:
    """Write grams as a likely amount with its range, no finer than the balance shows.

    >>> grams((42.7, 69.8, 103.8)), grams((0.4, 0.62, 1.3)), grams((0.4, 0.62, 1.3), 1.0)
    ('70 g (43 to 104)', '0.6 g (0.4 to 1.3)', '1 g (0 to 1)')
    """
    digits = decimals(of[1], step_g)
    return f"{of[1]:.{digits}f} g ({of[0]:.{digits}f} to {of[2]:.{digits}f})"


def points(share: float) -> int:
    """Give a difference of chances in whole points."""
    return round(100 * share)


def gained(share: float) -> str:
    """Write what a chance gains.

    >>> [gained(share) for share in (0.004, 0.01, 0.27, -0.02)]
    ['nothing', '1 point', '27 points', '-2 points']
    """
    whole = points(share)
    if whole == 0:
        return "nothing"
    return f"{whole} point" if abs(whole) == 1 else f"{whole} points"
