"""How thick ink stands in an opening of a screen, cleared and flooded, and how fast it loses its water.

All arrays are (513,): the model at the parameters' defaults, then at their 512 draws.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from prep.estimate import Floats
from prep_drying import parameters, wells
from prep_drying.hand import WORLDS, Hand
from prep_drying.parameters import Known
from prep_drying.surface import vapour_transfer_w_m2_pa

if TYPE_CHECKING:
    from prep.cloth import MeshFigures

STILL_M_PER_S = 0.1
"""Air speed of a room in which nothing blows. A guess."""
MEASURED_AT_MM = 1.0
"""Width of the line that the shop's own open times are of."""


@dataclass(frozen=True, slots=True, eq=False)
class Ink:
    """An ink on a screen.

    :param water_share: of fresh ink, by mass
    :param density_g_per_ml: of it
    :param critical_loss: share of its water that it may lose, retarder heeded
    """

    water_share: Floats
    density_g_per_ml: Floats
    critical_loss: Floats


def critical_loss(hand: Hand, *, retarder: bool) -> Floats:
    """Give the share of its water that ink may lose before it clogs; with retarder more, to 95 % at most.

    The factor of a retarder is practice put into a number. No physics stands behind it.
    """
    untreated = hand.worlds(parameters.CRITICAL_LOSS)
    gain = hand.worlds(parameters.RETARDER) if retarder else 1.0
    return np.asarray(np.minimum(untreated * gain, 0.95))


def mesh_volume(mesh: MeshFigures) -> Known:
    """Give the uncertainty of one mesh's volume, of the same draws as for its ink."""
    low, high = mesh.volume_range
    template = parameters.MESH_VOLUME
    name = f"{template.parameter.name}.{mesh.name}"
    parameter = replace(template.parameter, name=name, low=low, high=high)
    remedy = template.remedy if mesh.volume_origin == "ideal" else ""
    return Known(parameter, f"{template.words} ({mesh.name})", remedy)


def layer_um(hand: Hand, mesh: MeshFigures, film_um: float, *, flooded: bool) -> Floats:
    """Give the ink in an opening: half the mesh's, or mesh, film and flood."""
    volume = mesh.volume_um * hand.worlds(mesh_volume(mesh))
    if not flooded:
        return np.asarray(volume * hand.worlds(parameters.CLEARED))
    film = film_um * hand.worlds(parameters.WELL_FILLED)
    return np.asarray(volume + film + hand.worlds(parameters.FLOOD_LAYER))


def rims(hand: Hand, widths_mm: Sequence[float], *, flooded: bool) -> Floats:
    """Give how much faster than the flux openings of some widths dry, (W, 513).

    Still air counts, whatever blows: a fan thins the still layer and with it the rim's share, but must not
    seem to do small openings good.
    """
    weight = hand.worlds(parameters.RIM_FLOODED if flooded else parameters.RIM_CLEARED)
    still = vapour_transfer_w_m2_pa(hand.worlds(parameters.FACTOR), STILL_M_PER_S)
    widths = np.asarray(widths_mm, dtype=np.float64)[:, None]
    return wells.rim_index(widths, wells.still_layer_mm(still), weight)


def measured_over_model(
    hand: Hand,
    flux: Floats,
    ink: Ink,
    mesh: MeshFigures,
    film_um: float,
    *,
    flooded: bool,
) -> Floats:
    """Give what layers must be multiplied by so that a line of 1 mm stays open as the shop has measured.

    One where it hasn't, or nothing dries.

    :param flux: in the climate in which it was measured, kg/(m² s)
    :param ink: with which it was measured, untreated
    :param mesh: in which it was measured
    """
    known = parameters.OPEN_FLOODED if flooded else parameters.OPEN_CLEARED
    if not hand.has_measured(known):
        return np.ones(WORLDS)
    layer = layer_um(hand, mesh, film_um, flooded=flooded)
    water = wells.water_kg_m2(ink.water_share, ink.density_g_per_ml, layer)
    (index,) = rims(hand, (MEASURED_AT_MM,), flooded=flooded)
    may_go = critical_loss(hand, retarder=False) * water
    went = hand.worlds(known) * flux * index
    return np.asarray(np.divide(went, may_go, out=np.ones(WORLDS), where=flux > 0))
