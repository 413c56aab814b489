"""Areas of real drawings of open sets against shapely's buffers and a grid of points.

The sets are fetched by ``fetch_art.py``. Each drawing is read 120 mm wide, and the colour with the most
vertices is measured.
"""

from __future__ import annotations

import functools
import math
from pathlib import Path

import numpy as np
import pytest
import shapely
from fetch_art import art_folder
from shapely import MultiPolygon

from prep.artwork import PrintSize
from prep.measures import Limits, Measures, measure
from prep.separations import separate
from prep.svg import read_svg

DRAWINGS = (
    "circle-flags/language-ss.svg",
    "iconify-json-flagpack/ad.svg",
    "iconify-json-fxemoji/fatherchristmas.svg",
    "iconify-json-meteocons/barometer.svg",
    "openmoji/1F469-1F3FE-200D-1F430-200D-1F469-1F3FF.svg",
    "streetmix-illustrations/thumbnails-bikeshare.svg",
    "svg-country-flags/mv.svg",
    "twemoji-svg/1f469-1f3fd-200d-1f9b3.svg",
)
# areas don't depend on how far places are searched
LIMITS = Limits(places_to_mm=0.2, search_to_mm=0.2)
OFFSETS_MM = (0.05, 0.1, 0.2, 0.4, 0.8, 1.5, 3.0, 6.0)

pytestmark = pytest.mark.skipif(
    not art_folder().is_dir(), reason="no drawings fetched; run tests/outside/fetch_art.py"
)


@functools.cache
def measured(name: str) -> tuple[MultiPolygon, Measures]:
    file: Path = art_folder() / name
    art = read_svg(file.read_bytes(), name=file.name, size=PrintSize(width_mm=120.0))
    region = max((one.region for one in separate(art)), key=shapely.get_num_coordinates)
    return region, measure(region, LIMITS)


@pytest.mark.parametrize("name", DRAWINGS)
def test_offset_areas_against_buffers(name: str) -> None:
    """The area farther from the edge than a distance is that of shapely's inward buffer with round
    joins, within 0.2 % of the area."""
    region, measures = measured(name)
    for offset in OFFSETS_MM:
        ours = np.interp(offset, measures.insets_mm, measures.inset_areas_mm2)
        buffered = region.buffer(-offset, quad_segs=32, join_style="round").area
        assert ours == pytest.approx(buffered, abs=0.002 * region.area), offset


def _rolled(region: MultiPolygon, across: int, slack: float) -> tuple[np.ndarray, np.ndarray]:
    """Give local width and separation angle at the points of a grid inside a region.

    Nothing here is shared with the program. From the point of the edge nearest to a grid point a disc
    grows along the way to the grid point until the edge lies ``slack`` deep inside it; its other contact
    is the nearest point of the edge then. The slack lets it pass the bends of flattened curves.
    """
    x0, y0, x1, y1 = region.bounds
    step = max(x1 - x0, y1 - y0) / across
    # not square to anything drawn
    turn = np.array([[math.cos(0.3), math.sin(0.3)], [-math.sin(0.3), math.cos(0.3)]])
    rows = np.arange(-2 * across, 2 * across) * step
    grid = np.stack(np.meshgrid(rows, rows), axis=-1).reshape(-1, 2) @ turn + [x0, y0]
    shapely.prepare(region)
    grid = grid[shapely.contains_xy(region, *grid.T)]
    points, ring = shapely.get_coordinates(
        shapely.get_rings(shapely.get_parts(region)), return_index=True
    )
    same = ring[1:] == ring[:-1]
    start, end = points[:-1][same], points[1:][same]
    tree = shapely.STRtree(shapely.linestrings(np.stack([start, end], axis=1)))

    def contact(centre: np.ndarray) -> np.ndarray:
        _, found = tree.query_nearest(shapely.points(centre), all_matches=False)
        along = end[found] - start[found]
        share = ((centre - start[found]) * along).sum(axis=1) / (along**2).sum(axis=1)
        return start[found] + along * np.clip(share, 0, 1)[:, None]

    foot = contact(grid)
    low = np.hypot(*(grid - foot).T)
    way = (grid - foot) / low[:, None]
    high = np.maximum(2 * low, 0.05)
    growing = np.arange(len(grid))
    while len(growing):
        centre = foot[growing] + way[growing] * high[growing, None]
        free = np.hypot(*(contact(centre) - centre).T) >= high[growing] - slack
        growing = growing[free]
        low[growing], high[growing] = high[growing], 2 * high[growing]
    for _ in range(12):
        middle = (low + high) / 2
        centre = foot + way * middle[:, None]
        free = np.hypot(*(contact(centre) - centre).T) >= middle - slack
        low, high = np.where(free, middle, low), np.where(free, high, middle)
    centre = foot + way * high[:, None]
    other = contact(centre) - centre
    own = foot - centre
    lengths = np.hypot(*own.T) * np.hypot(*other.T)
    angle = np.degrees(np.arccos(np.clip((own * other).sum(axis=1) / lengths, -1, 1)))
    return 2 * high - slack, angle


@pytest.mark.parametrize("name", DRAWINGS)
def test_area_by_width_against_a_grid(name: str) -> None:
    """The share of the area under each width is that of a grid's points, to a hundredth.

    To this comes the error that is published, and by how much the grid's points, a square each, miss
    the area. Widths may be off by the slack, angles by 2°; a disc held by the next edge of one curve
    counts as the curve beside it does, of which the grid knows nothing.
    """
    region, measures = measured(name)
    by_width, across, slack = measures.by_width, 120, 0.02
    width, angle = _rolled(region, across, slack)
    x0, y0, x1, y1 = region.bounds
    missed = abs((max(x1 - x0, y1 - y0) / across) ** 2 * len(width) / region.area - 1)
    published = (by_width.error_mm2 + by_width.unsure_mm2.sum()) / region.area
    room = 0.01 + published + missed
    limits = np.append(by_width.widths_mm[1:-1], np.inf)  # the last class holds all wider
    for limit, ours in zip(limits, np.cumsum(by_width.area_mm2) / region.area, strict=True):
        least = ((width < limit - slack) & (angle >= 122)).mean()
        most = ((width < limit + slack) & (angle >= 118) | (angle < 60)).mean()
        assert least - room <= ours <= most + room, limit
    assert by_width.error_mm2 < 0.001 * region.area
