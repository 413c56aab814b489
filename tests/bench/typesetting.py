"""Times the prep sheet of a finished reckoning, beside measuring its screens and beside empty pages.

    python tests/bench/typesetting.py [--artwork FILE] [--width "280 mm"] [--repeats 5]

A job is reckoned once with all plugins; that isn't timed. ``measuring`` is ``measure`` of each screen.
``composing`` turns the reports into pieces with their pictures, ``typesetting`` makes the PDF of these;
``sheet`` is both, what a printer waits for beyond the reckoning. ``empty pages`` is a document of as many
pages with nothing but their numbers, by the same typesetter with the same fonts: what no layout can beat.
A row tells the processor's seconds, of all threads together (median), and how many times the measuring of
the same run that is.
"""

from __future__ import annotations

import argparse
import io
import statistics
import sys
from pathlib import Path

import pdfplumber

sys.path.insert(0, str(Path(__file__).parents[2]))

from prep import typeset
from prep.job import Report
from prep.line import open_line
from prep.measures import measure
from prep.request import Request
from prep.typeset import Letters
from prep_sheet import typesetting
from prep_sheet.documents import composed
from tests.bench.table import print_table, seconds, timed

ARTWORK = Path(__file__).parents[2] / "artwork"
STAGES = ("measuring", "empty pages", "composing", "typesetting", "sheet")
_EMPTY = """
#set document(title: "empty", date: none)
#set text(font: "DejaVu Sans", lang: "en")
#set page(paper: "a4", footer: context counter(page).display())
#for n in range(PAGES) { pagebreak(weak: false) }
"""


def report_of(artwork: Path, width: str) -> Report:
    """Reckon a job of one set-up on navy shirts, with the demo shop."""
    request = Request(artwork, shop=ARTWORK / "shop.toml", width=width, shirts=48, garment="navy")
    with open_line(request) as line:
        (report,) = line.reports()
    return report


def pages_of(pdf: bytes) -> int:
    """Count the pages of a PDF."""
    with pdfplumber.open(io.BytesIO(pdf)) as read:
        return len(read.pages)


def empty(pages: int) -> bytes:
    """Typeset as many pages with a number and nothing else."""
    source = _EMPTY.replace("PAGES", str(pages - 1))
    return typeset.compiled(source.encode(), {}, Letters())


def run_of(report: Report, pages: int) -> tuple[tuple[float, ...], bytes]:
    """Time every stage once.

    :return: seconds as ``STAGES`` has them, and the sheet
    """
    regions = [screen.region for screen in report.job.screens]
    measuring, _ = timed(lambda: [measure(region) for region in regions])
    bare, _ = timed(lambda: empty(pages))
    composing, sheet = timed(lambda: composed((report,)))
    setting, pdf = timed(lambda: typesetting.pdf(sheet))
    return (measuring, bare, composing, setting, composing + setting), pdf


def setting(artwork: Path, width: str, repeats: int) -> None:
    """Print the table."""
    report = report_of(artwork, width)
    pages = pages_of(run_of(report, 1)[1])  # what is loaded once isn't counted
    runs = [run_of(report, pages) for _ in range(repeats)]
    rows = []
    for stage, taken in zip(STAGES, zip(*(run[0] for run in runs), strict=True), strict=True):
        ratios = [one / run[0][0] for one, run in zip(taken, runs, strict=True)]
        spread = f"{min(ratios):.3f}-{max(ratios):.3f}"
        rows.append(
            [stage, seconds(statistics.median(taken)), f"{statistics.median(ratios):.3f}", spread]
        )
    size = len(runs[0][1]) / 1000.0
    title = f"Sheet of {len(report.job.screens)} screens, {pages} pages, {size:.0f} kB"
    print_table(title, ("stage", "s", "times measuring", "spread"), rows)


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--artwork", type=Path, default=ARTWORK / "two-finches" / "design.svg")
    parser.add_argument("--width", default="280 mm")
    parser.add_argument("--repeats", type=int, default=5)
    asked = parser.parse_args()
    setting(asked.artwork, asked.width, asked.repeats)
    return 0


if __name__ == "__main__":
    sys.exit(main())
