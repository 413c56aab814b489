"""What the range of an open time comes from, and what to measure to narrow it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from prep_drying import climate as climates
from prep_drying import parameters
from prep_drying.answers import Contribution
from prep_drying.hand import estimate
from prep_drying.idle import open_time
from prep_drying.layers import mesh_volume
from prep_drying.scene import around

if TYPE_CHECKING:
    from prep.estimate import Estimate, Floats
    from prep_drying.parameters import Known
    from prep_drying.scene import OneScreen, Scene

_ALWAYS = (
    parameters.FACTOR,
    parameters.AIR_OFF,
    parameters.VAPOUR_OFF,
    parameters.AIR_SPEED,
    parameters.HUMECTANT,
    parameters.CRITICAL_LOSS,
)
_IN = {
    climates.FAN: (parameters.FAN_SPEED,),
    climates.DRYER: (parameters.RADIANT, parameters.WARMER),
    climates.PLATEN: (
        parameters.PLATEN_OVER,
        parameters.PLATEN_TRANSFER,
        parameters.PLATEN_SHARE,
    ),
}
_FLOODED = (parameters.WELL_FILLED, parameters.FLOOD_LAYER, parameters.RIM_FLOODED)
_CLEARED = (parameters.CLEARED, parameters.RIM_CLEARED)


@dataclass(frozen=True, slots=True, eq=False)
class _Better:
    """A screen of which one thing more is known."""

    name: str
    words: str
    remedy: str
    scene: Scene
    one: OneScreen


def contributions(scene: Scene, one: OneScreen) -> tuple[Contribution, ...]:
    """Tell what the range of a screen's open time comes from, the largest part first.

    Of the finest opening, flooded or cleared as the job is worked. A parameter's share is the part of the
    variance of the time's logarithm that goes once it alone is known to be its default; what does nothing
    is left out.
    """
    whole = _variance(scene, one)
    found = []
    for better in _known_one_by_one(scene, one):
        share = 1.0 - _variance(better.scene, better.one) / whole if whole > 0 else 0.0
        if share > 0.0:
            found.append(Contribution(better.name, better.words, share, better.remedy))
    return tuple(sorted(found, key=lambda part: -part.share))


def _known_one_by_one(scene: Scene, one: OneScreen) -> Iterator[_Better]:
    for template in _used(scene, one):
        known = scene.hand.known(template)
        better = replace(scene, hand=scene.hand.knowing(template))
        yield _Better(known.parameter.name, known.words, known.remedy, better, one)
    ink = one.ink
    yield _Better(
        "ink.water_share",
        "how much water the ink holds",
        "Ask the ink maker for the share of solids and set water_share under [[inks]] in shop.toml.",
        scene,
        replace(one, ink=replace(ink, water_share=_exact(ink.water_share))),
    )
    yield _Better(
        "ink.density",
        "how heavy the ink is",
        "Weigh 100 ml of it and set its density in shop.toml.",
        scene,
        replace(one, ink=replace(ink, density_g_per_ml=_exact(ink.density_g_per_ml))),
    )


def _used(scene: Scene, one: OneScreen) -> Iterator[Known]:
    """Give the parameters that a screen's open time follows from."""
    yield from _ALWAYS
    for climate in scene.climate:
        yield from _IN.get(climate, ())
    yield from _FLOODED if scene.flooded else _CLEARED
    yield mesh_volume(one.mesh)
    if one.retarder:
        yield parameters.RETARDER
    for known in (
        parameters.WEIGHED,
        parameters.OPEN_FLOODED if scene.flooded else parameters.OPEN_CLEARED,
    ):
        if scene.hand.has_measured(known):
            yield known


def _exact(figure: Estimate) -> Estimate:
    return estimate(np.full(len(figure.draws) + 1, figure.value), figure.unit)


def _variance(scene: Scene, one: OneScreen) -> float:
    times: Floats = open_time(scene, around(scene), one, (one.finest_mm,), flooded=scene.flooded)[0]
    return float(np.var(np.log(np.maximum(times[1:], 1.0))))
