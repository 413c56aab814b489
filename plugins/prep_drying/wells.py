"""Ink in an opening, between two pulls: how long it stays wet, and how floods refresh it.

Layers in um, widths in mm, densities in g/ml, fluxes in kg/(m² s), times in s. Water left is told as a
share of what fresh ink holds for the same solids. Plain floats and arrays that broadcast.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from prep_drying.surface import LEWIS_PA_PER_K

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

LONGEST_S = 86_400.0
"""A day: no time is told beyond it."""
_DIFFUSION_M2_S = 2.5e-5  # of water vapour in air at room temperature
_AIR_J_PER_M3_K = 1206.0  # heat a cubic metre of air takes, 1.2 kg/m3 at 1005 J/(kg K)
_G_PER_ML_UM = 1e-3  # g/ml times um, in kg/m2


def water_kg_m2(water_share: ArrayLike, density_g_per_ml: ArrayLike, layer_um: ArrayLike) -> Floats:
    """Give the water in a layer of fresh ink: w0 rho H.

    >>> round(float(water_kg_m2(0.6, 1.0, 100.0)), 3)
    0.06
    """
    mass = np.asarray(density_g_per_ml) * np.asarray(layer_um) * _G_PER_ML_UM
    return np.asarray(np.asarray(water_share) * mass)


def open_time_s(
    critical_loss: ArrayLike, water: ArrayLike, flux_kg_m2_s: ArrayLike, index: ArrayLike = 1.0
) -> Floats:
    """Give how long a layer left alone stays fit to print: Lc w0 rho H / m'', at most a day.

    Own reckoning at a constant rate; what share of its water an ink may lose is a guess until measured.

    :param critical_loss: share of its water that ink may lose before it clogs, 0..1
    :param water: kg/m², see :func:`water_kg_m2`
    :param index: how much faster than the flux a small opening dries, see :func:`rim_index`

    >>> float(open_time_s(0.5, 0.06, 0.2 / 3600.0)) / 60.0
    9.0
    """
    may_go = np.asarray(critical_loss) * np.asarray(water)
    rate = np.asarray(flux_kg_m2_s) * np.asarray(index)
    with np.errstate(divide="ignore", invalid="ignore"):
        time = np.where(rate > 0, may_go / rate, LONGEST_S)
    return np.minimum(time, LONGEST_S)


def still_layer_mm(transfer_w_m2_pa: ArrayLike) -> Floats:
    """Give the thickness of air through which vapour must wander: Dv / h with h by Lewis' relation.

    :param transfer_w_m2_pa: see :func:`prep_drying.surface.vapour_transfer_w_m2_pa`

    >>> round(float(still_layer_mm(0.6 * 0.09682)), 1)
    7.8
    """
    heat = LEWIS_PA_PER_K * np.asarray(transfer_w_m2_pa, dtype=np.float64)
    return np.asarray(1000.0 * _DIFFUSION_M2_S * _AIR_J_PER_M3_K / heat)


def rim_index(width_mm: ArrayLike, layer_mm: ArrayLike, weight: ArrayLike = 1.0) -> Floats:
    """Give how much faster a small spot dries than a large one, for vapour also leaves over its rim.

    1 + 4 delta / (pi R), which blends a flat layer with a disc alone on a dry plane (rate 4 Dv R times
    the difference in vapour density). Isothermal and never measured on screens: good for ranking openings,
    hence the weight, a guess, by which it counts beside other wet places.

    :param width_mm: of the opening, 2 R, above 0
    :param layer_mm: delta, see :func:`still_layer_mm`
    :param weight: 1 = alone on a dry plane, 0 = all around is as wet

    >>> [round(float(rim_index(2.0 * r, 5.0)), 1) for r in (0.25, 0.5, 1.0, 2.5, 5.0)]
    [26.5, 13.7, 7.4, 3.5, 2.3]
    """
    radius = np.asarray(width_mm, dtype=np.float64) / 2.0
    return np.asarray(1.0 + np.asarray(weight) * 4.0 * np.asarray(layer_mm) / (np.pi * radius))


def lost_a_pull(
    flux_kg_m2_s: ArrayLike, seconds: ArrayLike, water: ArrayLike, index: ArrayLike = 1.0
) -> Floats:
    """Give the share of its water that a layer loses between two pulls: m'' T / (w0 rho H).

    >>> round(float(lost_a_pull(0.2 / 3600.0, 180.0, 0.1)), 3)
    0.1
    """
    lost = np.asarray(flux_kg_m2_s) * np.asarray(index) * np.asarray(seconds)
    return np.asarray(lost / np.asarray(water))


def refreshed(left: ArrayLike, lost: ArrayLike, exchange: ArrayLike, fresh: ArrayLike) -> Floats:
    """Give the water left after one more pull: (u - delta)(1 - r) + r u_res; never below 0 in between.

    Repeated it settles at u_res - delta (1 - r) / r.

    :param left: u after the pull before
    :param lost: delta in between
    :param exchange: share of the ink in the opening that a pull replaces, r
    :param fresh: the same of the ink before the blade, u_res

    >>> left = 1.0
    >>> for _ in range(3):
    ...     left = float(refreshed(left, 0.1, 0.5, 1.0))
    >>> round(left, 4)
    0.9125
    """
    dried = np.maximum(np.asarray(left) - np.asarray(lost), 0.0)
    r = np.asarray(exchange)
    return np.asarray(dried * (1.0 - r) + r * np.asarray(fresh))
