"""The table ``[registration]`` of shop.toml."""

from __future__ import annotations

from typing import Self

from pydantic import Field, model_validator

from prep.tables import Table
from prep.units import Length_mm
from prep_registration.target import LEAST_BAR_MM, least_size_mm


class Registration(Table):
    """Registration targets: how large, how far from the print, and whether to cut them."""

    cut: bool = Field(True, description="false = no targets; screens are lined up by eye")
    size_mm: Length_mm = Field(16.0, alias="size", le=100, description="of a target, across")
    bar_mm: Length_mm = Field(
        2.0, alias="bar", ge=LEAST_BAR_MM, le=20, description="width of its bars, 1.5 mm or more"
    )
    distance_mm: Length_mm = Field(
        12.0, alias="distance", le=500, description="clear film between a target and any opening"
    )

    @model_validator(mode="after")
    def _room_for_the_square(self) -> Self:
        least = least_size_mm(self.bar_mm)
        if self.size_mm < least:
            raise ValueError(
                f"a target with bars of {self.bar_mm:g} mm needs a size of {least:g} mm or more, "
                f"not {self.size_mm:g} mm"
            )
        return self
