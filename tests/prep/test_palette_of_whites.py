"""Colours near white on dark shirts: the white stays, for it can be printed under the others."""

from __future__ import annotations

import dataclasses
from pathlib import Path

from shapely import box

from prep.line import open_line
from prep.order import ColourChoice
from prep.palette import decide
from prep.request import Request
from prep.shop import Ink, Shop
from prep.testing import make_job

WHITE, NEARLY, RED = "#ffffff", "#fefefe", "#c0392b"
DRAWN = {WHITE: box(0, 0, 5, 5), NEARLY: box(5, 0, 25, 25)}
DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50">'
    f'<rect width="20" height="50" fill="{WHITE}"/>'
    f'<rect x="20" width="40" height="50" fill="{NEARLY}"/>'
    f'<rect x="60" width="40" height="50" fill="{RED}"/></svg>'
)


def advised(shade: str, shop: Shop | None = None) -> str:
    job = make_job(DRAWN, garment="#c0392b", shade=shade, shop=shop)  # type: ignore[arg-type]  # as given
    (note,) = decide(job.separations, job.order, job.setup, job.shop, "test.svg").notes
    return note.rpartition("--set ")[2]


def test_on_dark_shirts_others_join_the_white_however_little_it_prints() -> None:
    """White, 25 mm², stays; on light shirts the smaller area joins the larger."""
    assert advised("dark") == f"'colour.{NEARLY}.print_as={WHITE}'."
    assert advised("light") == f"'colour.{WHITE}.print_as={NEARLY}'."


def test_the_shops_list_says_which_is_white() -> None:
    """An opaque white that isn't pure white stays; a transparent one needn't."""
    for nearly, white, target in (
        ("opaque white", "opaque colour", NEARLY),
        ("transparent colour", "opaque white", WHITE),
    ):
        inks = (
            Ink.model_validate({"name": "one", "hex": NEARLY, "kind": nearly}),
            Ink.model_validate({"name": "two", "hex": WHITE, "kind": white}),
        )
        assert advised("dark", Shop(inks=inks)).endswith(f"print_as={target}'.")


def test_of_colours_of_one_ink_the_white_stays() -> None:
    """Both are printed with snow, of which the shop's list says nothing; the other is drawn first."""
    job = make_job({RED: box(0, 0, 9, 9), WHITE: box(9, 0, 18, 9)}, garment="#101010", shade="dark")
    snow = tuple(ColourChoice.model_validate({"hex": c, "ink": "snow"}) for c in (RED, WHITE))
    setup = dataclasses.replace(job.setup, colours=snow)
    (note,) = decide(job.separations, job.order, setup, job.shop, "test.svg").notes
    assert note.endswith(f"'colour.{RED}.print_as={WHITE}'.")


def test_the_advice_saves_a_screen(tmp_path: Path) -> None:
    """With the base of white: three screens before, two after; the other way round none is saved."""
    drawing = tmp_path / "a.svg"
    drawing.write_text(DRAWING)

    def screens(*sets: str) -> int:
        with open_line(Request(drawing, width="100 mm", garment="black", sets=sets)) as line:
            (setup,) = line.setups
            return len(line.job(setup).screens)

    assert screens() == 3
    assert screens(f"colour.{NEARLY}.print_as={WHITE}") == 2
    assert screens(f"colour.{WHITE}.print_as={NEARLY}") == 3
