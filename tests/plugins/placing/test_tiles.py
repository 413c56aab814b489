"""Tiles cover the drawing, and what lies on two of them lies at the same place on both."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from prep_placing import rules, tiles
from prep_placing.tiles import tiled


@pytest.mark.parametrize("module", [tiles, rules])
def test_reckoning_imports_nothing_of_prep(module: object) -> None:
    tree = ast.parse(Path(str(module.__file__)).read_text(encoding="utf-8"))  # type: ignore[attr-defined]  # a module
    modules = [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    assert not [name for name in modules if name.startswith("prep")]


@given(
    size=st.tuples(st.floats(1, 1500), st.floats(1, 1500)),
    room=st.tuples(st.floats(100, 400), st.floats(100, 400)),
    overlap=st.floats(5, 60),
    corner=st.tuples(st.floats(-500, 500), st.floats(-500, 500)),
)
def test_windows_cover_all_and_neighbours_share_the_overlap(
    size: tuple[float, float],
    room: tuple[float, float],
    overlap: float,
    corner: tuple[float, float],
) -> None:
    """The windows together cover the bounds; each two neighbours share a strip as wide as the overlap."""
    x, y = corner
    made = tiled((x, y, x + size[0], y + size[1]), room, overlap)
    windows = {(t.row, t.column): shapely.box(*t.window_mm) for t in made.tiles}
    assert len(windows) == made.rows * made.columns
    union = shapely.union_all(list(windows.values()), grid_size=1e-6)
    assert union.buffer(1e-4).covers(shapely.box(x, y, x + size[0], y + size[1]))
    for (row, column), window in windows.items():
        for other, across in (((row, column + 1), room[1]), ((row + 1, column), room[0])):
            if other in windows:
                shared = shapely.intersection(window, windows[other])
                assert shared.area == pytest.approx(overlap * across, rel=1e-6)


@given(
    size=st.tuples(st.floats(1, 1200), st.floats(1, 1200)),
    overlap=st.floats(5, 60),
)
def test_crosses_lie_on_both_tiles(size: tuple[float, float], overlap: float) -> None:
    """Two for each pair of neighbours, each with a name of its own, in the middle of the shared strip."""
    made = tiled((0.0, 0.0, *size), (190.0, 266.0), overlap)
    windows = {t.name: t.window_mm for t in made.tiles}
    pairs = made.rows * (made.columns - 1) + made.columns * (made.rows - 1)
    assert len({join.name for join in made.joins}) == len(made.joins) == 2 * pairs
    for join in made.joins:
        px, py = join.at_mm
        deep = [
            min(px - w[0], w[2] - px, py - w[1], w[3] - py)
            for w in map(windows.get, join.tiles)
            if w
        ]
        assert min(deep) == pytest.approx(overlap / 2.0, abs=1e-6)


def test_worked_by_hand() -> None:
    """460 across in windows of 190 with 12 shared: 190 + 178 = 368 is too little, three cover 546."""
    made = tiled((0.0, 0.0, 460.0, 200.0), (190.0, 266.0), 12.0)
    assert (made.columns, made.rows) == (3, 1)
    assert [t.name for t in made.tiles] == ["A1", "B1", "C1"]
    assert made.tiles[0].window_mm[0] == pytest.approx(-43.0)  # (546 − 460) / 2 beyond each side
    assert made.tiles[1].window_mm[0] == pytest.approx(-43.0 + 178.0)


def test_what_just_fits_takes_one_tile() -> None:
    assert len(tiled((0, 0, 190.0, 266.0), (190.0, 266.0), 12.0).tiles) == 1
    assert len(tiled((0, 0, 190.1, 266.0), (190.0, 266.0), 12.0).tiles) == 2


def test_an_overlap_as_wide_as_the_window_is_refused() -> None:
    with pytest.raises(ValueError, match="leaves nothing"):
        tiled((0, 0, 500, 500), (50.0, 60.0), 50.0)
