"""From amounts and prices to what a job costs, draw by draw. Imports nothing of prep but estimates.

Every amount carries 512 draws, so that a sum's interval heeds what its parts share: where ink, film or
hours come out higher in one set-up, they do in the others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from prep.estimate import DRAWS, Estimate, normal_draws

Part = Literal["garments", "ink", "film", "screens", "wear", "work", "other"]
PARTS: tuple[Part, ...] = get_args(Part)


@dataclass(frozen=True, slots=True)
class Item:
    """Something that is used up, bought or done.

    :param what: in words
    :param amount: how much of it
    :param price: of one unit that prices are stated for; ``None`` = not stated
    :param per: how much of ``amount`` that unit is, like 1000 g
    :param unit: that unit in words, as they stand behind a price: ``a kg``, ``each``
    :param key: of ``[price]``, to be set where the price isn't stated
    """

    part: Part
    what: str
    amount: Estimate
    price: float | None
    per: float
    unit: str
    key: str

    @property
    def cost(self) -> Estimate | None:
        """What it costs; ``None`` where its price isn't stated."""
        if self.price is None:
            return None
        costs = self.amount * (self.price / self.per)
        return Estimate(costs.value, "", costs.draws)


@dataclass(frozen=True, slots=True)
class Lacking:
    """A part whose amount nobody reckons.

    :param why: a sentence
    """

    part: Part
    what: str
    why: str


@dataclass(frozen=True, slots=True)
class Cost:
    """What an order costs.

    :param items: priced or not, at least one
    :param lacking: what can't be priced, as its amount isn't known
    :param shirts: good ones, over which it is spread
    :param notes: what its amounts leave out, sentences
    :raises ValueError: no shirts
    """

    items: tuple[Item, ...]
    lacking: tuple[Lacking, ...]
    shirts: int
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Check that there are shirts."""
        if self.shirts < 1:
            raise ValueError("an order without shirts has no price for one")

    @property
    def unpriced(self) -> tuple[Item, ...]:
        """Items whose price isn't stated."""
        return tuple(item for item in self.items if item.price is None)

    @property
    def complete(self) -> bool:
        """Whether everything that is used is priced."""
        return not self.unpriced and not self.lacking

    @property
    def parts(self) -> Mapping[Part, Estimate]:
        """What each part costs, of those where something is priced, in their order."""
        priced = {
            part: [cost for item in self.items if item.part == part and (cost := item.cost)]
            for part in PARTS
        }
        return {part: total_of(costs) for part, costs in priced.items() if costs}

    @property
    def total(self) -> Estimate | None:
        """What all that is priced costs; ``None`` where nothing is."""
        parts = self.parts
        return total_of(list(parts.values())) if parts else None

    @property
    def per_shirt(self) -> Estimate | None:
        """The same for one good shirt."""
        total = self.total
        return None if total is None else total * (1.0 / self.shirts)

    @property
    def shares(self) -> Mapping[Part, Estimate]:
        """Each part's share of the total, 0..1; of a total of nothing 0."""
        total = self.total
        return {} if total is None else {p: _share(c, total) for p, c in self.parts.items()}


@dataclass(frozen=True, slots=True)
class Difference:
    """What a change makes dearer, below zero cheaper, each draw against the same draw before."""

    total: Estimate
    per_shirt: Estimate


def difference(before: Cost, after: Cost) -> Difference | None:
    """Take what an order costs from what it costs once it is changed; ``None`` where one has no price."""
    total, then = before.total, after.total
    each, each_then = before.per_shirt, after.per_shirt
    if total is None or then is None or each is None or each_then is None:
        return None
    return Difference(then + total * -1.0, each_then + each * -1.0)


def exactly(amount: float, unit: str) -> Estimate:
    """Give an amount that is known."""
    return Estimate(amount, unit, np.full(DRAWS, float(amount)))


def total_of(estimates: Sequence[Estimate]) -> Estimate:
    """Add estimates of one unit, draw by draw.

    :raises ValueError: none, or of several units
    """
    if not estimates:
        raise ValueError("there is nothing to add")
    first, *others = estimates
    for other in others:
        first = first + other
    return first


def spoilt(name: str, prints: int, share: float) -> Estimate:
    """Draw how many garments are spoilt: binomial, each time one is printed with the same chance.

    The value is the mean, ``prints × share``; draws are quantiles of the distribution at a Latin
    hypercube's points. A chance that differs from day to day would spread them wider.

    :param name: of the garments, of which each have their own luck
    :param prints: times one of them is laid on the press for a set-up
    :param share: chance of each to be spoilt, 0..1
    """
    from scipy.special import ndtr
    from scipy.stats import binom

    drawn = binom.ppf(ndtr(normal_draws(f"price.spoilt.{name}")), prints, share)
    return Estimate(prints * share, "", np.asarray(drawn, dtype=np.float64))


def at_least(amount: Estimate, least: float) -> Estimate:
    """Give an amount that is no less than something, draw by draw."""
    return Estimate(
        max(amount.value, least), amount.unit, np.maximum(amount.draws, least), amount.basis
    )


def _share(cost: Estimate, total: Estimate) -> Estimate:
    whole = np.where(total.draws > 0, total.draws, 1.0)
    value = cost.value / total.value if total.value > 0 else 0.0
    return Estimate(value, "", cost.draws / whole)
