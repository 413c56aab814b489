"""What a base shows and starves, as its screen is in the end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import shapely

from prep.errors import Unanswered
from prep.misses import chance
from prep.press_error import press_error
from prep_base.answers import Detail, Peek, UnderColours, WaysToPrint
from prep_base.counting import counts_of, with_counts
from prep_base.details import AT_MM, details_of
from prep_base.planning import Plan, Rim, edge_of, edges_at, pair_draws
from prep_base.screens import Choice
from prep_base.settings import BaseOrder

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep_base.members import Member
    from prep_sequence.answers import PrintSteps


def ways_to_print(job: Job, ask: Ask) -> WaysToPrint:
    """Answer the possible ways; the one that is made with the steps that its screens came to."""
    choice, press = ask(Choice), job.shop.press
    steps, inks = _steps(ask), len({screen.ink for screen in job.screens})
    films = {screen.key: screen.film for screen in job.screens}
    return WaysToPrint(
        ways=tuple(
            with_counts(job, made.way, counts_of(steps, press, films), inks)
            if made is choice.made and steps is not None
            else made.way
            for made in choice.ways
        ),
        chosen=choice.made.way.name,
        stated=choice.stated,
        error_stated=press_error(press, len(job.films)).stated,
        unused=choice.unused,
        fell_away=choice.fell_away,
    )


def _steps(ask: Ask) -> PrintSteps | None:
    try:
        from prep_sequence.answers import PrintSteps
    except ModuleNotFoundError:
        return None
    try:
        return ask(PrintSteps)
    except Unanswered:
        return None


def under_colours(job: Job, ask: Ask) -> UnderColours:
    """Answer what the base shows and starves.

    :raises Unanswered: there is no base, or it isn't choked
    """
    base = next((screen for screen in job.screens if screen.does != "colour"), None)
    plan = None
    if base is not None and ask(WaysToPrint).chosen in ("base", "side by side"):
        plan = ask(Choice).plan
    if base is None or plan is None:
        raise Unanswered("no choked base is printed")
    press, edge = job.shop.press, edge_of(base.region)
    details = details_of(job, plan, base.region, edge)
    return UnderColours(
        screen=base.key,
        colours=tuple(member.colour for member in plan.on_base),
        choke_mm=plan.choke_mm,
        needed_mm=plan.needed_mm,
        stated=plan.stated,
        narrow=job.settings(BaseOrder).narrow,
        visible_mm=press.visible_gap_mm,
        wanted=press.gap_share,
        peeks=tuple(p for m in plan.on_base if (p := _peek(job, plan, m, edge)) is not None),
        details=details,
        left_out_mm=tuple(_untold(plan, details)),
    )


def _untold(plan: Plan, details: Sequence[Detail]) -> Iterator[tuple[float, float]]:
    """Give places of the parts without a base whose shapes have no detail that says so."""
    told = [
        shape
        for detail in details
        if detail.left_mm <= 0.0
        for member in plan.on_base
        if member.colour == detail.colour
        for shape in member.design.region.geoms
        if shapely.dwithin(shape, shapely.Point(detail.at_mm), AT_MM)
    ]
    shapes = shapely.STRtree(told)
    for part in plan.bare:
        if not len(shapes.query(part, predicate="intersects")):
            point = part.representative_point()
            yield point.x, point.y


def _peek(job: Job, plan: Plan, member: Member, base: Rim) -> Peek | None:
    border = plan.borders[member.colour]
    if not len(border):
        return None
    found = chance(
        edges_at(job, border, base), pair_draws(job, len(job.films)), job.shop.press.visible_gap_mm
    )
    at = border.middle[found.where if found.where >= 0 else len(border) // 2]
    return Peek(
        colour=member.colour,
        run_bad=found.run_bad,
        print_in_good=found.print_in_good,
        print_any=found.print_any,
        worst_mm=found.worst_gap_mm,
        at_mm=(float(at[0]), float(at[1])),
    )
