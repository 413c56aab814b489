"""The order as the customer gives it, and its expansion into set-ups."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from pydantic import Field

from prep.artwork import PrintSize
from prep.tables import Table
from prep.units import Hex, Length_mm


class ColourChoice(Table):
    """What the order says of one colour of the artwork."""

    colour: Hex = Field(alias="hex")
    ink: str | None = Field(None, min_length=1, description="name of the ink")
    mesh: str | None = Field(None, min_length=1, description="label of a mesh in stock")
    passes: int = Field(1, ge=1, le=10, description="times the colour is printed, flash between")


class Print(Table):
    """One artwork at one place on the garment."""

    place: str = Field("front", min_length=1)
    artwork: Path
    width_mm: Length_mm | None = Field(None, alias="width")
    height_mm: Length_mm | None = Field(None, alias="height")
    width_by_size_mm: dict[str, Length_mm] = Field({}, alias="width_by_size")
    colour: tuple[ColourChoice, ...] = ()


class Garment(Table):
    """Garments of one make and colour."""

    name: str = Field("shirt", min_length=1)
    colour: Hex = "#ffffff"
    fibre: str = "100 % cotton"
    sizes: dict[str, int]
    prints: tuple[str, ...] | None = Field(None, description="places printed; none = all")


class Order(Table):
    """Everything order.toml may say apart from plugins' tables and [shop]."""

    name: str = Field("job", min_length=1)
    print: tuple[Print, ...] = Field(min_length=1)
    garment: tuple[Garment, ...] = Field(min_length=1)


@dataclass(frozen=True, slots=True)
class Batch:
    """Some garments of a set-up: one make, one colour, some sizes.

    :param sizes: (size, count) in the order written
    """

    garment: str
    colour: str
    fibre: str
    sizes: tuple[tuple[str, int], ...]

    @property
    def count(self) -> int:
        """Garments in it."""
        return sum(count for _, count in self.sizes)


@dataclass(frozen=True, slots=True)
class SetUp:
    """One artwork at one print width on garments alike in shade, printed with one set of screens.

    :param key: safe for a folder name, distinct within the order
    :param name: for people: ``front, 280 mm, on dark``
    :param size: width and height asked for, in mm
    :param shade: dark when the garments' CIE L* lies under the limit
    """

    key: str
    name: str
    place: str
    artwork: Path
    size: PrintSize
    colours: tuple[ColourChoice, ...]
    batches: tuple[Batch, ...]
    shade: Literal["dark", "light"]

    @property
    def shirts(self) -> int:
        """Garments printed with this set-up."""
        return sum(batch.count for batch in self.batches)
