"""Makes tints solid: what a translucent shape shows over what lies beneath becomes flat colours.

Colours mix as viewers mix them: by source-over on sRGB levels (Compositing and Blending Level 1, 5.1
simple alpha compositing, 9.1.4 source over; sections from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from prep.geometry_faults import placed_on_fault
from prep.svg import limits
from prep.svg.fills import as_region
from prep.svg.scene import Painted


class TooManyTints(ValueError):
    """Tints over tints without end; names the element that was one too many, and which limit it passed."""

    def __init__(self, element: str, limit: str) -> None:
        """Say which element and limit it is."""
        self.element, self.limit = element, limit
        super().__init__(element, limit)


def disjoint(painted: Sequence[Painted]) -> list[Painted]:
    """Give what shows of each shape of a group, so that the group can be faded as one.

    :param painted: opaque shapes, bottom first
    """
    seen: list[Painted] = []
    cover: shapely.Geometry = shapely.MultiPolygon()
    for one in reversed(painted):
        region = as_region(shapely.difference(one.region, cover))
        if not region.is_empty:
            seen.append(replace(one, region=region))
        cover = shapely.union(cover, one.region)
    return seen[::-1]


def made_solid(
    painted: Sequence[Painted], ground: str, hairline_mm: float, page: BaseGeometry
) -> tuple[list[Painted], tuple[str, ...]]:
    """Replace translucent shapes by opaque ones of the colours they show.

    :param painted: bottom first; shapes that fade together are disjoint
    :param ground: colour of what is printed on, ``#rrggbb``
    :param hairline_mm: strips no wider than this, where edges meant to meet miss each other by rounding
        or flattening, take the colour of their neighbour
    :param page: what is printed of the drawing, in mm
    :returns: opaque shapes, bottom first, and the colours that no opaque shape shows on the page
    :raises TooManyTints: they come to more colours or pieces than the limits
    """
    done: list[Painted] = []
    pieces = 0
    shown: dict[str, None] = {}
    opaque: list[int] = []
    solid = {one.colour for one in painted if one.alpha == 1}
    for one in painted:
        if one.alpha == 1:
            opaque.append(len(done))
            done.append(one)
            continue
        with placed_on_fault(lambda: one.tint or one.source):  # noqa: B023  # asked within the loop
            layers = _beneath(one.region, done, ground, hairline_mm)
        for below, region in layers:
            colour = mixed(one.colour, below, one.alpha)
            done.append(replace(one, region=region, colour=colour, alpha=1.0, tint=""))
            shown[colour] = None
        pieces += len(layers)
        if len(shown.keys() - solid) > limits.TINTS:
            limit = f"more than {limits.TINTS} new colours, each a screen of its own"
            raise TooManyTints(one.tint or one.source, limit)
        if pieces > limits.TINTED_PIECES:
            limit = f"more than {limits.TINTED_PIECES} pieces"
            raise TooManyTints(one.tint or one.source, limit)
    seen = {
        done[number].colour
        for number in opaque
        if done[number].colour in shown and _is_seen(number, done, hairline_mm, page)
    }
    return done, tuple(colour for colour in shown if colour not in seen)


def _is_seen(number: int, done: Sequence[Painted], hairline_mm: float, page: BaseGeometry) -> bool:
    """Say whether more than hairlines of a shape shows from under those above it."""
    own = shapely.intersection(done[number].region, page)
    above = np.array([one.region for one in done[number + 1 :]], dtype=object)
    if len(above):
        own = shapely.difference(own, shapely.union_all(above[shapely.intersects(above, own)]))
    return _is_wide(own, hairline_mm)


def mixed(over: str, below: str, alpha: float) -> str:
    """Give the colour that shows where a colour lies over an opaque one.

    co = cs αs + cb (1 - αs) on sRGB levels, from 0 to 1 for αs (Compositing and Blending Level 1,
    9.1.4, with an opaque backdrop); rounded to whole levels, halves up.
    """
    levels = (
        math.floor(
            alpha * int(over[at : at + 2], 16) + (1 - alpha) * int(below[at : at + 2], 16) + 0.5
        )
        for at in (1, 3, 5)
    )
    return "#" + "".join(f"{level:02x}" for level in levels)


def _beneath(
    region: MultiPolygon, done: Sequence[Painted], ground: str, hairline_mm: float
) -> list[tuple[str, MultiPolygon]]:
    """Give what a region lies over, as layers to be painted one over the other, bottom first.

    The first covers the whole region; the others are its overlaps with what lies beneath. Cutting them
    out of each other instead would leave cracks as wide as a rounding error between them.

    :returns: colour beneath and region; at least one
    """
    layers: list[tuple[str, MultiPolygon]] = []
    seen: dict[str, list[shapely.Geometry]] = {}
    left: shapely.Geometry = region
    if done:
        touched = shapely.intersects(np.array([d.region for d in done], dtype=object), region)
        for number in np.flatnonzero(touched)[::-1].tolist():
            below = done[number]
            shows = as_region(shapely.intersection(left, below.region))
            if shows.area > 0:
                seen.setdefault(below.colour, []).append(shows)
                layers.append((below.colour, as_region(shapely.intersection(region, below.region))))
                left = shapely.difference(left, below.region)
    seen.setdefault(ground, []).append(as_region(left))
    shown = {colour: shapely.union_all(parts) for colour, parts in seen.items()}
    wide = {colour for colour, parts in shown.items() if _is_wide(parts, hairline_mm)}
    if not wide:
        wide = {max(shown, key=lambda colour: shown[colour].area)}
    # where nothing wide shows the bare ground, its hairlines take the colour of the largest neighbour
    base = ground if ground in wide else max(wide, key=lambda colour: shown[colour].area)
    return [(base, region), *(layer for layer in reversed(layers) if layer[0] in wide)]


def _is_wide(geometry: BaseGeometry, hairline_mm: float) -> bool:
    """Say whether any place of a region is wider than a hairline."""
    inset = hairline_mm / 2
    # an inset takes away no more than its depth times the perimeter
    if geometry.area > inset * geometry.length:
        return True
    return not shapely.buffer(geometry, -inset, join_style="mitre").is_empty
