"""What shop.toml and order.toml may say of ink."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, Field

from prep.tables import Label, Measured, Table, bare
from prep.units import Area_mm2, Length_mm, Mass_g, Share, Thickness_um

Factor = Annotated[float, Field(gt=0, le=3)]


class Weighed(Measured[Factor]):
    """A share of the mesh's ink, as shirts were weighed: alone, or with what they were printed by.

    Mesh, ink and strokes that are named are part of what was weighed: how much that mesh holds, how heavy
    that ink is and what so many strokes add is then no doubt of its own on screens printed with them.
    """

    mesh: Label | None = None
    ink: Label | None = None
    strokes: int | None = Field(None, ge=1, le=6)


Part = Annotated[Share, Field(gt=0)]
Further = Annotated[Share, Field(gt=0, le=0.95)]
OwnTransfer = Annotated[Weighed, BeforeValidator(bare)]
OwnPart = Annotated[Measured[Part], BeforeValidator(bare)]
OwnFurther = Annotated[Measured[Further], BeforeValidator(bare)]
OwnLength = Annotated[Measured[Length_mm], BeforeValidator(bare)]
OwnThickness = Annotated[Measured[Thickness_um], BeforeValidator(bare)]
OwnArea = Annotated[Measured[Area_mm2], BeforeValidator(bare)]
OwnMass = Annotated[Measured[Mass_g], BeforeValidator(bare)]


class ShopInk(Table):
    """``[ink]`` in shop.toml: the shop's own hand, where it has weighed it."""

    transfer: OwnTransfer | None = Field(
        None,
        description="share of the mesh's theoretical volume one stroke leaves on the shirt; with the mesh,"
        " ink and strokes it was weighed with",
    )
    edge_reach_mm: OwnLength | None = Field(
        None, alias="edge_reach", description="how far the thicker deposit reaches from an edge"
    )
    film_stands: OwnPart | None = Field(
        None, description="share of the film's thickness that stands above the fabric"
    )
    film_off: Share | None = Field(
        None,
        gt=0,
        lt=0.9,
        description="how far film and adhesive may be off film.thickness, each way; none = a guess",
    )
    second_stroke: OwnFurther | None = Field(
        None, description="what a further stroke adds, as a share of the one before"
    )
    bead_mm2: OwnArea | None = Field(
        None,
        alias="bead",
        description="cross-section of the ink before the blade at the last shirt",
    )
    layer_left_um: OwnThickness | None = Field(
        None, alias="layer_left", description="ink left on film and mesh once they are scraped"
    )
    on_blade_mm2: OwnArea | None = Field(
        None, alias="on_blade", description="cross-section of the ink that sticks to the squeegee"
    )
    pot_loss_g: OwnMass | None = Field(None, alias="pot_loss", description="ink left in the pot")
    stroke_beyond_mm: Length_mm = Field(
        40.0,
        alias="stroke_beyond",
        description="stroke longer than the image, each end, as far as the frame leaves room",
    )


class OrderInk(Table):
    """``[ink]`` in order.toml: how much to mix beyond what the shirts take."""

    reserve: Share | None = Field(
        None, description="on top of the run; none = as much as enough_at asks for"
    )
    enough_at: Share = Field(
        0.9,
        ge=0.5,
        le=0.99,
        description="chance that what is mixed suffices, where no reserve is set",
    )
    test_pulls: int = Field(4, ge=0, le=100, description="prints on scrap before the first shirt")
    spoilage: Share = Field(0.03, description="shirts spoilt and printed again, at least one")
    strokes: int | None = Field(
        None, ge=1, le=6, description="strokes without drying between; none = as the ink needs"
    )
