"""Openings of an idle screen: how much water stands in them, and how long they stay open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from prep.estimate import Floats
from prep_drying import wells
from prep_drying.layers import layer_um, rims

if TYPE_CHECKING:
    from prep_drying.scene import Around, OneScreen, Scene


@dataclass(frozen=True, slots=True, eq=False)
class Openings:
    """Openings of one screen, cleared or flooded.

    :param water: kg/m² in a fresh one, (513,)
    :param index: how much faster than the flux each width dries, (W, 513)
    """

    water: Floats
    index: Floats


def openings(
    scene: Scene, air: Around, one: OneScreen, widths_mm: Sequence[float], *, flooded: bool
) -> Openings:
    """Give what stands in openings of some widths."""
    ink = scene.ink(one)
    layer = layer_um(scene.hand, one.mesh, scene.film_um, flooded=flooded)
    layer = layer * air.measured(scene, one, flooded=flooded)
    water = wells.water_kg_m2(ink.water_share, ink.density_g_per_ml, layer)
    return Openings(water, rims(scene.hand, widths_mm, flooded=flooded))


def open_time(
    scene: Scene, air: Around, one: OneScreen, widths_mm: Sequence[float], *, flooded: bool
) -> Floats:
    """Give how long openings of some widths stay open, left alone: (W, 513) in s."""
    inside = openings(scene, air, one, widths_mm, flooded=flooded)
    return wells.open_time_s(scene.ink(one).critical_loss, inside.water, air.flux, inside.index)
