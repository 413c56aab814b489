"""What the words of an order say of garments and sizes."""

from __future__ import annotations

from pathlib import Path

import pytest

from prep.garments import build_of, style_of
from prep.order import Batch, Garment, Order, Print, Style
from prep.setups import expand


@pytest.mark.parametrize(
    ("words", "build"),
    [
        ("XS|S|M|L|XL|2XL|3XL|5XL|XXL|XXXL|s/m|L-XL|medium|women's M|unisex XL|one size", "adult"),
        ("youth M|youth L|kids XL|junior|9-11 years|140|152/158 cm|12 yrs", "youth M and up"),
        ("youth XS-S|youth S|kids small|5-6 years|116|122/128|age 7", "youth XS-S"),
        ("2T|4T|toddler|18 months|6-12m|98|92/98|3 years|infant M", "toddler"),
    ],
)
def test_sizes(words: str, build: str) -> None:
    assert {size: build_of(size) for size in words.split("|")} == dict.fromkeys(
        words.split("|"), build
    )


@pytest.mark.parametrize("size", ["tent", "48", "200", "38/40", "", "large dog", "X", "朱"])
def test_sizes_nobody_knows(size: str) -> None:
    assert build_of(size) is None


def test_a_childrens_garment_makes_letters_a_childs() -> None:
    assert build_of("XS", "navy youth tee") == "youth XS-S"
    assert build_of("M", "navy youth tee") == "youth M and up"
    assert build_of("S", "toddler tee") == "toddler"
    assert build_of("M", "Kidston tee") == "adult"


@pytest.mark.parametrize(
    ("name", "fibre", "said", "style"),
    [
        ("black hoodie", "cotton", None, "hoodie"),
        ("hooded sweatshirt", "cotton", None, "hoodie"),
        ("grey sweatshirt", "cotton", None, "sweatshirt"),
        ("crew", "80/20 brushed fleece", None, "sweatshirt"),
        ("navy tee", "100 % cotton", None, "tee"),
        ("Childhood memories tee", "cotton", None, "tee"),
        ("black hoodie", "cotton", "tee", "tee"),
        ("pull", "cotton", "hoodie", "hoodie"),
    ],
)
def test_styles(name: str, fibre: str, said: Style | None, style: Style) -> None:
    assert style_of(Batch(name, "#000000", fibre, (("M", 1),), said)) == style


def test_the_orders_word_reaches_the_set_up() -> None:
    garment = Garment(name="pull", sizes={"M": 3}, style="hoodie")
    order = Order(print=(Print(artwork=Path("a.svg")),), garment=(garment,))
    (setup,) = expand(order, dark_below=50.0)
    assert [style_of(batch) for batch in setup.batches] == ["hoodie"]
