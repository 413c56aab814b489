"""Ink that is still on a screen after the last print, by squeegee, stroke and mesh.

Lengths in mm, layers in um, volumes in ml. Own reckoning: each part is a length or an area times a
cross-section or a layer, and these are guesses until weighed (:mod:`prep_ink.parameters`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from prep_ink.deposit import ML_PER_UM_MM2

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

MM3_PER_ML = 1000.0


def swept_mm2(squeegee_mm: float, image_height_mm: float, beyond_mm: float) -> float:
    """Give the area of a screen that the squeegee covers with ink.

    :param beyond_mm: length of stroke before and behind the image, each

    >>> swept_mm2(300, 320, 40)
    120000.0
    """
    return float(squeegee_mm * (image_height_mm + 2.0 * beyond_mm))


def bead_ml(cross_section_mm2: ArrayLike, squeegee_mm: float) -> Floats:
    """Give the ink that must lie before the blade so that the last print is whole.

    >>> float(bead_ml(60.0, 300.0))
    18.0
    """
    bead: Floats = np.asarray(cross_section_mm2, dtype=np.float64) * squeegee_mm / MM3_PER_ML
    return bead


def clings_ml(
    open_mm2: float,
    mesh_um: ArrayLike,
    swept: float,
    layer_um: ArrayLike,
    on_blade_mm2: ArrayLike,
    squeegee_mm: float,
) -> Floats:
    """Give the ink that is washed out: mesh filled in the openings, a layer over all, and on the blade.

    :param open_mm2: area of the openings
    :param mesh_um: theoretical volume of the mesh
    :param swept: area of screen that carries ink, mm²
    :param layer_um: left on mesh and film after scraping
    :param on_blade_mm2: what sticks to the blade, in cross-section

    >>> round(float(clings_ml(20000, 53, 120000, 30, 6, 300)), 2)
    6.46
    """
    layers = np.asarray(mesh_um) * open_mm2 + np.asarray(layer_um) * swept
    clings: Floats = layers * ML_PER_UM_MM2 + bead_ml(on_blade_mm2, squeegee_mm)
    return clings
