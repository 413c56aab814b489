"""Finds the screens that an order names."""

from __future__ import annotations

from collections.abc import Sequence

from prep.errors import SettingsError
from prep.findings import Unused
from prep.job import Job
from prep.screens import Screen
from prep_sequence.settings import SequenceOrder


def named(job: Job, key: str, screens: Sequence[Screen], *, trial: bool = False) -> list[Screen]:
    """Give the screens named under a key of ``[sequence]``, those this set-up has.

    :param screens: of the set-up
    :param trial: they may never be made, so that nothing is refused
    :raises SettingsError: a name fits no screen, and there is no other print it could be for; or fits two
    """
    found: list[Screen] = []
    for name in getattr(job.settings(SequenceOrder), key):
        found_here = fits(screens, name)
        if trial:
            found += [screen for screen in found_here[:1] if screen not in found]
            continue
        if len(found_here) > 1:
            keys = " and ".join(screen.key for screen in found_here)
            raise refused(job, key, f"{name} is the ink of {keys}; name the colour instead")
        if not found_here and len(job.order.print) == 1:
            raise refused(job, key, f"no screen prints {name}; there are {_listed(job)}")
        if found_here and found_here[0] in found:
            raise refused(job, key, f"{name} names a screen that is named before; take it out")
        found += found_here
    return found


def unused(job: Job) -> list[Unused]:
    """Give the names that fit no screen of this set-up, with the key they stand under."""
    order = job.settings(SequenceOrder)
    return [
        Unused(f"{name} in sequence.{key} fits no screen", ("sequence", key, number))
        for key in ("order", "flash_after", "no_flash_after")
        for number, name in enumerate(getattr(order, key))
        if not fits(job.screens, name)
    ]


def refused(job: Job, key: str, problem: str) -> SettingsError:
    """Make the one line that names file, key and remedy."""
    what, _, do = problem.partition("; ")
    where = job.chosen.origins.get(f"sequence.{key}", "order.toml")
    return SettingsError(f"sequence.{key}: {what}", where=where, do=do)


def fits(screens: Sequence[Screen], name: str) -> list[Screen]:
    """Give the screens a name fits: by key, else by colour, else by ink."""
    plain = name.casefold()
    for attribute in ("key", "colour", "ink"):
        found = [s for s in screens if getattr(s, attribute).casefold() == plain]
        if found:
            return found
    return []


def _listed(job: Job) -> str:
    return ", ".join(s.key if s.ink == s.key else f"{s.key} ({s.ink})" for s in job.screens)
