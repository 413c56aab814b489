"""From grams per print to grams in the pot, and what a balance can weigh."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prep.weighing import least_dose_g
from prep_ink.mixing import (
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
