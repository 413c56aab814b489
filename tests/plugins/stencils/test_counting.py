"""Tiny screens, and more screens than the press takes."""

from __future__ import annotations

import pytest
from shapely import box

from prep.findings import Finding
from prep.shop import Press, Shop
from prep.testing import make_job
from prep_stencils.counting import findings_of_screens

INKS = ("#101010", "#d9472f", "#2f7bd9", "#37a34a", "#f2b632", "#7a3fa0", "#1c9c98")


def _found(sides_mm: tuple[float, ...], shop: Shop | None = None) -> list[Finding]:
    """Judge squares of these sides, each a screen."""
    squares = {
        ink: box(20 * i, 0, 20 * i + side, side)
        for i, (ink, side) in enumerate(zip(INKS, sides_mm, strict=False))
    }
    return list(findings_of_screens(make_job(squares, shop=shop)))


def test_tiny_screens_are_told_together_with_a_way_out() -> None:
    """0.4 mm square is 0.0016 cm²: never told as 0.00."""
    (finding,) = _found((10.0, 0.4, 3.0))
    assert (finding.kind, finding.severity) == ("screen for next to nothing", "note")
    assert finding.count == 2
    assert finding.what == (
        "2 screens print less than 0.25 cm² each: screen 2, #d9472f (under 0.01 cm²),"
        " screen 3, #2f7bd9 (0.09 cm²)."
    )
    assert "--set 'colour.#d9472f.print_as=#101010'" in finding.do
    assert "--set 'colour.#d9472f.printed=false'" in finding.do
    assert finding.at_mm == pytest.approx((20.2, 0.2))


def test_how_tiny_is_the_shops_to_say() -> None:
    """A square of 3 mm is 9 mm²."""
    assert _found((10.0, 3.0), Shop.model_validate({"tiny_screen": "8 mm2"})) == []
    assert len(_found((10.0, 3.0), Shop.model_validate({"tiny_screen": "10 mm2"}))) == 1
    (alone,) = _found((3.0,))
    assert "print_as" not in alone.do


def test_more_screens_than_the_press_holds() -> None:
    """Stated stations decide; else most_screens, 6 when nobody says."""
    assert _found((10.0,) * 6) == []
    (many,) = _found((10.0,) * 7)
    assert (many.kind, many.severity) == ("many screens", "at risk")
    assert many.what == "7 screens are to be printed, more than 6 (most_screens in shop.toml)."
    assert _found((10.0,) * 7, Shop(most_screens=7)) == []
    assert _found((10.0,) * 4, Shop(press=Press(stations=4))) == []
    (more,) = _found((10.0,) * 5, Shop(press=Press(stations=4)))
    assert more.what == "5 screens are to be printed, and the press holds 4 screens at a time."
