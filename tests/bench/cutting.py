"""Times what makes cut files of a screen, beside measuring it; and the way of the lifted blade.

    python tests/bench/cutting.py [--vertices 100000] [--repeats 3] [--designs ORDER.toml ...]

The first table holds seconds of measuring a drawing of wavy blobs, and of what the films take: laying out
with weeding lines, order of cutting, SVG and DXF written and read back, PDF; then the files' sizes. The
second holds for each film of the designs in ``artwork/`` the way of the lifted blade, beside a plain walk
from first point to nearest first point, and the least tree of the gaps between outlines, which no walk can
go below.
"""

from __future__ import annotations

import argparse
import statistics
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse.csgraph import minimum_spanning_tree

sys.path.insert(0, str(Path(__file__).parents[2]))

from prep.job import Report
from prep.line import open_line
from prep.measures import Limits, measure
from prep.request import Request
from prep.sections import Document
from prep.testing import make_ask, make_job
from prep_registration import prep_marks
from prep_stencils import prep_documents
from prep_stencils.cut_order import cut_order
from prep_stencils.film import film_of, strokes_in
from prep_stencils.outlines import open_rings
from tests.bench.drawings import blobs
from tests.bench.table import print_table, seconds, timed

ROOT = Path(__file__).parents[2]
Points = NDArray[np.float64]


def files_of(vertices: int, repeats: int) -> tuple[list[list[str]], tuple[Document, ...]]:
    """Time the films of one screen; give the rows, and the files."""
    region = blobs(vertices)
    job = make_job({"#1f3a5f": region}, limits=Limits())
    marks = tuple(prep_marks(job, make_ask({})))
    measuring, laying, ordering, whole = [], [], [], []
    made: tuple[Document, ...] = ()
    for _ in range(repeats):
        measuring.append(timed(lambda: measure(region, Limits()))[0])
        taken, film = timed(lambda: film_of(job, marks))
        laying.append(taken)
        assert film is not None
        ordering.append(timed(lambda film=film: [strokes_in(p, 0.0) for p in film.parts])[0])
        taken, made = timed(lambda: tuple(prep_documents(Report(job, marks, (), ()), make_ask({}))))
        whole.append(taken)
    count = len(shapely.get_coordinates(region))
    rows = [
        [f"{name}, {count} vertices", seconds(statistics.median(taken))]
        for name, taken in (
            ("measuring", measuring),
            ("of the films: laying out", laying),
            ("of the films: order of cutting", ordering),
            ("films, all files written and read", whole),
        )
    ]
    return rows, made


def travel(rings: Sequence[Points]) -> tuple[float, float, float]:
    """Give the way of the lifted blade, that of a plain walk, and what no walk can go below, in mm."""
    return cut_order(rings).travel_mm, plain_walk_mm(rings), least_mm(rings)


def plain_walk_mm(rings: Sequence[Points]) -> float:
    """Go from first point to the nearest first point not yet visited, from the corner on."""
    points = np.array([ring[0] for ring in rings])
    left, at, way = np.ones(len(points), dtype=bool), np.zeros(2), 0.0
    for _ in points:
        away = np.where(left, np.hypot(points[:, 0] - at[0], points[:, 1] - at[1]), np.inf)
        nearest = int(away.argmin())
        way, at, left[nearest] = way + float(away[nearest]), points[nearest], False
    return way


def least_mm(rings: Sequence[Points]) -> float:
    """Add up the least tree of the gaps between outlines."""
    lines = np.array([shapely.linearrings(ring) for ring in rings], dtype=object)
    gaps = shapely.distance(lines[:, None], lines[None, :])
    return float(minimum_spanning_tree(np.maximum(gaps, 1e-9)).sum())


def travels(orders: Sequence[Path]) -> list[list[str]]:
    """Give a row for each film of the designs."""
    rows = []
    for order in orders:
        with open_line(Request(order, shop=ROOT / "artwork" / "shop.toml")) as line:
            setup = line.setups[0]
            job = line.job(setup)
            film = film_of(job, tuple(prep_marks(job, line.ask(job))))
            assert film is not None
            for part in film.parts:
                rings = [part.sheet.to_film(ring) for ring in open_rings(part.region)]
                ours, plain, least = travel(rings)
                name = f"{order.parent.name}, {part.stem[:24]}"
                rows.append(
                    [name, str(len(rings)), *(f"{way:.0f}" for way in (ours, plain, least))]
                )
    return rows


def main() -> int:
    """Print both tables."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--vertices", type=int, default=100_000)
    parser.add_argument("--repeats", type=int, default=3)
    designs = sorted((ROOT / "artwork").glob("*/order.toml"))
    parser.add_argument(
        "--designs", nargs="*", type=Path, default=designs, help="order.toml of each"
    )
    given = parser.parse_args()
    rows, made = files_of(given.vertices, given.repeats)
    print_table("One screen", ("stage", "s"), rows)
    sizes = [[one.name.rsplit("/", 1)[-1], f"{len(one.data) / 1000:.0f}"] for one in made]
    print_table("Files", ("file", "kB"), sizes)
    headings = ("film", "outlines", "way mm", "plain mm", "least mm")
    print_table("Way of the lifted blade over the openings", headings, travels(given.designs))
    return 0


if __name__ == "__main__":
    sys.exit(main())
