"""Areas per colour of our own designs against resvg's pixel counts (``renderer.py``)."""

from __future__ import annotations

from pathlib import Path

import pytest
from fetch_art import ROOT
from renderer import counted, painted, render

from prep.artwork import PrintSize
from prep.svg import read_svg

OWN = sorted((ROOT / "artwork").glob("**/*.svg"))


@pytest.mark.parametrize("file", OWN, ids=lambda file: file.name)
def test_our_designs(file: Path) -> None:
    """Every colour is within a thousandth of the artboard."""
    data = file.read_bytes()
    read = painted(read_svg(data, name=file.name, size=PrintSize()))
    picture = render(data, 3000)
    assert picture is not None
    drawn = counted(picture)
    assert read.keys() == drawn.keys()
    assert read == pytest.approx(drawn, abs=1e-3)
