"""The table ``[squeegee]`` of shop.toml."""

from __future__ import annotations

from typing import Self

from pydantic import Field, model_validator

from prep.tables import Table
from prep.units import Length_mm


class Squeegee(Table):
    """Squeegees in stock, the room they need, and how high screens hang.

    ``overhang`` by two suppliers' advice (1/2 to 1 in a side); the rest common practice, no source.
    """

    lengths_mm: tuple[Length_mm, ...] = Field(
        (), alias="lengths", description="squeegees in stock; none = any length can be had"
    )
    overhang_mm: Length_mm = Field(
        13.0, alias="overhang", le=200, description="beyond the print, each side, at least"
    )
    good_overhang_mm: Length_mm = Field(
        25.0, alias="good_overhang", le=200, description="beyond the print, each side, as advised"
    )
    to_frame_mm: Length_mm = Field(
        40.0,
        alias="to_frame",
        le=500,
        description="between squeegee and frame, each side, at least",
    )
    well_mm: Length_mm = Field(
        40.0, alias="well", le=500, description="for ink above and below the print, at least"
    )
    good_well_mm: Length_mm = Field(
        75.0, alias="good_well", le=500, description="for ink above and below, as advised"
    )
    off_contact_mm: Length_mm | None = Field(
        None, alias="off_contact", le=25, description="mesh above the fabric; none = usual"
    )
    hand_stretched: bool = Field(
        False, description="frames are stretched by hand, or their tension is below 15 N/cm"
    )
    fine_below_mm: Length_mm = Field(
        1.5, alias="fine_below", le=20, description="narrower openings are fine detail"
    )

    @model_validator(mode="after")
    def _agree(self) -> Self:
        for least, good, name in (
            (self.overhang_mm, self.good_overhang_mm, "overhang"),
            (self.well_mm, self.good_well_mm, "well"),
        ):
            if least > good:
                raise ValueError(
                    f"{name} of {least:g} mm is more than good_{name} of {good:g} mm; make {name} the"
                    " smaller one"
                )
        return self
