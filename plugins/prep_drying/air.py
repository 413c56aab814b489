"""Moist air and water: vapour pressure, latent heat, and what warming does to humidity.

Temperatures in °C, pressures in Pa. All functions take and give plain floats or arrays of any shape.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

HOLDS_FROM_C, HOLDS_TO_C = 0.0, 60.0
"""Where vapour pressure and latent heat lie within 0.1 % of IAPWS-IF97, as the tests make sure. Under
0 °C ink freezes."""


def vapour_pressure_pa(temperature_c: ArrayLike) -> Floats:
    """Give the pressure of saturated vapour over water.

    Buck's form of 1996 (after J. Appl. Meteorol. 20 (1981) 1527-1532): 611.21 Pa times
    exp((18.678 - t/234.5) t / (257.14 + t)). Holds from 0 to 60 °C.

    >>> round(float(vapour_pressure_pa(25.0)), 1)
    3168.5
    """
    t = np.asarray(temperature_c, dtype=np.float64)
    return np.asarray(611.21 * np.exp((18.678 - t / 234.5) * t / (257.14 + t)))


def vapour_slope_pa_per_k(temperature_c: ArrayLike) -> Floats:
    """Give how fast the pressure of saturated vapour rises with temperature: the derivative of Buck's form.

    >>> round(float(vapour_slope_pa_per_k(25.0)), 1)
    188.9
    """
    t = np.asarray(temperature_c, dtype=np.float64)
    below = 257.14 + t
    inner = (18.678 - 2.0 * t / 234.5) / below - (18.678 - t / 234.5) * t / below**2
    return np.asarray(vapour_pressure_pa(t) * inner)


def latent_heat_j_per_kg(temperature_c: ArrayLike) -> Floats:
    """Give the heat that evaporating a kilogram of water takes: 2501 - 2.361 t kJ. Holds as the pressure.

    >>> round(float(latent_heat_j_per_kg(20.0)))
    2453780
    """
    return np.asarray(1000.0 * (2501.0 - 2.361 * np.asarray(temperature_c, dtype=np.float64)))


def warmed_humidity(humidity: ArrayLike, from_c: ArrayLike, to_c: ArrayLike) -> Floats:
    """Give the relative humidity of air brought to another temperature with the vapour it holds.

    What is above 1 would fall out as dew; it isn't cut off here.

    :param humidity: 0..1

    >>> round(float(warmed_humidity(0.5, 25.0, 35.0)), 3)
    0.282
    """
    held = np.asarray(humidity) * vapour_pressure_pa(from_c)
    return np.asarray(held / vapour_pressure_pa(to_c))
