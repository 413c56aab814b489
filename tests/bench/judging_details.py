"""Times the findings on fine details of four screens, remedies included, beside measuring the same screens.

    python tests/bench/judging_details.py [--vertices 25000] [--repeats 3]

The screens are those of inking.py, measured already. Findings are all that the plugin gives in
``prep check``: every place judged by all causes, alike ones together, what each edge must move by and what
lies beside, and the print width solved. What meshes, ink and drying answer is asked before and isn't part
of it. One run that confirms a width stands on a line of its own: it measures all screens again, larger. The
last line is what the sheet asks besides: the areas lost if cut as it is. A row tells the processor's
seconds (median) and how many times the measuring of the same run that is.
"""

from __future__ import annotations

import argparse
import statistics
import sys
from dataclasses import dataclass
from pathlib import Path

from shapely import MultiPolygon

sys.path.insert(0, str(Path(__file__).parents[2]))

from prep.findings import Finding
from prep.measures import measure, measure_narrow
from prep.plugins import find_plugins
from prep.session import Session
from prep_fill_in.asked import Asked, ask_all
from prep_fill_in.details import Judgement, judge_screen
from prep_fill_in.larger import at_size
from prep_fill_in.lost import lost_of
from prep_fill_in.settings import FillIn
from prep_fill_in.trouble import findings_by
from prep_fill_in.trouble import judged as judged_by
from tests.bench.drawings import vertices_of
from tests.bench.inking import drawings, job_of
from tests.bench.table import print_table, seconds, timed

STAGES = ("measuring", "findings and remedies", "confirming the width", "what is lost")
_TIMES = 1.2  # as large a print is tried


@dataclass(frozen=True, slots=True)
class Run:
    """Seconds of each stage of one run, in the order of :data:`STAGES`, and what came of it."""

    taken_s: tuple[float, ...]
    findings: tuple[Finding, ...]
    larger: tuple[Judgement, ...]


def run_of(regions: tuple[MultiPolygon, ...]) -> Run:
    """Measure screens, judge them, confirm a print width and work out what is lost."""
    measuring, measures = timed(lambda: tuple(measure(region) for region in regions))
    job = job_of(regions, measures)
    job.chosen.tables[FillIn] = FillIn(confirm_width=False)  # type: ignore[index]  # a fresh dict
    asked: Asked = ask_all(job, Session(find_plugins()).ask_for(job))
    judging, findings = timed(lambda: tuple(findings_by(job, (), asked, judged_by(job, asked))))
    judged = tuple(judge_screen(job, screen, asked) for screen in job.screens)
    confirming, larger = timed(
        lambda: tuple(at_size(one, _TIMES, measure_narrow) for one in judged)
    )
    losing, _ = timed(
        lambda: [lost_of(one, screen) for one, screen in zip(judged, job.screens, strict=True)]
    )
    return Run((measuring, judging, confirming, losing), findings, larger)


def judging(vertices: int, repeats: int) -> None:
    """Print the table."""
    run_of(drawings(80))  # what is loaded and drawn once isn't counted
    regions = drawings(vertices)
    runs = [run_of(regions) for _ in range(repeats)]
    rows = []
    for stage, taken in zip(STAGES, zip(*(run.taken_s for run in runs), strict=True), strict=True):
        ratios = [one / run.taken_s[0] for one, run in zip(taken, runs, strict=True)]
        spread = f"{min(ratios):.3f}-{max(ratios):.3f}"
        middle = statistics.median(taken)
        rows.append([stage, seconds(middle), f"{statistics.median(ratios):.3f}", spread])
    sizes = ", ".join(str(vertices_of(region)) for region in regions)
    places = sum(finding.count for finding in runs[0].findings)
    headings = ("stage", "s", "times measuring", "spread")
    title = f"Fine details of four screens of {sizes} vertices: {places} places in"
    print_table(f"{title} {len(runs[0].findings)} findings", headings, rows)


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--vertices", type=int, default=25_000)
    parser.add_argument("--repeats", type=int, default=3)
    asked = parser.parse_args()
    judging(asked.vertices, asked.repeats)
    return 0


if __name__ == "__main__":
    sys.exit(main())
