"""What is left of each colour, with and without the coarse look at what is hidden."""

from __future__ import annotations

import math
from unittest import mock

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from shapely import MultiPolygon, Polygon, box

import prep.knock_out
from prep.artwork import Artwork
from prep.hidden import hiding
from prep.knock_out import knock_out
from tests.specimens import multi
from tests.strategies import artworks


def _blobs(count: int, deep: float, *, colours: int = 4) -> tuple[np.ndarray, np.ndarray]:
    """Give wavy blobs thrown on 100 mm so that so many lie over each place, and their colours."""
    random = np.random.default_rng(count)
    turn = np.linspace(0, 2 * math.pi, 24, endpoint=False)
    radius = 100 * math.sqrt(deep / count / math.pi)
    regions = np.empty(count, dtype=object)
    for k in range(count):
        reach = radius * (1 + 0.3 * np.sin(random.integers(2, 6) * turn + random.uniform(0, 6)))
        ring = random.uniform(0, 100, 2) + reach[:, None] * np.stack(
            [np.cos(turn), np.sin(turn)], 1
        )
        hole = ring.mean(axis=0) + 0.3 * (ring - ring.mean(axis=0))
        regions[k] = MultiPolygon([Polygon(ring, [hole] if k % 3 == 0 else None)])
    return regions, random.integers(0, colours, count)


def _one_by_one(regions: np.ndarray, codes: np.ndarray) -> tuple[list[float], list[float]]:
    """Give the visible area of each colour and of each shape, by covering from the top down."""
    cover: shapely.Geometry = MultiPolygon()
    by_colour, by_shape = [0.0] * (int(codes.max()) + 1), [0.0] * len(regions)
    for k in range(len(regions))[::-1]:
        by_shape[k] = shapely.difference(regions[k], cover).area
        by_colour[codes[k]] += by_shape[k]
        cover = shapely.union(cover, regions[k])
    return by_colour, by_shape


@pytest.mark.parametrize(
    ("count", "deep"), [(250, 8.0), (250, 2.0), (60, 30.0)], ids=["deep", "shallow", "stacked"]
)
@pytest.mark.parametrize("pairs", [0, 10**9], ids=["looked at first", "plain"])
def test_areas_are_those_of_covering_one_by_one(
    count: int, deep: float, pairs: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Both ways give each colour what a plain pass from the top down gives, in valid regions."""
    monkeypatch.setattr(prep.knock_out, "_PLAIN", pairs)
    regions, codes = _blobs(count, deep)
    layers = knock_out(regions, codes, 4)
    assert [layer.area for layer in layers] == pytest.approx(
        _one_by_one(regions, codes)[0], abs=1e-7
    )
    assert all(layer.is_valid for layer in layers)


@settings(max_examples=40)
@given(artworks())
def test_the_look_first_changes_nothing(artwork: Artwork) -> None:
    """Random small drawings come out the same with and without it."""
    regions = np.array([shape.region for shape in artwork.shapes], dtype=object)
    colours = sorted({shape.colour for shape in artwork.shapes})
    codes = np.array([colours.index(shape.colour) for shape in artwork.shapes])
    with mock.patch.object(prep.knock_out, "_PLAIN", 0):
        looked = knock_out(regions, codes, len(colours))
    plain = knock_out(regions, codes, len(colours))
    for one, other in zip(looked, plain, strict=True):
        assert shapely.symmetric_difference(one, other).area < 1e-9


def test_only_what_is_hidden_is_called_so() -> None:
    """No shape with a visible part is called hidden; where shapes lie deep, most hidden ones are found."""
    regions, codes = _blobs(600, 12.0)
    found = hiding(regions, codes)
    assert found is not None
    visible = np.array(_one_by_one(regions, codes)[1])
    assert (visible[~found.seen] < 1e-9).all()
    assert (~found.seen).sum() > 0.5 * (visible < 1e-9).sum() > 50
    assert len(found.low) < 600 * 600 / 20
    assert (found.low < found.high).all()
    assert (codes[found.low] != codes[found.high]).all()


def test_a_shape_that_fills_cells_but_is_hidden_by_others_hides_all_the_same() -> None:
    """Under a sheet made up of two, nothing of what lies below the third comes through."""
    shapes = [box(0, 0, 60, 60), box(10, 10, 50, 50), box(9, 9, 30, 51), box(30, 9, 51, 51)]
    regions = np.array([multi(shape) for shape in shapes], dtype=object)
    codes = np.array([2, 0, 1, 2])
    with mock.patch.object(prep.knock_out, "_PLAIN", 0):
        layers = knock_out(regions, codes, 3)
    assert layers[0].is_empty
    assert [layer.area for layer in layers[1:]] == pytest.approx([21 * 42, 60 * 60 - 21 * 42])


def test_shapes_that_share_an_edge_leave_no_hair() -> None:
    """Below two triangles that meet in a slanted edge nothing is left along that edge."""
    left, right = (
        Polygon([(1, 1), (9.1, 1), (2.3, 8.7)]),
        Polygon([(9.1, 1), (9.7, 9.3), (2.3, 8.7)]),
    )
    regions = np.array([multi(box(0, 0, 10, 10)), multi(left), multi(right)], dtype=object)
    ground, *_ = knock_out(regions, np.array([0, 1, 2]), 3)
    (part,) = ground.geoms
    assert len(part.interiors) == 1
    assert len(part.interiors[0].coords) == 5


def test_specks_on_a_large_sheet_are_no_use_for_a_grid() -> None:
    """Where cells fine enough for the shapes would be too many, none are laid, and nothing is lost."""
    specks = shapely.box(x := np.arange(200.0) * 5, x, x + 1e-3, x + 1e-3)
    regions = np.array(
        [multi(one) for one in (*(box(0, 0, 1000, 1000) for _ in range(60)), *specks)], dtype=object
    )
    codes = np.arange(len(regions)) % 2
    with mock.patch.object(prep.knock_out, "_PLAIN", 0):
        layers = knock_out(regions, codes, 2)
    assert sum(layer.area for layer in layers) == pytest.approx(1e6)
    assert hiding(np.array([MultiPolygon()] * 3, dtype=object), np.arange(3)) is None
