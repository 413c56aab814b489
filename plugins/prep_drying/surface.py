"""How fast water leaves a thin wet film: heat and vapour at its surface, in balance.

A film of ink isn't as warm as the air: evaporation cools it within seconds, until as much heat comes in
from air, walls, a flash dryer or a warm platen as the vapour takes away. Plain floats and arrays that
broadcast against each other; SI units but for °C.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from prep_drying.air import (
    latent_heat_j_per_kg,
    vapour_pressure_pa,
    vapour_slope_pa_per_k,
)

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

S_PER_H = 3600.0
RADIATIVE_W_PER_M2_K = 5.7
"""4 sigma T³ at room temperature, for a black surface facing walls as warm as the air."""
LEWIS_PA_PER_K = 66.5
"""Heat transfer over vapour transfer, by Lewis' relation: the psychrometric constant at 101.3 kPa."""
MADE_TO_M_PER_S = 0.15
"""Air speed up to which the formula was made: over pools 0.05-0.15 m/s, from memory. Faster air is an
extrapolation of its straight line."""
HOLDS_TO_M_PER_S = 5.0
"""Air speed beyond which nothing is reckoned: more than a desk fan gives. Our choice."""
AIR_FROM_C, AIR_TO_C = 0.0, 50.0
"""Air temperatures that are reckoned with: radiation as a fixed coefficient and Lewis' relation at one
constant are made for rooms. Our choice."""
FACES = 2
"""Both faces of a screen take up heat; water leaves by the ink's face."""
_TOLERANCE_K = 1e-9
_MOST_STEPS = 100


@dataclass(frozen=True, slots=True)
class Surface:
    """A wet surface at rest.

    :param temperature_c: of the film
    :param flux_kg_m2_s: water that leaves it; 0 where dew would fall on it
    """

    temperature_c: Floats
    flux_kg_m2_s: Floats


def vapour_transfer_w_m2_pa(factor: ArrayLike, air_speed_m_s: ArrayLike) -> Floats:
    """Give the heat that evaporation takes for each pascal of vapour pressure: f (0.089 + 0.0782 v).

    The formula of Carrier and ASHRAE for pools (ASHRAE Handbook HVAC Applications, natatoriums, from
    memory; in inch-pound units in the abstract of "Rates of evaporation from swimming pools in active
    use", ASHRAE Trans. 104(1A), 1998). Made for air of 0.05-0.15 m/s, extrapolated to 5 m/s. Measured
    rates lie at 0.4 to 1 of it: that paper found 0.74 over undisturbed pools.

    :param factor: f on the formula
    """
    speed = np.asarray(air_speed_m_s, dtype=np.float64)
    return np.asarray(np.asarray(factor) * (0.089 + 0.0782 * speed))


def flux_at(
    temperature_c: ArrayLike,
    air_c: ArrayLike,
    humidity: ArrayLike,
    air_speed_m_s: ArrayLike,
    factor: ArrayLike = 1.0,
    activity: ArrayLike = 1.0,
) -> Floats:
    """Give the water that leaves a surface of known temperature, kg/(m² s); below 0 it is dew.

    :param activity: water activity of the film, 0..1

    >>> round(3600.0 * float(flux_at(25.0, 25.0, 0.5, 0.1)), 4)
    0.2261
    """
    here = np.asarray(activity) * vapour_pressure_pa(temperature_c)
    there = np.asarray(humidity) * vapour_pressure_pa(air_c)
    heat = vapour_transfer_w_m2_pa(factor, air_speed_m_s) * (here - there)
    return np.asarray(heat / latent_heat_j_per_kg(temperature_c))


def balance(
    air_c: ArrayLike,
    humidity: ArrayLike,
    air_speed_m_s: ArrayLike,
    factor: ArrayLike = 1.0,
    *,
    radiant_w_m2: ArrayLike = 0.0,
    below_c: ArrayLike = 0.0,
    below_w_m2_k: ArrayLike = 0.0,
    activity: ArrayLike = 1.0,
    faces: int = FACES,
) -> Surface:
    """Give temperature and evaporation of a film whose heat is in balance.

    Solves N (hc + hr)(Ta - Ts) + q + hb (Tb - Ts) = c (aw e(Ts) - RH e(Ta)) with c from
    :func:`vapour_transfer_w_m2_pa`, hc = 66.5 Pa/K c and hr = 5.7 W/(m² K), by Newton's steps kept
    within a bracket. The left side falls with Ts and the right rises, so there is one solution.

    :param radiant_w_m2: taken up from a flash dryer
    :param below_c: temperature of a platen under the screen
    :param below_w_m2_k: heat that comes from there for each kelvin; 0 = no platen
    :param activity: water activity of the film, 0..1
    :param faces: that take up heat from the air, N
    :return: arrays of the arguments' common shape
    :raises ValueError: an argument that isn't finite, humidity or activity outside 0..1, or a load,
        transfer or speed below 0

    >>> still = balance(25.0, 0.5, 0.1, 0.6)
    >>> round(float(still.temperature_c), 2), round(3600.0 * float(still.flux_kg_m2_s), 4)
    (21.85, 0.0885)
    """
    given = np.broadcast_arrays(
        *(
            np.asarray(value, dtype=np.float64)
            for value in (
                air_c,
                humidity,
                air_speed_m_s,
                factor,
                radiant_w_m2,
                below_c,
                below_w_m2_k,
                activity,
            )
        )
    )
    air, rh, speed, f, radiant, below, conducted, aw = given
    if not all(np.isfinite(value).all() for value in given):
        raise ValueError("heat can only be balanced of finite figures")
    if any(((share < 0) | (share > 1)).any() for share in (rh, aw)):
        raise ValueError("humidity and water activity lie between 0 and 1")
    if any((value < 0).any() for value in (speed, f, radiant, conducted)):
        raise ValueError("speed, factor, radiant load and transfer must not be negative")
    c = vapour_transfer_w_m2_pa(f, speed)
    taken_up = faces * (LEWIS_PA_PER_K * c + RADIATIVE_W_PER_M2_K)
    there = rh * vapour_pressure_pa(air)

    def left_over(ts: Floats) -> Floats:
        heat = taken_up * (air - ts) + radiant + conducted * (below - ts)
        return np.asarray(heat - c * (aw * vapour_pressure_pa(ts) - there))

    # without evaporation the film would be this warm; dew adds less than c times the vapour there is
    dry = (taken_up * air + radiant + conducted * below) / (taken_up + conducted)
    high = dry + c * there / (taken_up + conducted) + 1e-6
    low = dry - c * vapour_pressure_pa(np.maximum(dry, 0.0)) / (taken_up + conducted) - 1e-6
    ts = np.array(dry)
    for _ in range(_MOST_STEPS):
        over = left_over(ts)
        low, high = np.where(over >= 0, ts, low), np.where(over <= 0, ts, high)
        slope = taken_up + conducted + c * aw * vapour_slope_pa_per_k(ts)
        step = ts + over / slope
        following = np.where((step >= low) & (step <= high), step, (low + high) / 2.0)
        moved = np.abs(following - ts).max(initial=0.0)
        ts = following
        if moved < _TOLERANCE_K:
            break
    flux = np.maximum(flux_at(ts, air, rh, speed, f, aw), 0.0)
    return Surface(ts, flux)
