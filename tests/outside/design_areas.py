"""Prints the areas of the designs in artwork/ beside an independent renderer's, in mm2.

python tests/outside/design_areas.py
"""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from prep.artwork import PrintSize
from prep.separations import separate
from prep.svg import read_svg
from prep.units import read_quantity
from tests.outside.renderer import counted, render

ROOT = Path(__file__).parents[2]
WIDTHS = (
    2503,
    3301,
    4099,
)  # finer than for the tests: here the error of counting pixels must be small


def main() -> None:
    """Print one row for each colour of each print of each order, at the ordered width."""
    worst = 0.0
    for order in sorted((ROOT / "artwork").glob("*/order.toml")):
        for printed in tomllib.loads(order.read_text(encoding="utf-8"))["print"]:
            file = order.parent / printed["artwork"]
            data = file.read_bytes()
            width_mm = read_quantity(printed["width"], "mm", example="280 mm")
            art = read_svg(data, name=file.name, size=PrintSize(width_mm=width_mm))
            pictures = [p for w in WIDTHS if (p := render(data, w)) is not None]
            shares = [counted(p) for p in pictures]
            # a pixel is as high as wide; the page's last row may be cut
            pages = [p.shape[0] * p.shape[1] * (art.width_mm / p.shape[1]) ** 2 for p in pictures]
            for one in separate(art):
                areas = [s.get(one.colour, 0.0) * p for s, p in zip(shares, pages, strict=True)]
                drawn = sum(areas) / len(areas)
                ours = one.region.area
                worst = max(worst, abs(ours / drawn - 1))
                name = f"{order.parent.name}/{file.name}"
                print(f"{name:26} {one.colour}  {ours:10.1f}  {drawn:10.1f}")
    print(f"largest difference {100 * worst:.2f} %")


main()
