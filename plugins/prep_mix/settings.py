"""The tables ``[mix]``: recipes, what is mixed from, additives, pots; and what an order adds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, PlainSerializer, model_validator

from prep.tables import NAMES_IN, Label, Table
from prep.units import Density_g_per_ml, Duration_s, Mass_g, Share, Volume_ml, read_share
from prep_mix.shares import By, Of

USUAL: Literal["usual"] = "usual"


def _share_or_usual(given: object) -> float | str:
    if given == USUAL:
        return USUAL
    if isinstance(given, str) and given.strip() and not given.strip()[0].isdigit():
        raise ValueError(f'"{given}" is not a share; write it like "2.5 %", or "{USUAL}"')
    return read_share(given)


def _write(value: float | str) -> str:
    return value if isinstance(value, str) else f"{value * 100:.12g} %"


WantedShare = Annotated[
    float | Literal["usual"],
    BeforeValidator(_share_or_usual),
    PlainSerializer(_write, return_type=str),
]
"""A share, or ``"usual"``: what the shop states as usual for the additive."""
Parts = Annotated[float, Field(ge=0, le=1e9)]
"""Parts of an ink: any unit, all alike."""
Wanted = dict[Label, WantedShare]


class Recipe(Table):
    """``[[mix.recipe]]``: an ink by its parts."""

    ink: Label = Field(description="the ink it makes")
    by: By = Field(description="what the parts are measured by")
    parts: dict[Label, Parts] = Field(description="name -> parts, like { clear = 94, blue = 6 }")
    additives: Wanted = Field({}, description="that always belong to it, beside its parts")

    @model_validator(mode="after")
    def _makes_something(self) -> Self:
        if not any(amount > 0 for amount in self.parts.values()):
            said = "has no parts" if not self.parts else "has parts that are all 0"
            raise ValueError(
                f'the recipe of "{self.ink}" {said}; give one part or more, like clear = 94'
            )
        if self.parts.get(self.ink):
            raise ValueError(
                f'the recipe of "{self.ink}" has "{self.ink}" itself as a part; give one of the two'
                " another name"
            )
        return self


class Component(Table):
    """``[[mix.component]]``: what inks are mixed from."""

    name: Label
    density_g_per_ml: Density_g_per_ml | None = Field(None, alias="density")
    in_stock_g: Mass_g | None = Field(None, alias="in_stock")


class Additive(Table):
    """``[[mix.additive]]``: what is stirred into an ink, by its maker's sheet."""

    name: Label
    of: Of = Field(
        description="what its shares are of: the ink before it, or the whole mix with it"
    )
    by: By = Field(description="what its shares are measured by")
    most: Share = Field(gt=0, description="the maker's maximum")
    usual: Share | None = Field(None, gt=0, description="share that the shop usually takes")
    density_g_per_ml: Density_g_per_ml | None = Field(None, alias="density")
    in_stock_g: Mass_g | None = Field(None, alias="in_stock")
    discard_after_s: Duration_s | None = Field(
        None,
        alias="discard_after",
        le=31_536_000,
        description="of an activator or cross-linker: the mix is thrown away after it",
    )

    @model_validator(mode="after")
    def _makes_sense(self) -> Self:
        if self.usual is not None and self.usual > self.most:
            raise ValueError(
                f"the usual share of {self.name}, {100 * self.usual:g} %, is more than its maker's"
                f" maximum of {100 * self.most:g} %; correct one of them from the maker's data sheet"
            )
        if self.by == "volume" and self.density_g_per_ml is None:
            raise ValueError(
                f'{self.name} is dosed by volume and has no density; give it, like density = "1.04 g/ml",'
                " so that it can be weighed"
            )
        if self.of == "mix" and self.most >= 1.0:
            raise ValueError(f"{self.name} can't be the whole mix; most must be less than 100 %")
        return self

    @property
    def words(self) -> str:
        """What its shares are of: ``of the ink by mass``."""
        return f"of the {self.of} by {self.by}"


class MixShop(Table):
    """``[mix]`` of shop.toml."""

    dose_error: Share = Field(
        0.05, gt=0, le=0.5, description="error a dose may have by the balance, at two sigma"
    )
    pots: tuple[Volume_ml, ...] = Field((), description="pots to mix in, brimful")
    pot_full: Share = Field(
        0.7, gt=0, description="how full a pot is filled, so that it can be stirred; guess"
    )
    recipe: tuple[Recipe, ...] = ()
    component: tuple[Component, ...] = ()
    additive: tuple[Additive, ...] = ()

    @model_validator(mode="after")
    def _agrees(self) -> Self:
        problem = next(self._problems(), None)
        if problem is not None:
            raise ValueError(problem)
        return self

    def _problems(self) -> Iterator[str]:
        names = [*(one.name for one in self.component), *(one.name for one in self.additive)]
        for name in names:
            if names.count(name) > 1:
                yield f'two components or additives are called "{name}"; give each a name of its own'
        inks = [recipe.ink for recipe in self.recipe]
        for ink in inks:
            if inks.count(ink) > 1:
                yield f'two recipes make "{ink}"; keep one, or give one of them another ink'
            if ink in names:
                yield f'"{ink}" is made by a recipe and is a component or additive too; rename one'
        additives = {one.name: one for one in self.additive}
        for recipe in self.recipe:
            of = f'the recipe of "{recipe.ink}"'
            for part in recipe.parts:
                if part in additives:
                    yield f"{of} has {part} among its parts; an additive belongs under its additives"
            for name, share in recipe.additives.items():
                if name not in additives:
                    yield f"{of} has an additive that isn't known, {name}; {known_additives(additives)}"
                    continue
                one = additives[name]
                if share == USUAL and one.usual is None:
                    yield f'{of} takes {name} as usual, and none is stated; write how much, like "2.5 %"'
                amount = one.usual if share == USUAL else share
                if isinstance(amount, float) and amount > one.most:
                    yield (
                        f"{of} holds {100 * amount:g} % of {name}, more than its maker's maximum of"
                        f" {100 * one.most:g} % {one.words}; take that or less"
                    )


def known_additives(names: Sequence[str] | dict[str, Additive]) -> str:
    """Say which additives there are, or how to add the first."""
    if not names:
        return "add it as [[mix.additive]] to shop.toml, with its maker's maximum (most)"
    return f"there are {', '.join(names)}"


class MixOrder(Table):
    """``[mix]`` of order.toml."""

    additives: Wanted = Field(
        {},
        description="for all inks of the order, like { retarder = 2.5 % }; each in place of the recipe's,"
        " 0 = none of it",
        json_schema_extra={NAMES_IN: ["mix", "additive"]},
    )


class MixColour(Table):
    """``[print.colour.mix]`` of order.toml."""

    additives: Wanted = Field(
        {},
        description="for the ink of this colour, each in place of the order's; 0 = none of it",
        json_schema_extra={NAMES_IN: ["mix", "additive"]},
    )
