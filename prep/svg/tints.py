"""Makes tints solid: what a translucent shape shows over what lies beneath becomes flat colours.

Colours mix as viewers mix them, by source-over in sRGB (Compositing and Blending Level 1, 5.1). A screen
prints each of them as an ink of its own, so the new colours are counted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from prep.svg.fills import as_region
from prep.svg.scene import Painted


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


def made_solid(painted: Sequence[Painted], ground: str) -> tuple[list[Painted], tuple[str, ...]]:
    """Replace translucent shapes by opaque ones of the colours they show.

    :param painted: bottom first; shapes that fade together are disjoint
    :param ground: colour of what is printed on, ``#rrggbb``
    :returns: opaque shapes, bottom first, and the colours that are new by it
    """
    done: list[Painted] = []
    new: dict[str, None] = {}
    known = {one.colour for one in painted if one.alpha == 1}
    for one in painted:
        if one.alpha == 1:
            done.append(one)
            continue
        for below, region in _beneath(one, done, ground):
            colour = mixed(one.colour, below, one.alpha)
            done.append(replace(one, region=as_region(region), colour=colour, alpha=1.0, tint=""))
            if colour not in known:
                new[colour] = None
    return done, tuple(new)


def _beneath(
    one: Painted, done: Sequence[Painted], ground: str
) -> list[tuple[str, shapely.Geometry]]:
    """Give what a shape lies over: colours and the parts of it over each."""
    parts: list[tuple[str, shapely.Geometry]] = []
    left: shapely.Geometry = one.region
    if done:
        touched = shapely.intersects(np.array([d.region for d in done], dtype=object), left)
        for number in np.flatnonzero(touched)[::-1].tolist():
            over = as_region(shapely.intersection(left, done[number].region))
            if over.area > 0:
                parts.append((done[number].colour, over))
                left = shapely.difference(left, done[number].region)
    bare = as_region(left)
    if bare.area > 0:
        parts.append((ground, bare))
    return parts


def mixed(over: str, below: str, alpha: float) -> str:
    """Give the colour that shows where a colour lies over an opaque one."""
    levels = (
        round(alpha * int(over[at : at + 2], 16) + (1 - alpha) * int(below[at : at + 2], 16))
        for at in (1, 3, 5)
    )
    return "#" + "".join(f"{level:02x}" for level in levels)
