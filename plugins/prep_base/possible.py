"""Why a way isn't among those a set-up can be printed in, and what is said where none is left."""

from __future__ import annotations

from collections.abc import Sequence

from prep.errors import SettingsError
from prep.job import Job
from prep.phrases import length, several
from prep_base.answers import FellAway, Way, WayName
from prep_base.childrens import childrens
from prep_base.members import Members
from prep_base.planning import Plan
from prep_base.settings import Base
from prep_base.ways import takes_discharge, without_discharge_ink


def why_not(
    job: Job, members: Members, plan: Plan | None, fell_away: Sequence[FellAway], name: WayName
) -> str:
    """Say why a way isn't possible, a clause.

    :param name: of a way that isn't
    """
    fell = next((way for way in fell_away if way.name == name), None)
    if fell is not None:
        return f"it takes {fell.films} films, and {press_holds(job)}"
    if name == "side by side":
        return _why_not_shared(job, members)
    if plan is None:
        return "no colour needs a base"
    if name == "one film":
        return f"it is for one colour alone, and {len(members.every)} are printed"
    if name == "two hits":
        clear = dict.fromkeys(m.screen.ink for m in plan.on_base if m.kind != "opaque colour")
        return f"it needs opaque inks, and {several(clear)} {_is_or_are(clear)} not known as such"
    other = dict.fromkeys(b.fibre for b in job.setup.batches if not takes_discharge(b.fibre))
    if other:
        return f"it needs cotton or another cellulose throughout, and shirts are {several(other)}"
    return f"the shop lists its inks, and no discharge ink for {several(without_discharge_ink(job, plan))}"


def _why_not_shared(job: Job, members: Members) -> str:
    if len(members.every) == 1:
        return "one colour is printed"
    apart = length(job.settings(Base).apart_mm, job.shop.units)
    return f"no two colours of one mesh have a straight lane of {apart} between them that others leave free"


def _is_or_are(things: Sequence[object] | dict[str, None]) -> str:
    return "is" if len(things) == 1 else "are"


def press_holds(job: Job) -> str:
    """Say what a press takes that can't be set up again, a clause."""
    held = job.shop.press.holds
    return f"the press holds {held} frame{'' if held == 1 else 's'} and can't be set up again"


def none_as_drawn(job: Job, ways: Sequence[Way], fell_away: Sequence[FellAway]) -> SettingsError:
    """Make the one line for a set-up whose ways that show the drawing the press can't take.

    :param ways: those left; each changes what is seen or needs a trial, so that one must be asked for
    :param fell_away: one at least
    """
    films = min(way.films for way in fell_away)
    young = childrens(job.setup)
    take = [
        f'way = "{way.name}"' + (" if the dye gives way" if way.name == "discharge" else "")
        for way in ways
        if way.name != "discharge" or not young
    ]
    return SettingsError(
        f"press.set_up_again: {job.setup.name} takes {films} films with a base, and {press_holds(job)}",
        where=job.chosen.origins.get("shop.press.set_up_again", "shop.toml"),
        do=f"take another way under [base] after a trial ({', '.join(take)}), print colours from one screen"
        " (print_as), leave some out (printed = false), or say set_up_again = true",
    )
