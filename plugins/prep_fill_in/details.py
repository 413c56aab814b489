"""Every fine detail of every screen, gathered from its measures and judged by all causes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely import MultiPolygon

from prep.errors import Unanswered
from prep.job import Ask, Job
from prep.measures import Measures
from prep.screens import Mark, Screen
from prep_fill_in.judge import Floats, Ints, Judged, Rule, release_ratio
from prep_fill_in.limits import Bound, Conditions, in_force
from prep_fill_in.remedy import Resolution
from prep_fill_in.settings import FillIn, FillInOrder

Sort = Literal["opening", "small opening", "film strip", "island"]

TIP_ROUNDED_BELOW = "cutting"
"""Topic whose limit says how much of a tip is lost."""


@dataclass(frozen=True, slots=True, eq=False)
class Details:
    """Details of one sort on one screen.

    :param width_mm: (N,)
    :param at_mm: (N, 2)
    :param area_mm2: (N,) of islands; empty for other sorts
    :param rules: what they were judged by
    """

    sort: Sort
    width_mm: Floats
    at_mm: Floats
    area_mm2: Floats
    rules: tuple[Rule, ...]
    judged: Judged

    def causes(self, which: Ints) -> tuple[Rule, ...]:
        """Give the rules that any of these details breaks, the one that decides first."""
        broken = self.judged.levels[which].any(axis=0)
        first = int(self.judged.decides[which[0]])
        rest = [i for i in np.flatnonzero(broken).tolist() if i != first]
        return tuple(self.rules[i] for i in ([first] if broken[first] else []) + rest)

    def signature(self) -> Ints:
        """Give (N,) a number for each distinct set of broken rules."""
        weights = 3 ** np.arange(len(self.rules), dtype=np.intp)
        signed: Ints = self.judged.levels.astype(np.intp) @ weights * len(self.rules)
        return signed + self.judged.decides


@dataclass(frozen=True, slots=True, eq=False)
class Points:
    """Places that have no width to judge: sharp tips, or touches.

    :param at_mm: (N, 2)
    :param size_mm: (N,) length lost at a tip, or width of a touch
    :param area_mm2: lost in all
    """

    at_mm: Floats
    size_mm: Floats
    area_mm2: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Judgement:
    """All that was found on one screen, or among the marks.

    :param screen: ``None`` for the marks
    :param mesh: ``None`` where nobody knows it; the mesh's causes are not judged then
    :param searched_to_mm: nothing wider was looked for
    """

    screen: Screen | None
    bounds: Mapping[str, Bound]
    conditions: Conditions
    mesh: Resolution | None
    depth_mm: float
    details: tuple[Details, ...]
    tips: Mapping[Literal["opening", "film"], Points]
    touches: Mapping[Literal["opening", "film"], Points]
    searched_to_mm: float


@dataclass(frozen=True, slots=True)
class Meshes:
    """What is known of the meshes: (figures, thickness in um) by screen, or why nothing is."""

    by_screen: Mapping[str, tuple[Resolution, float]]
    unanswered: str = ""


def meshes_of(job: Job, ask: Ask) -> Meshes:
    """Ask for the mesh of every screen."""
    try:
        from prep_ink.answers import MeshOnScreens
    except ModuleNotFoundError:
        return Meshes({}, "no plugin that knows meshes is installed")
    try:
        answer = ask(MeshOnScreens)
    except Unanswered as error:
        return Meshes({}, error.why)
    known = {}
    for screen in job.screens:
        mesh = answer.by_screen.get(screen.key)
        if mesh is not None:
            figures = Resolution(screen.mesh, mesh.pitch_um, mesh.opening_um, mesh.thread_um)
            known[screen.key] = figures, mesh.thickness_um
    return Meshes(known)


def stock_of(job: Job) -> tuple[Resolution, ...]:
    """Give the meshes in stock; an opening the maker doesn't state is pitch less thread."""
    stock = []
    for mesh in job.shop.mesh:
        pitch = 10_000.0 / mesh.count_per_cm
        opening = mesh.opening_um if mesh.opening_um is not None else pitch - mesh.thread_um
        stock.append(Resolution(mesh.name, pitch, opening, mesh.thread_um))
    return tuple(stock)


def conditions_of(job: Job, hits: int) -> Conditions:
    """Give what decides which limits hold on a screen printed so many times a shirt."""
    own = job.settings(FillIn)
    return Conditions(
        pulls=job.setup.shirts * hits,
        long_run_pulls=own.long_run_pulls,
        film_um=job.shop.film.thickness_um,
        thin_film_um=own.thin_film_um,
        fabric=job.settings(FillInOrder).fabric,
        hits=hits,
    )


def judge_screen(job: Job, screen: Screen, meshes: Meshes) -> Judgement:
    """Judge all details of one screen."""
    conditions = conditions_of(job, screen.passes)
    bounds = in_force(job.settings(FillIn).own(), conditions)
    mesh, cloth_um = meshes.by_screen.get(screen.key, (None, 0.0))
    depth_mm = (conditions.film_um + cloth_um) / 1000.0
    topics = ("strip", "gap")
    return _judged(
        screen, screen.region, screen.measures, bounds, conditions, mesh, depth_mm, topics
    )


def judge_marks(job: Job, marks: Sequence[Mark], meshes: Meshes) -> Judgement | None:
    """Judge the marks cut beside the image; the coarsest mesh they lie on decides.

    Marks print on the test pulls only, so neither fabric nor a long run is held against them.
    """
    from prep.measures import Limits, measure

    if not marks:
        return None
    region = _polygons(shapely.union_all([mark.region for mark in marks]))
    if region.is_empty:
        return None
    conditions = Conditions(
        pulls=1,
        film_um=job.shop.film.thickness_um,
        thin_film_um=job.settings(FillIn).thin_film_um,
    )
    bounds = in_force(job.settings(FillIn).own(), conditions)
    known = list(meshes.by_screen.values())
    mesh, cloth_um = max(known, key=lambda m: m[0].pitch_um, default=(None, 0.0))
    depth_mm = (conditions.film_um + cloth_um) / 1000.0
    measures = measure(region, Limits())
    return _judged(None, region, measures, bounds, conditions, mesh, depth_mm, ("strip",))


def _judged(
    screen: Screen | None,
    region: MultiPolygon,
    measures: Measures,
    bounds: Mapping[str, Bound],
    conditions: Conditions,
    mesh: Resolution | None,
    depth_mm: float,
    strip_topics: tuple[str, ...],
) -> Judgement:
    fabric = screen is not None
    details = (
        *_openings(region, measures, bounds, mesh, depth_mm, fabric=fabric),
        *_film(measures, bounds, mesh, strip_topics),
    )
    rounded = bounds[TIP_ROUNDED_BELOW].at_risk_below
    return Judgement(
        screen=screen,
        bounds=bounds,
        conditions=conditions,
        mesh=mesh,
        depth_mm=depth_mm,
        details=tuple(d for d in details if len(d.width_mm)),
        tips={
            "opening": _tips(measures.openings, rounded),
            "film": _tips(measures.gaps, rounded),
        },
        touches={"opening": _touches(measures.openings), "film": _touches(measures.gaps)},
        searched_to_mm=measures.searched_to_mm,
    )


def _openings(
    region: MultiPolygon,
    measures: Measures,
    bounds: Mapping[str, Bound],
    mesh: Resolution | None,
    depth_mm: float,
    *,
    fabric: bool,
) -> tuple[Details, ...]:
    """Give narrow places of openings, and small openings that have none.

    A small opening without a narrow place (a triangle, whose sides nowhere face each other) counts
    as 4 A / P wide: exact for the largest disc in any outline that touches it all round.
    """
    polygons = shapely.get_parts(region)
    if not len(polygons):
        return ()
    area, around = shapely.area(polygons), shapely.length(polygons)
    ratio = release_ratio(area, around, depth_mm)
    strips = measures.openings.kind == "strip"
    piece = measures.openings.piece[strips]
    narrow = _details(
        "opening",
        measures.openings.width_mm[strips],
        measures.openings.at_mm[strips],
        {"ratio": ratio[piece]},
        opening_rules(bounds, mesh, depth_mm, long=True, fabric=fabric),
    )
    across = 4.0 * area / around
    small = across < measures.searched_to_mm
    small[piece] = False
    inside = shapely.get_coordinates(shapely.point_on_surface(polygons[small]))
    return narrow, _details(
        "small opening",
        across[small],
        inside,
        {"ratio": ratio[small]},
        opening_rules(bounds, mesh, depth_mm, long=False, fabric=fabric),
    )
