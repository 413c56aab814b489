"""The table ``[stencils]`` of shop.toml."""

from __future__ import annotations

from typing import Self

from pydantic import Field, model_validator

from prep.tables import Table
from prep.units import Allowance_mm, Duration_s, Length_mm, Speed_m_per_s, Turn_deg

TEST_SQUARE_MM = 100.0
"""Side of the cut test square."""
_MOST_STRETCH = 0.05


class Stencils(Table):
    """The cutter, what it is told besides the outlines, and how the film holds."""

    blade_offset_mm: Length_mm = Field(
        0.25, alias="blade_offset", le=5, description="of the knife's tip behind its axis"
    )
    sharpest_corner_deg: Turn_deg = Field(
        30.0, alias="sharpest_corner", lt=180, description="corners sharper than this are listed"
    )
    overcut_mm: Allowance_mm = Field(
        0.0, alias="overcut", le=5, description="outlines are cut so far on over their beginning"
    )
    speed_m_per_s: Speed_m_per_s = Field(0.05, alias="speed", gt=0, description="of the blade")
    weeding_lines: bool = Field(
        True, description="large waste is parted into pieces that lift well"
    )
    weeding_piece_mm: Length_mm = Field(
        120.0, alias="weeding_piece", ge=10, description="width and length of such a piece, at most"
    )
    seam_overlap_mm: Length_mm = Field(
        10.0, alias="seam_overlap", le=100, description="of two strips where a sheet is parted"
    )
    seam_clear_mm: Length_mm = Field(
        5.0, alias="seam_clear", le=100, description="solid film between an overlap and any opening"
    )
    sheet_length_mm: Length_mm | None = Field(
        None, alias="sheet_length", description="of film in sheets; none = it comes on a roll"
    )
    test_across_mm: Length_mm = Field(
        TEST_SQUARE_MM,
        alias="test_across",
        description="what the side of the cut test square that is marked by one notch measures",
    )
    test_along_mm: Length_mm = Field(
        TEST_SQUARE_MM,
        alias="test_along",
        description="what the side that is marked by two notches measures",
    )
    holds_pulls: int | None = Field(
        None, ge=1, description="strokes that a stencil lasts; none = usual for the adhesive"
    )
    holds_s: Duration_s | None = Field(
        None, alias="holds", description="time that a stencil lasts wet; none = usual"
    )

    @property
    def stretch(self) -> tuple[float, float]:
        """Times its size a length is given in cut files, across and along, to come out true."""
        return TEST_SQUARE_MM / self.test_across_mm, TEST_SQUARE_MM / self.test_along_mm

    @model_validator(mode="after")
    def _near_true(self) -> Self:
        for key, read in (("test_across", self.test_across_mm), ("test_along", self.test_along_mm)):
            if abs(read / TEST_SQUARE_MM - 1.0) > _MOST_STRETCH:
                raise ValueError(
                    f"{key}: a test square of {TEST_SQUARE_MM:g} mm that measures {read:g} mm was cut at"
                    " another scale, not stretched; cut it again at 100 %"
                )
        return self
