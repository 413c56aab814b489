"""Areas of real drawings of open sets against shapely's buffers.

The sets are fetched by ``fetch_art.py``. Each drawing is read 120 mm wide, and the colour with the most
vertices is measured.
"""

from __future__ import annotations

import functools
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
    "flag-icons/ky.svg",
    "iconify-json-flagpack/ad.svg",
    "iconify-json-fluent-emoji-flat/1st-place-medal.svg",
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
