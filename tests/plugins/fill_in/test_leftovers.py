"""Hairlines left of covered shapes: told once for a screen, and never as details to draw wider."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping

import pytest
import shapely
from shapely import MultiPolygon, affinity, box
from shapely.geometry.base import BaseGeometry

from prep.artwork import Shape
from prep.cloth import figures
from prep.findings import Finding
from prep.job import Job
from prep.measures import Limits, measure
from prep.testing import as_multipolygon, make_ask, make_job
from prep_fill_in import wording
from prep_ink.answers import MeshOnScreens
from tests.plugins.fill_in.asking import prep_findings
from tests.plugins.fill_in.dried import Drying, stays_open

LOWER, UPPER, OTHER = "#ffcc4d", "#2f7bd9", "#37a34a"
Drawn = tuple[tuple[str, BaseGeometry], ...]


def _job(drawn: Drawn) -> Job:
    """Give the job of shapes painted one over the other, knocked out by shapely alone."""
    shows: dict[str, BaseGeometry] = {}
    for colour, shape in drawn:
        shows = {c: shapely.difference(region, shape) for c, region in shows.items()}
        shows[colour] = shapely.union(shows.get(colour, MultiPolygon()), shape)
    regions = {c: r for c, r in shows.items() if r.area > 0.0}
    job = make_job(regions, shirts=20, size_mm=(100.0, 100.0))
    shapes = tuple(Shape(as_multipolygon(shape), c, f"path {c}") for c, shape in drawn)
    return dataclasses.replace(job, artwork=dataclasses.replace(job.artwork, shapes=shapes))


def _found(drawn: Drawn) -> Mapping[str, list[Finding]]:
    job = _job(drawn)
    mesh = figures("43-80", 43, 80)
    ask = make_ask(
        {
            MeshOnScreens: MeshOnScreens({s.key: mesh for s in job.screens}),
            Drying: stays_open(job),
        }
    )
    found: dict[str, list[Finding]] = {s.key: [] for s in job.screens}
    for finding in prep_findings(job=job, marks=(), ask=ask):
        if finding.kind != wording.LARGER:
            found[finding.screen or ""].append(finding)
    return found


def _shifted(x: float, y: float, by: float = 0.1) -> Drawn:
    icon = box(x, y, x + 20, y + 20)
    return (LOWER, icon), (UPPER, affinity.translate(icon, by, by))


def test_hairlines_are_one_finding_without_advice_to_draw_them_wider() -> None:
    """Two squares, each under its copy moved by 0.1 mm: an angle 0.1 mm wide left and above each."""
    found = _found((*_shifted(10, 10), *_shifted(50, 10)))
    (hair,) = found[LOWER]
    assert (hair.kind, hair.severity) == (wording.LEFTOVERS, "will fail")
    assert hair.size_mm == pytest.approx(0.1)
    assert hair.count == 2
    assert hair.what.startswith(
        f"2 hairlines of {LOWER} peek out beside shapes that cover it, up to 0.10 mm wide, the widest at"
    )
    assert f"lies under another ({UPPER})" in hair.why
    assert f"--set 'colour.{LOWER}.print_as={UPPER}'" in hair.do
    assert f"--set 'colour.{LOWER}.printed=false'" in hair.do
    assert "or more" not in hair.do
    assert found[UPPER] == []


def test_a_colour_that_shows_elsewhere_is_not_to_be_left_out() -> None:
    """A bold square in the same colour: removing the lower shape is the only way out."""
    found = _found((*_shifted(10, 10), (LOWER, box(60, 60, 90, 90))))
    (hair,) = found[LOWER]
    assert hair.kind == wording.LEFTOVERS
    assert "--set" not in hair.do
    assert hair.do.startswith("Remove the lower shapes in the drawing")


def test_hairlines_on_a_piece_that_shows_itself_are_told_too() -> None:
    """The upper shape covers the left half, 0.1 mm short of the top and bottom edges."""
    found = _found(((LOWER, box(10, 10, 50, 50)), (UPPER, box(10, 10.1, 30, 49.9))))
    assert [f.kind for f in found[LOWER] if f.severity != "note"] == [wording.LEFTOVERS]


def test_specks_without_a_width_of_their_own_are_counted() -> None:
    """A corner 0.1 mm each way peeks out: a triangle has no narrow place, and is a leftover still."""
    upper = box(10, 10, 30, 30).difference(shapely.Polygon([(10, 10), (10.3, 10), (10, 10.3)]))
    found = _found(((LOWER, box(10, 10, 30, 30)), (UPPER, upper)))
    assert [f.kind for f in found[LOWER] if f.severity != "note"] == [wording.LEFTOVERS]


def test_several_covers_leave_no_colour_to_print_it_as() -> None:
    upper = affinity.translate(box(50, 10, 70, 30), 0.1, 0.1)
    found = _found((*_shifted(10, 10), (LOWER, box(50, 10, 70, 30)), (OTHER, upper)))
    (hair,) = found[LOWER]
    assert "print_as" not in hair.do
    assert "printed=false" in hair.do


@pytest.mark.parametrize(
    "drawn",
    [
        pytest.param(((LOWER, box(10, 10, 50, 10.2)),), id="a fine line"),
        pytest.param(
            ((LOWER, box(10, 10, 50, 50)), (UPPER, box(10.2, 10.2, 49.8, 49.8))),
            id="an even outline",
        ),
        pytest.param(
            (
                (LOWER, box(10, 10, 50, 50)),
                (UPPER, box(12, 12, 30, 48)),
                (OTHER, box(30.2, 12, 48, 48)),
            ),
            id="a line between two covers",
        ),
    ],
)
def test_what_was_drawn_fine_is_no_leftover(drawn: Drawn) -> None:
    """0.2 mm, drawn on purpose: advice to draw it wider is right there."""
    found = _found(drawn)[LOWER]
    assert wording.LEFTOVERS not in {f.kind for f in found}
    assert "opening too narrow to weed" in {f.kind for f in found}


def test_leftovers_spread_under_other_colours_are_told_as_before() -> None:
    """Spread by 0.4 mm the hairlines are strips of 0.5 mm: leftovers still, beside a bold square."""
    drawn = (*_shifted(10, 10), *_shifted(50, 10), (LOWER, box(60, 60, 90, 90)))
    job = _job(drawn)
    lower, upper = job.screens
    grown = as_multipolygon(
        shapely.union(lower.region, lower.region.buffer(0.4).intersection(upper.region))
    )
    spread = dataclasses.replace(lower, region=grown, measures=measure(grown, Limits()))
    job = dataclasses.replace(job, screens=(spread, upper))
    found = [f for f in prep_findings(job=job, marks=(), ask=make_ask({})) if f.screen == LOWER]
    (hair,) = (f for f in found if f.severity != "note")
    assert (hair.kind, hair.count) == (wording.LEFTOVERS, 2)
    assert hair.size_mm == pytest.approx(0.1)
    assert hair.do.startswith("Remove the lower shapes in the drawing")
