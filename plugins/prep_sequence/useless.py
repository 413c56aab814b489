"""Flashes asked for that dry nothing: no screen comes down after them, or the shirts come off first."""

from __future__ import annotations

from collections.abc import Sequence

from prep.findings import Unused
from prep.job import Job
from prep.make_ready import put_in_order
from prep.screens import PrintOrder, Screen
from prep_sequence.naming import fits, refused
from prep_sequence.ordering import order_of
from prep_sequence.settings import SequenceOrder
from prep_sequence.steps import steps_among


def checked_order(job: Job) -> PrintOrder:
    """Give the order of printing; see :func:`prep_sequence.ordering.order_of`.

    :raises SettingsError: as there; or a flash is asked for where it dries nothing, and there is no
        other set-up that it could be for
    """
    order = order_of(job)
    useless = useless_flashes(job, put_in_order(job.screens, order))
    alone = len(job.order.print) == 1 and len({g.colour for g in job.order.garment}) == 1
    if useless and alone:
        number = useless[0].at[-1]
        name = next(n for k, n in enumerate(_asked(job)) if k == number)
        raise refused(
            job,
            "flash_after",
            f"no screen comes down after {name} before the shirts come off; take it out",
        )
    return order


def useless_flashes(job: Job, screens: Sequence[Screen]) -> list[Unused]:
    """Give what ``flash_after`` names in vain.

    :param screens: in print order
    """
    names = [(number, fits(screens, name)) for number, name in enumerate(_asked(job))]
    if not any(found for _, found in names):
        return []
    steps = steps_among(job, screens).steps
    films = {screen.key: screen.film for screen in screens}
    useless = []
    for number, found in names:
        if len(found) != 1:
            continue
        key = found[0].key
        last = max(k for k, step in enumerate(steps) if (step.does, step.screen) == ("print", key))
        after = [s for s in steps[last + 1 :] if s.does != "print" or films[s.screen] != films[key]]
        if not after or after[0].does == "take off":
            says = f"{_asked(job)[number]} in sequence.flash_after has no screen after it"
            useless.append(Unused(says, ("sequence", "flash_after", number)))
    return useless


def _asked(job: Job) -> tuple[str, ...]:
    return job.settings(SequenceOrder).flash_after
