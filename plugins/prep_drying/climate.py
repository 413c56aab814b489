"""From the room and what stands around the screens to the air, heat and evaporation there.

All arrays are (513,): the model at the parameters' defaults, then at their 512 draws.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from prep.errors import SettingsError
from prep.estimate import Floats
from prep_drying import air, parameters, surface
from prep_drying.hand import WORLDS, Hand
from prep_drying.humectant import water_activity

if TYPE_CHECKING:
    from prep.shop import Room
    from prep_drying.answers import Climate

FAN: Climate = "fan on the screens"
DRYER: Climate = "flash dryer beside the press"
PLATEN: Climate = "warm platen under the screen"
STILL: Climate = "still room"
_LEAST_FLUX = 1e-9  # kg/(m² s), under which a ratio of fluxes says nothing
_KG_M2_S_PER_H = 1.0 / surface.S_PER_H
_RARE = 0.1  # share of draws that may lie outside unsaid


@dataclass(frozen=True, slots=True, eq=False)
class AtScreens:
    """What acts on wet ink.

    :param air_c: its vapour is the room's
    :param film_c: temperature of the ink
    :param flux: water that leaves it, kg/(m² s)
    """

    air_c: Floats
    humidity: Floats
    air_speed_m_s: Floats
    film_c: Floats
    flux: Floats


def check(room: Room, under: str = "room") -> None:
    """Refuse a room the formulas don't hold in.

    :param under: where it stands in shop.toml
    :raises SettingsError: colder or hotter, or air faster, than that
    """
    low, high = surface.AIR_FROM_C, surface.AIR_TO_C
    if not low <= room.temperature_c <= high:
        raise SettingsError(
            f"{under}.temperature: air of {room.temperature_c:g} C is outside what drying is reckoned for,"
            f" {low:g} to {high:g} C",
            where="shop.toml",
            do="write the temperature at the screens, or go on with --without drying",
        )
    if room.air_speed_m_per_s > surface.HOLDS_TO_M_PER_S:
        raise SettingsError(
            f"{under}.air_speed: air of {room.air_speed_m_per_s:g} m/s is faster than drying is reckoned"
            f" for, 0 to {surface.HOLDS_TO_M_PER_S:g} m/s",
            where="shop.toml",
            do="write the air's speed at the screens, or go on with --without drying",
        )


def at_screens(hand: Hand, room: Room, climate: tuple[Climate, ...]) -> AtScreens:
    """Reckon air, heat and evaporation at the screens by the model alone.

    A flash dryer warms the air and leaves its vapour as it was, and throws heat; a fan makes the air as
    fast as the faster of fan and room; a warm platen gives heat from below for part of the time.
    """
    room_c = room.temperature_c + hand.worlds(parameters.AIR_OFF)
    vapour = room.humidity * hand.worlds(parameters.VAPOUR_OFF)
    humidity = np.minimum(
        vapour * air.vapour_pressure_pa(room.temperature_c) / air.vapour_pressure_pa(room_c), 1.0
    )
    warmer = hand.worlds(parameters.WARMER) if DRYER in climate else np.zeros(WORLDS)
    here_c = room_c + warmer
    humidity = np.minimum(air.warmed_humidity(humidity, room_c, here_c), 1.0)
    speed = room.air_speed_m_per_s * hand.worlds(parameters.AIR_SPEED)
    if FAN in climate:
        speed = np.maximum(speed, hand.worlds(parameters.FAN_SPEED))
    factor = hand.worlds(parameters.FACTOR)
    platen = PLATEN in climate
    below = hand.worlds(parameters.PLATEN_TRANSFER) * hand.worlds(parameters.PLATEN_SHARE)
    film = surface.balance(
        here_c,
        humidity,
        speed,
        factor,
        radiant_w_m2=hand.worlds(parameters.RADIANT) if DRYER in climate else 0.0,
        below_c=room_c + hand.worlds(parameters.PLATEN_OVER) if platen else 0.0,
        below_w_m2_k=below if platen else 0.0,
        activity=water_activity(hand.worlds(parameters.HUMECTANT)),
    )
    return AtScreens(here_c, humidity, speed, film.temperature_c, film.flux_kg_m2_s)


def weighed_over_model(hand: Hand, there: AtScreens) -> Floats:
    """Give what the flux must be multiplied by so that it is what the shop weighed.

    One where nothing was weighed, or the model lets nothing leave.

    :param there: the climate it was weighed in, by the model alone
    """
    if not hand.has_measured(parameters.WEIGHED):
        return np.ones(WORLDS)
    measured = hand.worlds(parameters.WEIGHED) * _KG_M2_S_PER_H
    return np.divide(measured, there.flux, out=np.ones(WORLDS), where=there.flux > _LEAST_FLUX)


def outside(here: AtScreens) -> Iterator[str]:
    """Say where figures lie outside the range the formulas were made for, in the middle or often."""
    marked = "outside the range the formula was made for"
    if here.air_speed_m_s[0] > surface.MADE_TO_M_PER_S:
        yield (
            f"Air of {here.air_speed_m_s[0]:.2g} m/s is {marked} (up to {surface.MADE_TO_M_PER_S:g} m/s):"
            " its straight line is carried on."
        )
    high = surface.AIR_TO_C
    if (here.air_c > high).mean() > _RARE:
        yield f"Air of {here.air_c[0]:.0f} °C or more is {marked} (up to {high:g} °C)."
    if ((here.film_c < air.HOLDS_FROM_C) | (here.film_c > air.HOLDS_TO_C)).mean() > _RARE:
        yield (
            f"Ink of {here.film_c[0]:.0f} °C is {marked} ({air.HOLDS_FROM_C:g} to {air.HOLDS_TO_C:g} °C)."
        )


def saturated(here: AtScreens) -> str:
    """Say that no water leaves the ink, as far as the reading is right; empty where some does."""
    if here.flux[0] > 0.0:
        return ""
    said = "The air is saturated as read, so that no water leaves the ink"
    if (here.flux > 0.0).any():
        said += "; short times and grams are those of a hygrometer that reads too high"
    return f"{said}. No time is told beyond a day."
