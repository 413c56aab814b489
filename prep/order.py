"""The order as the customer gives it, and the set-ups it comes to.

Reading the file is the affair of :mod:`prep.settings`, the expansion that of :mod:`prep.setups`.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from prep.artwork import PrintSize
from prep.tables import Label, Table
from prep.units import Hex, Length_mm

MOST_GARMENTS = 1_000_000
NEAR_EQUAL = 2.3
"""CIEDE2000 under which two colours count as hardly told apart.

A guess: 2.3 is the just noticeable difference in CIELAB of Mahy, Van Eycken and Oosterlinck (Color
Research & Application 19, 1994; from memory), taken over for the newer formula.
"""


def _distinct_sizes(given: Any) -> Any:
    """Refuse two sizes that differ in outer blanks only; one would swallow the other."""
    if isinstance(given, dict):
        names = [name.strip() for name in given if isinstance(name, str)]
        for name in names:
            if names.count(name) > 1:
                raise ValueError(f'size "{name}" stands there twice')
    return given


PrintSide_mm = Annotated[Length_mm, Field(ge=1, le=5000)]
"""Width or height of a print: from 1 mm to 5 m."""
Garments = Annotated[int, Field(ge=1, le=MOST_GARMENTS)]
"""How many."""
Style = Literal["tee", "sweatshirt", "hoodie"]
"""What a garment is: sweatshirts and hoodies are of fleece, and hoodies have hood, cords and pouch."""


class ColourChoice(Table):
    """What the order says of one colour of the artwork."""

    colour: Hex = Field(alias="hex")
    ink: Label | None = Field(None, description="name of the ink")
    mesh: Label | None = Field(None, description="label of a mesh in stock")
    passes: int | None = Field(
        None,
        ge=1,
        le=10,
        description="times the colour is printed, flash between; none = as its ink needs",
    )
    strokes: int | None = Field(
        None,
        ge=1,
        le=6,
        description="strokes each time, without drying between; none = as its ink needs",
    )
    print_as: Hex | None = Field(
        None, description="colour of the artwork it is printed as, from that colour's screen"
    )
    printed: bool | None = Field(
        None,
        description="false: not printed, the shirt stays bare there; true: printed even on shirts"
        " of its colour; none: printed but on those",
    )


class Print(Table):
    """One artwork at one place on the garment.

    ``width_by_size`` sets the width on garments of some sizes; ``height`` is not for those.
    """

    place: Label = "front"
    artwork: Path
    width_mm: PrintSide_mm | None = Field(None, alias="width")
    height_mm: PrintSide_mm | None = Field(None, alias="height")
    width_by_size_mm: Annotated[dict[Label, PrintSide_mm], BeforeValidator(_distinct_sizes)] = (
        Field({}, alias="width_by_size")
    )
    solid_tints: bool = Field(
        False,
        description="translucent colours are printed solid, as they show on the garment: each new"
        " colour is an ink and a screen of its own; else they are refused",
    )
    colour: tuple[ColourChoice, ...] = ()

    def size_for(self, size: str) -> PrintSize:
        """Give the print size asked for on garments of a size."""
        if size in self.width_by_size_mm:
            return PrintSize(width_mm=self.width_by_size_mm[size])
        return PrintSize(width_mm=self.width_mm, height_mm=self.height_mm)


def _weight(given: Any) -> Any:
    return {"normal": 400, "bold": 700}.get(given, given) if isinstance(given, str) else given


class Font(Table):
    """A font file to outline text of the artworks with; family, weight and style as they name it."""

    family: Label
    weight: Annotated[int, Field(ge=1, le=1000), BeforeValidator(_weight)] = 400
    style: Literal["normal", "italic", "oblique"] = "normal"
    file: Path


class Garment(Table):
    """Garments of one make and colour."""

    name: Label = "shirt"
    colour: Hex = "#ffffff"
    fibre: Label = "100 % cotton"
    sizes: Annotated[dict[Label, Garments], BeforeValidator(_distinct_sizes)] = Field(min_length=1)
    prints: tuple[Label, ...] | None = Field(
        None, min_length=1, description="places printed; none = all"
    )
    style: Style | None = Field(
        None, description="none = by its name, a tee where that says nothing"
    )

    def carries(self, place: str) -> bool:
        """Tell whether it is printed at a place."""
        return self.prints is None or place in self.prints


class Order(Table):
    """Everything order.toml may say apart from plugins' tables and [shop]."""

    name: Label = "job"
    print: tuple[Print, ...] = Field(min_length=1)
    garment: tuple[Garment, ...] = Field(min_length=1)
    font: tuple[Font, ...] = ()
    bare_shirt: bool = Field(
        True, description="shapes in the shirt's own colour leave it bare and get no screen"
    )
    proof: bool = Field(
        True, description="what was read is compared with what an independent renderer draws"
    )
    near_equal: float = Field(
        NEAR_EQUAL,
        ge=0,
        le=100,
        description="colours of a smaller CIEDE2000 difference are reported; 0 = none",
    )


@dataclass(frozen=True, slots=True)
class Batch:
    """Some garments of a set-up: one make, one colour, some sizes.

    :param sizes: (size, count) in the order written
    :param style: what it is, where the order says it; see :func:`prep.garments.style_of`
    """

    garment: str
    colour: str
    fibre: str
    sizes: tuple[tuple[str, int], ...]
    style: Style | None = None

    @property
    def count(self) -> int:
        """Garments in it."""
        return sum(count for _, count in self.sizes)


@dataclass(frozen=True, slots=True)
class SetUp:
    """One artwork at one print width on garments alike in shade, printed with one set of screens.

    Where tints are printed solid, garments of one colour alone share it: each shows its own.

    :param key: safe for a folder name, distinct within the order
    :param name: for people: ``front, 280 mm, on dark``
    :param size: width and height asked for, in mm
    :param shade: dark when the garments' CIE L* lies under the limit
    :param solid_tints_on: the garments' colour, on which tints are printed solid; none: they are refused
    """

    key: str
    name: str
    place: str
    artwork: Path
    size: PrintSize
    colours: tuple[ColourChoice, ...]
    batches: tuple[Batch, ...]
    shade: Literal["dark", "light"]
    solid_tints_on: str | None = None

    @property
    def shirts(self) -> int:
        """Garments printed with this set-up."""
        return sum(batch.count for batch in self.batches)
