"""The parameters in force: the table's, or the shop's own where it has measured them.

Each is carried as its default followed by its 512 draws, (513,), so that the model runs once for both and
every screen sees the same possible worlds.
"""

from __future__ import annotations

import copy
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from prep.estimate import Estimate, Floats
from prep_drying import parameters
from prep_drying.parameters import Known

if TYPE_CHECKING:
    from prep.tables import Measured
    from prep_drying.settings import Drying

WORLDS = 513


class Hand:
    """The parameters in force in a shop."""

    def __init__(self, shop: Drying, *, instead: tuple[Known, ...] = ()) -> None:
        """Read the shop's figures.

        :param instead: parameters that stand in for those of the same name where the shop has none
        """
        stated: tuple[tuple[Known, Measured[float] | None], ...] = (
            (parameters.CRITICAL_LOSS, shop.critical_loss),
            (parameters.RETARDER, shop.retarder_gain),
            (parameters.EXCHANGE, shop.exchange),
            (parameters.FLOOD_LAYER, shop.flood_layer_um),
            (parameters.FAN_SPEED, shop.fan_speed_m_per_s),
            (parameters.RADIANT, shop.radiant_w_per_m2),
            (parameters.PLATEN_OVER, shop.platen_over_k),
            (parameters.PRINT_TIME, shop.print_time_s),
            (parameters.LAYING_TIME, shop.laying_time_s),
            (parameters.OPEN_CLEARED, shop.open_cleared_s),
            (parameters.OPEN_FLOODED, shop.open_flooded_s),
        )
        self._own = {known.parameter.name: known for known in instead}
        self._own |= {
            known.parameter.name: parameters.measured(
                known, own.value, own.low, own.high, own.source
            )
            for known, own in stated
            if own is not None
        }
        if shop.weighed is not None:
            own = shop.weighed
            weighed = parameters.measured(
                parameters.WEIGHED, own.kg_m2_h, own.low, own.high, own.source
            )
            self._own[weighed.parameter.name] = weighed

    def known(self, known: Known) -> Known:
        """Give the parameter in force."""
        return self._own.get(known.parameter.name, known)

    def has_measured(self, known: Known) -> bool:
        """Tell whether the shop has measured it."""
        return self.known(known).parameter.status == "measured here"

    def knowing(self, known: Known) -> Hand:
        """Give the hand of a shop that knows a parameter to be its default exactly."""
        mine = self.known(known)
        value = mine.parameter.default
        exact = replace(mine.parameter, low=value, high=value, spread="normal")
        other = copy.copy(self)
        other._own = {**self._own, exact.name: replace(mine, parameter=exact)}
        return other

    def worlds(self, known: Known) -> Floats:
        """Give default and draws of the parameter in force, (513,)."""
        parameter = self.known(known).parameter
        return np.concatenate([[parameter.default], parameter.draws()])


def worlds_of(estimate: Estimate) -> Floats:
    """Give value and draws of an estimate, (513,)."""
    return np.concatenate([[estimate.value], estimate.draws])


def estimate(values: Floats, unit: str, basis: tuple[str, ...] = ()) -> Estimate:
    """Make an estimate of values at the defaults and at every draw, (513,)."""
    return Estimate(float(values[0]), unit, values[1:], basis)
