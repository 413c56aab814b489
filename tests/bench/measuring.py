"""Times the measures against KLayout's checks and shapely's buffers.

    python tests/outside/fetch_art.py && python tests/bench/fetch_map.py
    python tests/bench/measuring.py [--small] [--repeats N] [--only PART ...]

**Measuring under a limit** is finding every place narrower than the limit, on one side, from a shapely
region. Ours gives the places: grouped, each with its exact least width, location, length and class.
KLayout's ``width_check`` (openings) and ``space_check`` (film: between polygons and within them) with the
euclidian metric, an angle limit of 60° and its usual settings gives all pairs of facing edges that are
nearer than the limit, ungrouped, corner tips and cracks among them; that is all it offers, and it is the
nearest like. Both begin with the same region: the time of handing its coordinates to KLayout (in one call
for each ring, on a grid of 0.1 µm) counts, as the time of taking them from shapely counts for us.
``check alone`` is the ratio without it. Neither counts the making of a valid region from painted shapes.

**Offset areas** are the areas farther inside than ten distances. Ours come with the area and the axis
length by local width from one pass; shapely gives them by ten buffers with round joins.

All run in one thread. Memory is the largest the process had, with
the libraries loaded, in a process of its own.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path

import klayout.db as kdb
import numpy as np
import shapely
from shapely import MultiPolygon

sys.path.insert(0, str(Path(__file__).parents[2]))

from prep.measures import Distribution, Limits, Places
from prep.measures.edges import simplified_rings
from prep.measures.insets import distribution, inset_areas
from prep.measures.places import find_places
from prep.measures.sampling import depths_of
from tests.bench.drawings import blobs, blobs_a_side, coast, land, layers, spiral, vertices_of
from tests.bench.fetch_map import map_file
from tests.bench.table import RACE_HEADINGS, exponent, peak_mb, print_table, race, timed
from tests.outside.fetch_art import art_folder

GRID_MM = 1e-4
OFFSETS_MM = (0.05, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 1.8, 2.4, 3.0)
_MAP_STRAYING_MM = 0.02  # leaves 71,000 vertices of the world's coast, 280 mm wide
_LIMITS = Limits(inset_to_mm=OFFSETS_MM[-1])
ART_LAYERS = (
    ("flag-icons/bo.svg", "#000000"),
    ("svg-country-flags/es.svg", "#000000"),
    ("svg-country-flags/fj.svg", "#000000"),
    ("flag-icons/nf.svg", "#000000"),
    ("svg-country-flags/ad.svg", "#703d29"),
    ("flag-icons/om.svg", "#ffffff"),
    ("flag-icons/hr.svg", "#000000"),
    ("flag-icons/bo.svg", "#007934"),
    ("flag-icons/io.svg", "#000063"),
    ("svg-country-flags/bn.svg", "#cf1126"),
)
NARROW_HEADINGS = ("edges", "limit", "side", "places", "pairs", *RACE_HEADINGS, "check alone")


def narrow_places(region: MultiPolygon, limit_mm: float, *, film: bool) -> Places:
    """Find every place narrower than a limit, as ``measure`` does."""
    rings, piece = shapely.get_rings(_parts(region), return_index=True)
    return find_places(simplified_rings(rings), piece, limit_mm, _LIMITS, flip=film)


def _parts(region: MultiPolygon) -> np.ndarray:
    return np.asarray(shapely.orient_polygons(shapely.get_parts(region)), dtype=object)


def klayout_region(region: MultiPolygon) -> kdb.Region:
    """Hand a region to KLayout."""
    layer = kdb.Region()
    for polygon in region.geoms:
        piece = kdb.Polygon(_points(polygon.exterior), True)
        for hole in polygon.interiors:
            piece.insert_hole(_points(hole), True)
        layer.insert(piece)
    return layer


def _points(ring: shapely.LinearRing) -> list[kdb.Point]:
    xy = np.rint(shapely.get_coordinates(ring)[:-1] / GRID_MM).astype(np.int64)
    return [kdb.Point(x, y) for x, y in xy.tolist()]


def klayout_pairs(layer: kdb.Region, limit_mm: float, *, film: bool) -> kdb.EdgePairs:
    """Find the pairs of facing edges nearer than a limit."""
    fresh = layer.dup()  # a region remembers that it was merged
    check = fresh.space_check if film else fresh.width_check
    return check(round(limit_mm / GRID_MM), False, kdb.Region.Euclidian, 60)


def offset_areas(region: MultiPolygon) -> tuple[np.ndarray, Distribution]:
    """Give the areas inside the offsets, and area and axis length by width."""
    depths = depths_of(shapely.get_rings(_parts(region)))
    insets, areas = inset_areas(region.area, depths, _LIMITS.inset_to_mm)
    return np.interp(OFFSETS_MM, insets, areas), distribution(
        region.area, depths, _LIMITS.angle_deg
    )


def buffer_areas(region: MultiPolygon) -> np.ndarray:
    """Give the same areas by shapely's buffer."""
    return np.array([region.buffer(-offset, quad_segs=16).area for offset in OFFSETS_MM])


def _narrow_rows(
    name: str, region: MultiPolygon, limit: float, repeats: int
) -> Iterator[list[object]]:
    layer = klayout_region(region)
    for film in (False, True):
        one = race(
            lambda film=film: narrow_places(region, limit, film=film),
            lambda film=film: klayout_pairs(klayout_region(region), limit, film=film),
            repeats=repeats,
        )
        alone, _ = timed(lambda film=film: klayout_pairs(layer, limit, film=film))
        side = "film" if film else "openings"
        counts = (len(one.ours), one.theirs.count())
        bare = f"{alone / one.ours_s:.2f}"
        yield [name, vertices_of(region), f"{limit:g}", side, *counts, *one.cells(), bare]


def synthetic(small: bool, repeats: int) -> None:
    """Wavy blobs of finer and finer detail."""
    cases = [(1000, 0.5), (1000, 2.0)]
    if not small:
        cases += [(10_000, 0.5), (10_000, 2.0)]
        cases += [(100_000, 0.5), (100_000, 2.0), (1_000_000, 0.5)]

    def rows() -> Iterator[list[object]]:
        for vertices, limit in cases:
            often = 3 * repeats if vertices <= 10_000 else repeats if vertices < 500_000 else 1
            yield from _narrow_rows("blobs", blobs(vertices), limit, often)

    print_table("Places under a limit, made drawings", ("case", *NARROW_HEADINGS), rows())


def art(small: bool, repeats: int) -> None:
    """Layers of multi-colour drawings, printed 280 mm wide, and a map."""

    def rows() -> Iterator[list[object]]:
        for file, colour in ART_LAYERS[-1:] if small else reversed(ART_LAYERS):
            region = layers(art_folder() / file)[colour]
            yield from _narrow_rows(f"{file} {colour}", region, 0.5, repeats)
        if not small:
            region = land(map_file(), _MAP_STRAYING_MM)
            yield from _narrow_rows("the world's land", region, 0.5, 1)

    print_table("Places under a limit, drawings", ("case", *NARROW_HEADINGS), rows())


def wound(small: bool, repeats: int) -> None:
    """A line wound up, flattened far finer than needed."""
    vertices = 1_000 if small else 12_000
    rows = _narrow_rows("spiral", spiral(vertices), 1.0, repeats)
    print_table("Places under a limit, dense spiral", ("case", *NARROW_HEADINGS), rows)


def offsets(small: bool, repeats: int) -> None:
    """Ten offset areas and the distribution against ten buffers."""
    regions = {
        "coast": coast(1_000 if small else 74_000),
        "blobs": blobs(2_000 if small else 10_000),
    }
    if not small:
        regions["the world's land"] = land(map_file(), _MAP_STRAYING_MM)
    rows = []
    for name, region in regions.items():
        one = race(
            lambda region=region: offset_areas(region),
            lambda region=region: buffer_areas(region),
            repeats=min(repeats, 3),
        )
        error = np.abs(one.ours[0] - one.theirs).max() / region.area
        missed = one.ours[1].error_mm2 / region.area
        shares = (f"{100 * share:.3f} %" for share in (error, missed))
        rows.append([name, vertices_of(region), *one.cells(), *shares])
    print_table(
        "Ten offset areas with the distribution, against ten buffers",
        ("case", "edges", *RACE_HEADINGS, "largest error", "strips miss"),
        rows,
    )


def growth(small: bool, repeats: int) -> None:
    """Time by size, at a limit scaled with the detail, and the largest memory."""
    sizes = (1_000, 3_000) if small else (10_000, 100_000, 1_000_000)
    rows = []
    first: dict[bool, tuple[float, float]] = {}
    for vertices in sizes:
        region = blobs(vertices)
        limit = 0.15 * 300 / blobs_a_side(vertices)
        for film in (False, True):
            times = [
                timed(lambda film=film, region=region, limit=limit: narrow_places(
                    region, limit, film=film
                ))[0]
                for _ in range(repeats if vertices < 500_000 else 2)
            ]  # fmt: skip
            here = (float(vertices_of(region)), float(np.median(times)))
            first.setdefault(film, here)
            grown = f"{exponent(first[film], here):.2f}" if here != first[film] else ""
            side = "film" if film else "openings"
            rows.append(
                ["blobs", int(here[0]), f"{limit:.2f}", side, f"{here[1]:.3g}", grown,
                 f"{here[1] / here[0] * 1e6:.1f}"]
            )  # fmt: skip
    print_table(
        f"Growth from {sizes[0]} vertices on, limit scaled with the detail",
        ("case", "edges", "limit", "side", "ours s", "exponent", "µs an edge"),
        rows,
    )
    vertices = sizes[-1]
    rows = []
    for film in (False, True):
        for limit in (0.5, 0.15 * 300 / blobs_a_side(vertices)):
            ours, _ = peak_mb(_ours_alone, vertices, limit, film)
            theirs, _ = peak_mb(_klayout_alone, vertices, limit, film)
            base, _ = peak_mb(vertices_of_blobs, vertices)
            side = "film" if film else "openings"
            rows.append(
                [
                    "blobs",
                    vertices,
                    f"{limit:.2f}",
                    side,
                    *(f"{m:.0f}" for m in (ours, theirs, base)),
                ]
            )
    print_table(
        "Peak memory of the process, MB",
        ("case", "vertices", "limit", "side", "ours", "KLayout", "region only"),
        rows,
    )


def _ours_alone(vertices: int, limit: float, film: bool) -> int:
    return len(narrow_places(blobs(vertices), limit, film=film))


def _klayout_alone(vertices: int, limit: float, film: bool) -> int:
    return klayout_pairs(klayout_region(blobs(vertices)), limit, film=film).count()


def vertices_of_blobs(vertices: int) -> int:
    """Make the region and nothing more."""
    return vertices_of(blobs(vertices))


PARTS = {"synthetic": synthetic, "art": art, "spiral": wound, "offsets": offsets, "growth": growth}


def main() -> int:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--small", action="store_true", help="small sizes only")
    parser.add_argument("--repeats", type=int, default=5)
    parser.add_argument("--only", nargs="+", choices=PARTS, default=list(PARTS))
    asked = parser.parse_args()
    for name in asked.only:
        PARTS[name](asked.small, asked.repeats)
    return 0


if __name__ == "__main__":
    sys.exit(main())
