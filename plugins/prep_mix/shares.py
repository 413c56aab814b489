"""How much of each additive: "of the ink" or "of the mix", by mass or by volume. Plain arithmetic.

With m the ink's mass, M that of the whole mix and p the share asked for, an additive's mass is

    of the ink, by mass      a = p m                 (so p / (1 + p) of the mix)
    of the mix, by mass      a = p M                 (p m / (1 - p) where it is the only one)
    of the ink, by volume    a = p (m / rho_ink) rho_a
    of the mix, by volume    a = p V rho_a           V the volume of the mix

Shares of the mix depend on all that is in it, so they are solved together. Volumes are taken to add
up: an assumption, true to a few per cent for liquids that mix.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

Of = Literal["ink", "mix"]
By = Literal["mass", "volume"]


class NoDensity(ValueError):
    """A volume is asked for of what has no density; ``names`` says of what."""

    def __init__(self, names: Sequence[str]) -> None:
        self.names = tuple(names)
        super().__init__(f"no density is known of {', '.join(self.names)}")


class NoInkLeft(ValueError):
    """The additives take up the whole mix."""


@dataclass(frozen=True, slots=True)
class Dosed:
    """An additive as it is dosed.

    :param share: 0..1, of what and by what ``of`` and ``by`` say
    :param density: g/ml, where it is known
    """

    name: str
    share: float
    of: Of
    by: By
    density: float | None = None


@dataclass(frozen=True, slots=True)
class Ink:
    """The ink that additives go into.

    :param density: g/ml, where it is known
    """

    name: str
    density: float | None = None


def masses(
    total_g: float,
    ink: Ink,
    additives: Sequence[Dosed],
    already_g: Mapping[str, float] | None = None,
) -> tuple[float, tuple[float, ...]]:
    """Give the mass of the ink and of each additive in a mix of a mass.

    :param total_g: of the whole mix, additives included
    :param already_g: additive's name -> what is in already and can't be less
    :return: the ink's mass, and the additives' in the order given; they sum to ``total_g``
    :raises NoDensity: a share by volume of what has no density
    :raises NoInkLeft: the additives take up the whole mix
    """
    fixed: dict[str, float] = {}
    while True:
        ink_g, found = _solved(total_g, ink, additives, fixed)
        more = {
            one.name: already
            for one, mass in zip(additives, found, strict=True)
            if (already := (already_g or {}).get(one.name, 0.0)) > mass and one.name not in fixed
        }
        if not more:
            return ink_g, found
        # what is fixed leaves less for the ink, and so for additives by the ink
        fixed |= more


def share_in(
    dosed: Dosed,
    mass_g: float,
    ink: Ink,
    ink_g: float,
    others: Sequence[tuple[Dosed, float]],
) -> float:
    """Give the share that a mass of an additive comes to, of and by what it is dosed.

    :param others: the other additives in the mix and their masses
    :raises NoDensity: a share by volume of what has no density
    """
    parts = [(ink.name, ink.density, ink_g)]
    if dosed.of == "mix":
        parts += [(one.name, one.density, mass) for one, mass in others]
        parts.append((dosed.name, dosed.density, mass_g))
    if dosed.by == "mass":
        return mass_g / sum(mass for _, _, mass in parts)
    densities = _densities([(dosed.name, dosed.density), *((n, d) for n, d, _ in parts)])
    volume = sum(mass / densities[name] for name, _, mass in parts)
    return mass_g / densities[dosed.name] / volume


def volume_of(parts: Sequence[tuple[str, float | None, float]]) -> float:
    """Give the volume of a mix from (name, density, mass) of its parts; volumes are taken to add up.

    :raises NoDensity: a part without one
    """
    densities = _densities([(name, density) for name, density, _ in parts])
    return sum(mass / densities[name] for name, _, mass in parts)


def _solved(
    total_g: float, ink: Ink, additives: Sequence[Dosed], fixed: Mapping[str, float]
) -> tuple[float, tuple[float, ...]]:
    """Solve two linear equations for ink and volume, some additives fixed.

    M = m (1 + R) + P M + S V + F        masses
    V = m (1 / rho + r) + q M + Q V + f  volumes, only where something is dosed by volume of the mix
    """
    free = [one for one in additives if one.name not in fixed]
    by_volume = [one for one in free if one.by == "volume"]
    of_whole_volume = [one for one in by_volume if one.of == "mix"]
    needed = list(by_volume)
    if of_whole_volume:
        needed = list(additives)
    densities = _densities(
        [
            *([(ink.name, ink.density)] if by_volume else []),
            *((one.name, one.density) for one in needed),
        ]
    )

    def per_ink(one: Dosed) -> float:
        if one.by == "mass":
            return one.share
        return one.share * densities[one.name] / densities[ink.name]

    of_ink_ = [(one.name, per_ink(one)) for one in free if one.of == "ink"]
    of_mass = [(one.name, one.share) for one in free if (one.of, one.by) == ("mix", "mass")]
    a11 = 1.0 + sum(ratio for _, ratio in of_ink_)
    b1 = total_g * (1.0 - sum(share for _, share in of_mass)) - sum(fixed.values())
    volume = 0.0
    if of_whole_volume:
        a12 = sum(one.share * densities[one.name] for one in of_whole_volume)
        a21 = 1.0 / densities[ink.name] + sum(ratio / densities[name] for name, ratio in of_ink_)
        a22 = 1.0 - sum(one.share for one in of_whole_volume)
        b2 = sum(share * total_g / densities[name] for name, share in of_mass)
        b2 += sum(mass / densities[name] for name, mass in fixed.items())
        determinant = a11 * a22 + a12 * a21
        if not (a22 > 0 and determinant > 0):
            raise NoInkLeft("the additives take up the whole mix")
        ink_g = (b1 * a22 - a12 * b2) / determinant
        volume = (a11 * b2 + a21 * b1) / determinant
    else:
        ink_g = b1 / a11
    if not ink_g > 0:
        raise NoInkLeft("the additives take up the whole mix")

    def mass_of(one: Dosed) -> float:
        if one.name in fixed:
            return fixed[one.name]
        if one.of == "ink":
            return per_ink(one) * ink_g
        return one.share * (total_g if one.by == "mass" else volume * densities[one.name])

    return ink_g, tuple(mass_of(one) for one in additives)


def _densities(named: Sequence[tuple[str, float | None]]) -> dict[str, float]:
    lacking = list(dict.fromkeys(name for name, density in named if density is None))
    if lacking:
        raise NoDensity(lacking)
    return {name: density for name, density in named if density is not None}
