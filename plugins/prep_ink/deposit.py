"""How much wet ink a print leaves: as the mesh gives in the open field, more along the film's edge.

    deposit(x) = k (Vth + fs s exp(-x / reach))

x is the distance to the nearest edge of the film, Vth the mesh's theoretical volume, s the thickness of
film and adhesive, k the share of ink that passes over, fs the share of the film that still stands above
the fabric. Summed over a region of area A:

    V = k (Vth A + fs s E),   E = integral of exp(-x / reach) over the region

Own model. Published: build-up of the stencil makes the deposit thicker at the edges and thinner in the
middle (mesh makers' guides); full mesh and full stencil pass over in thick-film printing
(V = Vth + s, a screen maker's "Screen Selection" page). The exponential and its reach are own mechanics: a
mesh of tension T under squeegee pressure p hangs from an edge of height s and touches down at
l = sqrt(2 T s / p); the gap holds s l / 3, hence reach = l / 3 = 0.2-0.7 mm. No measurement for cut film
was found.

Not covered: the drop for openings too narrow to release, sagging in wide areas, absorbency of the cloth.

1 um on 1 mm2 is 1e-6 ml.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

ML_PER_UM_MM2 = 1e-6


def edge_integral_mm2(
    areas_mm2: ArrayLike, depths_mm: ArrayLike, spreads_mm: ArrayLike, reach_mm: ArrayLike
) -> Floats:
    """Integrate exp(-x / reach) over a region parted into bands by depth, for every reach at once.

    The area of a band is taken to lie evenly from c - h to c + h about its mean depth c, where
    h = sqrt(3) times its standard deviation, so that mean and spread are right:

        E = sum of area exp(-c / reach) sinh(h / reach) / (h / reach)

    Exact for strips, whose area does lie so; else the miss is of the third order in the depth of a
    band over the reach. With the measured bands, 0.01 mm deep near the edge, it is under 5e-6 of E
    for a reach of 0.1 mm and more.

    :param areas_mm2: (n,) area of each band
    :param depths_mm: (n,) its mean distance from the edge
    :param spreads_mm: (n,) the standard deviation of that distance
    :param reach_mm: (m,) or a number, more than 0
    :return: (m,) in mm2, between 0 and the area
    :raises ValueError: rows of unlike length; an area, depth or spread below 0; a reach not above 0

    >>> strip = [1.0], [0.25], [0.25 / 3**0.5]  # 1 mm wide: depths evenly from 0 to 0.5
    >>> edge_integral_mm2(*strip, 0.5).round(6)
    array([0.632121])
    """
    area, depth, spread = (
        np.asarray(row, dtype=np.float64) for row in (areas_mm2, depths_mm, spreads_mm)
    )
    reach = np.atleast_1d(np.asarray(reach_mm, dtype=np.float64))
    if area.ndim != 1 or not area.shape == depth.shape == spread.shape:
        raise ValueError(
            f"areas {area.shape}, depths {depth.shape} and spreads {spread.shape} must be rows of"
            " one length"
        )
    if not all((row >= 0).all() for row in (area, depth, spread)):
        raise ValueError("areas, depths and spreads must not be below 0")
    if not (reach > 0).all():
        raise ValueError("a reach must be more than 0")
    half = np.minimum(np.sqrt(3.0) * spread, depth)  # nothing lies outside the edge
    # the mean of exp(-x / reach) over each span; expm1 keeps it exact where a span is thin
    x = np.maximum(2.0 * half, 1e-9)[None, :] / reach[:, None]
    mean = np.exp(-(depth - half)[None, :] / reach[:, None]) * -np.expm1(-x) / x
    integral: Floats = mean @ area
    return integral


def open_field_um(transfer: ArrayLike, volume_um: ArrayLike, void_um: float) -> Floats:
    """Give the wet deposit of one stroke far from any edge: transfer x theoretical volume.

    No stroke leaves more than all the void of the cloth. Published figures for a 43-80 mesh lie at
    half its volume (thesis *Fundamental investigations into screen printing*), 0.70 and, for coarse
    meshes, 1.18 (*Screen Printing*, "How Much Ink Do You Need?", April 2000) and 1.0 (thick film).
    """
    field: Floats = np.minimum(np.asarray(transfer) * np.asarray(volume_um), void_um)
    return field


def strokes_factor(second_stroke: ArrayLike, strokes: int) -> Floats:
    """Give the ink of several strokes without drying between, in first strokes.

    The second adds 30-60 % of the first (common practice, no source); each further one the same share
    of the one before it, so that the sum stays bounded however often one strokes. The latter is a guess.

    :raises ValueError: fewer than one stroke, or a share outside 0..1

    >>> strokes_factor(0.45, 2)
    array(1.45)
    """
    share = np.asarray(second_stroke, dtype=np.float64)
    if strokes < 1:
        raise ValueError(f"a print takes at least one stroke, not {strokes}")
    if not ((share >= 0) & (share < 1)).all():
        raise ValueError("a further stroke adds less than the one before it")
    total: Floats = np.asarray((share[..., None] ** np.arange(strokes)).sum(axis=-1))
    return total


def print_volume_ml(
    area_mm2: float,
    edge_mm2: ArrayLike,
    transfer: ArrayLike,
    volume_um: ArrayLike,
    stands_um: ArrayLike,
) -> Floats:
    """Give the ink of one stroke over a region: k (Vth A + fs s E).

    >>> round(float(print_volume_ml(5000, 89.28, 0.6, 53, 80)), 6)
    0.163285
    """
    film = np.asarray(volume_um) * area_mm2 + np.asarray(stands_um) * np.asarray(edge_mm2)
    volume: Floats = np.asarray(transfer) * film * ML_PER_UM_MM2
    return volume
