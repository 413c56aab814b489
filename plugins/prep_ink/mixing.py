"""From grams per print to grams in the pot: prints, what stays behind, reserve, balance."""

from __future__ import annotations

import math

from prep.weighing import least_dose_g

ROUNDING = 0.02
"""What is rounded up is rounded by at most this share, unless the balance reads coarser."""


def prints(shirts: int, test_pulls: int, spoilage: float) -> int:
    """Give how often the screen is printed: shirts, test pulls, and shirts spoilt (at least one).

    3-6 test pulls and 2-5 % spoilage are common practice, no source.

    :param spoilage: share of the shirts, 0..1; 0 = none spoilt
    :raises ValueError: no shirts, or a negative count or share

    >>> prints(48, 4, 0.03)
    54
    """
    if shirts < 1 or test_pulls < 0 or not 0 <= spoilage <= 1:
        raise ValueError(f"can't print {shirts} shirts, {test_pulls} test pulls, {spoilage} spoilt")
    spoilt = max(1, math.ceil(shirts * spoilage - 1e-9)) if spoilage > 0 else 0
    return shirts + test_pulls + spoilt


def shirts_to_weigh(per_print_g: float, readability_g: float) -> int:
    """Give how many shirts to weigh together so that the balance tells their ink to 5 % at two sigma.

    At least three, as shirts differ.

    >>> shirts_to_weigh(1.5, 0.1), shirts_to_weigh(1.5, 1.0)
    (3, 11)
    """
    return max(3, math.ceil(least_dose_g(readability_g, 0.05) / per_print_g))


def round_up_g(amount_g: float, readability_g: float) -> float:
    """Round an amount up to a handy step the balance can show: 1, 2 or 5 times a power of ten.

    The step is at most 2 % of the amount, or the readability where that is coarser.

    >>> round_up_g(43.21, 0.1), round_up_g(43.21, 1), round_up_g(868, 1)
    (43.5, 44.0, 870.0)
    """
    if not readability_g > 0:
        raise ValueError("a balance must read something")
    if amount_g <= 0:
        return 0.0
    step = readability_g
    for power in range(-4, 6):
        for first in (1.0, 2.0, 5.0):
            handy = first * 10.0**power
            whole = handy / readability_g
            if handy <= ROUNDING * amount_g and whole >= 1 and abs(whole - round(whole)) < 1e-9:
                step = handy
    return round(float(math.ceil(amount_g / step - 1e-9) * step), 6)


def readability_for(dose_g: float, error: float) -> float:
    """Give the coarsest power of ten in grams a balance may read to dose within a relative error.

    At two sigma, the inverse of :func:`least_dose_g`.

    >>> readability_for(5.0, 0.05)
    0.1
    """
    if not dose_g > 0 or not error > 0:
        raise ValueError("dose and error must be more than 0")
    return float(10.0 ** math.floor(math.log10(dose_g * error * math.sqrt(6.0) / 2.0)))
