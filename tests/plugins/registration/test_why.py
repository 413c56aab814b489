"""How targets' distances are worked out, held against those told with each screen."""

from __future__ import annotations

import pytest
from shapely import box

from prep.shop import Shop
from prep.testing import make_ask, make_job
from prep_registration import prep_sections
from prep_registration.settings import Registration
from prep_registration.why import worked_of
from prep_squeegee.answers import FrameRoom
from prep_squeegee.room import FrameSize, Limits
from tests.worked_again import check

NARROW = FrameRoom((FrameSize("low", 300.0, 185.0),), Limits(13.0, 25.0, 40.0, 40.0))


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("answers", [{}, {FrameRoom: NARROW}])
def test_distances_worked_again(units: str, answers: dict[type, object]) -> None:
    """50 high: 50 + 2 × (12 + 16 ÷ 2) = 90 apart; beside a print 110 wide in all, 150."""
    job = make_job(
        {"#111111": box(10, 20, 60, 70), "#cc2222": box(62, 20, 120, 70)},
        shop=Shop.model_validate({"units": units}),
    )
    ask = make_ask(answers)
    to_print, between = check(worked_of(job, ask), prep_sections(job, ask))
    scale = 25.4 if units == "inch" else 1.0
    assert to_print.value * scale == pytest.approx(20.0)
    assert between.value * scale == pytest.approx(150.0 if answers else 90.0)


def test_a_target_of_the_shops_own_is_told_so() -> None:
    job = make_job(
        {"#111111": box(10, 20, 60, 70), "#cc2222": box(62, 20, 120, 70)},
        tables=(Registration.model_validate({"size": "20 mm"}),),
    )
    to_print, _ = worked_of(job, make_ask({}))
    assert to_print.given["size"].status == "stated"
    assert to_print.given["distance"].status == "usual"


def test_nothing_is_told_where_none_are_cut() -> None:
    """Neither of one screen, which isn't lined up."""
    job = make_job({"#111111": box(10, 20, 60, 70)})
    assert list(prep_sections(job, make_ask({}))) == []
