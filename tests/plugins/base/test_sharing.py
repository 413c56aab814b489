"""Colours side by side through one film: a lane between them, and a frame that comes down once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest
import shapely
from shapely import Point, box

import prep_base
import prep_sequence
from prep.job import Job
from prep.make_ready import make_ready
from prep.measures import measure
from prep.plugins import Plugin, Plugins
from prep.shop import Press, Shop
from prep.testing import make_job
from prep_base.answers import WaysToPrint
from prep_base.sharing import far_groups
from prep_base.trouble import findings_of
from prep_sequence.settings import SequenceOrder
from prep_sequence.steps import steps_of
from tests.plugins.base.test_job import asked, order

CREAM, OCHRE, RED, NAVY = "#f4e8c8", "#d0a040", "#b03030", "#101830"
ROW: Mapping[str, shapely.Geometry] = {
    CREAM: box(0, 0, 20, 20),
    RED: box(20, 0, 80, 20),
    NAVY: box(80, 0, 100, 20),
}
"""Red between cream and navy, which stand 60 mm apart; it meets both."""


def ready(job: Job) -> Job:
    plugins = Plugins(
        [Plugin("base", prep_base, "firstpull"), Plugin("sequence", prep_sequence, "firstpull")]
    )
    return make_ready(job, plugins, lambda regions: [measure(region) for region in regions])


def films(job: Job) -> list[list[str]]:
    return [[screen.key for screen in film] for film in job.films]


@pytest.mark.parametrize(
    ("one", "other", "share"),
    [
        (Point(100, 100).buffer(95) - Point(100, 100).buffer(90), Point(100, 100).buffer(15), False),
        (box(0, 0, 20, 20), box(0, 70, 20, 90), True),
        (box(0, 0, 20, 20), box(69, 0, 90, 20), False),
        # each reaches past the other both ways, 60 mm apart at the least
        (box(0, 0, 10, 200) | box(0, 0, 200, 10), box(190, 70, 200, 260) | box(70, 250, 200, 260), False),
    ],
)  # fmt: skip
def test_a_straight_lane_must_lie_between(
    one: shapely.Geometry, other: shapely.Geometry, share: bool
) -> None:
    """A disc 75 mm within a ring has none; nor have two angles that reach around each other."""
    assert (len(far_groups([one, other], ["a", "a"], 50)) == 1) == share
    drawn = {CREAM: one, NAVY: other}
    assert (len(ready(make_job(drawn)).films) == 1) == share


def test_what_must_be_printed_between_keeps_colours_apart() -> None:
    """Cream goes before red and red before navy, so one frame of cream and navy would come down twice."""
    job = ready(make_job(ROW))
    assert films(job) == [[CREAM], [RED], [NAVY]]
    (way,) = asked(job)(WaysToPrint).ways
    assert way.name == "plain"


def test_a_frame_comes_down_once_on_a_press_of_one() -> None:
    """Red meets navy alone: it comes first, and the frame of cream and navy after it, once."""
    drawn = {**ROW, RED: box(60, 0, 80, 20)}
    job = ready(make_job(drawn, shop=Shop(press=Press(kind="hinged frame"))))
    assert films(job) == [[RED], [CREAM, NAVY]]
    steps = steps_of(job)
    assert steps.rounds == 2
    assert [step.does for step in steps.steps] == ["print", "take off", "print", "print"]


def test_colours_as_light_as_each_other_may_change_places() -> None:
    """In place of red one as light as navy: it is no matter which of the two goes first."""
    drawn = {CREAM: ROW[CREAM], "#161e36": ROW[RED], NAVY: ROW[NAVY]}
    assert films(ready(make_job(drawn))) == [[CREAM, NAVY], ["#161e36"]]


def test_an_order_of_printing_that_tears_them_apart_is_heeded() -> None:
    """Cream, ochre, navy as asked: cream and navy, which would share a film, get one each."""
    drawn = {CREAM: box(0, 0, 20, 20), OCHRE: box(0, 30, 20, 50), NAVY: box(80, 0, 100, 20)}
    assert [CREAM, NAVY] in films(ready(make_job(drawn)))
    sequence = SequenceOrder.model_validate({"order": [CREAM, OCHRE]})
    job = ready(make_job(drawn, tables=[sequence]))
    assert [screen.key for screen in job.screens] == [CREAM, OCHRE, NAVY]
    assert films(job) == [[CREAM], [OCHRE, NAVY]]


def test_a_speck_too_fine_to_print_gets_no_share() -> None:
    """A hairline of 0.3 mm is no partner; one of 0.6 mm is."""
    for wide, count in ((0.3, 2), (0.6, 1)):
        drawn = {CREAM: box(0, 0, 20, 20), NAVY: box(80, 0, 80 + wide, 20)}
        assert len(ready(make_job(drawn)).films) == count


def test_reasons_hold_for_screens_moved_for_the_sake_of_a_frame() -> None:
    """Cream waits for red, which navy meets; or ochre, which meets none, finds navy printed before it."""
    late = ready(make_job({**ROW, RED: box(60, 0, 80, 20)}))
    assert [screen.key for screen in late.screens] == [RED, CREAM, NAVY]
    assert [screen.placed for screen in late.screens] == [
        f"Lighter than {NAVY}: dark ink covers the edge of light ink.",
        f"In one frame with {NAVY}, and so printed as late as that.",
        f"In one frame with {CREAM}, and printed with it.",
    ]
    drawn = {CREAM: box(0, 0, 20, 20), OCHRE: box(0, 30, 40, 50), NAVY: box(80, 0, 100, 20)}
    early = ready(make_job(drawn))
    assert [screen.key for screen in early.screens] == [CREAM, NAVY, OCHRE]
    assert early.screens[2].placed == f"After {NAVY}, which is printed in one frame with {CREAM}."
    assert early.notes == (
        "Light colours are printed before dark ones, as far as shared frames let them.",
    )


def test_that_colours_share_a_film_is_told_unless_it_was_asked_for() -> None:
    """Among the findings, which `prep check` prints: what shares, and how each gets its own film."""
    drawn = {CREAM: box(0, 0, 20, 20), NAVY: box(80, 0, 100, 20)}
    job = ready(make_job(drawn))
    (finding,) = findings_of(job, asked(job))
    assert (finding.severity, finding.kind) == ("note", "colours share a film")
    assert finding.what == f"Printed side by side through one film: {CREAM} and {NAVY}."
    assert "which lays them again and isn't in the hours" in finding.do
    assert finding.do.endswith("For a film of each colour's own: --set base.way=plain.")
    job = ready(make_job(drawn, tables=[order(way="side by side")]))
    assert not list(findings_of(job, asked(job)))


def test_one_ink_for_two_colours_is_told_with_what_makes_them_one() -> None:
    """No second squeegee is asked for: both come from one pot, and one screen would do."""
    drawn = {CREAM: box(0, 0, 20, 20), NAVY: box(80, 0, 100, 20)}
    made = ready(make_job(drawn))
    job = replace(made, screens=tuple(replace(one, ink="moss") for one in made.screens))
    (finding,) = findings_of(job, asked(made))
    assert (finding.severity, finding.kind) == ("at risk", "one ink for several colours")
    assert f"--set 'colour.{NAVY}.print_as={CREAM}'" in finding.do
