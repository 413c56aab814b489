"""Inks that a setting names: of the shop's list, of the screens, of another set-up, or of nobody."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from shapely import box

from prep.named_inks import kind_of_named
from prep.order import ColourChoice, Print
from prep.shop import Ink, Shop
from prep.testing import make_job


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("mist", "transparent colour"),  # listed
        ("deep", "opaque colour"),  # on a screen, not listed
        ("fire", "opaque colour"),  # of another set-up
        ("snow", "opaque white"),
        ("#f2c14e", "opaque colour"),  # without a name
        ("#ffffff", "opaque white"),
        ("cobalt", None),
    ],
)
def test_an_ink_is_known_to_every_set_up_of_its_order(name: str, kind: str | None) -> None:
    colours = (ColourChoice(hex="#d9472f", ink="fire"), ColourChoice(hex="#ffffff", ink="snow"))
    shop = Shop(inks=(Ink(name="mist", kind="transparent colour"),))
    job = make_job({"#1f3a5f": box(0, 0, 9, 9)}, inks={"#1f3a5f": "deep"}, shop=shop)
    back = Print(artwork=Path("back.svg"), place="back", colour=colours)
    order = job.order.model_copy(update={"print": (*job.order.print, back)})
    assert kind_of_named(replace(job, order=order), name) == kind
