"""What shop.toml and order.toml may say of drying."""

from __future__ import annotations

from typing import Annotated, Any, Self, get_args

from pydantic import AfterValidator, BeforeValidator, Field, PlainSerializer, model_validator

from prep.phrases import several
from prep.tables import Day, Label, Measured, Table, bare, measured_source
from prep.units import (
    Area_mm2,
    Duration_s,
    Mass_g,
    Share,
    Speed_m_per_s,
    Temperature_c,
    Thickness_um,
    read_quantity,
)
from prep_drying.answers import Climate, Misting

CLIMATES: tuple[Climate, ...] = get_args(Climate)


def _unit(unit: str, example: str) -> Any:
    def read(given: object) -> float:
        if not isinstance(given, str):
            raise ValueError(f'needs a number with its unit in quotes, like "{example}"')
        return read_quantity(given, unit, example=example)

    return BeforeValidator(read)


def _from_to(least: float, most: float, unit: str, *, per: float = 1.0) -> Any:
    """Refuse what lies outside bounds, and say them with their unit.

    :param per: how many of the field's own units are one of ``unit``
    """

    def held(value: float) -> float:
        if not least <= value <= most:
            bound, words = (least, "at least") if value < least else (most, "at most")
            raise ValueError(f"must be {words} {bound / per:.12g} {unit}")
        return value

    return AfterValidator(held)


def _one_or_several(given: Any) -> Any:
    return (
        (given,) if isinstance(given, str) else tuple(given) if isinstance(given, list) else given
    )


def _can_hold(climate: tuple[Climate, ...]) -> tuple[Climate, ...]:
    """Refuse climates that can't hold at once.

    :raises ValueError: none, one twice, or a still room with a fan
    """
    if not climate:
        raise ValueError(f"climate is empty; name one or more of {', '.join(CLIMATES)}")
    for one in climate:
        if climate.count(one) > 1:
            raise ValueError(f'climate names "{one}" twice; name it once')
    if {"still room", "fan on the screens"} <= set(climate):
        raise ValueError(
            "climate can't be a still room with a fan on the screens; keep one of them"
        )
    return climate


Climates = Annotated[
    tuple[Climate, ...], BeforeValidator(_one_or_several), AfterValidator(_can_hold)
]
"""What holds at the screens: a list, or one alone."""
Load_w_per_m2 = Annotated[
    float,
    _unit("W/m^2", "150 W/m2"),
    PlainSerializer(lambda value: f"{value:.12g} W/m2", return_type=str),
    _from_to(1.0, 1000.0, "W/m2"),
]
"""Heat thrown on an area, read into W/m²."""
Warmer_k = Annotated[
    float,
    _unit("K", "20 K"),
    PlainSerializer(lambda value: f"{value:.12g} K", return_type=str),
    _from_to(0.1, 60.0, "K"),
]
"""A difference of temperatures, read into kelvin."""
Part = Annotated[Share, Field(gt=0, lt=1)]
# bounds leave room for slow hands and odd screens; beyond them a figure is a slip of the unit
OpenTime = Annotated[Duration_s, _from_to(1.0, 86_400.0, "h", per=3600.0)]
PrintTime = Annotated[Duration_s, _from_to(1.0, 600.0, "s")]
LayingTime = Annotated[Duration_s, _from_to(1.0, 3600.0, "s")]
Layer_um = Annotated[Thickness_um, _from_to(5.0, 1000.0, "um")]
FanSpeed = Annotated[Speed_m_per_s, _from_to(0.05, 5.0, "m/s")]
OwnPart = Annotated[Measured[Part], BeforeValidator(bare)]
OwnGain = Annotated[Measured[Annotated[float, Field(ge=1, le=3)]], BeforeValidator(bare)]
OwnLayer = Annotated[Measured[Layer_um], BeforeValidator(bare)]
OwnPrintTime = Annotated[Measured[PrintTime], BeforeValidator(bare)]
OwnLayingTime = Annotated[Measured[LayingTime], BeforeValidator(bare)]
OwnSpeed = Annotated[Measured[FanSpeed], BeforeValidator(bare)]
OwnLoad = Annotated[Measured[Load_w_per_m2], BeforeValidator(bare)]
OwnWarmer = Annotated[Measured[Warmer_k], BeforeValidator(bare)]


class Opened(Measured[OpenTime]):
    """How long a line stayed printable: the time alone, or with the ink and mesh it was tried with.

    Without an ink it holds for every ink as it comes; with one, others follow by the water they hold.
    """

    ink: Label | None = None
    mesh: Label | None = None


OwnOpened = Annotated[Opened, BeforeValidator(bare)]


class MeasuredIn(Table):
    """The climate that figures were measured in; what isn't said is as the shop has it."""

    climate: Climates | None = Field(None, description="none = climate beside it")
    temperature_c: Temperature_c | None = Field(
        None, alias="temperature", description="none = as in [room]"
    )
    humidity: Share | None = Field(None, description="none = as in [room]")
    air_speed_m_per_s: Speed_m_per_s | None = Field(
        None, alias="air_speed", description="none = as in [room]"
    )


class Weighed(Table):
    """A flooded screen on a balance: what it lost in some minutes."""

    loss_g: Mass_g = Field(alias="loss", description="between the two readings")
    area_mm2: Area_mm2 = Field(alias="area", description="that ink covers")
    after_s: Duration_s = Field(alias="after", le=86_400, description="between the two readings")
    off: Share | None = Field(
        None, gt=0, lt=0.9, description="how far it may be off each way, 8 times in 10; none = 10 %"
    )
    measured_on: Day | None = None
    n: int | None = Field(None, ge=1)

    @property
    def low(self) -> float | None:
        """The flux's 10 % point, where its range is stated."""
        return None if self.off is None else self.kg_m2_h * (1.0 - self.off)

    @property
    def high(self) -> float | None:
        """The flux's 90 % point, where its range is stated."""
        return None if self.off is None else self.kg_m2_h * (1.0 + self.off)

    @property
    def source(self) -> str:
        """Where it comes from, in words."""
        return measured_source(self.measured_on, self.n)

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

    climate: Climates | None = Field(
        None, description="what holds at the screens, one or several; none = by what is flashed"
    )
    measured_in: MeasuredIn | None = Field(
        None,
        description="what held when weighed, open_cleared and open_flooded were measured; none = climate"
        " and room of shop.toml",
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
    open_cleared_s: OwnOpened | None = Field(
        None,
        alias="open_cleared",
        description="how long a line 1 mm wide stays printable, cleared, no retarder, in the first mesh"
        " listed; or with the ink and mesh it was tried with, like { value, ink, mesh }",
    )
    open_flooded_s: OwnOpened | None = Field(
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
    print_time_s: OwnPrintTime | None = Field(
        None, alias="print_time", description="one print of one screen, flood and strokes"
    )
    laying_time_s: OwnLayingTime | None = Field(
        None, alias="laying_time", description="taking a shirt off and laying the next"
    )

    @model_validator(mode="after")
    def _agrees(self) -> Self:
        self._says_where_it_was_measured()
        cleared, flooded = self.open_cleared_s, self.open_flooded_s
        if (
            cleared is not None
            and flooded is not None
            and all(
                None in pair or pair[0] == pair[1]
                for pair in ((cleared.ink, flooded.ink), (cleared.mesh, flooded.mesh))
            )
            and cleared.value > flooded.value
        ):
            raise ValueError(
                "open_cleared is longer than open_flooded, and a flood doesn't make ink dry faster;"
                " exchange them, or time the lines again"
            )
        return self

    def _says_where_it_was_measured(self) -> None:
        figures = (
            ("weighed", self.weighed),
            ("open_cleared", self.open_cleared_s),
            ("open_flooded", self.open_flooded_s),
        )
        measured = [key for key, figure in figures if figure is not None]
        if not measured:
            if self.measured_in is not None:
                raise ValueError(
                    "measured_in says where weighed, open_cleared or open_flooded were measured, and none"
                    " of them is given; give one, or take it out"
                )
            return
        if self.climate is None and (self.measured_in is None or self.measured_in.climate is None):
            holds = "counts" if len(measured) == 1 else "count"
            raise ValueError(
                f"{several(measured)} {holds} for the climate at the screens when measuring, which isn't"
                ' said; add climate = "still room" under [drying], or what held then in its place'
            )


class DryingOrder(Table):
    """``[drying]`` of order.toml: how this run is worked."""

    climate: Climates | None = Field(None, description="none = as in the shop")
    flooded: bool | None = Field(None, description="none = as in the shop")
    retarder: bool | None = Field(None, description="none = as in the shop")
    pause_s: Duration_s | None = Field(
        None, alias="pause", le=86_400, description="that the screens stand idle, planned"
    )
    pause_every: int | None = Field(
        None, ge=1, le=100_000, description="prints between pauses, test pulls counted"
    )
    wipe_every: int | None = Field(
        None,
        ge=1,
        le=100_000,
        description="prints after which openings are wiped out, test pulls counted; none = never",
    )

    mist: Misting = Field(
        "as needed",
        description="water stirred into the ink before the blade: always as much as leaves it, as needed"
        " once it has lost half of what it may, or never",
    )

    @model_validator(mode="before")
    @classmethod
    def _working_is_the_press_s(cls, given: Any) -> Any:
        if isinstance(given, dict) and "working" in given:
            raise ValueError(
                "working belongs to the press, as its error goes by it; write it as working under [press]"
                " in shop.toml, or for one order under [shop.press]"
            )
        return given

    @model_validator(mode="after")
    def _agrees(self) -> Self:
        if (self.pause_s is None) != (self.pause_every is None):
            have, lack = ("pause", "pause_every") if self.pause_s else ("pause_every", "pause")
            raise ValueError(f"{have} needs {lack} beside it; give both or neither")
        return self


class DryingColour(Table):
    """``[print.colour.drying]`` of order.toml."""

    retarder: bool | None = Field(
        None, description="in the ink of this colour; none = as the order"
    )
