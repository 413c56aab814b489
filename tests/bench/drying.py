"""Times drying, what helps against it and the plan for four screens, beside measuring the same screens.

    python tests/bench/drying.py [--vertices 25000] [--repeats 5]

The screens are those of ``inking.py``, on a press that holds them all, 24 shirts, beside a flash dryer.
``drying`` is what a plugin gets that asks for it once others have answered for ink, meshes, steps and ways
to print: climate, open times, both ways of working with all their curves, 512 draws each; ``what helps`` is
the ranked table after it; ``plan`` is the run card after both: hours by 512 draws, days, and all its parts
in words. ``drying and plan`` is these three. ``asked first of all`` is the same with all that they ask
others for. A row tells the processor's seconds (median) and how many times the measuring of the same run
that is.
"""

from __future__ import annotations

import argparse
import statistics
import sys
from dataclasses import dataclass, replace
from pathlib import Path

from shapely import MultiPolygon

sys.path.insert(0, str(Path(__file__).parents[2]))

from prep.job import Ask, Chosen, Job
from prep.measures import measure
from prep.plugins import find_plugins
from prep.sections import Section
from prep.session import Session
from prep.shop import Press
from prep_base.answers import WaysToPrint
from prep_drying import answers
from prep_drying.settings import Drying
from prep_ink.answers import InkOnScreens, MeshOnScreens
from prep_plan.answers import WorkPlan
from prep_plan.wording import card
from prep_sequence.answers import PrintSteps
from prep_squeegee.answers import Pulls
from prep_stencils.answers import FilmTimes
from tests.bench.drawings import vertices_of
from tests.bench.inking import drawings, job_of
from tests.bench.table import print_table, seconds, timed

STAGES = (
    "measuring",
    "drying",
    "what helps",
    "plan",
    "drying and plan",
    "asked first of all",
)


@dataclass(frozen=True, slots=True)
class Run:
    """Seconds of each stage of one run, in the order of :data:`STAGES`, and what it came to."""

    taken_s: tuple[float, ...]
    drying: answers.Drying
    helps: answers.Helps
    plan: WorkPlan
    card: tuple[Section, ...]


def run_of(regions: tuple[MultiPolygon, ...]) -> Run:
    """Measure screens, ask how they dry and how the work goes, and write the run card."""
    measuring, measures = timed(lambda: tuple(measure(region) for region in regions))
    plugins, job = find_plugins(), job_of(regions, measures)
    press = Press(kind="press with fine adjustment", stations=4)
    beside = Drying(climate=("flash dryer beside the press", "warm platen under the screen"))
    job = replace(
        job, shop=job.shop.model_copy(update={"press": press}), chosen=Chosen({Drying: beside})
    )
    ask = Session(plugins).ask_for(job)
    for question in (InkOnScreens, MeshOnScreens, PrintSteps, WaysToPrint, FilmTimes, Pulls):
        ask(question)
    drying, told = timed(lambda: ask(answers.Drying))
    helping, helps = timed(lambda: ask(answers.Helps))
    planning, (plan, sections) = timed(lambda: _planned(job, ask))
    first = Session(plugins).ask_for(job)
    whole, _ = timed(lambda: _planned(job, first))
    taken = (measuring, drying, helping, planning, drying + helping + planning, whole)
    return Run(taken, told, helps, plan, sections)


def _planned(job: Job, ask: Ask) -> tuple[WorkPlan, tuple[Section, ...]]:
    plan = ask(WorkPlan)
    return plan, tuple(card(job, ask, plan))


def drying(vertices: int, repeats: int) -> None:
    """Print the table."""
    run_of(drawings(80))  # what is loaded and drawn once isn't counted
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
    print_table(f"Drying and plan of four screens of {sizes} vertices", headings, rows)


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--vertices", type=int, default=25_000)
    parser.add_argument("--repeats", type=int, default=5)
    asked = parser.parse_args()
    drying(asked.vertices, asked.repeats)
    return 0


if __name__ == "__main__":
    sys.exit(main())
