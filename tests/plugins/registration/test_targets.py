"""Registration targets: their shape, their place, and when there are none."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError
from shapely import box

from prep.job import Ask, Job
from prep.sections import CheckList
from prep.shop import Mesh, Shop
from prep.testing import make_ask, make_job
from prep_placing.answers import Asides
from prep_registration import prep_answers, prep_findings, prep_marks, prep_sections
from prep_registration.answers import Targets
from prep_registration.settings import Registration
from prep_registration.target import LEAST_BAR_MM, least_size_mm, placed
from prep_sequence.answers import PrintSteps, Step
from prep_squeegee.answers import FrameRoom
from prep_squeegee.room import FrameSize, Limits

PRINT = (10.0, 20.0, 110.0, 70.0)
NOBODY = make_ask({})


def _table(**values: object) -> Registration:
    return Registration.model_validate(values)


def _two(**more: Any) -> Job:
    return make_job({"#111111": box(10, 20, 60, 70), "#cc2222": box(62, 20, 110, 70)}, **more)


def test_places_worked_by_hand() -> None:
    """Size 16, distance 12: centres 20 mm above and below a print 10..110 by 20..70, at x = 60."""
    top, bottom = placed(PRINT, size_mm=16.0, bar_mm=2.0, distance_mm=12.0)
    assert (top.at_mm, bottom.at_mm) == ((60.0, 0.0), (60.0, 90.0))
    assert top.region.bounds == (52.0, -8.0, 68.0, 8.0)
    assert bottom.region.bounds == (52.0, 82.0, 68.0, 98.0)


def test_areas_worked_by_hand() -> None:
    """A cross of two 16 × 2 bars covers 2·32 − 4 = 60 mm2; the top one has a square of 4 mm2 more."""
    top, bottom = placed(PRINT, size_mm=16.0, bar_mm=2.0, distance_mm=12.0)
    assert bottom.region.area == pytest.approx(60.0, abs=1e-9)
    assert top.region.area == pytest.approx(64.0, abs=1e-9)
    assert (len(bottom.region.geoms), len(top.region.geoms)) == (1, 2)


def test_square_is_upper_right_of_the_top_target() -> None:
    """Seen as printed (y downwards), the square lies right of and above the cross's centre."""
    top, bottom = placed(PRINT, size_mm=16.0, bar_mm=2.0, distance_mm=12.0)
    square = min(top.region.geoms, key=lambda part: part.area).centroid
    assert square.x > top.at_mm[0]
    assert square.y < top.at_mm[1]
    assert len(bottom.region.geoms) == 1


@given(
    bar=st.floats(LEAST_BAR_MM, 5.0),
    more=st.floats(0.0, 30.0),
    distance=st.floats(1.0, 40.0),
    width=st.floats(1.0, 400.0),
    height=st.floats(1.0, 400.0),
)
def test_no_bar_and_no_film_under_the_least(
    bar: float, more: float, distance: float, width: float, height: float
) -> None:
    """Whatever the settings, bars survive shrinking by nearly 0.75 mm a side, so does film between them."""
    bounds = (0.0, 0.0, width, height)
    size = least_size_mm(bar) + more
    for target in placed(bounds, size_mm=size, bar_mm=bar, distance_mm=distance):
        half = LEAST_BAR_MM / 2.0 - 1e-3
        shrunk = target.region.buffer(-half, join_style="mitre")
        grown = target.region.buffer(half, join_style="mitre")
        assert len(shapely.get_parts(shrunk)) == len(target.region.geoms)
        assert len(shapely.get_parts(grown)) == len(target.region.geoms)
        assert not any(part.interiors for part in target.region.geoms)
        assert target.region.distance(box(*bounds)) == pytest.approx(distance, abs=1e-9)


def test_marks_are_clear_of_every_opening() -> None:
    """Marks of a job lie outside the bounds of all its screens together, by the distance set."""
    job = _two()
    marks = list(prep_marks(job, NOBODY))
    assert [mark.name for mark in marks] == ["top target", "bottom target"]
    assert all(mark.prints for mark in marks)
    for mark in marks:
        assert mark.region.distance(box(*PRINT)) == pytest.approx(12.0)


def test_one_screen_has_none() -> None:
    """A single screen needs no lining up: no marks, and the answer says why."""
    job = make_job({"#111111": box(0, 0, 50, 50)})
    assert list(prep_marks(job, NOBODY)) == []
    answer = prep_answers()[Targets](job, make_ask({}))
    assert answer == Targets((), "One screen needs no lining up, so no targets are cut.")
    assert list(prep_sections(job, NOBODY)) == []


def test_cut_false_has_none_and_says_so() -> None:
    """Targets switched off: no marks, a note, and steps for lining up by eye."""
    job = _two(tables=[_table(cut=False)])
    assert list(prep_marks(job, NOBODY)) == []
    assert [finding.kind for finding in prep_findings(job, NOBODY)] == ["no registration targets"]
    lists = [b for s in prep_sections(job, NOBODY) for b in s.blocks if isinstance(b, CheckList)]
    assert len(lists) == 3
    assert "share" in " ".join(lists[1].steps)


def test_answer_says_where() -> None:
    """The answer holds both targets with centre and bounds."""
    answer = prep_answers()[Targets](_two(), make_ask({}))
    assert [target.at_mm for target in answer.targets] == [(60.0, 0.0), (60.0, 90.0)]
    assert answer.targets[0].bounds_mm == (52.0, -8.0, 68.0, 8.0)
    assert answer.why_none == ""


@pytest.mark.parametrize(
    "values",
    [{"bar": "1 mm"}, {"size": "11 mm"}, {"bar": "4 mm"}, {"distance": "0 mm"}, {"bars": 1}],
)
def test_settings_that_cannot_hold_are_refused(values: dict[str, object]) -> None:
    """Bars under 1.5 mm, a target too small for its square, no distance, an unknown key."""
    with pytest.raises(ValidationError):
        _table(**values)


def test_near_target_is_found() -> None:
    """4 mm leave no room for tape or plug; 8 mm do."""
    kinds = {
        text: [f.kind for f in prep_findings(_two(tables=[_table(distance=text)]), NOBODY)]
        for text in ("4 mm", "8 mm")
    }
    assert kinds == {"4 mm": ["target near the print"] * 2, "8 mm": []}


def test_bar_too_fine_for_a_coarse_mesh_is_found() -> None:
    """At 10 threads/cm three pitches are 3 mm: a 2 mm bar is too fine, a 3 mm bar is not."""
    coarse = Mesh.model_validate({"name": "10-400", "count": "10/cm", "thread": "400 um"})
    for bar, kinds in (("2 mm", ["target too fine for the mesh"] * 2), ("3 mm", [])):
        job = _two(shop=Shop(mesh=(coarse,)), tables=[_table(bar=bar)])
        assert [finding.kind for finding in prep_findings(job, NOBODY)] == kinds


def _room(width_mm: float, height_mm: float) -> Ask:
    limits = Limits(overhang_mm=13.0, good_overhang_mm=25.0, to_frame_mm=40.0, well_mm=40.0)
    return make_ask({FrameRoom: FrameRoom((FrameSize("one", width_mm, height_mm),), limits)})


@pytest.mark.parametrize(
    ("inside", "names"),
    [
        ((300.0, 186.0), ["top target", "bottom target"]),  # 50 + 2·28 + 80 = 186
        ((262.0, 185.0), ["left target", "right target"]),  # 100 + 2·28 + 26 + 80 = 262
        ((261.0, 185.0), []),
        ((300.0, 120.0), ["top target", "bottom target"]),  # too small for the print itself
    ],
)
def test_targets_stand_where_a_frame_reaches(inside: tuple[float, float], names: list[str]) -> None:
    """Above and below if they fit, else beside the print, else nowhere, which is said."""
    job, ask = _two(), _room(*inside)
    assert [mark.name for mark in prep_marks(job, ask)] == names
    found = list(prep_findings(job, ask))
    assert [finding.kind for finding in found] == ([] if names else ["no room for targets"])
    if not names:
        assert found[0].severity == "at risk"
        assert "above and below the print is 106 mm high, too much for any frame" in found[0].what
        assert "beside the print is 156 mm wide" in found[0].what
        (said,) = [s for s in prep_sections(job, ask) if s.chapter == "job"]
        assert said.blocks[0].text.startswith("No targets are cut")  # type: ignore[union-attr]  # a paragraph


@pytest.mark.parametrize(
    ("platen", "names"),
    [
        (("380 mm", "118 mm"), ["top target", "bottom target"]),  # 106 + 2·6
        (("168 mm", "117 mm"), ["left target", "right target"]),  # 156 + 2·6
        (("167 mm", "117 mm"), []),
        (("380 mm", "55 mm"), ["top target", "bottom target"]),  # too small for the print itself
    ],
)
def test_targets_lie_on_the_platen(platen: tuple[str, str], names: list[str]) -> None:
    width, height = platen
    press = {"platen_width": width, "platen_height": height}
    job = _two(shop=Shop.model_validate({"press": press}))
    assert [mark.name for mark in prep_marks(job, NOBODY)] == names
    kinds = [finding.kind for finding in prep_findings(job, NOBODY)]
    assert kinds == ([] if names else ["no room for targets"])


@pytest.mark.parametrize(
    ("width", "asides", "names"),
    [
        ("358 mm", (95.0,), ["left target", "right target"]),  # 2·(95 + 156 / 2 + 6)
        ("357 mm", (95.0,), []),
        ("357 mm", (-95.0,), []),
        ("357 mm", (20.0, 95.0), []),
        ("357 mm", (94.0,), ["left target", "right target"]),
    ],
)
def test_targets_of_a_print_beside_the_platens_middle(
    width: str, asides: tuple[float, ...], names: list[str]
) -> None:
    """The print of 100 lies on it; targets beside it reach to 78 mm each side of its own middle."""
    press = {"platen_width": width, "platen_height": "117 mm"}
    job = _two(shop=Shop.model_validate({"press": press}))
    ask = make_ask({Asides: Asides(asides)})
    assert [mark.name for mark in prep_marks(job, ask)] == names
    found = list(prep_findings(job, ask))
    assert [finding.kind for finding in found] == ([] if names else ["no room for targets"])
    if found:
        said = "156 mm wide, too much for the platen beside whose middle it lies"
        assert said in found[0].what


def test_targets_beside_the_print() -> None:
    """Centres 20 mm left and right of 10..110, half way between 20 and 70; the left has the square."""
    left, right = placed(PRINT, size_mm=16.0, bar_mm=2.0, distance_mm=12.0, beside=True)
    assert (left.at_mm, right.at_mm) == ((-10.0, 45.0), (130.0, 45.0))
    assert (len(left.region.geoms), len(right.region.geoms)) == (2, 1)
    square = min(left.region.geoms, key=lambda part: part.area).centroid
    assert square.x > left.at_mm[0]
    assert square.y < left.at_mm[1]


def test_steps_name_the_targets_that_are_cut() -> None:
    blocks = (s.blocks[-1] for s in prep_sections(_two(), _room(262.0, 185.0)))
    lists = [block for block in blocks if isinstance(block, CheckList)]
    assert len(lists) == 4
    words = " ".join(step for steps in lists for step in steps.steps)
    assert "upper right of the left target" in words
    assert "the right one is filled too" in words
    assert "square to the platen's centre line" in words
    assert "top" not in words


def test_sections_give_the_distances_in_the_shops_units() -> None:
    """Centres 90 mm apart: 90.0 mm, or 3.54 in; one section for each screen."""
    for units, text in (("metric", "90.0 mm"), ("inch", "3.54 in")):
        sections = list(prep_sections(_two(shop=Shop(units=units)), NOBODY))  # type: ignore[arg-type]  # both are allowed
        assert [section.screen for section in sections] == [
            *["#111111"] * 2,
            *["#cc2222"] * 2,
            None,
        ]
        assert sections[0].blocks[0].rows[0][1] == text  # type: ignore[union-attr]  # figures come first


def test_first_screen_is_pulled_and_later_ones_are_lined_up_to_it() -> None:
    """The first screen's list has no lining up; every list ends by covering the targets."""
    sections = list(prep_sections(_two(), NOBODY))
    first, first_pulls, later, later_pulls, *_ = (section.blocks[-1] for section in sections)
    for steps in (first_pulls, later_pulls):
        assert isinstance(steps, CheckList)
        assert steps.steps[-1].startswith("Cover both targets with their plugs")
        assert steps.steps[0].startswith("Pull screen")
    # ink goes on between the two lists of a screen: nothing is pulled before, and one looks through
    assert isinstance(first, CheckList)
    assert isinstance(later, CheckList)
    assert not any(step.startswith("Pull") for step in (*first.steps, *later.steps))
    assert "without ink, onto the dry test pull of screen 1" in later.steps[1]
    assert [section.rank for section in sections[:4]] == [50, 55, 50, 55]


def test_pulls_go_by_where_colours_meet() -> None:
    """Apart from each other there is no place where a fringe could show but beside the bars."""
    for right_mm, until in ((60.0, "where colours meet"), (61.0, "beside the bars")):
        job = make_job({"#111111": box(10, 20, 60, 70), "#cc2222": box(right_mm, 20, 110, 70)})
        *_, pulls, _ = prep_sections(job, NOBODY)
        (steps,) = pulls.blocks
        assert isinstance(steps, CheckList)
        assert f"Pull again until no fringe shows {until}." in steps.steps[2]


def test_a_screen_in_a_frame_lined_up_already_is_not_lined_up_again() -> None:
    """Its list has neither targets nor shifting, and names the screen whose frame it is in."""
    job = make_job(
        {
            "#111111": box(10, 20, 60, 70),
            "#cc2222": box(62, 20, 110, 70),
            "#22cc22": box(112, 20, 120, 70),
        }
    )
    one, two, three = job.screens
    shared = replace(job, screens=(one, replace(two, film=one.film), three))
    first, _, later, *_ = prep_sections(shared, NOBODY)
    assert first == next(iter(prep_sections(job, NOBODY)))
    (steps,) = later.blocks
    assert isinstance(steps, CheckList)
    assert "lined up with screen 1 (#111111), in whose frame it lies" in steps.steps[0]
    assert "Pull screen 2 (#cc2222) over the test pull" in steps.steps[0]
    assert not any("target" in step or "Shift" in step for step in steps.steps)


def test_one_film_for_all_screens_has_none() -> None:
    """Base and colour through the same film can't be off each other: no targets, nothing amiss."""
    for tables in ([], [_table(cut=False)]):
        job = _two(tables=tables)
        shared = replace(job, screens=tuple(replace(s, film="shared") for s in job.screens))
        assert list(prep_marks(shared, NOBODY)) == []
        assert list(prep_findings(shared, NOBODY)) == []
        assert prep_answers()[Targets](shared, NOBODY).why_none.startswith("One film that all")
        whole, later = prep_sections(shared, NOBODY)
        assert (whole.chapter, later.screen) == ("job", "#cc2222")
        (steps,) = later.blocks
        assert isinstance(steps, CheckList)
        assert "over a test pull of screen 1 (#111111), through the same film" in steps.steps[0]


def test_what_is_lined_up_is_films() -> None:
    """Three screens, two of them through the same film."""
    job = make_job(
        {c: box(10 + 30 * i, 20, 35 + 30 * i, 70) for i, c in enumerate(("#1", "#2", "#3"))},
        tables=[_table(cut=False)],
    )
    one, two, three = job.screens
    shared = replace(job, screens=(one, replace(two, film=one.film), three))
    (found,) = prep_findings(shared, NOBODY)
    assert found.what == "2 films are lined up without targets."


def test_distance_between_targets_is_what_the_answer_says() -> None:
    """The figure on the sheet and the answer agree."""
    job = _two(tables=[_table(size="20 mm", distance="15 mm")])
    one, two = prep_answers()[Targets](job, make_ask({})).targets
    assert math.dist(one.at_mm, two.at_mm) == pytest.approx(50 + 2 * 25)


def _steps_by_screen(job: Job, rounds: tuple[tuple[int, ...], ...]) -> PrintSteps:
    """Print screens, by their places from 0; shirts come off between rounds."""
    steps: list[Step] = []
    for k, these in enumerate(rounds):
        keys = [job.screens[n].key for n in these]
        if k:
            steps.append(Step("take off", keys[0], 0, 0.0, ""))
        steps += (Step("print", key, 1, 0.0, "") for key in keys)
    return PrintSteps(tuple(steps), len(rounds), None)


@pytest.mark.parametrize("cut", [True, False])
def test_the_test_pull_is_laid_back_where_shirts_are_printed_between(cut: bool) -> None:
    """Of three screens the first two hang together: the cloth stays for the second, not for the third."""
    job = make_job(
        {c: box(10 + 30 * i, 20, 35 + 30 * i, 70) for i, c in enumerate(("#1", "#2", "#3"))},
        tables=[_table(cut=cut)],
    )
    ask = make_ask({PrintSteps: _steps_by_screen(job, ((0, 1), (2,)))})
    told: dict[str, list[str]] = {screen.key: [] for screen in job.screens}
    for section in prep_sections(job, ask):
        for block in section.blocks:
            if isinstance(block, CheckList) and section.screen is not None:
                told[section.screen] += block.steps
    first, second, third = ("\n".join(told[screen.key]) for screen in job.screens)
    assert "Leave the cloth in place" not in first + second + third
    assert "tape to the board at its four corners" in first
    assert "Take the test pull" not in first
    assert "back on the board" not in second
    assert "Take the test pull of screen 1 (#1) up once it is dry" in second
    assert third.index("Lay the dry test pull of screen 1 (#1) back") < third.index("Lower the")
    assert "off the board" in third


def test_the_test_pull_stays_where_every_screen_hangs_at_a_time() -> None:
    job = _two()
    ask = make_ask({PrintSteps: _steps_by_screen(job, ((0, 1),))})
    assert list(prep_sections(job, ask)) == list(prep_sections(job, NOBODY))
    blocks = [b for s in prep_sections(job, ask) for b in s.blocks if isinstance(b, CheckList)]
    words = " ".join(step for steps in blocks for step in steps.steps)
    assert "Leave the cloth in place" in words
    assert "tape to the board" not in words
