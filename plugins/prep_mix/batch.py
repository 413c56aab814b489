"""A recipe scaled to a batch: what to weigh, in which order, and how exactly. Plain arithmetic."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from prep.weighing import SIGMAS, least_dose_g, weighing_error_g
from prep_mix.balance import above, on_balance, share_error
from prep_mix.premix import PreMix, pre_mix
from prep_mix.shares import Dosed, Ink, masses, share_in, volume_of

OFF_TELLS = 0.01
"""A mass off by more than this share for the balance's steps is told. Our choice."""
_HAIR = 1e-9


class TooMuchIn(ValueError):
    """More of something is in the pot already than the batch can hold."""

    def __init__(self, name: str, already_g: float, least_batch_g: float) -> None:
        self.name, self.already_g, self.least_batch_g = name, already_g, least_batch_g
        super().__init__(f"{already_g:g} g of {name} is more than the batch can hold")


@dataclass(frozen=True, slots=True)
class Part:
    """A part of an ink.

    :param share: of the ink, by mass; all parts' shares sum to 1
    :param density: g/ml, where it is known
    """

    name: str
    share: float
    density: float | None = None


@dataclass(frozen=True, slots=True)
class Added:
    """An additive of a mix.

    :param most: its maker's maximum, of and by what ``dosed`` is
    :param last: it starts a reaction, so that it goes in last
    """

    dosed: Dosed
    most: float
    last: bool = False


@dataclass(frozen=True, slots=True)
class Mixture:
    """What is mixed, whatever the amount.

    :param parts: of the ink, one or more
    """

    ink: Ink
    parts: tuple[Part, ...]
    added: tuple[Added, ...] = ()

    @property
    def base(self) -> Part:
        """The largest part."""
        return max(self.parts, key=lambda part: part.share)

    @property
    def without_density(self) -> tuple[str, ...]:
        """Names of what lacks a density for its volume to be known: parts of the ink, and additives."""
        lacking = [one.dosed.name for one in self.added if one.dosed.density is None]
        if self.ink.density is not None:
            return tuple(lacking)
        return (*(p.name for p in self.parts if p.share and p.density is None), *lacking)


@dataclass(frozen=True, slots=True)
class Row:
    """One thing to weigh.

    :param mass_g: of it in the mix, exact
    :param already_g: of this is in the pot already
    :param weigh_g: what is weighed into the batch, as the balance shows; of the pre-mix, where there is
        one, and without what pre-mixes carry of it
    :param reading_g: what the balance shows afterwards, tared with the pot and what is in it already
    :param in_mix_g: what is in the mix when all is weighed as shown
    :param volume_ml: of ``mass_g``, where the density is known
    :param share: of the mix by mass, exact
    :param error: relative error of ``mass_g`` by the balance, at two sigma
    :param share_error: of the share, absolute, one sigma
    """

    name: str
    additive: bool
    mass_g: float
    already_g: float
    weigh_g: float
    reading_g: float
    in_mix_g: float
    volume_ml: float | None
    share: float
    error: float
    share_error: float
    pre_mix: PreMix | None = None

    @property
    def off(self) -> float:
        """By how much it is off because the balance can't show it, relative, signed."""
        return self.in_mix_g / self.mass_g - 1.0


@dataclass(frozen=True, slots=True)
class TooSmall:
    """A dose that the balance can't weigh.

    :param mass_g: of it in the mix
    :param least_batch_g: smallest batch of the same mix it could be weighed in, on the balance
    :param pre_mix: how it can be weighed all the same; ``None`` where the batch is too small for that too
    """

    name: str
    mass_g: float
    least_batch_g: float
    pre_mix: PreMix | None


@dataclass(frozen=True, slots=True)
class Batch:
    """A mix of an amount, ready to weigh.

    :param total_g: asked for, additives and what is in already included
    :param ink_g: of it without additives
    :param volume_ml: of all, volumes taken to add up; ``None`` where a density lacks
    :param rows: in the order they are weighed: the base, other parts, additives
    :param too_small: doses that the balance can't weigh to the limit by themselves
    :param pots: it is weighed so often, alike; a pre-mix is made once for all of them
    """

    total_g: float
    ink_g: float
    volume_ml: float | None
    rows: tuple[Row, ...]
    too_small: tuple[TooSmall, ...]
    pots: int = 1

    @property
    def lost(self) -> tuple[Row, ...]:
        """Rows of what belongs in and isn't there at all, as the balance shows nothing of so little."""
        return tuple(row for row in self.rows if not row.in_mix_g > 0)

    @property
    def weighed_g(self) -> float:
        """What is in the pot when all is weighed as shown."""
        return sum(row.in_mix_g for row in self.rows)

    @property
    def least_batch_g(self) -> float:
        """Smallest batch of the same mix whose doses can all be weighed by themselves."""
        return max((one.least_batch_g for one in self.too_small), default=0.0)

    def row(self, name: str) -> Row:
        """Give the row of this name.

        :raises KeyError: no such row
        """
        for row in self.rows:
            if row.name == name:
                return row
        raise KeyError(name)

    def needs(self) -> dict[str, float]:
        """Give how much of everything is taken out of stock for all pots, pre-mixes with what is left."""
        taken = {row.name: 0.0 if row.pre_mix else self.pots * row.weigh_g for row in self.rows}
        base = self.rows[0].name
        for row in self.rows:
            if row.pre_mix is not None:
                taken[row.name] += row.pre_mix.own_g
                taken[base] += row.pre_mix.carrier_g
        return taken


def by_volume(parts: Mapping[str, float], densities: Mapping[str, float]) -> dict[str, float]:
    """Give parts by volume as parts by mass: times the density of each."""
    return {name: amount * densities[name] for name, amount in parts.items()}


def density_of(parts: Sequence[Part]) -> float | None:
    """Give the density of an ink from its parts, volumes taken to add up; ``None`` where one lacks."""
    volume = 0.0
    for part in parts:
        if part.density is None:
            return None
        volume += part.share / part.density
    return sum(part.share for part in parts) / volume


def total_of_volume(
    volume_ml: float, mixture: Mixture, already_g: Mapping[str, float] | None = None
) -> float:
    """Give the mass of a mix of a volume; volumes are taken to add up.

    :raises prep_mix.shares.NoDensity: ink or an additive without one
    :raises prep_mix.shares.NoInkLeft: the additives take up the whole mix
    """
    total = volume_ml * (mixture.ink.density or 1.0)
    for _ in range(200):
        volume = _volume(mixture, *_masses(total, mixture, already_g or {}))
        if abs(volume / volume_ml - 1.0) < 1e-13:
            break
        total *= volume_ml / volume
    return total


def share_taken(batch: Batch, mixture: Mixture, one: Added) -> float:
    """Give the share of an additive in a batch, of and by what it is dosed, from exact masses.

    :raises KeyError: none of it is in the batch
    """
    others = [
        (row.name, row.mass_g) for row in batch.rows if row.additive and row.name != one.dosed.name
    ]
    dosed = {other.dosed.name: other.dosed for other in mixture.added}
    return share_in(
        one.dosed,
        batch.row(one.dosed.name).mass_g,
        mixture.ink,
        batch.ink_g,
        [(dosed[name], mass) for name, mass in others],
    )


def reckon(
    mixture: Mixture,
    total_g: float,
    readability_g: float,
    limit: float,
    *,
    already_g: Mapping[str, float] | None = None,
    pre_mixed: bool = False,
    pots: int = 1,
) -> Batch:
    """Scale a mixture to a batch and say what to weigh.

    Doses are rounded to what the balance shows; the largest part of the ink takes up what that leaves,
    so that the whole is the batch, or several parts where one would be off by more than the limit. Where
    no sharing keeps all parts within it, the whole is some steps off in their place. An additive is never
    rounded above its maximum.

    :param limit: largest relative error of a dose, at two sigma
    :param already_g: name -> what is in the pot already
    :param pre_mixed: doses that are too small are weighed by way of a pre-mix where that can be
    :param pots: pots weighed alike, of ``total_g`` each, that a pre-mix is made once for
    :raises TooMuchIn: more is in already than the batch can hold
    :raises prep_mix.shares.NoDensity: a share by volume of what has no density
    :raises prep_mix.shares.NoInkLeft: the additives take up the whole mix
    """
    return _Reckoning(mixture, total_g, readability_g, limit, already_g or {}, pots).batch(
        pre_mixed
    )


class _Reckoning:
    def __init__(
        self,
        mixture: Mixture,
        total_g: float,
        readability_g: float,
        limit: float,
        already_g: Mapping[str, float],
        pots: int,
    ) -> None:
        self.pots = pots
        self.mixture, self.total_g, self.step_g = mixture, total_g, readability_g
        self.limit, self.already_g = limit, already_g
        self.weighing_g = weighing_error_g(readability_g)
        self.least_g = least_dose_g(readability_g, limit)
        self.ink_g, added = _masses(total_g, mixture, already_g)
        self.mass_g = {part.name: part.share * self.ink_g for part in mixture.parts if part.share}
        for part in mixture.parts:
            self._room_for(part)
        for one, mass in zip(mixture.added, added, strict=True):
            if mass > 0:
                self.mass_g[one.dosed.name] = mass
                self._within(one, mass)
        self.dose_g = {
            name: max(0.0, mass - already_g.get(name, 0.0)) for name, mass in self.mass_g.items()
        }

    def _room_for(self, part: Part) -> None:
        already = self.already_g.get(part.name, 0.0)
        if already > self.mass_g.get(part.name, 0.0) * (1 + _HAIR):
            share = self.mass_g.get(part.name, 0.0) / self.total_g
            least = above(already / share, self.step_g) if share else math.inf
            raise TooMuchIn(part.name, already, least)

    def _within(self, one: Added, mass_g: float) -> None:
        """Check what is in already against the maximum; what is asked for is checked where it is said."""
        share = self._share(one, {**self.mass_g, one.dosed.name: mass_g})
        already = self.already_g.get(one.dosed.name, 0.0)
        if already and share > one.most * (1 + _HAIR):
            dosed = [
                replace(o.dosed, share=one.most) if o is one else o.dosed
                for o in self.mixture.added
            ]
            _, at_most = masses(self.total_g, self.mixture.ink, dosed)
            most_g = at_most[self.mixture.added.index(one)]
            least = above(self.total_g * already / most_g, self.step_g)
            raise TooMuchIn(one.dosed.name, already, least)

    def _share(self, one: Added, mass_g: Mapping[str, float]) -> float:
        ink_g = sum(mass_g.get(part.name, 0.0) for part in self.mixture.parts)
        others = [
            (other.dosed, mass_g.get(other.dosed.name, 0.0))
            for other in self.mixture.added
            if other is not one
        ]
        return share_in(one.dosed, mass_g[one.dosed.name], self.mixture.ink, ink_g, others)

    def batch(self, pre_mixed: bool) -> Batch:
        names = list(self._in_order())
        too_small, ways, weigh_g = self._pre_mixed(names)
        if not pre_mixed:
            ways = {}
            weigh_g = self._on_balance(names, ways)
        in_mix_g = self._in_mix(weigh_g, ways)
        rows, reading = list[Row](), 0.0
        for name in names:
            reading = float(f"{reading + weigh_g[name]:.12g}")
            rows.append(self._row(name, weigh_g[name], reading, in_mix_g, ways))
        densities = [one.dosed.density for one in self.mixture.added if self._is_in(one)]
        known = self.mixture.ink.density is not None and None not in densities
        return Batch(
            total_g=self.total_g,
            ink_g=self.ink_g,
            volume_ml=(
                _volume(
                    self.mixture,
                    self.ink_g,
                    [self.mass_g.get(one.dosed.name, 0.0) for one in self.mixture.added],
                )
                if known
                else None
            ),
            rows=tuple(rows),
            too_small=too_small,
            pots=self.pots,
        )

    def _is_in(self, one: Added) -> bool:
        return one.dosed.name in self.mass_g

    def _in_order(self) -> Iterator[str]:
        """Give the base, other parts from the largest, additives, those that start a reaction last."""
        base = self.mixture.base.name
        yield base
        others = [p.name for p in self.mixture.parts if p.name != base and p.name in self.mass_g]
        yield from sorted(others, key=lambda name: -self.mass_g[name])
        yield from (
            one.dosed.name
            for one in sorted(self.mixture.added, key=lambda one: one.last)
            if self._is_in(one)
        )

    def _pre_mixed(
        self, names: Sequence[str]
    ) -> tuple[tuple[TooSmall, ...], dict[str, PreMix], dict[str, float]]:
        """Give the doses that are too small, pre-mixes for them and what to weigh with these.

        A pre-mix whose rounding passes a maximum is looked for again, to hold no more than that allows.
        """
        most_g: dict[str, float] = {}
        while True:
            too_small = tuple(self._too_small(names, most_g))
            ways = {one.name: one.pre_mix for one in too_small if one.pre_mix is not None}
            weigh_g = self._on_balance(names, ways)
            in_mix_g = self._in_mix(weigh_g, ways)
            again = False
            for one in self.mixture.added:
                name = one.dosed.name
                if name in ways and (over := self._share(one, in_mix_g) / one.most) > 1 + _HAIR:
                    held_g = ways[name].shown_g * ways[name].strength
                    # one search more shows what rounding does to the rest, so less each time
                    most_g[name] = held_g / over * (1 - _HAIR)
                    again = True
            if not again:
                return too_small, ways, weigh_g

    def _too_small(self, names: Sequence[str], most_g: Mapping[str, float]) -> Iterator[TooSmall]:
        """Give doses that are too small.

        :param most_g: additive's name -> most of it that a pre-mix may hold
        """
        base, *others = names
        spare_g = self.dose_g[base]
        for name in (base, *others):
            mass = self.mass_g[name]
            if not self.dose_g[name] or mass >= self.least_g * (1 - _HAIR):
                continue
            way = None
            if name != base and self.already_g.get(name, 0.0) == 0.0:
                most = most_g.get(name, math.inf)
                way = pre_mix(mass, spare_g, self.step_g, self.limit, most, self.pots)
                spare_g -= way.carried_g if way is not None else 0.0
            least_batch = above(self.total_g * self.least_g / mass, self.step_g)
            yield TooSmall(name, mass, least_batch, way)

    def _on_balance(self, names: Sequence[str], ways: Mapping[str, PreMix]) -> dict[str, float]:
        """Give what to weigh of each; of pre-mixes what they say."""
        exact = {name: self.dose_g[name] for name in names}
        exact |= {name: way.shown_g for name, way in ways.items()}
        exact[names[0]] -= sum(way.carried_shown_g for way in ways.values())
        nearest = {name: on_balance(max(0.0, exact[name]), self.step_g) for name in names}
        whole = on_balance(sum(self.dose_g.values()), self.step_g)
        shown = self._settled(nearest, whole, ways)
        while (over := self._over(shown, ways)) is not None:
            nearest[over] = on_balance(nearest[over] - self.step_g, self.step_g)
            shown = self._settled(nearest, whole, ways)
        return shown

    def _over(self, weigh_g: Mapping[str, float], ways: Mapping[str, PreMix]) -> str | None:
        """Give an additive weighed by itself that is above its maximum."""
        in_mix_g = self._in_mix(weigh_g, ways)
        for one in self.mixture.added:
            name = one.dosed.name
            if not self._is_in(one) or name in ways or not weigh_g[name] > 0:
                continue
            if self._share(one, in_mix_g) > one.most * (1 + _HAIR):
                return name
        return None

    def _settled(
        self, nearest_g: Mapping[str, float], whole_g: float, ways: Mapping[str, PreMix]
    ) -> dict[str, float]:
        """Let parts take up what rounding leaves of the whole.

        The largest takes all, unless that puts it off by more than the limit: then steps go one by one to
        the part that they put off least. Where that puts one off by more, too, the whole is let go.
        """
        parts = [p.name for p in self.mixture.parts if p.name in nearest_g and p.name not in ways]
        largest = max(parts, key=lambda name: nearest_g[name])
        rest = sum(mass for name, mass in nearest_g.items() if name != largest)
        by_one = {**nearest_g, largest: max(0.0, on_balance(whole_g - rest, self.step_g))}
        if self._worst_off([largest], by_one, ways) <= self.limit:
            return by_one
        shared = dict(nearest_g)
        steps = round((whole_g - sum(nearest_g.values())) / self.step_g)
        step = math.copysign(self.step_g, steps)
        for _ in range(abs(steps)):
            moved = {n: max(0.0, on_balance(shared[n] + step, self.step_g)) for n in parts}
            off = {n: self._worst_off([n], {**shared, n: moved[n]}, ways) for n in parts}
            taker = min(parts, key=off.__getitem__)
            shared[taker] = moved[taker]
        weighable = [n for n in parts if self.mass_g[n] >= self.least_g * (1 - _HAIR)]
        if self._worst_off(weighable, shared, ways) <= self.limit:
            return shared
        return dict(nearest_g)

    def _worst_off(
        self, names: Sequence[str], weigh_g: Mapping[str, float], ways: Mapping[str, PreMix]
    ) -> float:
        """Give by how much the worst of these is off in the mix, relative."""
        in_mix_g = self._in_mix(weigh_g, ways)
        return max((abs(in_mix_g[n] / self.mass_g[n] - 1.0) for n in names), default=0.0)

    def _in_mix(self, weigh_g: Mapping[str, float], ways: Mapping[str, PreMix]) -> dict[str, float]:
        """Give what is in the mix of each when this is weighed."""
        found = {n: self.already_g.get(n, 0.0) + mass for n, mass in weigh_g.items()}
        base = self.mixture.base.name
        for name, way in ways.items():
            own = weigh_g[name] * way.strength
            found[name] += own - weigh_g[name]
            found[base] += weigh_g[name] - own
        return found

    def _row(
        self,
        name: str,
        weigh_g: float,
        reading_g: float,
        in_mix_g: Mapping[str, float],
        ways: Mapping[str, PreMix],
    ) -> Row:
        mass, share = self.mass_g[name], self.mass_g[name] / self.total_g
        own, rest_g = self._error_g(name, ways), self.total_g - mass
        others = math.hypot(*(self._error_g(n, ways) for n in self.mass_g if n != name), 0.0)
        densities = {part.name: part.density for part in self.mixture.parts}
        densities |= {one.dosed.name: one.dosed.density for one in self.mixture.added}
        density = densities[name]
        return Row(
            name=name,
            additive=name not in {part.name for part in self.mixture.parts},
            mass_g=mass,
            already_g=self.already_g.get(name, 0.0),
            weigh_g=weigh_g,
            reading_g=reading_g,
            in_mix_g=in_mix_g[name],
            volume_ml=None if density is None else mass / density,
            share=share,
            error=SIGMAS * own / mass,
            share_error=share_error(share, own / mass, others / rest_g) if rest_g > 0 else 0.0,
            pre_mix=ways.get(name),
        )

    def _error_g(self, name: str, ways: Mapping[str, PreMix]) -> float:
        """Give the error of a mass in the mix, one sigma; what is in already counts as known."""
        if name in ways:
            return ways[name].error / SIGMAS * self.mass_g[name]
        own = self.weighing_g if self.dose_g[name] else 0.0
        if name == self.mixture.base.name:
            carried = (way.carried_error_g(self.weighing_g) for way in ways.values())
            return math.hypot(own, *carried)
        return own


def _masses(
    total_g: float, mixture: Mixture, already_g: Mapping[str, float]
) -> tuple[float, tuple[float, ...]]:
    return masses(total_g, mixture.ink, [one.dosed for one in mixture.added], already_g)


def _volume(mixture: Mixture, ink_g: float, added_g: Sequence[float]) -> float:
    return volume_of(
        [
            (mixture.ink.name, mixture.ink.density, ink_g),
            *(
                (one.dosed.name, one.dosed.density, mass)
                for one, mass in zip(mixture.added, added_g, strict=True)
                if mass > 0
            ),
        ]
    )
