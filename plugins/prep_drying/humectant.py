"""How much a humectant lowers the vapour pressure of an ink: little, at the doses inks hold."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

WATER_G_PER_MOL = 18.015
GLYCEROL_G_PER_MOL = 92.094
GLYCEROL_K = 1.16
"""Norrish's constant of glycerol, from memory."""


def water_activity(
    share: ArrayLike, g_per_mol: float = GLYCEROL_G_PER_MOL, k: float = GLYCEROL_K
) -> Floats:
    """Give the water activity of water with a humectant in it, by Norrish: Xw exp(-K Xs²).

    The form as in Baeza et al., Food Bioprocess Technol. 3 (2010) 87-92. X are shares of the molecules.

    :param share: of the humectant in water and humectant, by mass, 0 to below 1
    :param g_per_mol: molar mass of the humectant
    :param k: Norrish's constant of it

    >>> round(float(water_activity(0.1)), 3), float(water_activity(0.0))
    (0.978, 1.0)
    """
    mass = np.asarray(share, dtype=np.float64)
    humectant = mass / g_per_mol
    water = (1.0 - mass) / WATER_G_PER_MOL
    xs = humectant / (humectant + water)
    return np.asarray((1.0 - xs) * np.exp(-k * xs**2))
