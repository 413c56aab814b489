"""What shop.toml may say of prices: bare numbers of the shop's own currency, none of them assumed."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from prep.tables import NAMES_IN, Label, Table

MOST = 1e9
Money = Annotated[float, Field(ge=0, le=MOST)]
"""An amount of the shop's currency."""


class Other(Table):
    """Whatever else costs something: for each shirt ordered, or once for the order."""

    what: Label
    each: Money | None = Field(None, description="for each shirt ordered")
    once: Money | None = Field(None, description="for the whole order")

    @model_validator(mode="after")
    def _one_of_them(self) -> Self:
        if (self.each is None) == (self.once is None):
            raise ValueError(
                "say each (for each shirt ordered) or once (for the order), one of them"
            )
        return self


class Price(Table):
    """``[price]`` of shop.toml: what things cost the shop. What isn't stated isn't priced."""

    currency: Label | None = Field(None, description="how amounts are labelled, like EUR")
    hour: Money | None = Field(None, description="an hour of work")
    garments: Money | None = Field(None, description="a garment that has no price of its own")
    garment: dict[Label, Money] = Field(
        {}, description="garments with a price of their own, by their names"
    )
    ink_per_kg: Money | None = Field(
        None, description="a kilogram of an ink that has no price of its own"
    )
    ink: dict[Label, Money] = Field(
        {},
        description="inks with a price of their own for a kilogram, by their names",
        json_schema_extra={NAMES_IN: ["inks"]},
    )
    film_per_m: Money | None = Field(None, description="a metre of film off the roll")
    screen: Money | None = Field(
        None, description="materials for each screen of a set-up: tape, remover ..."
    )
    wear_per_pull: Money | None = Field(
        None, description="mesh and squeegee, for each stroke of the squeegee"
    )
    other: tuple[Other, ...] = Field((), description="what else costs something")

    @property
    def states_something(self) -> bool:
        """Whether any price is stated."""
        return any(
            getattr(self, name) not in (None, {}, ())
            for name in type(self).model_fields
            if name != "currency"
        )
