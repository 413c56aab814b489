"""The way that is made, and its screens."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from prep.borders import outline_of
from prep.findings import Unused
from prep.job import Job
from prep.screens import AddScreen
from prep_base.answers import FellAway
from prep_base.members import members_of, refused
from prep_base.planning import Plan, plan_of
from prep_base.possible import none_as_drawn, why_not
from prep_base.settings import BaseOrder
from prep_base.ways import Made, ways_of


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """What is made of a job.

    :param ways: all possible ways, best first
    :param made: the one that is made
    :param plan: of the base; ``None`` where no colour needs one
    :param unused: what the order says that has no use here
    :param fell_away: ways that the press can't take
    """

    ways: tuple[Made, ...]
    made: Made
    plan: Plan | None
    stated: bool
    unused: tuple[Unused, ...]
    fell_away: tuple[FellAway, ...] = ()


def choice_of(job: Job) -> Choice:
    """Choose how the job is printed: as the order asks, else the best way that shows the drawing.

    A way that changes what is seen or needs a trial, like discharge, is made only when asked for.

    :raises SettingsError: the order asks for what can't be, or for nothing where no such way is left
    """
    members, asked = members_of(job), job.settings(BaseOrder).way
    outlines = {m.colour: outline_of(m.design.region) for m in members.every}
    plan = plan_of(job, outlines)
    ways, fell_away = ways_of(job, members, plan, outlines)
    unused = list(members.unused)
    made = next((one for one in ways if one.way.name == asked), None)
    if asked is not None and made is None:
        here = ", ".join(f'"{one.way.name}"' for one in ways)
        why = why_not(job, members, plan, fell_away, asked)
        if len(job.order.print) == 1 and len({g.colour for g in job.order.garment}) == 1:
            problem = f'"{asked}" is no way to print {job.setup.name}: {why}'
            raise refused(job, "way", problem, f"possible here: {here}; take one of these")
        says = f'base.way = "{asked}" is no way to print this; {why}. Possible here: {here}.'
        unused.append(Unused(says, ("base", "way")))
    if made is None and not ways[0].way.as_drawn:
        raise none_as_drawn(job, [one.way for one in ways], fell_away)
    return Choice(ways, made or ways[0], plan, made is not None, tuple(unused), fell_away)


def screens_of(job: Job, choice: Choice) -> Iterator[AddScreen]:
    """Give the screens that differ from one screen for each colour."""
    own = {screen.key: screen for screen in job.screens}
    for screen in choice.made.screens:
        drawn = own.get(screen.key)
        if (
            drawn is None
            or screen.does != "colour"
            or screen.film is not None
            or (screen.ink, screen.passes) != (drawn.ink, drawn.passes)
        ):
            yield screen
