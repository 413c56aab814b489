"""A dense round piece has thousands of pairs of edges; few of them need a closer look."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely import MultiPolygon, Polygon
from shapely.affinity import scale

from prep.measures import Limits, measure, stretches, strips
from prep.measures.discs import settle
from prep.measures.stretches import Stretches
from tests.prep.measures.lettering import letters
from tests.specimens import multi, slot

RADIUS_MM = 0.25
WIDE = Limits(places_to_mm=1.0, search_to_mm=1.0)


def _dot(corners: int) -> MultiPolygon:
    turn = np.arange(corners) * 2 * np.pi / corners
    return multi(Polygon(RADIUS_MM * np.stack([np.cos(turn), np.sin(turn)], axis=1)))


@pytest.mark.parametrize("corners", [101, 128])
def test_a_dense_dot_is_known_from_few_pairs(corners: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A regular polygon's width is twice its apothem, wherever two edges are looked at."""
    settled = []

    def counted(edges, runs, pairs, limit, angle_deg):  # type: ignore[no-untyped-def]
        settled.append(len(pairs))
        return settle(edges, runs, pairs, limit, angle_deg)

    monkeypatch.setattr(strips, "settle", counted)
    finest = measure(_dot(corners), WIDE).finest_opening
    assert finest is not None
    assert finest.width_mm == pytest.approx(2 * RADIUS_MM * math.cos(math.pi / corners), abs=1e-9)
    assert math.hypot(*finest.at_mm) <= 1e-6
    assert sum(settled) <= corners


@pytest.mark.parametrize("sagitta_mm", [5e-4, 2e-4])
@pytest.mark.parametrize("x", [1, -1])
def test_of_two_ends_as_narrow_the_left_one_is_told(sagitta_mm: float, x: int) -> None:
    """Whichever end is looked at first, the other is looked at too."""
    finest = measure(scale(slot(0.6, sagitta_mm), x, 1)).finest_opening
    assert finest is not None
    assert finest.at_mm == pytest.approx((0.0, 0.0), abs=1e-6)


def test_a_dense_dot_is_looked_along_in_few_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    """All stretches on one edge begin and end with it, but for the last digits."""
    looked = []
    look = Stretches._look

    def counted(self, row, *others):  # type: ignore[no-untyped-def]
        looked.append(len(row) / len(self))
        return look(self, row, *others)

    monkeypatch.setattr(Stretches, "_look", counted)
    assert measure(_dot(256), WIDE).finest_opening is not None
    assert sum(looked) <= 10


def test_looking_in_portions_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is seen in a gap doesn't depend on how many gaps are looked at together."""
    region = letters("Regatta")
    whole = measure(region)
    monkeypatch.setattr(stretches, "_AT_ONCE", 40)
    parts = measure(region)
    for one, other in ((whole.openings, parts.openings), (whole.gaps, parts.gaps)):
        assert np.array_equal(one.width_mm, other.width_mm)
        assert np.array_equal(one.at_mm, other.at_mm)
        assert np.array_equal(one.length_mm, other.length_mm)
