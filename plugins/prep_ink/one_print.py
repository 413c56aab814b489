"""The ink of one print of one screen, in every possible world at once.

What holds an array is (513,): the model at the parameters' defaults, then at their 512 draws.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from prep_ink import deposit, parameters
from prep_ink.hand import estimate

if TYPE_CHECKING:
    from prep.cloth import MeshFigures
    from prep.estimate import Estimate, Floats
    from prep.screens import Screen
    from prep.shop import Film
    from prep_ink.hand import Hand, WeighedToo
    from prep_ink.parameters import Known


@dataclass(frozen=True, slots=True)
class OnePrint:
    """What the ink of one print follows from, apart from the parameters.

    :param mesh_volume: uncertainty of the mesh's volume
    :param density: of the ink
    :param strokes: without drying between
    """

    screen: Screen
    film: Film
    mesh: MeshFigures
    mesh_volume: Known
    density: Known
    strokes: int

    @property
    def used(self) -> tuple[Known, ...]:
        """The parameters that a print's ink depends on, as the table has them."""
        used = [parameters.TRANSFER, self.mesh_volume, self.density]
        if self.strokes > 1:
            used.append(parameters.SECOND_STROKE)
        if self.film.side == "shirt":
            used += [parameters.EDGE_REACH, parameters.FILM_STANDS, parameters.FILM_THICKNESS]
        return tuple(used)

    @property
    def weighed_too(self) -> WeighedToo:
        """What is weighed along with the transfer: mesh, ink and strokes of this print."""
        return self.mesh_volume, self.density, parameters.SECOND_STROKE

    def volume_um(self, hand: Hand) -> Floats:
        """Give the mesh's theoretical volume."""
        return np.asarray(self.mesh.volume_um * hand.worlds(self.mesh_volume))

    def field_um(self, hand: Hand) -> Floats:
        """Give the deposit of one stroke far from any edge.

        A guess at the transfer is kept to what the cloth can hold; what was weighed is taken as it is.
        """
        most = math.inf if hand.weighed else self.mesh.void_um
        transfer = hand.worlds(parameters.TRANSFER)
        return deposit.open_field_um(transfer, self.volume_um(hand), most)

    def stands_um(self, hand: Hand) -> Floats:
        """Give how much of the film stands above the fabric; 0 on the squeegee side."""
        thickness = self.film.thickness_um * hand.worlds(parameters.FILM_THICKNESS)
        stands = thickness * hand.worlds(parameters.FILM_STANDS)
        return stands if self.film.side == "shirt" else np.zeros_like(stands)

    def laid(self, hand: Hand) -> Floats:
        """Give all strokes and passes in first strokes."""
        factor = deposit.strokes_factor(hand.worlds(parameters.SECOND_STROKE), self.strokes)
        return factor * self.screen.passes

    def edge_mm2(self, hand: Hand) -> Floats:
        """Give the edge integral at every reach."""
        bands, reach = self.screen.measures.bands, hand.worlds(parameters.EDGE_REACH)
        return deposit.edge_integral_mm2(bands.area_mm2, bands.depth_mm, bands.spread_mm, reach)

    def volume_ml(self, hand: Hand, edge_mm2: Floats) -> Floats:
        """Give the ink of one print."""
        volume = self.volume_um(hand)
        transfer = self.field_um(hand) / volume
        area = self.screen.measures.area_mm2
        one = deposit.print_volume_ml(area, edge_mm2, transfer, volume, self.stands_um(hand))
        return np.asarray(self.laid(hand) * one)

    def grams(self, hand: Hand, edge_mm2: Floats) -> Estimate:
        """Give the ink of one print in grams."""
        return estimate(hand.worlds(self.density) * self.volume_ml(hand, edge_mm2), "g")
