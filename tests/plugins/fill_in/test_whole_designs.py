"""A design full of planted defects, one without any, and patterns: what is found, in how many lines."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import Point, Polygon, affinity, box
from shapely.geometry.base import BaseGeometry

from prep.cloth import figures
from prep.findings import Finding
from prep.job import Job
from prep.testing import make_ask, make_job
from prep_fill_in import wording
from prep_fill_in.settings import FillIn
from prep_ink.answers import MeshOnScreens
from tests.plugins.fill_in.asking import prep_findings
from tests.plugins.fill_in.dried import Drying, dries, stays_open
from tests.prep.measures.lettering import letters

ONCE, TWICE, COARSE = "#1f3a5f", "#c0392b", "#3a8f4d"


def _comb(x: float, y: float, tines: int = 40) -> BaseGeometry:
    teeth = [box(x + 1.3 * i, y + 4, x + 0.6 + 1.3 * i, y + 20) for i in range(tines)]
    return shapely.union_all([box(x, y, x + 1.3 * (tines - 1) + 0.6, y + 5), *teeth])


def _dots(x: float, y: float, each_way: int, pitch: float, radius: float) -> BaseGeometry:
    places = [(x + pitch * i, y + pitch * j) for i in range(each_way) for j in range(each_way)]
    return shapely.union_all([Point(at).buffer(radius) for at in places])


PLANTED = {
    ONCE: {
        "hairline opening": box(10, 10, 50, 10.2),
        "fine line": box(10, 20, 50, 20.7),
        "thin strip": shapely.union_all([box(70, 10, 80, 30), box(80.6, 10, 90, 30)]),
        "small island": Point(120, 20).buffer(10).difference(Point(120, 20).buffer(0.6)),
        "narrow counter": box(150, 10, 160, 24).difference(box(154.5, 13, 155.5, 21)),
        "comb": _comb(10, 40),
        "dots": _dots(80, 40, 6, 4.0, 0.35),
        "sharp tip": Polygon([(10, 80), (50, 81), (10, 82)]),
        "kissing corners": shapely.union_all([box(70, 80, 80, 90), box(80, 90, 90, 100)]),
        "hairline crack": shapely.union_all([box(110, 80, 120, 100), box(120.004, 80, 130, 100)]),
    },
    TWICE: {
        "gap closed by gain": shapely.union_all([box(10, 120, 30, 140), box(31.05, 120, 50, 140)])
    },
    COARSE: {"detail too fine for the mesh": box(70, 120, 100, 120.45)},
}
# kind, severity and count of the line in which its place stands
FOUND = {
    "hairline opening": ("opening too narrow to weed", "will fail", 1),
    "fine line": ("opening too narrow to weed", "at risk", 1),
    "thin strip": ("film strip too narrow to stay down", "will fail", 1),
    "small island": ("film island too small to stay down", "will fail", 1),
    "narrow counter": ("film island too small to stay down", "will fail", 1),
    "comb": ("opening too narrow to weed", "at risk", 40),
    "dots": ("opening too small to weed", "at risk", 36),
    "sharp tip": (wording.TIPS, "note", 1),
    "kissing corners": (wording.TOUCHES, "at risk", 2),
    "hairline crack": (wording.TOUCHES, "at risk", 2),
    "gap closed by gain": ("gap that closes on the fabric", "will fail", 1),
    "detail too fine for the mesh": ("opening too fine for the mesh", "will fail", 1),
}


def _stress() -> tuple[Job, list[Finding]]:
    regions = {ink: shapely.union_all(list(drawn.values())) for ink, drawn in PLANTED.items()}
    job = make_job(regions, shirts=12, size_mm=(200, 160))
    screens = tuple(replace(s, passes=2 if s.key == TWICE else 1) for s in job.screens)
    job = replace(job, screens=screens)
    fine, coarse = figures("43-80", 43, 80), figures("18-180", 18, 180)
    meshes = {s.key: coarse if s.key == COARSE else fine for s in job.screens}
    answers = {MeshOnScreens: MeshOnScreens(meshes), Drying: stays_open(job)}
    return job, list(prep_findings(job=job, marks=(), ask=make_ask(answers)))


@pytest.fixture(scope="module")
def stress() -> list[Finding]:
    """Findings on the design full of defects; once for all, the answer on drying put in by hand."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("prep_fill_in.asked.drying_question", lambda: Drying)
        return _stress()[1]


@pytest.mark.parametrize("name", FOUND)
def test_every_planted_defect_is_found(stress: list[Finding], name: str) -> None:
    """By kind, severity, place, and how many like it stand in its line."""
    kind, severity, count = FOUND[name]
    (ink,) = (ink for ink, drawn in PLANTED.items() if name in drawn)
    around = PLANTED[ink][name].envelope.buffer(0.1)
    found = [
        f
        for f in stress
        if (f.screen, f.kind, f.severity) == (ink, kind, severity)
        and f.at_mm is not None
        and any(around.contains(Point(at)) for at in (f.at_mm, *f.also_at_mm))
    ]
    assert len(found) == 1
    assert found[0].count == count


def test_nothing_else_is_found(stress: list[Finding]) -> None:
    """Each trouble of the stress design is one that was planted; what comes besides is a note."""
    kinds = {(kind, severity) for kind, severity, _ in FOUND.values()}
    assert {(f.kind, f.severity) for f in stress if f.severity != "note"} == {
        pair for pair in kinds if pair[1] != "note"
    }
    assert {f.kind for f in stress if f.severity == "note"} == {wording.TIPS, wording.LARGER}


def test_the_gap_is_closed_by_spread_and_strokes_that_miss_each_other() -> None:
    """1.05 mm printed twice: 0.3 mm from each edge and 0.6 mm of strokes that miss each other close it.

    Printed once it stays: 0.2 mm from each edge.
    """
    _, found = _stress()
    (gap,) = (f for f in found if f.screen == TWICE and f.kind != wording.LARGER)
    assert (
        "spreads some 0.3 mm from each edge, strokes that miss each other take 0.60 mm" in gap.why
    )
    job = make_job({TWICE: PLANTED[TWICE]["gap closed by gain"]}, shirts=12)
    assert list(prep_findings(job=job, marks=(), ask=_all(job))) == []


def _all(job: Job) -> object:
    mesh = figures("43-80", 43, 80)
    return make_ask(
        {MeshOnScreens: MeshOnScreens({s.key: mesh for s in job.screens}), Drying: stays_open(job)}
    )


def _clean() -> dict[str, BaseGeometry]:
    star = Polygon(
        [
            (150 + r * math.cos(k * math.pi / 5), 60 + r * math.sin(k * math.pi / 5))
            for k, r in enumerate([30, 20] * 5)
        ]
    )
    return {
        "#1f3a5f": shapely.union_all(
            [letters("GOBO", high_mm=45.0), box(10, 80, 110, 84), box(10, 90, 110, 92)]
        ),
        "#c0392b": shapely.union_all(
            [star, Point(60, 130).buffer(20).difference(Point(60, 130).buffer(6)), _dots(110, 110, 5, 8, 2)]
        ),
    }  # fmt: skip


@pytest.mark.parametrize(("shirts", "passes"), [(12, 1), (60, 1), (60, 2)])
def test_a_clean_design_has_nothing_that_fails_or_is_at_risk(shirts: int, passes: int) -> None:
    """Bold letters, lines of 2 and 4 mm, a ring, dots of 4 mm, a star of blunt points."""
    job = make_job(_clean(), shirts=shirts, passes=passes, size_mm=(200, 160))
    found = prep_findings(job=job, marks=(), ask=_all(job))  # type: ignore[arg-type]  # as ask
    assert [(f.severity, f.kind, f.what) for f in found if f.severity != "note"] == []


def _field(count: int) -> BaseGeometry:
    """Give dots that grow from 0.3 to 1.1 mm across from left to right, like a screened shade."""
    each_way = math.isqrt(count)
    shapes = [
        Point(2 * i, 2 * j).buffer(0.15 + 0.4 * i / each_way, quad_segs=8)
        for i in range(each_way)
        for j in range(each_way)
    ]
    return shapely.union_all(shapes)


PATTERNS = {
    "comb of 200 tines": (_comb(10, 10, 200), 200 + 199, 2),
    "grid of 225 dots": (_dots(10, 10, 15, 4.0, 0.35), 225, 1),
    "shade of 625 dots": (_field(625), 625, 12),
    "lettering": (letters("seed swap on sunday morning", high_mm=5.0), 20, 13),
    "turned grid": (affinity.rotate(_dots(10, 10, 12, 4.0, 0.35), 31), 144, 1),
}


@pytest.mark.parametrize("name", PATTERNS)
def test_a_pattern_is_a_few_lines_with_their_counts(name: str) -> None:
    """Every place of it is counted and has its place; a pattern drawn alike is one line each kind."""
    drawn, least, lines = PATTERNS[name]
    job = make_job({ONCE: drawn}, shirts=12, tables=[FillIn(confirm_width=False)])
    found = [
        f
        for f in prep_findings(job=job, marks=(), ask=_all(job))  # type: ignore[arg-type]  # as ask
        if f.severity != "note"
    ]
    assert len(found) <= lines
    assert sum(f.count for f in found) >= 0.85 * least
    for one in found:
        places = one.count - (0 if one.kind == wording.MORE else 1)
        assert len(one.also_at_mm) == places
    if lines <= 2:
        assert sum(f.count for f in found) == least


def test_all_causes_stand_in_one_finding() -> None:
    """A dot of 0.3 mm: weeding, knife, fabric, mesh, drying and release, one finding, one severity."""
    job = make_job({ONCE: _dots(10, 10, 3, 5.0, 0.15)}, shirts=12)
    mesh = MeshOnScreens({ONCE: figures("43-80", 43, 80)})
    ask = make_ask({MeshOnScreens: mesh, Drying: dries(job, lambda w: float(np.exp(-w)))})
    (one,) = (f for f in prep_findings(job=job, marks=(), ask=ask) if f.severity != "note")
    assert (one.count, one.severity) == (9, "will fail")
    for word in ("dries shut", "mesh", "the knife", "letting go of ink"):
        assert word in one.why
