"""From grams per print to grams in the pot, and what a balance can weigh."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from prep_ink.mixing import (
    GRAMS_PER_OUNCE,
    ML_PER_US_FLUID_OUNCE,
    least_dose_g,
    prints,
    readability_for,
    round_up_g,
)


def test_prints_of_a_run():
    """Test pulls and spoilt shirts come on top; at least one is spoilt, unless none are expected."""
    assert prints(48, 4, 0.03) == 48 + 4 + 2
    assert prints(1, 0, 0.01) == 2
    assert prints(100, 0, 0.05) == 105
    assert prints(24, 0, 0) == 24
    for shirts, pulls, spoilage in ((0, 4, 0.03), (24, -1, 0.03), (24, 4, 1.5)):
        with pytest.raises(ValueError, match="can't print"):
            prints(shirts, pulls, spoilage)


def test_ounces_are_exact():
    """The avoirdupois ounce and the US fluid ounce by their legal definitions; never confused.

    250 ml at 1.06 g/ml: 265.0 g = 9.348 oz by weight, but 8.454 fluid ounces.
    """
    assert pytest.approx(453.59237 / 16, abs=1e-12) == GRAMS_PER_OUNCE
    assert pytest.approx(231 * 25.4**3 / 1000 / 128, abs=1e-10) == ML_PER_US_FLUID_OUNCE
    assert pytest.approx(9.348, abs=5e-4) == 250 * 1.06 / GRAMS_PER_OUNCE
    assert pytest.approx(8.454, abs=5e-4) == 250 / ML_PER_US_FLUID_OUNCE


@pytest.mark.parametrize(
    ("readability", "percent", "batch"), [(1, 8.2, 653), (0.1, 0.82, 65.3), (0.01, 0.082, 6.53)]
)
def test_what_a_balance_can_dose(readability, percent, batch):
    """4.99 g of an additive: error by the balance; smallest batch for 2.5 % to 5 % at two sigma.

    The rectangular rule is the guide to the expression of uncertainty's (JCGM 100), from memory.
    """
    share = readability / math.sqrt(6) / 4.99
    assert share * 100 == pytest.approx(percent, rel=0.01)
    assert least_dose_g(readability, 0.05) / 0.025 == pytest.approx(batch, rel=0.001)


def test_dose_error_against_chance():
    """Two readings rounded by a balance of 0.1 g, a hundred thousand times."""
    random = np.random.default_rng(7)
    tare, dose = random.uniform(10, 20, 100_000), random.uniform(4.5, 5.5, 100_000)
    read = np.round((tare + dose) / 0.1) * 0.1 - np.round(tare / 0.1) * 0.1
    assert np.std((read - dose) / 5) == pytest.approx(
        least_dose_g(0.1, 0.05) * 0.05 / 2 / 5, rel=0.02
    )


def test_readability_for_a_dose():
    """The coarsest balance that still doses well enough, and the next coarser one doesn't."""
    for dose in (0.3, 1.7, 5.0, 42.0):
        readability = readability_for(dose, 0.05)
        assert least_dose_g(readability, 0.05) <= dose < least_dose_g(10 * readability, 0.05)


@given(st.floats(0.01, 20_000), st.sampled_from([0.01, 0.1, 0.5, 1.0, 2.0, 5.0]))
def test_rounding_up_is_handy(amount, readability):
    """Never less than needed, never over by more than 2 % or one reading, always a whole reading."""
    rounded = round_up_g(amount, readability)
    assert rounded >= amount * (1 - 1e-9)
    assert rounded - amount <= max(0.02 * amount, readability) * (1 + 1e-9)
    assert math.isclose(rounded / readability, round(rounded / readability), abs_tol=1e-6)


def test_rounding_refuses_a_balance_that_reads_nothing():
    """A readability of 0 is not a balance."""
    with pytest.raises(ValueError, match="balance"):
        round_up_g(5, 0)
    assert round_up_g(0, 1) == 0
