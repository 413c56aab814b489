"""Areas per colour of our own designs against resvg's pixel counts (``renderer.py``)."""

from __future__ import annotations

from pathlib import Path

import pytest
from fetch_art import ROOT
from renderer import counted, render

from prep.artwork import PrintSize
from prep.reading import read_and_separate

OWN = sorted((ROOT / "artwork").glob("**/*.svg"))


@pytest.mark.parametrize("file", OWN, ids=lambda file: file.name)
def test_our_designs(file: Path) -> None:
    """Every colour is within a thousandth of the artboard."""
    data = file.read_bytes()
    artwork, separations = read_and_separate(data, file.name, PrintSize())
    page_mm2 = artwork.width_mm * artwork.height_mm
    read = {one.colour: one.region.area / page_mm2 for one in separations}
    picture = render(data, 2000)
    assert picture is not None
    drawn = counted(picture)
    assert read.keys() == drawn.keys()
    assert read == pytest.approx(drawn, abs=1e-3)
