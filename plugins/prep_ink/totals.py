"""What to mix of every ink: over the screens of a set-up, and over all set-ups of an order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from prep.estimate import Estimate
from prep_ink import mixing, parameters
from prep_ink.answers import InkOnScreen, InkOnScreens, InkToMix
from prep_ink.hand import estimate

if TYPE_CHECKING:
    from prep.job import Job
    from prep_ink.hand import Hand
    from prep_ink.settings import OrderInk

    Forecasts = Sequence[tuple[Job, InkOnScreens]]


Key = TypeVar("Key")
Value = TypeVar("Value")


def total(estimates: Sequence[Estimate]) -> Estimate:
    """Add estimates of one unit, world by world, so that what they share stays shared."""
    first, *others = estimates
    for other in others:
        first = first + other
    return first


def most(estimates: Sequence[Estimate]) -> Estimate:
    """Give the largest of estimates of one unit, world by world."""
    first = estimates[0]
    draws = np.max([one.draws for one in estimates], axis=0)
    return Estimate(max(one.value for one in estimates), first.unit, draws, first.basis)


def to_mix(
    for_run: Estimate, stays: Estimate, order: OrderInk, readability_g: float
) -> tuple[float, float]:
    """Give what to mix of an ink, rounded up for the balance, and the chance that it suffices.

    With a reserve: the run at its expected value with the reserve on top, and what stays behind. Without:
    what suffices with the chance asked for.
    """
    need = for_run + stays
    if order.reserve is None:
        amount = need.enough_at(order.enough_at)
    else:
        amount = for_run.value * (1.0 + order.reserve) + stays.value
    mixed = mixing.round_up_g(amount, readability_g)
    return mixed, float(np.mean(need.draws <= mixed))


def inks_of(job: Job, found: Sequence[InkOnScreen], hand: Hand) -> tuple[InkToMix, ...]:
    """Give what to mix of every ink of a set-up, in the order the inks are first printed.

    Screens of one ink that share a film share what stays on it. Where the press holds one frame at a time,
    the bead goes from one film to the next, so that the largest counts.
    """
    made = []
    beads = most if job.shop.press.holds == 1 else total
    pot = estimate(hand.worlds(parameters.POT_LOSS), "g")
    for name, screens in _grouped((ink.ink, ink) for ink in found).items():
        films = _grouped((ink.film, ink) for ink in screens).values()
        mix = InkToMix(
            ink=name,
            screens=tuple(ink.screen for ink in screens),
            for_run_g=total([ink.for_run_g for ink in screens]),
            bead_g=beads([most([ink.bead_g for ink in film]) for film in films]),
            clings_g=total([most([ink.clings_g for ink in film]) for film in films]),
            pot_g=pot,
            density_g_per_ml=screens[0].density_g_per_ml,
            to_mix_g=0.0,
            chance=0.0,
            pot_life_s=screens[0].pot_life_s,
            made=screens[0].made,
        )
        made.append(_rounded(job, mix))
    return tuple(made)


def over_all(forecasts: Forecasts) -> tuple[InkToMix, ...]:
    """Give what to mix of every ink over all set-ups, rounded once.

    The bead goes from one set-up to the next, so that the largest counts, and the pot once; what clings to
    mesh, film and blade is washed out each time. An ink that doesn't keep is mixed anew for each set-up.
    """
    if len(forecasts) == 1:
        return forecasts[0][1].inks
    parts = _grouped((mix.ink, (job, mix)) for job, ink in forecasts for mix in ink.inks)
    made = []
    for name, of_ink in parts.items():
        mixes = [mix for _, mix in of_ink]
        keeps = mixes[0].pot_life_s is None
        whole = InkToMix(
            ink=name,
            screens=tuple(f"{job.setup.key}/{key}" for job, mix in of_ink for key in mix.screens),
            for_run_g=total([mix.for_run_g for mix in mixes]),
            bead_g=(most if keeps else total)([mix.bead_g for mix in mixes]),
            clings_g=total([mix.clings_g for mix in mixes]),
            pot_g=mixes[0].pot_g if keeps else total([mix.pot_g for mix in mixes]),
            density_g_per_ml=mixes[0].density_g_per_ml,
            to_mix_g=0.0,
            chance=0.0,
            pot_life_s=mixes[0].pot_life_s,
            made=mixes[0].made,
        )
        made.append(_rounded(of_ink[0][0], whole))
    return tuple(made)


def _rounded(job: Job, mix: InkToMix) -> InkToMix:
    from prep_ink.settings import OrderInk

    order, readability = job.settings(OrderInk), job.shop.balance.readability_g
    mixed, chance = to_mix(mix.for_run_g, mix.stays_g, order, readability)
    return replace(mix, to_mix_g=mixed, chance=chance)


def _grouped(pairs: Iterable[tuple[Key, Value]]) -> dict[Key, list[Value]]:
    groups: dict[Key, list[Value]] = {}
    for key, value in pairs:
        groups.setdefault(key, []).append(value)
    return groups
