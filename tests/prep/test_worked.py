"""Figures that tell how they are worked out."""

from __future__ import annotations

import pytest

from prep.estimate import Parameter
from prep.sections import Paragraph, Table
from prep.tables import Table as Settings
from prep.testing import reckoned
from prep.worked import (
    Given,
    Worked,
    in_units,
    length_given,
    parameter_given,
    section_of,
    standing,
)

SHIRTS = Given("shirts", 48.0, "", "from the order")
LINE_UP = Given("lining up one screen", 900.0, "s", "guess", "take the time of one", 420.0, 1800.0)


def worked(formula: str, value: float, **given: Given) -> Worked:
    return Worked("Hours", formula, given, value, "h")


def test_words_and_numbers_are_of_one_formula() -> None:
    one = worked("{shirts} × {line_up} ÷ 3600", 12.0, shirts=SHIRTS, line_up=LINE_UP)
    assert one.in_words == "[shirts] × [lining up one screen] ÷ 3600"
    assert one.with_values == "48 × 900 s ÷ 3600 = 12 h"
    assert reckoned(one) == 12.0


def test_formulas_are_told_as_they_stand() -> None:
    """Words in their brackets are values, though a table of settings may be called so."""
    one = worked("{shirts} × {line_up} ÷ 3600", 12.0, shirts=SHIRTS, line_up=LINE_UP)
    formulas, here, goes_in = section_of("How", [one]).blocks
    assert isinstance(formulas, Table)
    assert isinstance(here, Table)
    assert isinstance(goes_in, Table)
    assert (formulas.literal, here.literal, goes_in.literal) == ((0, 1), (0, 1), ())


def test_a_rounded_figure_is_told_both_ways() -> None:
    one = Worked("Inside", "{mm} + 0.2", {"mm": SHIRTS}, 48.2, "mm", said="49 mm")
    assert one.with_values == "48 + 0.2 = 48.2 mm; told as 49 mm"
    same = Worked("Inside", "{mm} + 1", {"mm": SHIRTS}, 49.0, "mm", said="49 mm")
    assert same.with_values == "48 + 1 = 49 mm"


@pytest.mark.parametrize(
    ("formula", "value"),
    [
        ("2 × ({a} + {b} ÷ 2)", 16.0),
        ("larger of ({a}; {b}; 3)", 5.0),
        ("smaller of ({a}; {b})", 3.0),
        ("whole part of ({a} ÷ 3) + rounded up ({a} ÷ 3)", 3.0),
        ("√(4 × 4 + {b} × {b}) − {a}", 0.0),
        ("−{a} + 1", -4.0),
    ],
)
def test_arithmetic_is_worked_again(formula: str, value: float) -> None:
    a = Given("a", 5.0, "mm", "stated")
    used = {"b": Given("b", 3.0, "mm", "stated")} if "{b}" in formula else {}
    if formula.startswith("2 ×"):
        used = {"b": Given("b", 6.0, "mm", "stated")}
    assert reckoned(worked(formula, value, a=a, **used)) == pytest.approx(value)


def test_a_negative_value_is_worked_with() -> None:
    assert reckoned(worked("4 − {a}", 6.0, a=Given("a", -2.0, "mm", "stated"))) == 6.0


@pytest.mark.parametrize("formula", ["{a} metres", "open({a})", "{a} ** 2", "larger({a}, *{a})"])
def test_what_is_no_arithmetic_is_refused(formula: str) -> None:
    with pytest.raises(ValueError, match="no arithmetic"):
        reckoned(worked(formula, 1.0, a=SHIRTS))


def test_a_counted_figure_shows_no_sum() -> None:
    one = Worked("Cuts", "counted along the outlines", {}, 7.0, "", counted=True)
    assert one.with_values == "7"
    near = Worked("Cuts", "counted on {n}", {"n": SHIRTS}, 7.0, "", "seven", counted=True)
    assert near.with_values == "seven: counted on 48"
    with pytest.raises(ValueError, match="counted"):
        reckoned(one)


def test_formula_and_values_must_fit() -> None:
    with pytest.raises(ValueError, match="line_up"):
        worked("{shirts} × 2", 96.0, shirts=SHIRTS, line_up=LINE_UP)
    with pytest.raises(ValueError, match="shirts"):
        worked("{shirts} × 2", 96.0)


def test_a_setting_is_stated_where_it_is_another() -> None:
    class Shop(Settings):
        to_frame_mm: float = 40.0

    def told(shop: Shop) -> tuple[str, str]:
        where = "squeegee.to_frame in shop.toml"
        return standing(shop, "to_frame_mm", where, "common practice", "no source")

    assert told(Shop()) == ("common practice", "no source")
    assert told(Shop(to_frame_mm=50.0)) == ("stated", "squeegee.to_frame in shop.toml")


def test_lengths_are_in_the_shops_units() -> None:
    assert length_given("wide", 50.8, "inch", "stated").text == "2 in"
    assert length_given("wide", 50.8, "metric", "stated").text == "50.8 mm"
    assert in_units(25.4, "inch") == (1.0, "in")
    assert in_units(25.4, "metric") == (25.4, "mm")


def test_a_section_tells_each_formula_and_value_once() -> None:
    """Two screens worked alike: one formula, two lines of numbers, and the two values together."""
    parameter = Parameter("plan.x", 900.0, 420.0, 1800.0, "s", "take the time of one", "guess")
    line_up = parameter_given("lining up one screen", parameter)
    made = [
        Worked("Hours", "{n} × {t} ÷ 3600", {"n": n, "t": line_up}, n.value / 4, "h", of=of)
        for n, of in (
            (Given("films", 2.0, "", "from the artwork"), "part 1"),
            (Given("films", 3.0, "", "from the artwork"), "part 2"),
        )
    ]
    section = section_of("How hours are worked out", made, "Hours are likeliest ones.")
    assert (section.chapter, section.rank) == ("why", 92)
    said, formulas, here, values = section.blocks
    assert said == Paragraph("Hours are likeliest ones.")
    assert isinstance(formulas, Table)
    assert isinstance(here, Table)
    assert isinstance(values, Table)
    assert [row[1] for row in formulas.rows] == ["[films] × [lining up one screen] ÷ 3600"]
    assert here.rows == (
        ("Hours, part 1", "2 × 900 s ÷ 3600 = 0.5 h"),
        ("Hours, part 2", "3 × 900 s ÷ 3600 = 0.75 h"),
    )
    assert values.rows == (
        ("films", "2; 3", "from the artwork", ""),
        ("lining up one screen", "900 (420 to 1800) s", "guess", "take the time of one"),
    )
