"""Times the ink of four screens, intervals included, beside measuring the same screens.

    python tests/bench/inking.py [--vertices 25000] [--repeats 5]

The screens are unlike: lines of large and of small slanted letters, wavy blobs with holes, a ragged coast;
each has about as many vertices as asked for. Measuring is ``measure`` of each. The ink is what a plugin
gets that asks for it first of all: figures of the meshes, deposits and grams with 512 draws each, what
stays behind, what to mix, and all that the answer asks others for. Its screens are measured already, and
nothing was asked before. ``edge integrals`` are those of all screens alone, at the default and the 512
draws of their reach: a part of the ink, timed by itself. A row tells the processor's seconds (median) and
how many times the measuring of the same run that is, the last row those of both together.
"""

from __future__ import annotations

import argparse
import statistics
import sys
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from shapely import MultiPolygon, box
from shapely.affinity import skew, translate

sys.path.insert(0, str(Path(__file__).parents[2]))

from prep.job import Job
from prep.measures import Measures, measure
from prep.plugins import find_plugins
from prep.session import Session
from prep.testing import as_multipolygon, make_job
from prep_ink.answers import InkOnScreens
from prep_ink.deposit import edge_integral_mm2
from prep_ink.parameters import EDGE_REACH
from tests.bench.drawings import blobs, coast, vertices_of
from tests.bench.table import print_table, seconds, timed
from tests.prep.measures.lettering import letters

COLOURS = ("#1f3a5f", "#c0392b", "#f2c12e", "#3a8f4d")
STAGES = ("measuring", "ink", "edge integrals", "measuring and ink")
_ALPHABET = "abcdefghijklmnopqrstuvwxyzBCDGOPQRS&2356890"
_WORD, _WORDS = 5, 5  # letters to a word, words to a line
_PITCH, _LEADING = 4.5, 1.3  # from word to word and from line to line, in ems
_BOARD_MM = 320.0


def lines(vertices: int, high_mm: float) -> MultiPolygon:
    """Give lines of words, the same every time, until there are enough vertices.

    :param high_mm: the em; other letters with another em
    """
    random = np.random.default_rng(round(10 * high_mm))
    parts: list[MultiPolygon] = []
    drawn = 0
    while drawn < vertices:
        word = letters("".join(random.choice(list(_ALPHABET), _WORD)), high_mm=high_mm)
        line, place = divmod(len(parts), _WORDS)
        parts.append(translate(word, _PITCH * high_mm * place, _LEADING * high_mm * line))
        drawn += vertices_of(word)
    return MultiPolygon([polygon for part in parts for polygon in part.geoms])


def drawings(vertices: int) -> tuple[MultiPolygon, ...]:
    """Give the regions of four screens, each beside the one before."""
    drawn = (
        lines(vertices, 14.0),
        as_multipolygon(skew(lines(vertices, 7.5), 12)),
        blobs(vertices),
        coast(2 * vertices // 3),  # its edges are halved until there are more than asked for
    )
    beside = (translate(one, _BOARD_MM * k) for k, one in enumerate(drawn))
    return tuple(as_multipolygon(one) for one in beside)


def job_of(regions: tuple[MultiPolygon, ...], measures: tuple[Measures, ...]) -> Job:
    """Give a job of screens that were measured before."""
    job = make_job({colour: box(0, 2 * k, 1, 2 * k + 1) for k, colour in enumerate(COLOURS)})
    found = zip(job.screens, regions, measures, strict=True)
    return replace(
        job, screens=tuple(replace(one, region=region, measures=m) for one, region, m in found)
    )


@dataclass(frozen=True, slots=True)
class Run:
    """Seconds of each stage of one run, in the order of :data:`STAGES`, and what the ink came to."""

    taken_s: tuple[float, ...]
    ink: InkOnScreens


def run_of(regions: tuple[MultiPolygon, ...]) -> Run:
    """Measure screens and ask for their ink."""
    measuring, measures = timed(lambda: tuple(measure(region) for region in regions))
    job, plugins = job_of(regions, measures), find_plugins()
    inking, ink = timed(lambda: Session(plugins).ask_for(job)(InkOnScreens))
    reach = EDGE_REACH.parameter
    reaches = np.concatenate([[reach.default], reach.draws()])
    every = [(one.bands.area_mm2, one.bands.depth_mm, one.bands.spread_mm) for one in measures]
    edges, _ = timed(lambda: [edge_integral_mm2(*bands, reaches) for bands in every])
    return Run((measuring, inking, edges, measuring + inking), ink)


def inking(vertices: int, repeats: int) -> None:
    """Print the table."""
    run_of(drawings(200))  # what is loaded and drawn once isn't counted
    regions = drawings(vertices)
    runs = [run_of(regions).taken_s for _ in range(repeats)]
    rows = []
    for stage, taken in zip(STAGES, zip(*runs, strict=True), strict=True):
        ratios = [one / run[0] for one, run in zip(taken, runs, strict=True)]
        spread = f"{min(ratios):.4f}-{max(ratios):.4f}"
        middle = statistics.median(taken)
        rows.append([stage, seconds(middle), f"{statistics.median(ratios):.4f}", spread])
    sizes = ", ".join(str(vertices_of(region)) for region in regions)
    headings = ("stage", "s", "times measuring", "spread")
    print_table(f"Ink of four screens of {sizes} vertices", headings, rows)


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--vertices", type=int, default=25_000)
    parser.add_argument("--repeats", type=int, default=5)
    asked = parser.parse_args()
    inking(asked.vertices, asked.repeats)
    return 0


if __name__ == "__main__":
    sys.exit(main())
