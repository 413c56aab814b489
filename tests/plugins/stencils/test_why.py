"""How films are worked out, held against what the sheet says of them."""

from __future__ import annotations

from typing import Any

import pytest
import shapely
from shapely import box

from prep.job import Job
from prep.shop import Shop
from prep.testing import make_ask, make_job
from prep.worked import Worked
from prep_registration import prep_marks
from prep_stencils import prep_sections
from prep_stencils.film import film_of
from prep_stencils.life import run_of
from prep_stencils.settings import Stencils
from prep_stencils.told import Told
from prep_stencils.why import worked_of
from tests.worked_again import check

NOBODY = make_ask({})
BADGE = box(0, 0, 100, 60).difference(box(20, 20, 40, 40)).difference(box(60, 20, 61, 40))


def _job(film: dict[str, object], stencils: dict[str, object], shirts: int, **shop: Any) -> Job:
    tip = shapely.Polygon([(0, 62), (30, 62), (30, 65)])
    return make_job(
        {"#1f3a5f": BADGE, "#cc2222": tip.union(box(40, 62, 100, 80))},
        shirts=shirts,
        shop=Shop.model_validate({"film": film, **shop}),
        tables=(Stencils.model_validate(stencils),),
    )


def _found(job: Job) -> dict[tuple[str, str], Worked]:
    marks = tuple(prep_marks(job, NOBODY))
    film, run = film_of(job, marks), run_of(job, NOBODY)
    assert film is not None
    films = [Told.of(job, cut, run) for cut in film.cuts]
    sections = list(prep_sections(job, marks, NOBODY))
    return {(w.name, w.of): w for w in check(worked_of(job, film, films, run), sections)}


def test_films_worked_by_hand() -> None:
    """100 × 80 with targets 28 mm above and below and 50 mm around: 200 × 236 mm, two side by side."""
    found = _found(_job({}, {}, 24))
    assert found["Film, wide", ""].with_values == (
        "rounded up (100 mm + 2 × 50 mm) = 200 mm; told as 200 × 236 mm"
    )
    assert found["Left over", ""].value == pytest.approx(100 * (1 - 400 / 500))
    weed = found["Time to weed", "screen 1"]
    assert weed.value == pytest.approx(weed.given["pieces"].value * 6 / 60)
    assert weed.given["each"].status == "guess"


@pytest.mark.parametrize(
    ("film", "stencils", "shirts", "shop"),
    [
        ({}, {"speed": "100 mm/s", "weeding_piece": "40 mm"}, 24, {"units": "inch"}),
        ({"adhesive": "removable", "margin": "30 mm"}, {"holds_pulls": 50}, 200, {}),
        ({}, {"sheet_length": "400 mm", "sharpest_corner": "60 deg"}, 24, {}),
    ],
)
def test_every_figure_is_worked_again(
    film: dict[str, object], stencils: dict[str, object], shirts: int, shop: dict[str, Any]
) -> None:
    found = _found(_job(film, stencils, shirts, **shop))
    if shirts == 200:
        assert found["Stencils", "screen 1"].given["strokes"].status == "stated"
    names = {name for name, _ in found}
    assert "Islands that may come off" in names
