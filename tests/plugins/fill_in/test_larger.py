"""The print width at which all passes, room beside details, and what is lost: against figures by hand."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Point, affinity, box
from shapely.geometry.base import BaseGeometry

from prep.job import Job
from prep.measures import Measures, measure
from prep.testing import as_multipolygon, make_ask, make_job
from prep_fill_in import wording
from prep_fill_in.asked import Asked
from prep_fill_in.beside import beside_mm
from prep_fill_in.details import Judgement, judge_screen
from prep_fill_in.larger import ROUNDS, at_size, confirmed, needed
from prep_fill_in.lost import lost_of
from prep_fill_in.settings import FillIn
from tests.plugins.fill_in.asking import prep_findings
from tests.plugins.fill_in.dried import Drying, stays_open

INK = "#1f3a5f"


def _job(region: BaseGeometry, **more: object) -> Job:
    more = {"shirts": 20, "size_mm": (100.0, 100.0)} | more
    return make_job({INK: region}, **more)  # type: ignore[arg-type]  # passed on as given


def _judged(region: BaseGeometry) -> Judgement:
    job = _job(region)
    return judge_screen(job, job.screens[0], Asked())


def _slot(width: float) -> BaseGeometry:
    return box(20, 20, 60, 20 + width)


def test_a_width_is_confirmed_by_one_run_of_every_screen() -> None:
    """0.8 mm passes at 1 mm: 1.25 times; the run measures the slot at 1 mm and finds nothing."""
    measured: list[float] = []

    def counted(region: MultiPolygon) -> Measures:
        measured.append(region.bounds[3] - region.bounds[1])
        return measure(region)

    judged = [_judged(_slot(0.8)), _judged(_slot(0.9))]
    found = confirmed(judged, lambda _: True, lambda times: times, counted, passes=True)
    assert found.times == pytest.approx(1.25)
    assert measured == pytest.approx([1.0, 1.125])
    assert (found.runs, found.holds, found.at_risk, found.fails) == (1, True, 0, 0)


def test_what_a_run_still_finds_is_solved_again() -> None:
    """A measure that shows everything 3 % smaller asks for that much more, once or until rounds end."""

    def small(region: MultiPolygon) -> Measures:
        return measure(affinity.scale(region, 0.97, 0.97, origin=(0, 0)))

    judged = [_judged(_slot(0.8))]
    found = confirmed(judged, lambda _: True, lambda times: times, small, passes=True)
    assert (found.runs, found.holds) == (2, True)
    assert found.times == pytest.approx(1.25 / 0.97, rel=2e-3)
    shrinking = [1.0]

    def ever_smaller(region: MultiPolygon) -> Measures:
        shrinking[0] *= 0.9
        return measure(affinity.scale(region, shrinking[0], shrinking[0], origin=(0, 0)))

    found = confirmed(judged, lambda _: True, lambda times: times, ever_smaller, passes=True)
    assert (found.runs, found.holds, found.at_risk) == (ROUNDS, False, 1)


def test_what_can_not_be_made_is_not_run() -> None:
    judged = [_judged(_slot(0.8))]
    found = confirmed(
        judged,
        lambda times: times < 1.26,
        lambda t: t,
        lambda r: measure(affinity.scale(r, 0.9, 0.9)),
        passes=True,
    )
    assert (found.runs, found.holds) == (1, False)


@pytest.mark.parametrize("times", [0.7, 1.3])
def test_a_screen_at_another_size_is_judged_as_if_drawn_so(times: float) -> None:
    region = shapely.union_all(
        [_slot(0.8), box(20, 30, 40, 50).difference(Point(30, 40).buffer(0.8))]
    )
    scaled = at_size(_judged(region), times, measure)
    drawn = _judged(affinity.scale(region, times, times, origin=(0, 0)))
    for one, other in zip(scaled.details, drawn.details, strict=True):
        np.testing.assert_array_equal(one.judged.level, other.judged.level)
    assert needed([scaled], passes=True) == pytest.approx(needed([drawn], passes=True))


def test_the_finding_names_the_width_and_that_it_was_confirmed() -> None:
    job = _job(_slot(0.8))
    ask = make_ask({Drying: stays_open(job)})
    (said,) = (f for f in prep_findings(job=job, marks=(), ask=ask) if f.kind == wording.LARGER)
    assert said.severity == "note"
    assert said.what == "Every narrow place passes from a print width of 125.0 mm on."
    assert said.why == (
        "It is 100.0 mm wide now. At 125.0 mm every screen was measured and judged again. There bases,"
        " traps and drying are as reckoned for the present size."
    )
    assert said.do == (
        "Print it 125.0 mm wide if garments and customer allow, and check again at that width."
    )
    off = _job(_slot(0.8), tables=[FillIn(confirm_width=False)])
    (bare,) = (f for f in prep_findings(job=off, marks=(), ask=ask) if f.kind == wording.LARGER)
    assert "not confirmed" in bare.why


def test_only_the_width_that_was_run_is_credited_with_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """0.45 mm no longer fails at 0.5 mm, 1.112 times, and passes at 0.6 mm, 1.334 times: that is run."""
    heights: list[float] = []

    def counted(region: MultiPolygon) -> Measures:
        heights.append(region.bounds[3] - region.bounds[1])
        return measure(region)

    monkeypatch.setattr("prep_fill_in.trouble.measure_narrow", counted)
    own = {"weeding": {"at_risk_below": "0.6 mm", "fails_below": "0.5 mm"}, "stroke": "0.6 mm"}
    job = _job(_slot(0.45), tables=[FillIn.model_validate(own)])
    ask = make_ask({Drying: stays_open(job)})
    (said,) = (f for f in prep_findings(job=job, marks=(), ask=ask) if f.kind == wording.LARGER)
    assert heights == pytest.approx([0.6], abs=1e-3)
    assert said.what == (
        "No narrow place fails from a print width of 111.2 mm on; every narrow place"
        " passes from 133.4 mm on."
    )
    assert "At 133.4 mm every screen was measured and judged again; 111.2 mm is solved" in said.why
    assert "and was not run" in said.why


def test_touches_that_no_width_cures_are_told() -> None:
    squares = [box(30, 30, 40, 40), box(40, 40, 50, 50)]
    job = _job(shapely.union_all([_slot(0.8), *squares]))
    ask = make_ask({Drying: stays_open(job)})
    (said,) = (f for f in prep_findings(job=job, marks=(), ask=ask) if f.kind == wording.LARGER)
    assert said.what.endswith("touches stay at any width, cure them in the drawing.")


def test_room_beside_a_slot_is_the_film_to_the_next_opening() -> None:
    """0.6 mm of opening, 0.7 mm of film on one side, 3 mm on the other."""
    region = as_multipolygon(
        shapely.union_all([_slot(0.6), box(20, 21.3, 60, 25), box(20, 10, 60, 17)])
    )
    found = beside_mm(region, np.array([[40.0, 20.3]]), np.array([0.6]), round_=False)
    assert found == pytest.approx([0.7])
    alone = beside_mm(
        as_multipolygon(_slot(0.6)), np.array([[40, 20.3]]), np.array([0.6]), round_=False
    )
    assert np.isinf(alone).all()


def test_room_beside_a_strip_is_the_opening_next_to_it() -> None:
    """A strip of 0.5 mm between openings of 2 mm and of 30 mm; an island 1 mm off its edge."""
    strip = as_multipolygon(shapely.union_all([box(20, 20, 22, 40), box(22.5, 20, 52.5, 40)]))
    found = beside_mm(strip, np.array([[22.25, 30.0]]), np.array([0.5]), round_=False)
    assert found == pytest.approx([2.0])
    island = as_multipolygon(box(20, 20, 40, 40).difference(box(21, 29, 23, 31)))
    found = beside_mm(island, np.array([[22.0, 30.0]]), np.array([2.0]), round_=True)
    assert found == pytest.approx([1.0])


def test_a_detail_is_told_what_thickening_takes() -> None:
    """Slot 0.6 mm, 3 mm of film beside: 0.2 mm on each edge leave enough; 1.1 mm of film would not."""

    def do(gap: float) -> str:
        job = _job(shapely.union_all([_slot(0.6), box(20, 20.6 + gap, 60, 40)]))
        found = prep_findings(job=job, marks=(), ask=make_ask({Drying: stays_open(job)}))
        (text,) = (f.do for f in found if f.kind == "opening too narrow to weed")
        return text

    asked = "The order can ask for that, where no other colour is in the way: thicken = true under"
    enough = "each edge by 0.20 mm, and the film beside it stays 1 mm wide or more."
    assert f"{enough} {asked} [fill_in]." in do(3.0)
    assert asked not in do(1.1)
    assert "moves each edge by 0.20 mm and leaves 0.90 mm of film beside it, under 1 mm." in do(1.1)


def test_what_is_lost_of_openings() -> None:
    """A neck of 0.4 mm, 4 mm long, fails under 0.5 mm; discs of 0.5 mm reach into its mouths."""
    drawn = shapely.union_all([box(20, 20, 28, 28), box(28, 23.8, 32, 24.2), box(32, 20, 40, 28)])
    job = _job(drawn)
    lost = lost_of(judge_screen(job, job.screens[0], Asked()), job.screens[0])
    assert lost is not None
    # a disc of radius 0.25 before a mouth of 0.4 stands 0.25 - sqrt(0.25² - 0.2²) = 0.1 mm deep in it
    assert lost.openings.area == pytest.approx(0.4 * 4 - 2 * 0.05, abs=0.05)
    assert lost.film.is_empty
    assert len(lost.left.geoms) == 2


def test_what_is_lost_of_film_prints() -> None:
    """An island of 1 mm across comes off: its area is printed."""
    job = _job(box(20, 20, 40, 40).difference(Point(30, 30).buffer(0.5, quad_segs=64)))
    lost = lost_of(judge_screen(job, job.screens[0], Asked()), job.screens[0])
    assert lost is not None
    assert lost.film.area == pytest.approx(np.pi / 4, rel=2e-3)
    assert lost.left.area == pytest.approx(400, abs=1e-3)


def test_where_nothing_fails_nothing_is_lost() -> None:
    job = _job(_slot(0.8))
    assert lost_of(judge_screen(job, job.screens[0], Asked()), job.screens[0]) is None
