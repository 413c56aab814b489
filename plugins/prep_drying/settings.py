"""What shop.toml and order.toml may say of drying."""

from __future__ import annotations

from typing import Annotated, Any, Self, get_args

from pydantic import BeforeValidator, Field, PlainSerializer, model_validator

from prep.tables import Measured, Table, bare
from prep.units import (
    Area_mm2,
    Duration_s,
    Mass_g,
    Share,
    Speed_m_per_s,
    Thickness_um,
    read_quantity,
)
from prep_drying.answers import Climate, Misting, Working

CLIMATES: tuple[Climate, ...] = get_args(Climate)


def _unit(unit: str, example: str) -> Any:
    def read(given: object) -> float:
        if not isinstance(given, str):
            raise ValueError(f'needs a number with its unit in quotes, like "{example}"')
        return read_quantity(given, unit, example=example)

    return BeforeValidator(read)


Load_w_per_m2 = Annotated[
    float,
    _unit("W/m^2", "150 W/m2"),
    PlainSerializer(lambda value: f"{value:.12g} W/m2", return_type=str),
    Field(gt=0, le=1000),
]
"""Heat thrown on an area, read into W/m²."""
Warmer_k = Annotated[
    float,
    _unit("K", "20 K"),
    PlainSerializer(lambda value: f"{value:.12g} K", return_type=str),
    Field(gt=0, le=60),
]
"""A difference of temperatures, read into kelvin."""
Part = Annotated[Share, Field(gt=0, lt=1)]
OwnPart = Annotated[Measured[Part], BeforeValidator(bare)]
OwnGain = Annotated[Measured[Annotated[float, Field(ge=1, le=3)]], BeforeValidator(bare)]
OwnLayer = Annotated[Measured[Thickness_um], BeforeValidator(bare)]
OwnTime = Annotated[Measured[Annotated[Duration_s, Field(le=86_400)]], BeforeValidator(bare)]
OwnSpeed = Annotated[Measured[Annotated[Speed_m_per_s, Field(gt=0, le=5)]], BeforeValidator(bare)]
OwnLoad = Annotated[Measured[Load_w_per_m2], BeforeValidator(bare)]
OwnWarmer = Annotated[Measured[Warmer_k], BeforeValidator(bare)]


def _makes_sense(climate: tuple[Climate, ...] | None) -> None:
    """Refuse climates that can't hold at once.

    :raises ValueError: none, one twice, or a still room with a fan
    """
    if climate is None:
        return
    if not climate:
        raise ValueError(f"climate is empty; name one or more of {', '.join(CLIMATES)}")
    for one in climate:
        if climate.count(one) > 1:
            raise ValueError(f'climate names "{one}" twice; name it once')
    if {"still room", "fan on the screens"} <= set(climate):
        raise ValueError(
            "climate can't be a still room with a fan on the screens; keep one of them"
        )


class Weighed(Table):
    """A flooded screen on a balance: what it lost in some minutes, in the shop's usual climate."""

    loss_g: Mass_g = Field(alias="loss", description="between the two readings")
    area_mm2: Area_mm2 = Field(alias="area", description="that ink covers")
    after_s: Duration_s = Field(alias="after", le=86_400, description="between the two readings")

    @property
    def kg_m2_h(self) -> float:
        """The flux this comes to."""
        return self.loss_g / 1000.0 / (self.area_mm2 / 1e6) / (self.after_s / 3600.0)

    @model_validator(mode="after")
    def _can_be(self) -> Self:
        if not 0.005 <= self.kg_m2_h <= 5.0:
            raise ValueError(
                f"the screen weighed would lose {self.kg_m2_h:.3g} kg/m2 in an hour; rooms and dryers give"
                " 0.005 to 5, so correct loss, area or after"
            )
        return self


class Drying(Table):
    """``[drying]`` of shop.toml: the climate at the screens, and what the shop has measured."""

    climate: tuple[Climate, ...] | None = Field(
        None, description="what holds at the screens, one or several; none = by what is flashed"
    )
    flooded: bool | None = Field(
        None,
        description="screens are flooded after each print; none = but on a plain table, where the frame is"
        " lifted off",
    )
    retarder: bool | None = Field(
        None,
        description="inks hold retarder at their maker's dose; none = where [mix] adds what is called so",
    )
    weighed: Weighed | None = Field(
        None, description="loss of a flooded screen on a balance, like { loss, area, after }"
    )
    open_cleared_s: OwnTime | None = Field(
        None,
        alias="open_cleared",
        description="how long a line 1 mm wide stays printable in the usual mesh, cleared, no retarder",
    )
    open_flooded_s: OwnTime | None = Field(
        None, alias="open_flooded", description="the same under a flood"
    )
    critical_loss: OwnPart | None = Field(
        None, description="share of its water that untreated ink may lose before it clogs"
    )
    retarder_gain: OwnGain | None = Field(
        None, description="how many times as much it may lose with retarder"
    )
    exchange: OwnPart | None = Field(
        None, description="share of the ink in an opening that one stroke replaces"
    )
    flood_layer_um: OwnLayer | None = Field(
        None, alias="flood_layer", description="ink that a flood leaves on the mesh"
    )
    fan_speed_m_per_s: OwnSpeed | None = Field(
        None, alias="fan_speed", description="air at the screens while the fan is on"
    )
    radiant_w_per_m2: OwnLoad | None = Field(
        None, alias="radiant", description="heat from the flash dryer that a screen takes up"
    )
    platen_over_k: OwnWarmer | None = Field(
        None,
        alias="platen_over",
        description="platen above the room's air when a screen comes down",
    )
    print_time_s: OwnTime | None = Field(
        None, alias="print_time", description="one print of one screen, flood and strokes"
    )
    laying_time_s: OwnTime | None = Field(
        None, alias="laying_time", description="taking a shirt off and laying the next"
    )

    @model_validator(mode="after")
    def _agrees(self) -> Self:
        _makes_sense(self.climate)
        return self


class DryingOrder(Table):
    """``[drying]`` of order.toml: how this run is worked."""

    climate: tuple[Climate, ...] | None = Field(None, description="none = as in the shop")
    flooded: bool | None = Field(None, description="none = as in the shop")
    retarder: bool | None = Field(None, description="none = as in the shop")
    working: Working | None = Field(
        None, description="how shirts are worked through; none = as the press allows"
    )
    pause_s: Duration_s | None = Field(
        None, alias="pause", le=86_400, description="that the screens stand idle, planned"
    )
    pause_every: int | None = Field(None, ge=1, le=100_000, description="shirts between pauses")
    wipe_every: int | None = Field(
        None,
        ge=1,
        le=100_000,
        description="shirts after which openings are wiped out; none = never",
    )

    mist: Misting = Field(
        "as needed",
        description="water stirred into the ink before the blade: always as much as leaves it, as needed"
        " once it has lost half of what it may, or never",
    )

    @model_validator(mode="after")
    def _agrees(self) -> Self:
        _makes_sense(self.climate)
        if (self.pause_s is None) != (self.pause_every is None):
            have, lack = ("pause", "pause_every") if self.pause_s else ("pause_every", "pause")
            raise ValueError(f"{have} needs {lack} beside it; give both or neither")
        return self


class DryingColour(Table):
    """``[print.colour.drying]`` of order.toml."""

    retarder: bool | None = Field(
        None, description="in the ink of this colour; none = as the order"
    )
