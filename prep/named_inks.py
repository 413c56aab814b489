"""What kind an ink is of that a setting names: one listed, one on a screen, or one of another set-up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from prep.screens import assumed_kind, ink_kind

if TYPE_CHECKING:
    from prep.job import Job
    from prep.shop import InkKind


def kind_of_named(job: Job, name: str) -> InkKind | None:
    """Give the usual kind that an ink is printed like; ``None`` where neither shop nor order know it.

    A setting of the shop holds for every set-up of an order, so an ink that only another set-up prints is
    known too: one that the order names for a colour there, or one without a name, which is called by its
    colour. Of these nobody says more than the colour, and they are taken as inks of screens are; see
    :func:`prep.screens.ink_kind`.

    :param name: as the setting has it
    """
    listed = job.shop.listed_ink(name)
    if listed is not None:
        return job.shop.kind_of(listed)
    for screen in job.screens:
        if screen.ink == name:
            return ink_kind(screen, job.shop)[0]
    for printed in job.order.print:
        for choice in printed.colour:
            if choice.ink == name:
                return assumed_kind(choice.colour)
    return assumed_kind(name) if name.startswith("#") else None
