"""What shop.toml and order.toml may say of the work."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from prep.tables import Table
from prep.units import Duration_s

CureBy = Literal["heat press", "flash dryer", "conveyor dryer"]


def _bare(given: Any) -> Any:
    """Read a bare value as one without a range of its own."""
    return given if isinstance(given, dict | Table) else {"value": given}


class OwnTime(Table):
    """A time the shop has taken: the value alone, or ``{ value, low, high }``; left out, 10 % each way."""

    value_s: Duration_s = Field(alias="value", le=86_400)
    low_s: Duration_s | None = Field(None, alias="low", le=86_400)
    high_s: Duration_s | None = Field(None, alias="high", le=86_400)

    @model_validator(mode="after")
    def _in_order(self) -> OwnTime:
        bounds = [b for b in (self.low_s, self.value_s, self.high_s) if b is not None]
        if bounds != sorted(bounds):
            raise ValueError("low must not lie above value, nor value above high")
        return self


Taken = Annotated[OwnTime, BeforeValidator(_bare)]


class Plan(Table):
    """``[plan]`` of shop.toml: how the shop works, and times it has taken. A time left out is usual."""

    cure_by: CureBy = Field("heat press", description="what shirts are cured with")
    cure: Taken | None = Field(
        None, description="one shirt's cure, with laying it in and taking it out"
    )
    line_up: Taken | None = Field(None, description="lining up one screen at the press")
    mix: Taken | None = Field(None, description="weighing and stirring one ink")
    clean: Taken | None = Field(None, description="scraping out and washing one screen")
    rack: int | None = Field(
        None, ge=1, le=100_000, description="shirts that can lie or hang to dry; none = not stated"
    )
    day_s: Duration_s = Field(
        28_800.0, alias="day", le=86_400, description="a day's work; longer plans are parted"
    )
