"""What the shop's recipes and the order's wishes say of inks, whatever the amount."""

from __future__ import annotations

from typing import TYPE_CHECKING

from prep_mix.answers import Recipes
from prep_mix.inks import shelf_of, wishes_of
from prep_mix.recipes import Mixable
from prep_mix.shares import NoDensity, NoInkLeft, masses, volume_of

if TYPE_CHECKING:
    from prep.job import Ask, Job


def recipes(job: Job, _ask: Ask) -> Recipes:
    """Answer from settings and screens alone.

    :raises SettingsError: settings that mixing refuses
    """
    shelf = shelf_of(job)
    made = [recipe.ink for recipe in shelf.mix.recipe]
    inks = dict.fromkeys([*made, *(screen.ink for screen in job.screens)])
    reacts = {ink: shelf.reacts_s(shelf.mixable(ink, wishes_of(job, ink))) for ink in inks}
    return Recipes(
        made=frozenset(made),
        density_g_per_ml={ink: _density(shelf.mixable(ink)) for ink in made},
        reacts_s={ink: after_s for ink, after_s in reacts.items() if after_s is not None},
    )


def _density(mixable: Mixable) -> float | None:
    """Give the density of an ink with its own additives in g/ml; ``None`` where one lacks."""
    mixture = mixable.mixture
    dosed = [one.dosed for one in mixture.added]
    try:
        ink_g, added_g = masses(1.0, mixture.ink, dosed)
        parts = [(mixture.ink.name, mixture.ink.density, ink_g)]
        parts += [(o.name, o.density, mass) for o, mass in zip(dosed, added_g, strict=True)]
        return 1.0 / volume_of(parts)
    except (NoDensity, NoInkLeft):
        return None
