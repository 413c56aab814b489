"""How limits of details are worked out, held against what the sheet says of them."""

from __future__ import annotations

from typing import Any

import pytest
import shapely
from shapely import box

from prep.cloth import figures
from prep.job import Ask, Job
from prep.shop import Shop
from prep.testing import make_ask, make_job
from prep.worked import Worked
from prep_fill_in.settings import FillIn
from prep_fill_in.why import worked_of
from prep_ink.answers import MeshOnScreens
from tests.plugins.fill_in.asking import judged_by, prep_sections
from tests.plugins.fill_in.dried import Drying, stays_open
from tests.worked_again import check

SLOTS = shapely.union_all(
    [box(10, 10 + 8 * i, 90, 10 + 8 * i + w) for i, w in enumerate((0.3, 0.6, 0.8))]
)
MEASURED = {
    "at_risk_below": "1.2 mm",
    "fails_below": "0.9 mm",
    "measured_on": "2026-03-01",
    "n": 40,
}


def _asked(job: Job, *, known: bool = True) -> Ask:
    mesh = MeshOnScreens({screen.key: figures("43-80", 43, 80) for screen in job.screens})
    return make_ask({MeshOnScreens: mesh, Drying: stays_open(job)} if known else {})


def _found(
    shop: dict[str, Any], fill_in: dict[str, Any], *, known: bool = True, **job: Any
) -> dict[str, Worked]:
    made = make_job(
        {"#1f3a5f": SLOTS, "#cc2222": box(10, 50, 90, 60)},
        size_mm=(100.0, 100.0),
        shop=Shop.model_validate(shop),
        tables=(FillIn.model_validate(fill_in),),
        **job,
    )
    ask = _asked(made, known=known)
    sections = list(prep_sections(job=made, findings=(), ask=ask))
    found = check(worked_of(made, judged_by(made, ask).screens), sections)
    assert len({(one.name, one.of) for one in found}) == len(found)
    return {one.name: one for one in found}


def test_limits_worked_by_hand() -> None:
    """43 threads a cm of 80 µm: pitch 232.56 µm, opening 152.56; two pitches 0.465 mm."""
    found = _found({}, {}, shirts=100)
    strip = found["Film strip between openings that stays down: at risk below"]
    assert (strip.value, strip.of) == (1.5, "screens 1, 2")
    assert strip.holds.startswith("For a long run (107 pulls")
    assert found["Mesh 43-80: at risk below"].value == pytest.approx(2 * 10 / 43)
    assert found["Mesh 43-80: fails below"].value == pytest.approx(10 / 43 - 0.08 + 0.16)
    assert found["Unprinted gap that stays open on the fabric: at risk below"].value >= 1.0


@pytest.mark.parametrize(
    ("shop", "fill_in", "known"),
    [
        ({"units": "inch"}, {}, True),
        ({"units": "inch"}, {"strip": "0.7 mm", "gap": "0.5 mm", "gain": "0.12 mm"}, True),
        ({"film": {"thickness": "60 um"}}, {"gap": MEASURED, "island_area": "3 mm2"}, True),
        ({"press": {"scatter": "0.2 mm"}}, {"gap": "0.7 mm"}, False),
    ],
)
def test_every_limit_is_worked_again(
    shop: dict[str, Any], fill_in: dict[str, Any], known: bool
) -> None:
    found = _found(shop, fill_in, known=known, shirts=12)
    assert ("Mesh 43-80: fails below" in found) == known
    gap = found["Unprinted gap that stays open on the fabric: at risk below"]
    if fill_in.get("gap") is MEASURED:
        assert gap.given["own"].status == "measured here"
        assert found["Area of a film island that stays down: fails below"].value == pytest.approx(
            3 * 2.25 / 4
        )
    elif "gap" in fill_in:
        assert gap.given["own"].status == "stated"
