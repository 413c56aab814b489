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
    from prep_drying.scene import Around, OneScreen, Scene

_ALWAYS = (
    parameters.FACTOR,
    parameters.AIR_OFF,
    parameters.VAPOUR_OFF,
    parameters.AIR_SPEED,
    parameters.HUMECTANT,
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

    known: Known
    scene: Scene
    air: Around
    one: OneScreen


def contributions(scene: Scene, air: Around, one: OneScreen) -> tuple[Contribution, ...]:
    """Tell what the range of a screen's open time comes from, the largest part first.

    Of the finest opening, flooded or cleared as the job is worked. A parameter's share is the part of the
    variance of the time's logarithm that goes once it alone is known to be its default; what does nothing
    is left out.

    :param air: the climate of the scene
    """
    whole = _variance(scene, air, one)
    found = []
    for better in _known_one_by_one(scene, air, one):
        share = 1.0 - _variance(better.scene, better.air, better.one) / whole if whole > 0 else 0.0
        if share > 0.0:
            found.append(_part(better.known, share))
    return tuple(sorted(found, key=lambda part: -part.share))


def _part(known: Known, share: float) -> Contribution:
    of = known.parameter
    figure = (of.default, of.low, of.high, of.unit, of.status, of.source)
    return Contribution(of.name, known.words, share, known.remedy, *figure)


def _known_one_by_one(scene: Scene, air: Around, one: OneScreen) -> Iterator[_Better]:
    of_air, of_screen = _used_by_air(scene), _used_by_screen(scene, one)
    for template in (*of_air, *of_screen):
        known = scene.hand.known(template)
        better = replace(scene, hand=scene.hand.knowing(template))
        there = around(better) if template in of_air else air
        yield _Better(known, better, there, one)
    ink, (water, density) = one.ink, one.of_ink
    wet = replace(ink, water_share=_exact(ink.water_share))
    yield _Better(water, scene, air, replace(one, ink=wet))
    heavy = replace(ink, density_g_per_ml=_exact(ink.density_g_per_ml))
    yield _Better(density, scene, air, replace(one, ink=heavy))


def _used_by_air(scene: Scene) -> tuple[Known, ...]:
    """Give the parameters that the climate at the screens follows from."""
    placed = (known for climate in scene.climate for known in _IN.get(climate, ()))
    weighed = (parameters.WEIGHED,) if scene.hand.has_measured(parameters.WEIGHED) else ()
    return (*_ALWAYS, *placed, *weighed)


def _used_by_screen(scene: Scene, one: OneScreen) -> tuple[Known, ...]:
    """Give the parameters that else a screen's open time follows from."""
    lines = parameters.OPEN_FLOODED if scene.flooded else parameters.OPEN_CLEARED
    tried = scene.tried[scene.flooded]
    with_lines: dict[str, Known] = {}
    if scene.hand.has_measured(lines):
        others = tried.of_ink if tried.ink != one.ink.ink else ()
        with_lines = {k.parameter.name: k for k in (lines, mesh_volume(tried.mesh), *others)}
    mesh = mesh_volume(one.mesh)
    with_lines.pop(mesh.parameter.name, None)
    return (
        parameters.CRITICAL_LOSS,
        *(_FLOODED if scene.flooded else _CLEARED),
        mesh,
        *((parameters.RETARDER,) if one.retarder else ()),
        *with_lines.values(),
    )


def _exact(figure: Estimate) -> Estimate:
    return estimate(np.full(len(figure.draws) + 1, figure.value), figure.unit)


def _variance(scene: Scene, air: Around, one: OneScreen) -> float:
    times: Floats = open_time(scene, air, one, (one.finest_mm,), flooded=scene.flooded)[0]
    return float(np.var(np.log(np.maximum(times[1:], 1.0))))
