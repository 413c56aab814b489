"""The picture of a failed proof: the drawing and what was read, side by side, differences ringed."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

from prep.svg.proof import Proof
from prep.svg.proof_differences import Difference

if TYPE_CHECKING:
    from PIL.Image import Image

_GROUND = "#d9d9d9"  # neither white nor black ink is lost on it
_RING = "#e6007e"
_GAP_PX = 24
_HEAD_PX = 28
_LEAST_RING_PX = 14


def side_by_side(proof: Proof, width_mm: float) -> bytes:
    """Give one picture of both, as PNG.

    :param width_mm: width of the artboard, which the places of the differences are measured on
    """
    from PIL import Image, ImageDraw

    drawn, read = (_on_ground(png) for png in (proof.drawn_png, proof.read_png))
    width, height = drawn.size
    both = Image.new("RGB", (2 * width + 3 * _GAP_PX, height + _HEAD_PX + _GAP_PX), "white")
    pen = ImageDraw.Draw(both)
    for left, title, picture in (
        (_GAP_PX, "as drawn", drawn),
        (width + 2 * _GAP_PX, "as read", read),
    ):
        both.paste(picture, (left, _HEAD_PX))
        pen.text((left, 4), title, fill="black", font_size=16)
        for difference in proof.differences:
            ring = _ring(difference, width / width_mm)
            if ring is not None:
                x, y, radius = ring
                x, y = x + left, y + _HEAD_PX
                pen.ellipse((x - radius, y - radius, x + radius, y + radius), None, _RING, 3)
    packed = io.BytesIO()
    both.save(packed, "PNG")
    return packed.getvalue()


def _ring(difference: Difference, pixels_per_mm: float) -> tuple[float, float, float] | None:
    """Give middle and radius of a ring in pixels; None where the difference has no one place."""
    if difference.at_mm is None:
        return None
    x, y = (at * pixels_per_mm for at in difference.at_mm)
    return x, y, max(_LEAST_RING_PX, difference.area_mm2**0.5 * pixels_per_mm)


def _on_ground(png: bytes) -> Image:
    from PIL import Image

    picture = Image.open(io.BytesIO(png)).convert("RGBA")
    ground = Image.new("RGBA", picture.size, _GROUND)
    ground.alpha_composite(picture)
    return ground.convert("RGB")
