"""Settings of ``[base]``: what goes under colours on a dark shirt, and what ways to print cost."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from prep.tables import Label, Table
from prep.units import Allowance_mm, Duration_s, Hex, Length_mm
from prep.work_times import FILM_S, LAY_S, PRINT_S, WASH_S
from prep_base.answers import Narrow, WayName

Lightness = Annotated[float, Field(ge=0, le=100)]

WITHOUT_BASE: tuple[WayName, ...] = ("plain", "two hits", "discharge")
"""Ways that make no base."""
WITHOUT_CHOKE: tuple[WayName, ...] = (*WITHOUT_BASE, "one film", "white outline")
"""Ways that choke none: it is the colour's own film, or meant to reach beyond the colours."""


class Base(Table):
    """``[base]`` of shop.toml. Figures without a source are common practice or guesses."""

    lighter_by: Lightness = Field(
        5.0,
        description="CIE L* a colour is lighter than the shirt by before it needs a base; guess",
    )
    most_mm: Length_mm = Field(
        0.7, alias="most", le=5, description="no choke is proposed wider; common practice"
    )
    least_mm: Length_mm = Field(
        0.2, alias="least", le=5, description="a choke is at least this wide; common practice"
    )
    keep_mm: Length_mm = Field(
        1.0,
        alias="keep",
        le=20,
        description="the choke gives way where less base would stay; guess",
    )
    thinnest_mm: Length_mm = Field(
        0.5, alias="thinnest", le=20, description="no base is made thinner than this; guess"
    )
    film_strip_mm: Length_mm = Field(
        1.5,
        alias="film_strip",
        le=20,
        description="film between base and visible white is closed up to this; common practice",
    )
    outline_mm: Length_mm = Field(
        1.5, alias="outline", le=20, description="white left around colours, where a way has it"
    )
    apart_mm: Length_mm = Field(
        50.0,
        alias="apart",
        le=1000,
        description="colours this far apart can share one screen; guess",
    )
    ink: Label | None = Field(
        None, description="ink of a base without a white of its own; none = the first opaque white"
    )
    mesh: Label | None = Field(None, description="mesh of a base; none = the usual one")
    passes: int = Field(2, ge=1, le=10, description="times a base is printed, flash between")
    platens: int = Field(1, ge=1, le=1000, description="shirts that can stay put side by side")
    film_time_s: Duration_s = Field(
        FILM_S,
        alias="film_time",
        le=86_400,
        description="one film cut, weeded and laid, to weigh ways by; guess",
    )
    print_time_s: Duration_s = Field(
        PRINT_S, alias="print_time", le=3600, description="one pass on one shirt; guess"
    )
    flash_time_s: Duration_s | None = Field(
        None,
        alias="flash_time",
        le=3600,
        description="drying to the touch and cooling, to weigh ways by; none = as [sequence] has it",
    )
    lay_time_s: Duration_s = Field(
        LAY_S,
        alias="lay_time",
        le=3600,
        description="taking a shirt off and laying the next, each time it is laid; guess",
    )
    wash_time_s: Duration_s = Field(
        WASH_S,
        alias="wash_time",
        le=86_400,
        description="washing a screen to change its ink; guess",
    )
    miss_time_s: Duration_s = Field(
        300.0,
        alias="miss_time",
        le=86_400,
        description="what a print that shows a miss counts as; guess",
    )

    @model_validator(mode="after")
    def _not_crossed(self) -> Self:
        for low, high in (("least", "most"), ("thinnest", "keep")):
            less, more = getattr(self, f"{low}_mm"), getattr(self, f"{high}_mm")
            if less > more:
                raise ValueError(
                    f"{low} ({less:g} mm) must not be more than {high} ({more:g} mm);"
                    " make one of them fit the other"
                )
        return self


class BaseOrder(Table):
    """``[base]`` of order.toml."""

    way: WayName | None = Field(None, description="how it is printed; none = the best-ranked way")
    choke_mm: Allowance_mm | None = Field(
        None,
        alias="choke",
        le=20,
        description="the base is this much smaller than colours; none = what the press's error asks for",
    )
    narrow: Narrow = Field(
        "less choke", description="what is done where the choke would starve narrow parts"
    )
    under: tuple[Hex, ...] = Field(
        (), description="colours that get a base, whatever the rule says"
    )
    not_under: tuple[Hex, ...] = Field((), description="colours that get none")

    @model_validator(mode="after")
    def _makes_sense(self) -> Self:
        for colour in self.under:
            if colour in self.not_under:
                raise ValueError(f"under and not_under both name {colour}; take it out of one")
        if self.way in WITHOUT_CHOKE:
            for key, said in (
                ("choke", self.choke_mm is not None),
                ("narrow", self.narrow != "less choke"),
            ):
                if said:
                    raise ValueError(f'way = "{self.way}" chokes no base; take way or {key} out')
        if self.way in WITHOUT_BASE and self.under:
            raise ValueError(f'way = "{self.way}" makes no base; take way or under out')
        return self
