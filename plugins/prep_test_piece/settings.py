"""The table ``[test_piece]`` of order.toml."""

from __future__ import annotations

from pydantic import Field

from prep.tables import Label, Table


class PieceOrder(Table):
    """What marks an order as that of a test piece."""

    mesh: Label | None = Field(
        None, description="the mesh that is tried; none = the order is of no test piece"
    )
