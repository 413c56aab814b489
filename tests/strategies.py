"""Hypothesis drawings: regions and painted shapes, in mm."""

from __future__ import annotations

import math

import shapely
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon

from prep.artwork import Artwork, Shape


@st.composite
def stars(draw: st.DrawFn, corners: int = 11) -> Polygon:
    """Draw a polygon round (0, 0) with corners at random distances: spikes, notches, slivers."""
    count = draw(st.integers(3, corners))
    bare = st.floats(0.05, 1, allow_nan=False)
    drawn = draw(st.lists(bare, min_size=count, max_size=count))
    # never quite regular: angles of exactly 120° would leave the answer to rounding
    steps = [step * (1 + 0.07 * math.sin(3 * k + 1)) for k, step in enumerate(drawn)]
    reach = draw(st.lists(st.floats(1, 8), min_size=count, max_size=count))
    turn, whole = 0.0, sum(steps)
    points = []
    for step, radius in zip(steps, reach, strict=True):
        turn += 2 * math.pi * step / whole
        points.append((radius * math.cos(turn), radius * math.sin(turn)))
    return Polygon(points)


@st.composite
def regions(draw: st.DrawFn) -> MultiPolygon:
    """Draw one or two stars, perhaps overlapping, perhaps with a star-shaped hole."""
    region: shapely.Geometry = draw(stars()).buffer(0)
    if draw(st.booleans()):
        other = shapely.affinity.translate(draw(stars(6)), draw(st.floats(-9, 9)), 4)
        region = region.union(other.buffer(0))
    if draw(st.booleans()):
        hole = shapely.affinity.scale(draw(stars(6)), 0.3, 0.3, origin=(0, 0))
        region = region.difference(hole.buffer(0))
    parts = [p for p in shapely.get_parts(region) if p.geom_type == "Polygon"]
    return MultiPolygon(parts)


@st.composite
def artworks(draw: st.DrawFn) -> Artwork:
    """Draw up to twelve overlapping shapes in three colours."""
    shapes = []
    for number in range(draw(st.integers(1, 12))):
        region = draw(regions())
        moved = shapely.affinity.translate(
            region, draw(st.integers(0, 20)), draw(st.integers(0, 20))
        )
        colour = draw(st.sampled_from(["#102030", "#d04020", "#ffffff"]))
        shapes.append(Shape(moved, colour, f"path {number}"))
    return Artwork("drawn", 40, 40, tuple(shapes), 0.01)
