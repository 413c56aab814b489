"""Geometry that real drawings hold and no measure may stumble over."""

from __future__ import annotations

import pickle

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon, box

from prep.measures import Limits, measure
from tests.specimens import comb, multi


def test_nothing_open() -> None:
    """An empty region is all film: no width, no area, no place."""
    measures = measure(MultiPolygon())
    assert measures.area_mm2 == 0
    assert measures.pieces == 0
    assert measures.finest_opening is None
    assert measures.finest_gap is None
    assert len(measures.openings) == len(measures.gaps) == 0


def test_an_empty_narrow_sheet() -> None:
    """With nothing open the film is the sheet."""
    finest = measure(MultiPolygon(), sheet=box(0, 0, 1.5, 30)).finest_gap
    assert finest is not None
    assert finest.width_mm == pytest.approx(1.5)


def test_no_film_left() -> None:
    """What is open all over its sheet leaves no film and nothing to cut."""
    measures = measure(multi(box(0, 0, 10, 1.5)), sheet=box(0, 0, 10, 1.5))
    assert measures.finest_gap is None
    assert len(measures.gaps) == 0
    assert measures.cut_length_mm == 0
    assert measures.finest_opening is not None
    assert measures.finest_opening.width_mm == pytest.approx(1.5)


def test_a_bow_tie() -> None:
    """A ring that crosses itself is two triangles that kiss: a touch, not a width."""
    bow = MultiPolygon([Polygon([(0, 0), (4, 4), (4, 0), (0, 4)])])
    measures = measure(bow, Limits(places_to_mm=1.0, search_to_mm=1.0))
    assert measures.area_mm2 == pytest.approx(8)
    assert [p.kind for p in measures.openings].count("touch") == 1
    assert len(measures.openings.strips()) == 0
    assert len(measures.gaps.strips()) == 0


def test_overlapping_parts() -> None:
    """Parts that overlap count once."""
    both = MultiPolygon([box(0, 0, 4, 4), box(2, 0, 6, 4)])
    assert measure(both).area_mm2 == pytest.approx(24)


def test_a_speck() -> None:
    """A speck under every tolerance has an area and no width."""
    measures = measure(multi(box(0, 0, 1e-8, 1e-8)))
    assert measures.finest_opening is None
    assert measures.pieces == 1


@pytest.mark.parametrize("bad", [np.nan, np.inf])
def test_missing_coordinates(bad: float) -> None:
    """Coordinates that are no numbers are refused."""
    with np.errstate(invalid="ignore"):
        broken = MultiPolygon([Polygon([(0, 0), (1, bad), (1, 1)])])
    with pytest.raises(ValueError, match="infinite or missing"):
        measure(broken)


@settings(max_examples=75)
@given(
    st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), min_size=3, max_size=14, unique=True)
)
def test_any_ring_on_a_grid(points: list[tuple[int, int]]) -> None:
    """Rings that cross, touch and double back give a result, and no strip under the floor."""
    limits = Limits(places_to_mm=2.0)
    measures = measure(MultiPolygon([Polygon(points)]), limits)
    for places in (measures.openings, measures.gaps):
        assert (places.strips().width_mm >= limits.floor_mm).all()
        assert np.isfinite(places.at_mm).all()
        assert (places.length_mm >= 0).all()
    assert (np.diff(measures.inset_areas_mm2) <= 0).all()


@pytest.mark.parametrize(
    ("limits", "what"),
    [
        ({"floor_mm": 0}, "floor_mm"),
        ({"angle_deg": 200}, "angle_deg"),
        ({"search_to_mm": 1.0}, "search_to_mm"),
        ({"places_to_mm": float("nan")}, "places_to_mm"),
        ({"floor_mm": 5.0}, "floor_mm"),
        ({"inset_to_mm": 60.0}, "inset_to_mm"),
    ],
)
def test_limits_without_meaning(limits: dict[str, float], what: str) -> None:
    """A limit that can't be is refused by its name."""
    with pytest.raises(ValueError, match=what):
        Limits(**limits)


def test_results_are_frozen_and_digest() -> None:
    """Arrays can't be written to, not even after pickling, and equal results have equal digests."""
    first, second = (measure(comb(5, 0.4, 0.6, 3)) for _ in range(2))
    copied = pickle.loads(pickle.dumps(first))
    assert first.digest() == second.digest() == copied.digest()
    assert first.digest() != measure(comb(5, 0.4, 0.61, 3)).digest()
    arrays = copied.openings.width_mm, copied.insets_mm, copied.bands.depth_mm, first.gaps.at_mm
    for array in arrays:
        with pytest.raises(ValueError, match="read-only"):
            array[...] = 0


def test_a_spike_without_any_width() -> None:
    """A spike that comes back on itself is a sliver: a touch, not a width."""
    spiked = MultiPolygon([Polygon([(5, 0), (20, 0), (5, 1e-17), (0, 9), (-9, 0), (0, -9)])])
    assert spiked.is_valid
    measures = measure(spiked)
    assert [p.kind for p in measures.openings if p.at_mm[0] > 4.9] == ["touch"]
    assert all(p.kind != "strip" for p in measures.openings)
