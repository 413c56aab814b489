"""Ounces by weight and fluid ounces are never taken for each other."""

from __future__ import annotations

import pytest

from prep.ounces import GRAMS_PER_OUNCE, ML_PER_US_FLUID_OUNCE, reads_ounces
from prep.units import read_quantity


@pytest.mark.parametrize(
    ("text", "unit", "said"),
    [
        ("8 oz", "ml", 'that is a mass; fluid ounces are written "8 fl oz"'),
        ("8.5 oz by weight", "ml", 'that is a mass; fluid ounces are written "8.5 fl oz"'),
        ("8 ounces", "ml", 'that is a mass; fluid ounces are written "8 fl oz"'),
        ("2 fl oz", "g", 'that is a volume; ounces by weight are written "2 oz"'),
        ("2 fl. oz", "g", 'that is a volume; ounces by weight are written "2 oz"'),
        ("2 ml", "g", 'write it like "250 g"'),
    ],
)
def test_the_wrong_ounce_is_refused_with_the_right_spelling(text, unit, said):
    with pytest.raises(ValueError, match="is not of the right kind") as refused:
        read_quantity(text, unit, example="250 g")
    assert said in str(refused.value)


def test_what_is_printed_is_read_again():
    """An ounce is 28.349523125 g by definition (the international avoirdupois pound over 16)."""
    assert read_quantity("9.35 oz by weight", "g", example="8 oz") == pytest.approx(
        9.35 * 453.59237 / 16, rel=1e-11
    )


def test_ounces_are_exact():
    """The avoirdupois pound is 0.45359237 kg and has 16; 231 cubic inches are 128 US fluid ounces."""
    assert pytest.approx(453.59237 / 16, abs=1e-12) == GRAMS_PER_OUNCE
    assert pytest.approx(231 * 25.4**3 / 1000 / 128, abs=1e-10) == ML_PER_US_FLUID_OUNCE


@pytest.mark.parametrize("step", [0.001, 0.005, 0.01, 0.05, 0.1, 0.125, 0.25, 0.5, 1.0, 2.0])
def test_which_unit_a_balance_shows(step):
    """The same step in grams and in ounces."""
    assert not reads_ounces(step)
    assert reads_ounces(float(f"{step * GRAMS_PER_OUNCE:.12g}"))
