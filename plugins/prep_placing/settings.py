"""The tables ``[placing]`` of shop.toml and order.toml."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from prep.tables import Label, Table
from prep.units import Length_mm
from prep_placing.rules import LEAST_PLATEN_EDGE_MM, PLATEN_EDGE_MM

Reads = Literal["upright", "down the arm", "up the arm"]


class Spot(Table):
    """Your own distances for one place on garments of one build, or of one size."""

    away_mm: Length_mm | None = Field(
        None, alias="away", le=1000, description="collar's seam to print; on a sleeve hem to print"
    )
    widest_mm: Length_mm | None = Field(
        None, alias="widest", le=5000, description="wider prints are told"
    )
    tallest_mm: Length_mm | None = Field(
        None, alias="tallest", le=5000, description="taller prints are told"
    )
    aside_mm: Length_mm | None = Field(
        None, alias="aside", le=1000, description="garment's centre line to the print's own"
    )


class PlaceTable(Table):
    """Your own distances for one place: by build, and by a size as the order writes it."""

    adult: Spot | None = None
    youth: Spot | None = Field(None, description="youth M and up")
    youth_small: Spot | None = Field(None, description="youth XS and S")
    toddler: Spot | None = None
    by_size: dict[Label, Spot] = Field({}, description="by size as the order writes it")


class PlacingOrder(Table):
    """``[placing]`` in order.toml."""

    sleeve_reads: Reads | None = Field(
        None, description="none = upright, or down the arm where it is too wide for that"
    )


class PlacingShop(Table):
    """``[placing]`` in shop.toml."""

    front: PlaceTable | None = None
    back: PlaceTable | None = None
    chest: PlaceTable | None = None
    sleeve: PlaceTable | None = None
    platen_edge_mm: Length_mm = Field(
        PLATEN_EDGE_MM, alias="platen_edge", le=500, description="print to platen's edge, advised"
    )
    least_platen_edge_mm: Length_mm = Field(
        LEAST_PLATEN_EDGE_MM, alias="least_platen_edge", le=500, description="the same, at least"
    )
    overlap_mm: Length_mm = Field(
        12.0, alias="overlap", ge=5, le=60, description="of the tiles of the paper master"
    )
    paper_edge_mm: Length_mm = Field(
        8.0,
        alias="paper_edge",
        ge=3,
        le=40,
        description="of a tile, which your printer leaves blank",
    )

    @model_validator(mode="after")
    def _agree(self) -> Self:
        if self.least_platen_edge_mm > self.platen_edge_mm:
            raise ValueError(
                f"least_platen_edge of {self.least_platen_edge_mm:g} mm is more than platen_edge of"
                f" {self.platen_edge_mm:g} mm; make it the smaller one"
            )
        return self
