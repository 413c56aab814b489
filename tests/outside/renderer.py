"""An independent renderer's word on a drawing: resvg, through the PyPI package resvg_py.

It draws without anti-aliasing on a transparent page; the pixels of each colour are counted.
"""

from __future__ import annotations

import gzip
import io

import numpy as np
import resvg_py
import shapely
from PIL import Image

from prep.artwork import Artwork

WIDTHS = (457, 800, 1231)
"""Unlike one another: stripes can fall on pixels unluckily at any one of them."""
TRANSLUCENT = "translucent"


def render(data: bytes, width: int) -> np.ndarray | None:
    """Give the picture, shape (height, width, 4); None if the renderer refuses the file."""
    if data.startswith(b"\x1f\x8b"):
        data = gzip.decompress(data)
    try:
        png = resvg_py.svg_to_bytes(
            svg_string=data.decode("utf-8-sig"),
            dpi=96,  # the binding's default of 0 fails on physical units
            width=width,
            shape_rendering="crisp_edges",
            text_rendering="optimize_speed",
            skip_system_fonts=True,
            languages=["en"],
        )
    except (ValueError, UnicodeDecodeError):
        return None
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGBA"))


def counted(picture: np.ndarray) -> dict[str, float]:
    """Give each colour's share of the page; what is partly transparent has a name of its own."""
    flat = picture.reshape(-1, 4).astype(np.uint32)
    solid = flat[:, 3] == 255
    partly = (flat[:, 3] > 0) & ~solid
    codes, counts = np.unique(
        (flat[solid, 0] << 16) | (flat[solid, 1] << 8) | flat[solid, 2], return_counts=True
    )
    shares = {
        f"#{code:06x}": count / len(flat)
        for code, count in zip(codes.tolist(), counts.tolist(), strict=True)
    }
    if partly.any():
        shares[TRANSLUCENT] = float(partly.mean())
    return shares


def painted(artwork: Artwork) -> dict[str, float]:
    """Give each colour's visible share of the page, by a plain painter's pass from the top down."""
    cover = shapely.MultiPolygon()
    shares: dict[str, float] = {}
    for shape in reversed(artwork.shapes):
        seen = shapely.difference(shape.region, cover).area
        shares[shape.colour] = shares.get(shape.colour, 0.0) + seen
        cover = shapely.union(cover, shape.region)
    page = artwork.width_mm * artwork.height_mm
    return {colour: area / page for colour, area in shares.items()}


def largest_difference(read: dict[str, float], drawn: dict[str, float]) -> tuple[float, str]:
    """Give by how much the shares differ at most, and in which colour."""
    colours = read.keys() | drawn.keys()
    if not colours:
        return 0.0, ""
    worst = max(colours, key=lambda c: abs(read.get(c, 0.0) - drawn.get(c, 0.0)))
    return abs(read.get(worst, 0.0) - drawn.get(worst, 0.0)), worst


def difference(
    read: dict[str, float], data: bytes, tolerance: float = 0.005
) -> tuple[float, str] | None:
    """Compare what was read with what the renderer draws.

    :param read: each colour's visible share of the page
    :returns: the largest difference of a colour's share and that colour; None if the renderer
        refuses the file
    """
    first = render(data, WIDTHS[0])
    if first is None:
        return None
    drawn = counted(first)
    found = largest_difference(read, drawn)
    if found[0] <= tolerance:
        return found
    pictures = [drawn]
    for width in WIDTHS[1:]:
        other = render(data, width)
        if other is not None:
            pictures.append(counted(other))
    colours = {colour for picture in pictures for colour in picture}
    mean = {c: sum(p.get(c, 0.0) for p in pictures) / len(pictures) for c in colours}
    return largest_difference(read, mean)
