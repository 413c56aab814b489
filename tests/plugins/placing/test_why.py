"""How distances are worked out, held against those the placing guide states."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from prep.job import Job
from prep.testing import make_ask
from prep.worked import Worked
from prep_placing import prep_sections
from prep_placing.settings import PlacingShop
from prep_placing.spots import guide_of
from prep_placing.why import worked_of
from prep_registration import prep_marks
from prep_squeegee.answers import Pull, Pulls
from tests.worked_again import check

MakePlaced = Callable[..., Job]
PULL = Pull("#1", "large", (460.0, 560.0), (1.0, 1.0), 330.0, 75.0, (70, 70), 3.0, None)
PLATEN = {"press": {"platen_width": "380 mm", "platen_height": "480 mm"}}


def _found(job: Job, *answers: object, marks: bool = True) -> dict[tuple[str, str], Worked]:
    ask = make_ask({type(answer): answer for answer in answers})
    marked = tuple(prep_marks(job, ask)) if marks else ()
    guide = guide_of(job)
    assert guide is not None
    sections = list(prep_sections(job, marked, ask))
    return {(w.name, w.of): w for w in check(worked_of(job, guide, marked, ask), sections)}


def test_distances_worked_by_hand(make_placed: MakePlaced) -> None:
    """280 × 300 in 460 × 560 leaves 90 beside; on 380 × 480, from 75 at the collar, 105 at the end."""
    found = _found(make_placed(shop=PLATEN), Pulls((PULL,)), marks=False)
    frame = found["Frame's inside, beside", "frame large"]
    assert frame.with_values == "(460 mm − 280 mm) ÷ 2 = 90 mm; told as 90 mm beside"
    assert found["Platen's edge, other end", "tee, M"].value == 105.0
    size = found["Print", ""]
    assert (size.value, size.said) == (280.0, "280 mm × 300 mm")
    assert "280 mm × 300 mm, where the whole drawing is" in size.with_values
    assert found["From the seam", "tee, M"].given["away"].status == "common practice"


@pytest.mark.parametrize(
    ("given", "shop"),
    [
        ({}, PLATEN),
        ({"place": "left chest", "width": 90.0, "height": 90.0}, PLATEN),
        ({"place": "left chest", "width": 90.0, "height": 90.0}, {**PLATEN, "units": "inch"}),
        ({"place": "sleeve", "width": 60.0, "height": 80.0}, {}),
        ({"place": "back", "garments": (("hoodie", "M|youth M"),)}, PLATEN),
        ({"garments": (("hoodie", "M|youth S"), ("tee", "L|2T"))}, PLATEN),
        ({"width": 400.0, "height": 520.0}, PLATEN),
    ],
)
def test_every_distance_is_worked_again(
    make_placed: MakePlaced, given: dict[str, Any], shop: dict[str, Any]
) -> None:
    _found(make_placed(shop=shop, **given), Pulls((PULL,)))


def test_the_shops_own_distance_is_told_as_stated(make_placed: MakePlaced) -> None:
    own = PlacingShop.model_validate({"front": {"adult": {"away": "80 mm"}}})
    away = _found(make_placed(tables=[own]))["From the seam", "tee, M"].given["away"]
    assert (away.status, away.source) == ("stated", "placing.front in shop.toml")
