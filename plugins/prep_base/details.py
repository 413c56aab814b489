"""Narrow parts that the choke starves, one by one, and the ways out."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from prep.borders import Outline, outline_of
from prep.job import Job
from prep.measures import Places
from prep.misses import Draws, Edges, chance
from prep.phrases import length, percent
from prep_base.answers import Detail, WayOut
from prep_base.members import Member
from prep_base.planning import (
    Plan,
    Rim,
    distance_to,
    edges_at,
    outer_edges,
    outside_of,
    pair_draws,
)
from prep_base.settings import Base, BaseOrder

AT_MM = 1e-3
"""A narrow place lies in the shape it was measured in within rounding."""


def details_of(job: Job, plan: Plan, base: MultiPolygon, edge: Rim) -> tuple[Detail, ...]:
    """Give each shape with narrow parts that the whole choke would starve, the worst first.

    :param base: region of the base's screen
    :param edge: of that
    """
    if plan.starved.is_empty:
        return ()
    draws, outside = pair_draws(job, len(job.films)), outside_of(plan.inked)
    found: list[Detail] = []
    for member in plan.on_base:
        strips = _starved(plan, member.design.measures.openings.strips(), job)
        parts = np.asarray(shapely.get_parts(member.design.region), dtype=object)
        if not len(strips):
            continue
        tree = shapely.STRtree(parts)
        by_part: dict[int, list[int]] = defaultdict(list)
        places, of = tree.query(shapely.points(strips.at_mm), predicate="dwithin", distance=AT_MM)
        for one, part in zip(places.tolist(), of.tolist(), strict=True):
            by_part[part].append(one)
        for part, own in by_part.items():
            finest = min(own, key=lambda k: float(strips.width_mm[k]))
            found.append(
                _detail(
                    job,
                    plan,
                    member,
                    parts[part],
                    strips,
                    finest,
                    len(own),
                    base,
                    edge,
                    outside,
                    draws,
                )
            )
    return tuple(sorted(found, key=lambda d: (d.left_mm, d.width_mm, d.colour, d.at_mm)))


def _starved(plan: Plan, strips: Places, job: Job) -> Places:
    """Keep the strips that lie where the choke starves."""
    limit = job.settings(Base).keep_mm + 2.0 * plan.choke_mm
    near = strips.narrower_than(limit - 1e-6)
    if not len(near):
        return near
    zone = shapely.STRtree(shapely.get_parts(plan.starved))
    within = zone.query(shapely.points(near.at_mm), predicate="dwithin", distance=0.05)[0]
    return near.take(np.unique(within))


def _detail(
    job: Job,
    plan: Plan,
    member: Member,
    part: Polygon,
    strips: Places,
    finest: int,
    places: int,
    base: MultiPolygon,
    edge: Rim,
    outside: Outline,
    draws: Draws,
) -> Detail:
    width = float(strips.width_mm[finest])
    at = (float(strips.at_mm[finest, 0]), float(strips.at_mm[finest, 1]))
    left = _left_mm(width, at, base, edge)
    whole = max(0.0, width - 2.0 * plan.choke_mm)
    ways = _ways_out(job, plan, part, width, left, outside, draws)
    return Detail(member.colour, width, left, whole, at, places, ways)


def _left_mm(width_mm: float, at_mm: tuple[float, float], base: MultiPolygon, edge: Rim) -> float:
    """Give the width of the base at the middle of a strip: it lies evenly on both sides of it."""
    point = shapely.Point(at_mm)
    if not base.intersects(point):
        return 0.0
    away = float(distance_to(edge, np.array([at_mm]))[0])
    return min(width_mm, 2.0 * away)


def _ways_out(
    job: Job,
    plan: Plan,
    part: Polygon,
    width_mm: float,
    left_mm: float,
    outside: Outline,
    draws: Draws,
) -> tuple[WayOut, ...]:
    """Rank what can be done: what keeps the drawing and the press allows comes first."""
    chosen, units, press = job.settings(Base), job.shop.units, job.shop.press
    made = edges_at(job, outer_edges(outline_of(part), outside), None)

    def peeks(choke_mm: float) -> float:
        even = Edges(made.arms, np.full_like(made.trap_mm, choke_mm), made.number)
        return chance(even, draws, press.visible_gap_mm).print_any

    narrow = job.settings(BaseOrder).narrow
    less = min(max((width_mm - chosen.keep_mm) / 2.0, chosen.least_mm), plan.choke_mm)
    if narrow == "less choke" and left_mm > 0.0:
        less = (width_mm - left_mm) / 2.0  # widths are taken in classes
    thicker_mm = chosen.keep_mm + 2.0 * plan.choke_mm
    thicker = WayOut(
        f"Draw it {length(thicker_mm, units)} wide, so that it bears the whole choke.",
        peeks(plan.choke_mm),
    )
    bare = WayOut(
        "Leave it without a base"
        + (
            ", as it is made"
            if left_mm <= 0.0
            else ""
            if narrow == "no base"
            else ' (narrow = "no base" under [base])'
        )
        + ": the colour looks duller there.",
        None,
    )
    outline = WayOut(
        'A white outline around it on purpose (way = "white outline" under [base]).', None
    )
    ways = [thicker, outline, bare]
    if width_mm - 2.0 * less >= chosen.thinnest_mm - 1e-9 and less < plan.choke_mm:
        shown = peeks(less)
        way = WayOut(
            f"A choke of only {length(less, units)} there"
            + (", as it is made" if narrow == "less choke" else ' (narrow = "less choke")')
            + f": {length(width_mm - 2.0 * less, units)} of base stay, and the base shows on"
            f" {percent(shown)} of the prints.",
            shown,
        )
        first = shown <= press.gap_share or shown <= 1.5 * (thicker.peeks or 0.0)
        ways.insert(0 if first else 1, way)
    if len(plan.members.every) == 1:
        ways.insert(
            len(ways) - 2,
            WayOut(
                'Base and colour through one film that stays where it is (way = "one film" under'
                " [base]).",
                None,
            ),
        )
    return tuple(ways)
