"""The benchmarks of the measures still work, and both sides count the same thing. Nothing is timed."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import MultiPolygon, Point

from prep.remembered import remembered
from tests.bench.drawings import blobs, spiral, vertices_of
from tests.bench.measuring import (
    GRID_MM,
    buffer_areas,
    klayout_pairs,
    klayout_region,
    main,
    narrow_places,
    offset_areas,
)
from tests.bench.table import exponent, peak_mb, race

CASES = {
    "blobs": (blobs(1_000), 12.0),
    "fine blobs": (blobs(6_000), 3.0),
    "spiral": (spiral(600), 1.0),
}


@pytest.mark.parametrize("part", ["synthetic", "spiral", "offsets"])
def test_a_table_is_printed(
    part: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command prints a row for each small case."""
    asked = ["measuring.py", "--small", "--repeats", "1", "--only", part]
    monkeypatch.setattr("sys.argv", asked)
    assert main() == 0
    lines = capsys.readouterr().out.splitlines()
    assert "ratio" in lines[2]
    assert len(lines) > 4


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("film", [False, True], ids=["openings", "film"])
def test_both_find_the_same_narrow_places(case: str, film: bool) -> None:
    """At each of our strips KLayout has a pair of edges as near.

    Where one of the two is a corner, its pair may lie on an edge beside the disc. It has finer pairs as
    well: in the round end of a slot and in tips it reads the chord, which shrinks to nothing.
    """
    region, limit = CASES[case]
    strips = narrow_places(region, limit, film=film).strips()
    assert len(strips) > 0
    pairs = klayout_pairs(klayout_region(region), limit, film=film).each()
    edges = np.array([[_ends(pair.first), _ends(pair.second)] for pair in pairs])
    for strip in strips:
        away = np.abs(_distances(edges, strip.at_mm) - strip.width_mm / 2).max(axis=1)
        assert away.min() < 0.15 * strip.width_mm + 2 * GRID_MM


def _ends(edge: object) -> tuple[tuple[float, float], tuple[float, float]]:
    return (edge.x1 * GRID_MM, edge.y1 * GRID_MM), (edge.x2 * GRID_MM, edge.y2 * GRID_MM)


def _distances(edges: np.ndarray, at: tuple[float, float]) -> np.ndarray:
    start, end = edges[:, :, 0], edges[:, :, 1]
    along = end - start
    share = ((np.array(at) - start) * along).sum(axis=2) / np.maximum((along**2).sum(axis=2), 1e-18)
    foot = start + along * np.clip(share, 0, 1)[:, :, None]
    return np.hypot(*np.moveaxis(foot - np.array(at), 2, 0))


@pytest.mark.parametrize("region", [blobs(2_000), spiral(600)], ids=["blobs", "spiral"])
def test_both_give_the_same_offset_areas(region: MultiPolygon) -> None:
    """The ten areas agree to 0.2 % of the region's."""
    ours, by_width = offset_areas(region)
    assert ours == pytest.approx(buffer_areas(region), abs=0.002 * region.area)
    assert by_width.area_mm2.sum() > 0


def test_drawings_have_the_size_asked_for() -> None:
    """The made drawings have about as many vertices as was asked for."""
    assert vertices_of(blobs(10_000)) == pytest.approx(10_000, rel=0.05)
    assert vertices_of(spiral(12_000)) == pytest.approx(12_000, rel=0.05)


def test_a_race_compares_medians() -> None:
    """Twice the work gives what both gave, and a ratio."""
    one = race(lambda: _count(20_000), lambda: _count(200_000), repeats=3)
    assert (one.ours, one.theirs) == (20_000, 200_000)
    assert one.low <= one.ratio <= one.high or one.ratio > 0
    assert len(one.cells()) == 4


def _count(to: int) -> int:
    return sum(1 for _ in range(to))


def test_each_run_works_out_anew_what_would_be_kept() -> None:
    calls: list[str] = []

    @remembered(kept=8)
    def noted(name: str) -> str:
        calls.append(name)
        return name

    race(lambda: noted("a"), lambda: noted("b"), repeats=2)
    assert calls == ["a", "b"] * 3


def test_growth_and_memory() -> None:
    """A time that is four times as long at twice the size grows with the square."""
    assert exponent((10, 1), (20, 4)) == pytest.approx(2)
    peak, where = peak_mb(_far, 3.0)
    assert peak > 1
    assert where == 3.0


def _far(x: float) -> float:
    return Point(x, 0).distance(Point(0, 0))
