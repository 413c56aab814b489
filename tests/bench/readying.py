"""Times what makes screens ready, beside separating the same drawing.

    python tests/bench/readying.py [--parts 1000] [--repeats 3]

The drawing is discs and squares in four colours, as dense as 1,000 over 300 mm; many touch and overlap.
It is printed on a dark shirt, white among the colours and without. A row tells the processor's seconds of
a stage (median) and how many times the separating of the same run that is: the base with the ways to
print, the order, the traps, and all from one screen for each colour to screens ready, with what the core
does between. Measuring what the plugins changed stands on a line of its own and isn't part of ``all``.
The last table is the chance of gaps of six pairs of colours by 4,096 draws.
"""

from __future__ import annotations

import argparse
import statistics
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
from shapely import MultiPolygon, Point, box

sys.path.insert(0, str(Path(__file__).parents[2]))

from prep.artwork import Artwork, Shape
from prep.job import Job
from prep.make_ready import make_ready
from prep.measures import Limits, Measures, measure
from prep.plugins import find_plugins
from prep.separations import separate
from prep.testing import make_job
from prep_base.screens import choice_of, screens_of
from prep_sequence.ordering import order_of
from prep_trap.answers import GapChances
from prep_trap.deltas import deltas_of
from prep_trap.forecast import gap_chances
from tests.bench.table import print_table, seconds, timed

COLOURS = ("#d92b2b", "#f2c12e", "#2f6fb5", "#3a8f4d")
WITH_WHITE = (*COLOURS[:3], "#ffffff")
DARK, LIGHT = "#101010", "#f4f4f4"
_SIDE_MM = 300.0
_MARGIN_MM = 6.0
_RADIUS_MM = (2.0, 6.0)
STAGES = ("separating", "base and ways to print", "order", "traps", "all", "measuring what changed")


def parts(count: int, colours: Sequence[str]) -> Artwork:
    """Draw discs and squares at random places, the same every time; each colour in turn has both."""
    random = np.random.default_rng(7)
    side = _SIDE_MM * float(np.sqrt(count / 1000))
    shapes = []
    for number in range(count):
        x, y = random.uniform(_MARGIN_MM, max(side - _MARGIN_MM, 2 * _MARGIN_MM), 2)
        r = random.uniform(*_RADIUS_MM)
        one = Point(x, y).buffer(r) if number % 2 else box(x - r, y - r, x + r, y + r)
        colour = colours[number // 2 % len(colours)]
        shapes.append(Shape(MultiPolygon([one]), colour, f"part {number}"))
    return Artwork("parts", side, side, tuple(shapes), 0.01)


def job_of(artwork: Artwork, garment: str) -> Job:
    """Give a job of an artwork, measured, one screen for each colour."""
    return make_job(
        {one.colour: one.region for one in separate(artwork)},
        garment=garment,
        shade="dark" if garment == DARK else "light",
        size_mm=(artwork.width_mm, artwork.height_mm),
    )


@dataclass(slots=True)
class Measuring:
    """Measures regions as the line does, each only once, and adds up the time.

    :param known: regions measured before, by their identity; what measuring them gave
    :param taken_s: processor seconds of all others
    """

    known: list[tuple[MultiPolygon, Measures]] = field(default_factory=list)
    taken_s: float = 0.0

    def __call__(self, regions: Sequence[MultiPolygon]) -> list[Measures]:
        """Measure regions."""
        return [self._one(region) for region in regions]

    def _one(self, region: MultiPolygon) -> Measures:
        found = next((m for known, m in self.known if known is region), None)
        if found is None:
            taken, found = timed(lambda: measure(region, Limits()))
            self.taken_s += taken
            self.known.append((region, found))
        return found


@dataclass(frozen=True, slots=True)
class Run:
    """Seconds of each stage of one run, in the order of :data:`STAGES`."""

    taken_s: tuple[float, ...]
    ready: Job


def run_of(artwork: Artwork, garment: str) -> Run:
    """Separate a drawing and make its screens ready, stage by stage and all together."""
    separating, _ = timed(lambda: separate(artwork))
    job, plugins = job_of(artwork, garment), find_plugins()
    base, _ = timed(lambda: list(screens_of(job, choice_of(job))))
    measuring = Measuring([(one.region, one.measures) for one in job.design])
    whole, ready = timed(lambda: make_ready(job, plugins, measuring))
    order, _ = timed(lambda: order_of(ready))
    traps, _ = timed(lambda: list(deltas_of(_untrapped(job, ready))))
    every = whole - measuring.taken_s
    return Run((separating, base, order, traps, every, measuring.taken_s), ready)


def _untrapped(job: Job, ready: Job) -> Job:
    """Give the screens in order, as they are before anything is added along their borders."""
    drawn = {one.colour: one for one in job.design}
    screens = tuple(
        replace(one, region=drawn[one.key].region, measures=drawn[one.key].measures)
        if one.does == "colour" and one.key in drawn
        else one
        for one in ready.screens
    )
    return replace(ready, screens=screens)


def readying(count: int, repeats: int) -> None:
    """Print a table of the stages for each drawing."""
    for name, colours in (("white among them", WITH_WHITE), ("no white", COLOURS)):
        artwork = parts(count, colours)
        run_of(parts(min(count, 20), colours), DARK)  # what is loaded and drawn once isn't counted
        runs = [run_of(artwork, DARK).taken_s for _ in range(repeats)]
        rows = []
        for stage, taken in zip(STAGES, zip(*runs, strict=True), strict=True):
            ratios = [one / run[0] for one, run in zip(taken, runs, strict=True)]
            spread = f"{min(ratios):.2f}-{max(ratios):.2f}"
            middle = statistics.median(taken)
            rows.append([stage, seconds(middle), f"{statistics.median(ratios):.2f}", spread])
        headings = ("stage", "s", "times separating", "spread")
        print_table(f"{count} parts in four colours, {name}, on a dark shirt", headings, rows)


def chances(count: int, repeats: int) -> None:
    """Print how long the chance of gaps of all pairs takes, on a light shirt."""
    ready = run_of(parts(count, COLOURS), LIGHT).ready
    found: GapChances = gap_chances(ready)
    taken = statistics.median(_times(lambda: gap_chances(ready), repeats))
    rows = [[f"{len(found.pairs)} pairs of {count} parts", seconds(taken)]]
    print_table("Chance of gaps by 4,096 draws", ("case", "s"), rows)


def _times(call: Callable[[], Any], repeats: int) -> list[float]:
    return [timed(call)[0] for _ in range(repeats)]


def main() -> int:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--parts", type=int, default=1000)
    parser.add_argument("--repeats", type=int, default=3)
    asked = parser.parse_args()
    readying(asked.parts, asked.repeats)
    chances(asked.parts, asked.repeats)
    return 0


if __name__ == "__main__":
    sys.exit(main())
