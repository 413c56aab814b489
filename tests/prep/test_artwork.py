"""What is said of an artwork as a whole."""

from __future__ import annotations

import pytest
from shapely import MultiPolygon, box

from prep.artwork import Artwork, Shape, blank_margins


@pytest.mark.parametrize(("right", "said"), [(101, ()), (80, ("70.0 × 40.0 mm", "143 mm"))])
def test_blank_margins_are_said(right: float, said: tuple[str, ...]) -> None:
    """A drawing that fills 70 of its 100 mm needs 100 / 0.7 = 143 mm of artboard for 100 mm of paint."""
    shape = Shape(MultiPolygon([box(10, 10, right, 50)]), "#000000", "rect")
    notes = blank_margins(Artwork("a.svg", 100, 60, (shape,), 0.01))
    assert len(notes) == (1 if said else 0)
    assert all(words in notes[0] for words in said)
