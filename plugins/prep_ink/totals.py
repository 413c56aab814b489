"""What to mix of every ink over all set-ups of an order."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from prep_ink.answers import InkOnScreens, InkToMix

if TYPE_CHECKING:
    from prep.job import Job
    from prep.sections import Section

    Forecasts = Sequence[tuple[Job, InkOnScreens]]


def over_all(forecasts: Forecasts) -> tuple[InkToMix, ...]:
    """Give what to mix of every ink over all set-ups, rounded once."""
    from prep_ink.forecast import to_mix, total
    from prep_ink.settings import OrderInk

    if len(forecasts) == 1:
        return forecasts[0][1].inks
    parts: dict[str, list[tuple[Job, InkToMix]]] = {}
    for job, ink in forecasts:
        for mix in ink.inks:
            parts.setdefault(mix.ink, []).append((job, mix))
    found = []
    for name, of_ink in parts.items():
        job = of_ink[0][0]
        for_run = total([mix.for_run_g for _, mix in of_ink])
        stays = total([mix.stays_g for _, mix in of_ink])
        mixed, chance = to_mix(
            for_run, stays, job.settings(OrderInk), job.shop.balance.readability_g
        )
        screens = tuple(
            f"{job.setup.key}/{screen}" for job, mix in of_ink for screen in mix.screens
        )
        found.append(InkToMix(name, screens, for_run, stays, mixed, chance))
    return tuple(found)


def order_section(forecasts: Forecasts) -> Section:
    """Give the ink table of the page over all set-ups."""
    from prep.phrases import several
    from prep.sections import Section, Table
    from prep_ink.sheet import EIGHT_IN_TEN
    from prep_ink.words import between, percent, weight

    units = forecasts[0][0].shop.units
    used: dict[str, list[str]] = {}
    for number, (_, ink) in enumerate(forecasts, start=1):
        for mix in ink.inks:
            used.setdefault(mix.ink, []).append(str(number))
    rows = tuple(
        (
            mix.ink,
            several(tuple(used[mix.ink])),
            between(mix.for_run_g),
            between(mix.stays_g),
            weight(mix.to_mix_g, units),
            percent(mix.chance),
            "",
        )
        for mix in over_all(forecasts)
    )
    table = Table(
        ("Ink", "Set-ups", "For the run", "Stays behind", "To mix", "Suffices", "Weighed"),
        rows,
        "llrrrrl",
        caption=f"Mixed once for the whole order. {EIGHT_IN_TEN} What each set-up asks for on its own page"
        " is rounded up there, so that these need not add up to it.",
    )
    return Section("job", "Ink over all set-ups", (table,), rank=40)
