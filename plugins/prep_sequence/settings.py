"""Settings of ``[sequence]``: the order of printing, drying between, and passes."""

from __future__ import annotations

from typing import Self

from pydantic import Field, model_validator

from prep.tables import Label, Table
from prep.units import Duration_s, Length_mm


class Sequence(Table):
    """``[sequence]`` of shop.toml."""

    as_light: float = Field(
        5.0, ge=0, le=50, description="colours nearer in CIE L* are printed as they are painted"
    )
    flash_s: Duration_s = Field(
        30.0,
        alias="flash",
        le=300,
        description="until dry to the touch; a heat gun takes longer than a flash dryer",
    )
    cool_s: Duration_s = Field(
        15.0, alias="cool", le=600, description="before the next screen comes down on it"
    )
    wet_overlap_mm: Length_mm = Field(
        1.0,
        alias="wet_overlap",
        le=20,
        description="ink printed on wet ink over no more than this width, like a trap, is no harm",
    )
    white_on_dark: int = Field(
        2, ge=1, le=10, description="passes of opaque white on dark shirts, where none are stated"
    )


class SequenceOrder(Table):
    """``[sequence]`` of order.toml. Screens are named by colour, by ink, or as ``base``."""

    order: tuple[Label, ...] = Field((), description="screens printed first, in this order")
    flash_after: tuple[Label, ...] = Field((), description="flash after these, whatever the rule")
    no_flash_after: tuple[Label, ...] = Field((), description="and not after these")

    @model_validator(mode="after")
    def _makes_sense(self) -> Self:
        for key in ("order", "flash_after", "no_flash_after"):
            names = [name.casefold() for name in getattr(self, key)]
            twice = next((name for name in names if names.count(name) > 1), None)
            if twice is not None:
                raise ValueError(f"{key} names {twice} twice; keep one of them")
        both = {n.casefold() for n in self.flash_after} & {
            n.casefold() for n in self.no_flash_after
        }
        if both:
            raise ValueError(
                f"flash_after and no_flash_after both name {min(both)}; take it out of one of them"
            )
        return self
