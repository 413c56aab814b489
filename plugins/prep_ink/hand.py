"""The parameters in force: the table's, or the shop's own where it has measured them.

Each parameter is carried as its default followed by its 512 draws, so that the model runs once for both
and every screen sees the same possible worlds.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from prep.estimate import Estimate, Floats, Parameter
from prep_ink import parameters
from prep_ink.parameters import Known

if TYPE_CHECKING:
    from collections.abc import Callable

    from prep.cloth import MeshFigures
    from prep.shop import InkFigures, Shop
    from prep.tables import Measured
    from prep_ink.settings import ShopInk


WeighedToo = tuple[Known, Known, Known]
"""How much a mesh holds, how heavy an ink is, and what a second stroke adds."""


class Hand:
    """The parameters in force in a shop."""

    def __init__(self, shop: ShopInk, *, instead: tuple[Known, ...] = ()) -> None:
        """Read the shop's figures.

        :param instead: parameters that stand in for those of the same name
        """
        stated: tuple[tuple[Known, Measured[float] | None], ...] = (
            (parameters.TRANSFER, shop.transfer),
            (parameters.EDGE_REACH, shop.edge_reach_mm),
            (parameters.FILM_STANDS, shop.film_stands),
            (parameters.SECOND_STROKE, shop.second_stroke),
            (parameters.BEAD, shop.bead_mm2),
            (parameters.LAYER_LEFT, shop.layer_left_um),
            (parameters.ON_BLADE, shop.on_blade_mm2),
            (parameters.POT_LOSS, shop.pot_loss_g),
        )
        self.shop = shop
        self._own = {
            known.parameter.name: parameters.measured(
                known, own.value, own.low, own.high, own.source
            )
            for known, own in stated
            if own is not None
        }
        if shop.film_off is not None:
            thickness = parameters.measured(
                parameters.FILM_THICKNESS, 1.0, 1.0 - shop.film_off, 1.0 + shop.film_off
            )
            self._own[thickness.parameter.name] = thickness
        self._own |= {known.parameter.name: known for known in instead}

    def known(self, known: Known) -> Known:
        """Give the parameter in force."""
        return self._own.get(known.parameter.name, known)

    def worlds(self, known: Known) -> Floats:
        """Give default and draws of the parameter in force, (513,)."""
        parameter = self.known(known).parameter
        return np.concatenate([[parameter.default], parameter.draws()])

    @property
    def weighed(self) -> bool:
        """Whether the shop has weighed how much of the mesh's ink goes over."""
        return self.known(parameters.TRANSFER).parameter.status == "measured here"

    def knowing(self, *all_known: Known) -> Hand:
        """Give the hand of a shop that knows parameters to be their defaults exactly."""
        mine = [self.known(known) for known in all_known]
        exact = [
            replace(
                known,
                parameter=replace(
                    known.parameter, low=known.parameter.default, high=known.parameter.default
                ),
            )
            for known in mine
        ]
        return Hand(self.shop, instead=(*self._own.values(), *exact))

    def on(self, mesh: str, ink: str, strokes: int, of: WeighedToo) -> Hand:
        """Give the hand as it is on one screen, where what was weighed along is no doubt of its own.

        :param of: the parameters of that screen's mesh, ink and strokes
        """
        own = self.shop.transfer
        if own is None:
            return self
        same = (own.mesh == mesh, own.ink == ink, own.strokes == strokes)
        return self.knowing(*(known for known, weighed in zip(of, same, strict=True) if weighed))

    def once_measured(self, known: Known) -> Hand:
        """Give the hand of a shop that has followed a parameter's remedy and found the default."""
        value = self.known(known).parameter.default
        half = known.leaves * value
        better = parameters.measured(known, value, value - half, value + half)
        return Hand(self.shop, instead=(*self._own.values(), better))


def estimate(values: Floats, unit: str, basis: tuple[str, ...] = ()) -> Estimate:
    """Make an estimate of values at the defaults and at every draw, (513,)."""
    return Estimate(float(values[0]), unit, values[1:], basis)


def estimates(parameter: Parameter, unit: str) -> Estimate:
    """Make an estimate of a parameter alone."""
    return Estimate(parameter.default, unit, parameter.draws(), (parameter.source,))


def mesh_parameter(mesh: MeshFigures) -> Known:
    """Give the uncertainty of one mesh's volume."""
    low, high = mesh.volume_range
    if mesh.volume_origin == "ideal":
        source = parameters.MESH_VOLUME.parameter.source
        return parameters.of(parameters.MESH_VOLUME, mesh.name, low, high, source)
    source = "the maker's figures, whose definitions differ from maker to maker"
    return replace(parameters.of(parameters.MESH_VOLUME, mesh.name, low, high, source), remedy="")


def density_of(shop: Shop, ink: str, kind: str, of_parts: float | None) -> Known:
    """Give the density of an ink.

    Its own, else that of its recipe's parts, else that of the shop's own kind, else the usual of its kind.

    :param of_parts: where it is mixed by a recipe whose parts' densities are known
    """
    usual = parameters.DENSITY[kind]
    rho = _stated(shop, ink, lambda said: said.density_g_per_ml, of_parts)
    if rho is None:
        return usual
    own = parameters.measured(usual, rho, 0.98 * rho, 1.02 * rho)
    source = own.parameter.source
    if rho == of_parts:
        source = "from its recipe's parts, whose volumes are taken to add up"
    own = replace(own, words="how heavy the ink is")
    return parameters.of(own, ink, 0.98 * rho, 1.02 * rho, source)


def water_of(shop: Shop, ink: str, kind: str) -> Known:
    """Give the water share of an ink: its own, that of the shop's own kind, or the usual of its kind."""
    usual = parameters.WATER_SHARE[kind]
    share = _stated(shop, ink, lambda said: said.water_share)
    if share is None:
        return usual
    low, high = 0.98 * share, min(1.02 * share, 0.98)
    own = parameters.measured(usual, share, low, high)
    return parameters.of(own, ink, own.parameter.low, own.parameter.high, own.parameter.source)


def _stated(
    shop: Shop,
    ink: str,
    figure: Callable[[InkFigures], float | None],
    otherwise: float | None = None,
) -> float | None:
    """Give a figure as the ink says it, else another, else as the shop's own kind does."""
    listed = shop.listed_ink(ink)
    own = None if listed is None else figure(listed)
    kind = None if listed is None else shop.own_kind(listed)
    if own is not None:
        return own
    return otherwise if otherwise is not None or kind is None else figure(kind)
