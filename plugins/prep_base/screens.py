"""The way that is made, and its screens."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from prep.findings import Unused
from prep.job import Job
from prep.screens import AddScreen
from prep_base.members import members_of, refused
from prep_base.planning import Plan, plan_of
from prep_base.settings import BaseOrder
from prep_base.ways import Made, ways_of


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """What is made of a job.

    :param ways: all possible ways, best first
    :param made: the one that is made
    :param plan: of the base; ``None`` where no colour needs one
    :param unused: what the order says that has no use here
    """

    ways: tuple[Made, ...]
    made: Made
    plan: Plan | None
    stated: bool
    unused: tuple[Unused, ...]


def choice_of(job: Job) -> Choice:
    """Choose how the job is printed: as the order asks, else the best way.

    :raises SettingsError: the order asks for what can't be
    """
    members, plan, asked = members_of(job), plan_of(job), job.settings(BaseOrder).way
    ways = ways_of(job, members, plan)
    unused = list(members.unused)
    made = next((one for one in ways if one.way.name == asked), None)
    if asked is not None and made is None:
        here = ", ".join(f'"{one.way.name}"' for one in ways)
        if len(job.order.print) == 1 and len({g.colour for g in job.order.garment}) == 1:
            problem = f'"{asked}" is no way to print {job.setup.name}'
            raise refused(job, "way", problem, f"possible here: {here}; take one of these")
        says = f'base.way = "{asked}" is no way to print this; possible here: {here}.'
        unused.append(Unused(says, ("base", "way")))
    return Choice(ways, made or ways[0], plan, made is not None, tuple(unused))


def screens_of(job: Job) -> Iterator[AddScreen]:
    """Give the screens that differ from one screen for each colour."""
    own = {screen.key: screen for screen in job.screens}
    for screen in choice_of(job).made.screens:
        drawn = own.get(screen.key)
        if (
            drawn is None
            or screen.does != "colour"
            or screen.film is not None
            or (screen.ink, screen.passes) != (drawn.ink, drawn.passes)
        ):
            yield screen
