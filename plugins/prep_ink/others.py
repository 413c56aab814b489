"""What other plugins tell of a job that its ink depends on; usual figures where nobody does."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from prep.errors import Unanswered

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.screens import Screen

BEYOND_MM = 25.0
"""Squeegee wider than the image, each side, where nobody tells its length; two suppliers' advice is
13 to 25 mm."""


@dataclass(frozen=True, slots=True)
class Made:
    """What is known of inks mixed by recipe, and of what is stirred into inks.

    :param made: names of inks mixed by a recipe
    :param densities: of these; ``None`` where a part's isn't known
    :param reacts_s: ink -> time after which it is thrown away, as something in it reacts
    """

    made: frozenset[str] = frozenset()
    densities: Mapping[str, float | None] = field(default_factory=dict)
    reacts_s: Mapping[str, float] = field(default_factory=dict)


def recipes_of(ask: Ask) -> Made:
    """Ask for recipes; none where no plugin has them."""
    try:
        from prep_mix.answers import Recipes

        recipes = ask(Recipes)
    except (ModuleNotFoundError, Unanswered):
        return Made()
    return Made(recipes.made, recipes.density_g_per_ml, recipes.reacts_s)


@dataclass(frozen=True, slots=True)
class Blade:
    """The squeegee of a screen.

    :param beyond_mm: how far it goes before and behind the image
    :param assumed: what is reckoned with in its place; empty where it is known
    """

    length_mm: float
    beyond_mm: float
    assumed: str = ""


def squeegee_on(ask: Ask, screen: Screen, beyond_mm: float) -> Blade:
    """Give the squeegee that a screen is printed with, and how far it goes before and behind the image.

    Where nobody tells, or none in stock will do, the image and 25 mm on each side are reckoned with.
    """
    west, _, east, _ = screen.measures.bounds_mm
    usual = Blade(east - west + 2 * BEYOND_MM, beyond_mm, "image and 25 mm on each side")
    try:
        from prep_squeegee.answers import Pulls

        pulls = ask(Pulls)
    except ModuleNotFoundError:
        return usual
    except Unanswered as error:
        return replace(usual, assumed=f"{usual.assumed}: {error.why}")
    pull = pulls[screen.key]
    beyond = max(0.0, min(beyond_mm, pull.well_mm))
    if pull.squeegee_mm is None:
        return replace(
            usual, beyond_mm=beyond, assumed=f"{usual.assumed}, as none in stock will do"
        )
    return Blade(pull.squeegee_mm, beyond)


def washings_of(job: Job, ask: Ask, screen: Screen) -> int:
    """Give how often an ink is washed out of its screen: once, or with each change on a film of several."""
    inks = {other.ink for other in job.screens if other.film == screen.film}
    if len(inks) < 2:
        return 1
    try:
        from prep_base.answers import WaysToPrint

        washes = ask(WaysToPrint).way.washes
    except (ModuleNotFoundError, Unanswered):
        return 1
    return max(1, round((washes + 1) / len(inks)))
