"""Settings of ``[fill_in]``: the shop's own measured limits, and the fabric of an order."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field, model_validator

from prep.tables import Day, Table, measured_source
from prep.units import Area_mm2, Duration_s, Length_mm, Share, Thickness_um

THICKEN_MOST_MM = 2.0
"""No order may let edges move farther."""


def _both(given: Any, example: str) -> Any:
    if isinstance(given, str):
        return {"at_risk_below": given}
    if isinstance(given, int | float):
        raise ValueError(f'needs a number with its unit in quotes, like "{example}"')
    return given


class OwnWidth(Table):
    """A limit the shop has measured: ``"0.8 mm"``, or both bounds."""

    at_risk_below_mm: Length_mm = Field(alias="at_risk_below")
    fails_below_mm: Length_mm | None = Field(None, alias="fails_below")
    measured_on: Day | None = None
    n: int | None = Field(None, ge=1)

    @model_validator(mode="before")
    @classmethod
    def _one_figure(cls, given: Any) -> Any:
        return _both(given, "0.8 mm")

    @model_validator(mode="after")
    def _not_crossed(self) -> OwnWidth:
        if self.fails_below_mm is not None and self.fails_below_mm > self.at_risk_below_mm:
            raise ValueError("fails_below must not be more than at_risk_below")
        return self

    @property
    def bounds(self) -> tuple[float, float | None]:
        """(at risk below, fails below)."""
        return self.at_risk_below_mm, self.fails_below_mm

    @property
    def source(self) -> str:
        """Where it comes from, in words."""
        return measured_source(self.measured_on, self.n)


class OwnArea(Table):
    """A limit on area the shop has measured: ``"6 mm2"``, or both bounds."""

    at_risk_below_mm2: Area_mm2 = Field(alias="at_risk_below")
    fails_below_mm2: Area_mm2 | None = Field(None, alias="fails_below")
    measured_on: Day | None = None
    n: int | None = Field(None, ge=1)

    @model_validator(mode="before")
    @classmethod
    def _one_figure(cls, given: Any) -> Any:
        return _both(given, "6 mm2")

    @model_validator(mode="after")
    def _not_crossed(self) -> OwnArea:
        if self.fails_below_mm2 is not None and self.fails_below_mm2 > self.at_risk_below_mm2:
            raise ValueError("fails_below must not be more than at_risk_below")
        return self

    @property
    def bounds(self) -> tuple[float, float | None]:
        """(at risk below, fails below)."""
        return self.at_risk_below_mm2, self.fails_below_mm2

    @property
    def source(self) -> str:
        """Where it comes from, in words."""
        return measured_source(self.measured_on, self.n)


class FillIn(Table):
    """``[fill_in]`` of shop.toml. A limit left out is the usual one."""

    cutting: OwnWidth | None = Field(None, description="distance of two knife cuts")
    weeding: OwnWidth | None = Field(None, description="opening weeded reliably")
    strip: OwnWidth | None = Field(None, description="film strip that stays down")
    island: OwnWidth | None = Field(None, description="width of an island that stays down")
    island_area: OwnArea | None = Field(None, description="area of an island that stays down")
    stroke: OwnWidth | None = Field(None, description="printed line that stays whole")
    gap: OwnWidth | None = Field(None, description="unprinted gap that stays open")
    gain: OwnWidth | None = Field(None, description="spread of the ink beyond each edge")
    long_run_pulls: int = Field(25, ge=1, le=100_000, description="a run of more pulls is long")
    long_run_wet_s: Duration_s = Field(
        2 * 3600.0,
        alias="long_run_wet",
        gt=0,
        le=604_800,
        description="a run that keeps a screen wet for longer is long",
    )
    thin_film_um: Thickness_um = Field(65.0, alias="thin_film", description="thin up to this")
    between_strokes: Share = Field(
        0.25,
        description="how far strokes without drying between miss each other, as a share of the"
        " press's scatter",
    )
    dries_at_risk: Share = Field(
        0.10, gt=0, description="chance to dry shut from which an opening is at risk"
    )
    dries_fails: Share = Field(
        0.50, gt=0, description="chance to dry shut from which an opening will fail"
    )
    confirm_width: bool = Field(
        True,
        description="the print width at which all passes is confirmed by measuring all screens again",
    )
    most_listed: int = Field(12, ge=1, le=1000, description="findings listed for each screen")

    @model_validator(mode="after")
    def _risk_before_failing(self) -> FillIn:
        if self.dries_at_risk > self.dries_fails:
            raise ValueError("dries_at_risk must not be more than dries_fails")
        return self

    def own(self) -> dict[str, tuple[float, float | None]]:
        """Give the shop's own bounds by topic."""
        return {topic: limit.bounds for topic, limit in self._stated().items()}

    def sources(self) -> dict[str, str]:
        """Give where the shop's own bounds come from, in words, by topic."""
        return {topic: limit.source for topic, limit in self._stated().items()}

    def _stated(self) -> dict[str, OwnWidth | OwnArea]:
        named: dict[str, OwnWidth | OwnArea | None] = {
            "cutting": self.cutting,
            "weeding": self.weeding,
            "strip": self.strip,
            "island": self.island,
            "island_area": self.island_area,
            "stroke": self.stroke,
            "gap": self.gap,
            "gain": self.gain,
        }
        return {topic: limit for topic, limit in named.items() if limit is not None}


class FillInColour(Table):
    """``[print.colour.fill_in]`` of order.toml."""

    thicken: bool | None = Field(
        None, description="what is too narrow in this colour is thickened; none = as for all"
    )


class FillInOrder(Table):
    """``[fill_in]`` of order.toml."""

    fabric: Literal["tee", "fleece"] | None = Field(
        None, description="what is printed on; none = by the garments, fleece where one of them is"
    )
    meant_to_fail: bool = Field(
        False,
        description="the artwork is made to find out which details fail: none is told as trouble",
    )
    thicken: bool = Field(
        False,
        description="openings, film strips and small film islands under their limit are thickened where"
        " there is room",
    )
    thicken_most_mm: Length_mm = Field(
        0.3,
        alias="thicken_most",
        le=THICKEN_MOST_MM,
        description="how far an edge may move by that",
    )
