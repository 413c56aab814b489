"""Tiny screens, and more screens than the press takes."""

from __future__ import annotations

import dataclasses

import pytest
from shapely import box

from prep.colour_difference import difference
from prep.findings import Finding
from prep.order import Batch, ColourChoice
from prep.shop import Press, Shop
from prep.testing import make_job
from prep_stencils.counting import findings_of_screens

BLACK_TEE = Batch("black tee", "#000000", "100 % cotton", (("M", 4),))
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


def test_many_screens_are_told_unless_the_shop_says_how_many_its_press_holds() -> None:
    """More than most_screens, 6 when nobody says; what more than a press holds come to stands elsewhere."""
    assert _found((10.0,) * 6) == []
    (many,) = _found((10.0,) * 7)
    assert (many.kind, many.severity) == ("many screens", "at risk")
    assert many.what == "7 screens are to be printed, more than 6 (most_screens in shop.toml)."
    assert _found((10.0,) * 7, Shop(most_screens=7)) == []
    assert _found((10.0,) * 7, Shop(press=Press(stations=4))) == []
    job = make_job(
        {"#101010": box(0, 0, 9, 9), "#d9472f": box(20, 0, 29, 9)}, shop=Shop(most_screens=1)
    )
    shared = tuple(dataclasses.replace(screen, film="both") for screen in job.screens)
    assert [f.kind for f in findings_of_screens(job)] == ["many screens"]
    assert list(findings_of_screens(dataclasses.replace(job, screens=shared))) == []


def test_a_colour_hardly_told_from_the_shirt_is_noted() -> None:
    """#1d2b50 on #1d2b4f differs by 0.28; printed on request, or far from one shirt, it is no matter."""
    job = make_job({"#1d2b50": box(0, 0, 9, 9), "#f2b632": box(20, 0, 29, 9)}, garment="#1d2b4f")
    (finding,) = findings_of_screens(job)
    assert (finding.severity, finding.kind) == ("note", "colour near the shirt's own")
    assert (finding.colour, finding.at_mm) == ("#1d2b50", (4.5, 4.5))
    assert finding.screen is None  # so that it stands on the first page
    apart = difference("#1d2b50", "#1d2b4f")
    assert f"differs from the shirt's #1d2b4f by {apart:.2f} CIEDE2000." in finding.what
    assert "--set 'colour.#1d2b50.printed=false'" in finding.do
    asked = ColourChoice.model_validate({"hex": "#1d2b50", "printed": True})
    for changed in (
        {"order": job.order.model_copy(update={"bare_shirt": False})},
        {"order": job.order.model_copy(update={"near_equal": 0.1})},
        {"setup": dataclasses.replace(job.setup, colours=(asked,))},
        {"setup": dataclasses.replace(job.setup, batches=(*job.setup.batches, BLACK_TEE))},
    ):
        assert not list(findings_of_screens(dataclasses.replace(job, **changed)))
