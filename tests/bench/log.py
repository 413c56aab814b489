"""Times the views of a log of 10,000 runs beside those of a log of 100.

    python tests/bench/log.py [--runs 10000] [--repeats 5]

Each run holds an order of 6 kB, four screens and 22 figures; every third was seen in, every tenth
corrected, every twentieth has a note. Both logs are read in turn in the same process, opened anew each
time. A row tells the seconds of the processor with the large log (median), and how many times those with
the small one that is.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from prep_log.compare import pairs_of
from prep_log.entering import stencils_of
from prep_log.entries import InkSeen, Note, Run, ScreenOfRun, Seen, SetUpOfRun
from prep_log.store import Figure, New, reading, writing
from prep_log.work import list_entries, show_entry
from tests.bench.table import print_table

FEW = 100
INKS = ("deep blue", "rust", "straw", "white")
FIRST = date(2000, 1, 1)


@dataclass(frozen=True, slots=True)
class View:
    """A view and what it took.

    :param large_s: seconds of each repeat with the large log
    :param small_s: likewise with the small one
    """

    name: str
    large_s: tuple[float, ...]
    small_s: tuple[float, ...]

    @property
    def ratio(self) -> float:
        """How many times the small log's time the large one's is."""
        return statistics.median(self.large_s) / statistics.median(self.small_s)


def a_run(number: int) -> Run:
    """Make a run, each with weights of its own; four in turn are of one drawing."""
    screens = tuple(
        ScreenOfRun(f"#{i}", ink, "43-80", 1, 54, f"0{i}-{ink}", f"c{number // 4:030x}{i}")
        for i, ink in enumerate(INKS)
    )
    setup = SetUpOfRun("front", "front, 280 mm", "front", "/art/a.svg", "0" * 64, 48, screens)
    grams = 1.0 + number % 7 / 7
    figures = [
        Figure(quantity, "g", k * grams, 0.8 * k * grams, 1.3 * k * grams, "front", s.key, s.ink)
        for k, s in enumerate(screens, start=1)
        for quantity in ("ink per print", "ink for the run", "pulls", "stays open", "ink used up")
    ]
    figures += [Figure("hours", "h", 5.0, 4.0, 7.0), Figure("stencil lasts", "pulls", 400.0)]
    day = FIRST + timedelta(number // 2)
    order = "# an order in force\n" * 300
    return Run(f"run {number}", day, order, (), "0.1.0", (setup,), tuple(figures))


def make(file: Path, runs: int) -> None:
    """Write a log of some runs, with what was seen, corrections and notes."""
    entries: list[tuple[New, str | None]] = []
    for number in range(runs):
        run, uid = a_run(number), f"{number:032x}"
        entries.append((replace(run.new(), uid=uid), None))
        if number % 3 == 0:
            inks = tuple(InkSeen(ink, 100.0 + number % 9, 40.0) for ink in INKS)
            entries.append((Seen(uid, run.name, run.day, inks, 1).new(), None))
        if number % 10 == 0:
            entries.append((replace(run, name=f"{run.name}, corrected").new(), uid))
        if number % 20 == 0:
            entries.append((Note(uid, run.name, run.day, "slow").new(), None))
    with writing(file) as store:
        store.add_all(entries)


def readings(file: Path) -> None:
    """Read what the fits need."""
    with reading(file) as store:
        store.readings()


def stencils(file: Path) -> None:
    """Count the pulls through the stencils of a run, as for a reorder."""
    run = a_run(0)
    with reading(file) as store:
        stencils_of(store, run)


def weighings(file: Path) -> None:
    """Put what was mixed and left beside what was predicted of it."""
    with reading(file) as store:
        pairs_of(store)


VIEWS: dict[str, Callable[[Path], None]] = {
    "list": lambda file: list_entries(False, 50, file, None, (), False),
    "list --all": lambda file: list_entries(True, 50, file, None, (), False),
    "list --json": lambda file: list_entries(False, 50, file, None, (), True),
    "show": lambda file: show_entry(1, False, file, None, (), False),
    "stencils": stencils,
    "readings": readings,
    "weighings": weighings,
}


def timed(view: Callable[[Path], None], file: Path) -> float:
    """Give the seconds a view takes, its output thrown away."""
    with contextlib.redirect_stdout(io.StringIO()):
        start = time.process_time()
        view(file)
        return time.process_time() - start


def race(runs: int, repeats: int, folder: Path) -> tuple[View, ...]:
    """Time all views."""
    large, small = folder / "large.sqlite", folder / "small.sqlite"
    make(large, runs)
    make(small, FEW)
    found = []
    for name, view in VIEWS.items():
        timed(view, small)  # imports
        pairs = [(timed(view, large), timed(view, small)) for _ in range(repeats)]
        larges, smalls = zip(*pairs, strict=True)
        found.append(View(name, larges, smalls))
    return tuple(found)


def main() -> int:
    """Print the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--runs", type=int, default=10_000)
    asked.add_argument("--repeats", type=int, default=5)
    given = asked.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        views = race(given.runs, given.repeats, Path(folder))
    print_table(
        f"{given.runs} runs",
        ("view", "seconds", f"times a log of {FEW}"),
        [(v.name, f"{statistics.median(v.large_s):.3f}", f"{v.ratio:.1f}") for v in views],
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
