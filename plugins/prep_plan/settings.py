"""What shop.toml and order.toml may say of the work."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from prep.tables import Measured, Table, bare
from prep.units import Duration_s

CureBy = Literal["heat press", "flash dryer", "conveyor dryer"]


Time_s = Annotated[Duration_s, Field(le=86_400)]
Taken = Annotated[Measured[Time_s], BeforeValidator(bare)]


class Plan(Table):
    """``[plan]`` of shop.toml: how the shop works, and times it has taken. A time left out is usual."""

    cure_by: CureBy = Field("heat press", description="what shirts are cured with")
    cure_s: Taken | None = Field(
        None, alias="cure", description="one shirt's cure, with laying it in and taking it out"
    )
    line_up_s: Taken | None = Field(
        None, alias="line_up", description="lining up one screen at the press"
    )
    mix_s: Taken | None = Field(None, alias="mix", description="weighing and stirring one ink")
    clean_s: Taken | None = Field(
        None, alias="clean", description="scraping out and washing one screen"
    )
    wipe_s: Taken | None = Field(
        None, alias="wipe", description="wiping one screen's openings out, and a pull on scrap"
    )
    mist_s: Taken | None = Field(
        None, alias="mist", description="misting water on the ink of one screen and stirring it in"
    )
    top_up_s: Taken | None = Field(
        None, alias="top_up", description="weighing fresh ink and putting it on one screen"
    )
    dry_s: Taken | None = Field(
        None,
        alias="dry",
        description="drying one shirt to the touch off the board, where the rack is full between colours",
    )
    rack: int | None = Field(
        None, ge=1, le=100_000, description="shirts that can lie or hang to dry; none = not stated"
    )
    day_s: Duration_s = Field(
        28_800.0, alias="day", le=86_400, description="a day's work; longer plans are parted"
    )
