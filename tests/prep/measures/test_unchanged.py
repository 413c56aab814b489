"""What must not change the widths: turning, mirroring, moving, cutting edges, doubling vertices."""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Callable

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon, box
from shapely.affinity import rotate, scale, translate

from prep.measures import Limits, Measures, Places, measure, places
from prep.measures.edges import simplified_rings
from prep.measures.places import find_places
from tests.prep.measures.lettering import letters
from tests.specimens import comb, multi, slot

_LIMITS = Limits(places_to_mm=2.0, search_to_mm=2.0)
_CENTRE = (30.0, 3.0)


def _slanted(xy: np.ndarray) -> np.ndarray:
    """Slant and taper letters, so that no two places in one stroke are equally wide."""
    x, y = xy.T
    return np.stack([x + 0.2 * y, y * (1 + 0.003 * y) + 0.0005 * x], axis=1)


LETTERS = shapely.transform(letters("Regatta & seeds 2468"), _slanted)


def _waved(region: MultiPolygon, seed: int = 7) -> MultiPolygon:
    """Cut edges to 0.3 mm and move every point by up to half a micrometre."""
    noise = np.random.default_rng(seed)

    def moved(ring: shapely.LinearRing) -> list[tuple[float, float]]:
        points = np.array(ring.coords)[:-1]
        return [tuple(p) for p in points + noise.uniform(-3.5e-4, 3.5e-4, points.shape)]

    return _with_rings(region.segmentize(0.3), moved)


def _with_rings(
    region: MultiPolygon, change: Callable[[shapely.LinearRing], list[tuple[float, float]]]
) -> MultiPolygon:
    return MultiPolygon(
        [Polygon(change(p.exterior), [change(h) for h in p.interiors]) for p in region.geoms]
    )


def _tripled(region: MultiPolygon) -> MultiPolygon:
    """Write every vertex three times."""
    return _with_rings(region, lambda ring: [point for point in ring.coords for _ in range(3)])


def _begun_elsewhere(region: MultiPolygon) -> MultiPolygon:
    """Begin every ring at another of its vertices."""

    def turned(ring: shapely.LinearRing) -> list[tuple[float, float]]:
        points = list(ring.coords)[:-1]
        cut = len(points) // 3
        return points[cut:] + points[:cut]

    return _with_rings(region, turned)


CHANGES = {
    "turned": (lambda r: rotate(r, 37, origin=_CENTRE), lambda xy: _turn(xy, 37)),
    "mirrored": (lambda r: scale(r, -1, 1, origin=(0, 0)), lambda xy: xy * (-1, 1)),
    "moved 100 m": (lambda r: translate(r, 1e5, -1e5), lambda xy: xy + np.array([1e5, -1e5])),
    "edges cut": (lambda r: r.segmentize(0.3), lambda xy: xy),
    "vertices tripled": (_tripled, lambda xy: xy),
    "begun elsewhere": (_begun_elsewhere, lambda xy: xy),
}


def _turn(xy: np.ndarray, degrees: float) -> np.ndarray:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return (xy - _CENTRE) @ np.array([[c, s], [-s, c]]) + _CENTRE


@pytest.fixture(scope="module")
def plain() -> Measures:
    """Measure the letters as they are."""
    return measure(LETTERS, _LIMITS)


@functools.cache
def _changed(change: str) -> Measures:
    """Measure the letters changed, for both sides at once."""
    return measure(CHANGES[change][0](LETTERS), _LIMITS)


@pytest.mark.parametrize("side", ["openings", "gaps"])
@pytest.mark.parametrize("change", CHANGES)
def test_places_stay(change: str, side: str, plain: Measures) -> None:
    """Classes, widths and locations follow the drawing."""
    _, follow = CHANGES[change]
    before: Places = getattr(plain, side)
    after: Places = getattr(_changed(change), side)
    assert len(before) > 10
    assert sorted(before.kind) == sorted(after.kind)
    assert sorted(after.width_mm) == pytest.approx(sorted(before.width_mm), abs=1e-4)
    expected = follow(before.at_mm)
    for kind in range(3):
        old, new = before.kind == kind, after.kind == kind
        for point, width in zip(expected[old], before.width_mm[old], strict=True):
            near = np.abs(after.width_mm[new] - width) < 1e-4
            off = np.hypot(*(after.at_mm[new][near] - point).T)
            assert off.min() < 1e-3


@pytest.mark.parametrize("seed", [7, 8])
def test_waves_under_a_micrometre(seed: int, plain: Measures) -> None:
    """An edge that wavers by half a micrometre moves the finest widths by no more than twice that,
    and there are as many strips, tips and touches as before."""
    waved = measure(_waved(LETTERS, seed), _LIMITS)
    for side in ("finest_opening", "finest_gap"):
        before, after = getattr(plain, side), getattr(waved, side)
        assert after.width_mm == pytest.approx(before.width_mm, abs=1e-4 + 2 * 5e-4)
    for side in ("openings", "gaps"):
        assert sorted(getattr(waved, side).kind) == sorted(getattr(plain, side).kind)


def test_widths_grow_with_the_drawing(plain: Measures) -> None:
    """Twice as large, every width is twice as large and as many places lie under twice the limit."""
    twice = measure(
        scale(LETTERS, 2, 2, origin=(0, 0)),
        Limits(places_to_mm=4.0, search_to_mm=4.0, floor_mm=0.02, prominence_mm=0.004),
    )
    assert sorted(twice.openings.width_mm) == pytest.approx(
        sorted(2 * plain.openings.width_mm), abs=2e-4
    )


EVEN = {
    "bar": multi(box(0, 0, 23, 0.6)),
    "frame": multi(box(0, 0, 20, 13).difference(box(0.5, 0.5, 19.5, 12.5))),
    "cross": multi(box(-9, -0.4, 9, 0.4), box(-0.4, -9, 0.4, 9)),
    "two bars": multi(box(0, 0, 9, 0.5), box(20, 3, 29, 3.5)),
    "comb": comb(7, 0.4, 0.6, 5),
    "slot": slot(0.6, 0.001),
}


def _recut(region: MultiPolygon, seed: int) -> MultiPolygon:
    """Cut each edge at up to four places."""
    random = np.random.default_rng(seed)

    def cut(ring: shapely.LinearRing) -> list[tuple[float, float]]:
        points, out = np.array(ring.coords), []
        for start, end in itertools.pairwise(points):
            shares = [0.0, *np.sort(random.uniform(0, 1, random.integers(0, 5)))]
            out += [tuple(start + share * (end - start)) for share in shares]
        return out

    return _with_rings(region, cut)


@functools.cache
def _cut_anew(name: str) -> tuple[Measures, ...]:
    """Measure a region as it is and with its edges cut, for both sides at once."""
    region = EVEN[name]
    cuts = [region.segmentize(step) for step in (0.07, 0.9, 2.3)]
    altered = [*cuts, *(_recut(region, seed) for seed in range(5))]
    return tuple(measure(one, _LIMITS) for one in (region, *altered))


@pytest.mark.parametrize("side", ["openings", "gaps"])
@pytest.mark.parametrize("name", EVEN)
def test_even_strips_stay_where_they_are(name: str, side: str) -> None:
    """Where many spots are as narrow, how edges are cut doesn't choose among them, nor the order."""
    plain, *altered = _cut_anew(name)
    before: Places = getattr(plain, side)
    for one in altered:
        after: Places = getattr(one, side)
        assert after.width_mm == pytest.approx(before.width_mm, abs=1e-9)
        assert np.abs(after.at_mm - before.at_mm).max(initial=0) < 1e-6


@pytest.mark.parametrize("film", [False, True], ids=["openings", "film"])
def test_edges_are_cut_only_where_it_matters(film: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Places are the same, to the last digits, as when every edge is cut to the limit."""
    bars = [box(30 * k, 0, 30 * k + 20, 20 - 0.3 * k) for k in range(9)]
    sparse = multi(*bars, box(262, 1, 299, 9), box(0, 22, 300, 24))
    counts = []
    for region in (sparse, rotate(sparse, 20, origin=(0, 0)), scale(LETTERS, 6, 6)):
        parts = shapely.orient_polygons(shapely.get_parts(region))
        rings, piece = shapely.get_rings(parts, return_index=True)
        near = simplified_rings(rings)
        limit = 2.5
        found = find_places(near, piece, limit, _LIMITS, flip=film)
        with monkeypatch.context() as patch:
            patch.setattr(places, "_WORTH", math.inf)
            everywhere = find_places(near, piece, limit, _LIMITS, flip=film)
        assert found.kind.tolist() == everywhere.kind.tolist()
        assert found.piece.tolist() == everywhere.piece.tolist()
        for column in ("width_mm", "at_mm", "length_mm"):
            assert getattr(found, column) == pytest.approx(getattr(everywhere, column), abs=1e-9)
        counts.append(len(found))
    assert min(counts) > 0
