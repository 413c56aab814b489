"""What stands in the shop: equipment and stock, as plain figures. Formulas live in the plugins."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from prep.tables import Table
from prep.units import (
    Coat_cm3_per_m2,
    Count_per_cm,
    Density_g_per_ml,
    Hex,
    Length_mm,
    Mass_g,
    Share,
    Speed_m_per_s,
    Temperature_c,
    Thickness_um,
)

InkKind = Literal["opaque white", "opaque colour", "transparent colour", "discharge", "low-cure"]
PressKind = Literal["press with fine adjustment", "simple press", "hinged frame", "plain table"]


class Mesh(Table):
    """A mesh in stock: its label, and the maker's own figures where the shop has them."""

    name: str = Field(description="label on the frame, like 43-80")
    count_per_cm: Count_per_cm = Field(alias="count", description="threads per cm or inch")
    thread_um: Thickness_um = Field(alias="thread", description="thread before weaving")
    opening_um: Thickness_um | None = Field(None, alias="opening")
    open_area: Share | None = None
    thickness_um: Thickness_um | None = Field(None, alias="thickness", description="of the cloth")
    volume_cm3_per_m2: Coat_cm3_per_m2 | None = Field(None, alias="volume")


class Film(Table):
    """The knife-cut film."""

    name: str = "adhesive film"
    width_mm: Length_mm = Field(500.0, alias="width", description="of the roll or sheet")
    thickness_um: Thickness_um = Field(80.0, alias="thickness", description="film and adhesive")
    side: Literal["shirt", "squeegee"] = Field("shirt", description="side of the mesh it goes on")
    cut_face_up: bool = Field(True, description="the blade enters the face, the liner lies below")
    margin_mm: Length_mm = Field(50.0, alias="margin", description="film around the print")


class Frame(Table):
    """A frame in stock."""

    name: str
    inside_width_mm: Length_mm = Field(alias="inside_width")
    inside_height_mm: Length_mm = Field(alias="inside_height")


class Press(Table):
    """The press, or the table that serves as one."""

    kind: PressKind = "hinged frame"
    registration_error_mm: Length_mm | None = Field(
        None, alias="registration_error", description="one sigma; none = usual for the kind"
    )
    stations: int = Field(1, ge=1, le=20)


class Balance(Table):
    """The balance ink is weighed on."""

    readability_g: Mass_g = Field(1.0, alias="readability")


class Room(Table):
    """The air at the screen."""

    temperature_c: Temperature_c = Field(21.0, alias="temperature", ge=-20, le=60)
    humidity: Share = 0.5
    air_speed_m_per_s: Speed_m_per_s = Field(0.1, alias="air_speed", le=20)


class Ink(Table):
    """An ink in stock."""

    name: str
    colour: Hex | None = Field(None, alias="hex")
    kind: InkKind = "opaque colour"
    density_g_per_ml: Density_g_per_ml | None = Field(None, alias="density")
    in_stock_g: Mass_g | None = Field(None, alias="in_stock")


class Shop(Table):
    """Everything shop.toml may say apart from the plugins' own tables."""

    name: str = "this shop"
    paper: Literal["A4", "US Letter"] = "A4"
    units: Literal["metric", "inch"] = "metric"
    mesh: tuple[Mesh, ...] = Field(
        (
            Mesh(name="43-80", count="43/cm", thread="80 um"),  # type: ignore[call-arg]  # by alias
            Mesh(name="62-64", count="62/cm", thread="64 um"),  # type: ignore[call-arg]  # by alias
            Mesh(name="77-55", count="77/cm", thread="55 um"),  # type: ignore[call-arg]  # by alias
        ),
        min_length=1,
        description="meshes in stock, the usual one first",
    )
    film: Film = Film()  # type: ignore[call-arg]  # all defaults
    frame: tuple[Frame, ...] = ()
    press: Press = Press()  # type: ignore[call-arg]  # all defaults
    balance: Balance = Balance()  # type: ignore[call-arg]  # all defaults
    room: Room = Room()  # type: ignore[call-arg]  # all defaults
    ink: tuple[Ink, ...] = ()
