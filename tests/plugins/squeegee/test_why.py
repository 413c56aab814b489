"""How frames and squeegees are worked out, held against what the sheet says of them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from shapely import box

from prep.job import Job
from prep.shop import Shop
from prep.testing import make_ask, make_job
from prep_squeegee import prep_sections
from prep_squeegee.settings import Squeegee
from prep_squeegee.why import worked_of
from prep_stencils.answers import FilmSheets
from tests.worked_again import check

NOBODY = make_ask({})
FRAME = {"name": "large", "inside_width": "430 mm", "inside_height": "500 mm"}


def _job(*, frames: bool = True, one_film: bool = False, **more: Any) -> Job:
    """Two screens side by side, 280.4 × 300 together."""
    shop = Shop.model_validate({"frame": [FRAME] if frames else [], **more.pop("shop", {})})
    colours = {"#111111": box(0, 0, 120, 300), "#cc2222": box(180, 0, 280.4, 300)}
    job = make_job(colours, shop=shop, **more)
    if one_film:
        job = replace(job, screens=tuple(replace(s, film="one") for s in job.screens))
    return job


def test_a_frame_worked_by_hand() -> None:
    """2 × (0 + (280.4 + 26) ÷ 2 + 40) = 386.4 wide; the stroke 280.4 + 50 = 330.4, whole 330."""
    job = _job()
    found = check(worked_of(job, NOBODY), prep_sections(job, NOBODY))
    by_name = {(one.name, one.of): one for one in found}
    inside = by_name["Frame's inside, wide", "film of screen 1"]
    assert inside.with_values == (
        "2 × (80.2 mm + (120 mm + 2 × 13 mm) ÷ 2 + 40 mm) = 386.4 mm; told as 387 × 380 mm"
    )
    squeegee = by_name["Squeegee", "screen 1"]
    assert squeegee.value == 170.0
    assert by_name["Mesh longer by", "frame large"].value == pytest.approx(2 * 9 / 500, rel=1e-3)


@pytest.mark.parametrize(
    ("given", "answers"),
    [
        ({}, ()),
        ({"frames": False}, ()),
        ({"shop": {"units": "inch"}}, ()),
        ({}, (FilmSheets((), 420.0, 460.0, 460.0),)),
        ({"tables": (Squeegee.model_validate({"lengths": ["180 mm", "350 mm"]}),)}, ()),
        ({"tables": (Squeegee.model_validate({"hand_stretched": True, "to_frame": "50 mm"}),)}, ()),
        ({"tables": (Squeegee.model_validate({"off_contact": "2 mm"}),)}, ()),
        ({"one_film": True}, ()),
    ],
)
def test_every_figure_is_worked_again(given: dict[str, Any], answers: tuple[object, ...]) -> None:
    job, ask = _job(**given), make_ask({type(a): a for a in answers})
    check(worked_of(job, ask), prep_sections(job, ask))


def test_a_setting_of_the_shop_is_told_as_stated() -> None:
    job = _job(tables=(Squeegee.model_validate({"to_frame": "50 mm"}),))
    inside = next(iter(worked_of(job, NOBODY)))
    room = inside.given["to_frame"]
    assert (room.status, room.source) == ("stated", "squeegee.to_frame in shop.toml")
    assert inside.given["over"].source.startswith("two suppliers' advice")
