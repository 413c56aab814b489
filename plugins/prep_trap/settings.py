"""Settings of ``[trap]``: how wide, and what is done where two colours meet."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from prep.tables import Table
from prep.units import Allowance_mm, Hex, Length_mm, Share

Do = Literal["spread", "butt", "overprint"]
MOST_ASKED_MM = 5.0
"""No trap can be asked for wider. Where shirts are laid again two screens miss each other by some 2 mm, one
standard deviation, and twice that is never asked for. Our choice."""


class Trap(Table):
    """``[trap]`` of shop.toml."""

    most_mm: Length_mm = Field(
        0.7, alias="most", le=5, description="no trap is proposed wider than this"
    )
    least_mm: Length_mm = Field(
        0.2, alias="least", le=5, description="a trap that is needed at all is at least this wide"
    )
    sliver: Share = Field(
        0.1, gt=0, le=0.5, description="nothing thinner is left, as a share of the trap's width"
    )
    film_strip_mm: Length_mm = Field(
        1.5,
        alias="film_strip",
        le=5,
        description="finer film beside a trap, under later ink, is opened",
    )
    film_island_mm: Length_mm = Field(
        3.0, alias="film_island", le=10, description="and so are islands of it finer than this"
    )
    near_miss_mm: Length_mm = Field(
        0.5, alias="near_miss", le=5, description="colours this near were meant to touch or not to"
    )

    @model_validator(mode="after")
    def _not_crossed(self) -> Self:
        if self.least_mm > self.most_mm:
            raise ValueError(
                f"least ({self.least_mm:g} mm) must not be more than most ({self.most_mm:g} mm);"
                " make one of them fit the other"
            )
        return self


class TrapPair(Table):
    """``[[trap.pair]]`` of order.toml: what is done where two colours meet."""

    under: Hex = Field(description="the colour printed first")
    over: Hex = Field(description="the colour printed after it")
    do: Do | None = Field(
        None,
        description="none = by rule; overprint: right through under parts of the colour over it that"
        " lie wholly within, else as spread",
    )
    width_mm: Length_mm | None = Field(
        None, alias="width", le=MOST_ASKED_MM, description="of the trap; none = as in [trap]"
    )

    @model_validator(mode="after")
    def _makes_sense(self) -> Self:
        if self.under == self.over:
            raise ValueError(f"under and over are both {self.under}; name two colours")
        if self.do == "butt" and self.width_mm is not None:
            raise ValueError('do = "butt" has no width; take one of them out')
        if self.do is None and self.width_mm is None:
            raise ValueError("says nothing; give do or width, or take it out")
        return self


class TrapOrder(Table):
    """``[trap]`` of order.toml."""

    width_mm: Allowance_mm | None = Field(
        None,
        alias="width",
        le=MOST_ASKED_MM,
        description="of every trap; 0 makes none; none = what the press's error asks for",
    )
    pair: tuple[TrapPair, ...] = Field((), description="pairs of colours, each once")

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        said: set[frozenset[str]] = set()
        for pair in self.pair:
            both = frozenset((pair.under, pair.over))
            if both in said:
                raise ValueError(
                    f"two [[trap.pair]] name {pair.under} and {pair.over}; keep one of them"
                )
            said.add(both)
        return self
