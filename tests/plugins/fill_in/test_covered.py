"""Narrow film in a base: harmless where other inks hide it, and judged as ever where they don't."""

from __future__ import annotations

import dataclasses

import shapely
from shapely import box
from shapely.geometry.base import BaseGeometry

from prep.findings import Finding
from prep.job import Job
from prep.measures import Limits, measure
from prep.sections import Figures
from prep.testing import as_multipolygon, make_job
from prep_fill_in import wording
from prep_fill_in.asked import Asked, ask_all
from prep_fill_in.details import judge_screen
from prep_fill_in.larger import at_size
from tests.plugins.fill_in.asking import prep_findings, prep_sections
from tests.plugins.fill_in.test_trouble import _ask

YELLOW, WHITE = "#f2c230", "#ffffff"
PARTED = shapely.union_all([box(10, 10, 30, 30), box(30.4, 10, 50, 30)])
"""A base in two parts, 0.4 mm of film between them."""
RINGED = shapely.difference(box(10, 10, 50, 30), box(29, 19, 30, 20))
"""A base with an island of film, 1 mm square."""


def _on_base(base: BaseGeometry, over: BaseGeometry) -> Job:
    job = make_job({YELLOW: over}, size_mm=(100.0, 100.0))
    (yellow,) = job.screens
    region = as_multipolygon(base)
    white = dataclasses.replace(
        yellow, key="base", film="base", ink=WHITE, colour=WHITE, does="base", number=1, region=region,
        measures=measure(region, Limits()),
    )  # fmt: skip
    return dataclasses.replace(job, screens=(white, dataclasses.replace(yellow, number=2)))


def _on_white(base: BaseGeometry, over: BaseGeometry) -> list[Finding]:
    job = _on_base(base, over)
    found = prep_findings(job=job, marks=(), ask=_ask(job))
    return [one for one in found if one.screen == "base" and "drying" not in one.kind]


def test_film_beneath_an_ink_is_only_noted() -> None:
    """0.4 mm of film wholly under yellow: a note at its place, for the strip and for the island alike."""
    (strip,) = _on_white(PARTED, box(8, 8, 52, 32))
    assert (strip.severity, strip.kind, strip.count) == ("note", wording.UNSEEN, 1)
    assert strip.at_mm is not None
    assert abs(strip.at_mm[0] - 30.2) < 0.1
    (island,) = _on_white(RINGED, box(8, 8, 52, 32))
    assert (island.severity, island.kind) == ("note", wording.UNSEEN)


def test_film_that_shows_is_judged() -> None:
    """Yellow that leaves the gap bare by a hair, or no yellow there: the strip fails as anywhere else."""
    bare = shapely.union_all([box(8, 8, 30.1, 32), box(30.3, 8, 52, 32)])
    for over in (bare, box(60, 60, 70, 70)):
        kinds = {one.kind: one.severity for one in _on_white(PARTED, over)}
        assert wording.UNSEEN not in kinds
        assert kinds["film strip too narrow to stay down"] == "will fail"


def test_only_what_is_printed_later_hides() -> None:
    """The same regions with the colour printed before the base: nothing hides its film."""
    job = _on_base(PARTED, box(8, 8, 52, 32))
    white, yellow = job.screens
    job = dataclasses.replace(
        job, screens=(dataclasses.replace(yellow, number=1), dataclasses.replace(white, number=2))
    )
    found = judge_screen(job, job.screens[1], ask_all(job, _ask(job)))
    assert found.covers.is_empty
    assert not len(found.unseen.size_mm)


def test_it_stays_hidden_at_another_size() -> None:
    """Twice as large, what hides it is so too."""
    job = _on_base(PARTED, box(8, 8, 52, 32))
    asked: Asked = ask_all(job, _ask(job))
    found = judge_screen(job, job.screens[0], asked)
    larger = at_size(found, 2.0, lambda region: measure(region, Limits()))
    assert found.unseen.size_mm.round(2).tolist() == [0.4]
    assert larger.unseen.size_mm.round(2).tolist() == [0.8]


def _finest_gaps(job: Job) -> dict[str, str]:
    found = tuple(prep_findings(job=job, marks=(), ask=_ask(job)))
    sections = prep_sections(job=job, findings=found, ask=_ask(job))
    (head,) = (s.blocks[0] for s in sections if s.screen == "base" and s.title == "Fine details")
    assert isinstance(head, Figures)
    return {name: value for name, value, _ in head.rows if name.startswith("Finest gap")}


def test_the_head_of_a_screen_doesnt_condemn_film_that_inks_hide() -> None:
    """0.4 mm under yellow is left as it is, and 0.6 mm that shows fails; bare, 0.4 mm fails."""
    wide = shapely.union_all([PARTED, box(10, 50, 30, 70), box(30.6, 50, 50, 70)])
    assert _finest_gaps(_on_base(wide, box(8, 8, 52, 32))) == {
        "Finest gap": "0.40 mm: beneath the inks",
        "Finest gap that shows": "0.60 mm: will fail",
    }
    hidden = _finest_gaps(_on_base(PARTED, box(8, 8, 52, 32)))
    assert hidden["Finest gap that shows"].startswith("none under")
    assert _finest_gaps(_on_base(PARTED, box(60, 60, 70, 70))) == {
        "Finest gap": "0.40 mm: will fail"
    }
