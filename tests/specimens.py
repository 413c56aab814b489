"""Shapes whose finest opening or gap is known by hand. Lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon, box
from shapely.affinity import rotate, translate


@dataclass(frozen=True)
class Specimen:
    """A shape and one thing known of it.

    :param side: which side is asked: the openings or the film
    :param width_mm: the finest strip; None = there is none below 1 mm
    :param within_mm: how far the polygon may be off the figure, by flattening; 0 = exact
    :param at_mm: where; None where symmetry gives several places
    :param strips: how many strips below 1 mm
    :param tips: how many tips
    :param touches: how many touches
    """

    name: str
    region: MultiPolygon
    side: Literal["openings", "gaps"]
    width_mm: float | None
    strips: int
    within_mm: float = 0.0
    at_mm: tuple[float, float] | None = None
    tips: int = 0
    touches: int = 0


def multi(*parts: shapely.Geometry) -> MultiPolygon:
    """Join polygons into one MultiPolygon."""
    joined = shapely.union_all(parts)
    return joined if isinstance(joined, MultiPolygon) else MultiPolygon([joined])


def circle(radius: float, sagitta: float, x: float = 0.0, y: float = 0.0) -> Polygon:
    """Give a regular polygon in a circle that strays from it by at most ``sagitta``.

    A chord over the angle 2a lies r(1 - cos a) inside the arc.
    """
    corners = 4 * math.ceil(math.pi / (4 * math.acos(1 - sagitta / radius)))
    t = np.arange(corners) * 2 * math.pi / corners
    return Polygon(np.stack([x + radius * np.cos(t), y + radius * np.sin(t)], axis=1))


def annulus(outer: float, width: float, sagitta: float) -> MultiPolygon:
    """Give a ring: the width is ``width`` everywhere, less what both edges stray."""
    return multi(circle(outer, sagitta).difference(circle(outer - width, sagitta)))


def comb(teeth: int, tooth: float, gap: float, length: float) -> MultiPolygon:
    """Give a comb on a broad back: each tooth is one strip, each space between two is one gap."""
    step = tooth + gap
    fingers = [box(k * step, 0, k * step + tooth, length) for k in range(teeth)]
    return multi(*fingers, box(0, -3, teeth * step - gap, 0))


def spiral(line: float, rise: float, turns: float, vertices: int) -> MultiPolygon:
    """Give a line of even width wound from radius 1 outwards, ``rise`` farther each turn."""
    t = np.linspace(0, 2 * math.pi * turns, vertices)
    radius = 1 + rise * t / (2 * math.pi)
    path = shapely.LineString(np.stack([radius * np.cos(t), radius * np.sin(t)], axis=1))
    return multi(path.buffer(line / 2, quad_segs=32))


def hourglass(neck: float) -> MultiPolygon:
    """Give two triangles that meet in a neck between two corners."""
    half = neck / 2
    return multi(Polygon([(-4, -4), (4, -4), (half, 0), (4, 4), (-4, 4), (-half, 0)]))


def wedge(angle_deg: float, cut: float, length: float = 5.0) -> MultiPolygon:
    """Give a wedge cut off square where it is ``cut`` wide.

    The narrowest disc that touches both long sides and the cut is the one inscribed at the cut:
    the sides' apex lies x = (cut/2)/tan(b/2) before the cut, the disc's centre r behind the cut,
    and r = (x + r) sin(b/2). With b = 20° and cut = 0.15: x = 0.425346, r = 0.089378.
    """
    half, rise = cut / 2, length * math.tan(math.radians(angle_deg) / 2)
    return multi(Polygon([(0, -half), (length, -half - rise), (length, half + rise), (0, half)]))


def wedge_width(angle_deg: float, cut: float) -> float:
    """Give the width of :func:`wedge`, as derived there."""
    sine, tangent = (f(math.radians(angle_deg) / 2) for f in (math.sin, math.tan))
    return 2 * (cut / 2 / tangent) * sine / (1 - sine)


def needle(x: float, way: int, length: float = 5.0, half: float = 0.3) -> Polygon:
    """Give a thin triangle with its tip at (x, 0), pointing right (1) or left (-1)."""
    return Polygon([(x - way * length, -half), (x, 0), (x - way * length, half)])


def slot(width: float, sagitta: float) -> MultiPolygon:
    """Give a slot with round ends: as wide at the ends as between them."""
    ends = circle(width / 2, sagitta), circle(width / 2, sagitta, 6.0)
    return multi(*ends, box(0, -width / 2, 6, width / 2))


def tip_with_neck() -> MultiPolygon:
    """Give a tip that widens and narrows again to 0.4 before it opens out: one connected place.

    Tip at (0, 0) with the half angle atan(0.4/3): 2 atan(0.4/3) = 15.19°. At x = 3 it is 0.8 wide,
    at x = 4.5 the corners leave 0.4 between them. The far corners, 90° - atan(1.3/1.5) = 49.1°, are
    tips too.
    """
    upper = [(3, 0.4), (4.5, 0.2), (6, 1.5)]
    lower = [(x, -y) for x, y in reversed(upper)]
    return multi(Polygon([(0, 0), *lower[::-1], *upper[::-1]]))


_CORNER = 0.3 / math.sqrt(2)

SPECIMENS = (
    Specimen("annulus", annulus(5, 0.3, 0.005), "openings", 0.3, 1, within_mm=0.01),
    Specimen(
        "two discs", multi(circle(3, 0.001), circle(3, 0.001, 6.2)), "gaps", 0.2, 1,
        within_mm=0.002, at_mm=(3.1, 0),
    ),
    Specimen("comb teeth", comb(40, 0.4, 0.6, 5), "openings", 0.4, 40),
    Specimen("comb gaps", comb(40, 0.4, 0.6, 5), "gaps", 0.6, 39),
    # the buffer's joints lie on its circle, its facets inside by at most 0.25 (1 - cos(90°/64))
    Specimen("spiral line", spiral(0.5, 1.1, 6, 3000), "openings", 0.5, 1, within_mm=0.0003),
    Specimen("square", multi(box(0, 0, 10, 10)), "openings", None, 0),
    Specimen("square from outside", multi(box(0, 0, 10, 10)), "gaps", None, 0),
    Specimen("turned square", multi(rotate(box(0, 0, 10, 10), 33)), "openings", None, 0),
    Specimen("hourglass", hourglass(0.25), "openings", 0.25, 1, at_mm=(0, 0), tips=4),
    Specimen("cut wedge", wedge(20, 0.15), "openings", wedge_width(20, 0.15), 1),
    Specimen(
        "corner to corner", multi(box(-5, -5, 0, 0), box(_CORNER, _CORNER, 5, 5)), "gaps", 0.3, 1,
        at_mm=(_CORNER / 2, _CORNER / 2),
    ),
    Specimen(
        "counter with a neck",
        multi(
            box(0, 0, 10, 10).difference(
                shapely.union_all(
                    [box(2, 2, 4.9, 8), box(5.1, 2, 8, 8), box(4.9, 4.89, 5.1, 5.11)]
                )
            )
        ),
        "gaps", 0.22, 1, at_mm=(5, 5),
    ),
    Specimen(
        "strip beside a hole", multi(box(0, 0, 10, 10).difference(box(0.35, 3, 6, 7))),
        "openings", 0.35, 1, at_mm=(0.175, 5),
    ),
    Specimen("round slot", slot(0.6, 0.0002), "openings", 0.6, 1, within_mm=0.0004),
    Specimen(
        "needle to needle", multi(needle(0, 1), needle(0.3, -1)), "gaps", 0.3, 1, at_mm=(0.15, 0)
    ),
    Specimen(
        "needle to edge", multi(needle(0, 1), box(0.3, -4, 3, 4)), "gaps", 0.3, 1, at_mm=(0.15, 0)
    ),
    Specimen("tip with a neck", tip_with_neck(), "openings", 0.4, 1, at_mm=(4.5, 0), tips=3),
    Specimen(
        "kissing squares", multi(box(0, 0, 2, 2), box(2, 2, 4, 4)), "openings", None, 0, touches=1
    ),
    Specimen(
        "kissing squares' film", multi(box(0, 0, 2, 2), box(2, 2, 4, 4)), "gaps", None, 0,
        touches=1,
    ),
    Specimen("sliver", multi(box(0, 0, 5, 0.004)), "openings", None, 0, touches=1),
    Specimen(
        "hole on the edge", MultiPolygon(
            [Polygon([(0, 0), (9, 0), (9, 9), (0, 9)], [[(0, 5), (3, 7), (3, 3)]])]
        ),
        "openings", None, 0, touches=1,
    ),
    Specimen(
        "hairline crack", multi(box(0, 0, 4, 4), translate(box(0, 0, 4, 4), 4.003)), "gaps", None,
        0, touches=1,
    ),
)  # fmt: skip
