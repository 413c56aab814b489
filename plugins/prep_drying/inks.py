"""How much water an ink holds and how heavy it is, with where that comes from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from prep_drying.parameters import Known

if TYPE_CHECKING:
    from prep.job import Ask, Job


def water_and_density(job: Job, ask: Ask, ink: str, kind: str) -> tuple[Known, Known]:
    """Give both figures of an ink, of the same draws as for its grams.

    :param kind: the usual kind it is printed like
    :raises ModuleNotFoundError: nobody tells of inks
    """
    from prep_ink.hand import density_of, water_of
    from prep_ink.others import recipes_of

    water = water_of(job.shop, ink, kind)
    density = density_of(job.shop, ink, kind, recipes_of(ask).densities.get(ink))
    ask_maker = (
        "Ask the ink maker for the share of solids and set water_share under [[inks]] in shop.toml."
    )
    return (
        Known(water.parameter, water.words, water.remedy and ask_maker),
        Known(density.parameter, density.words, density.remedy),
    )
