"""What is typed into a form beside the orders becomes plain values, as its fields say."""

from __future__ import annotations

from pydantic import Field

from prep.tables import Table
from prep.units import Length_mm, Mass_g, Share
from prep_page.filled import Typed, filled_in
from prep_page.forms import fields_to_fill_in


class _Strip(Table):
    """A strip of film."""

    long_mm: Length_mm = Field(alias="long")
    wide_mm: Length_mm | None = Field(None, alias="wide")


class _Weighed(Table):
    """A pot."""

    ink_g: Mass_g = Field(alias="ink")
    left: Share | None = None
    strips: tuple[_Strip, ...] = ()
    shirts: int = 0


def test_numbers_alone_are_taken_in_the_fields_units() -> None:
    """In rows, too; where a number is meant it stays one, and what has a unit stays as typed."""
    fields = fields_to_fill_in(_Weighed, {}, "inch")
    typed: Typed = [
        (("ink",), "10,5"),
        (("left",), "15"),
        (("strips",), [["4", "1 cm"]]),
        (("shirts",), "7"),
    ]
    assert filled_in("pot", fields, typed) == {
        "ink": "10,5 g",
        "left": "15 %",
        "strips": [{"long": "4 in", "wide": "1 cm"}],
        "shirts": 7,
    }
