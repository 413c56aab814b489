"""The search against trying every pair and every three of edges and corners."""

from __future__ import annotations

import pytest
from hypothesis import assume, given, settings
from shapely import MultiPolygon

from prep.measures import Limits, measure
from tests.prep.measures.brute_force import finest
from tests.strategies import regions

_LIMITS = Limits(places_to_mm=3.0, floor_mm=1e-6, prominence_mm=1e-9, prominence_share=1e-9)


@pytest.mark.parametrize("film", [False, True], ids=["openings", "film"])
@settings(max_examples=12)
@given(region=regions())
def test_finest_width_of_random_polygons(region: MultiPolygon, film: bool) -> None:
    """The finest opening and gap of spiky polygons are those found by brute force."""
    assume(region.is_valid and not region.is_empty)
    expected = finest(region, film=film, below=3.0)
    # next to nothing: whether a dip stands out of a slope is then a matter of rounding
    assume(expected is None or expected > 0.02)
    measures = measure(region, _LIMITS)
    found = measures.finest_gap if film else measures.finest_opening
    assert (found is None) == (expected is None)
    if found is not None:
        assert found.width_mm == pytest.approx(expected, abs=1e-6)
