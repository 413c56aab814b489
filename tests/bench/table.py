"""Times two ways of doing one thing side by side and prints what came of it as a table.

Both ways run in turn in the same process, so that a busy machine slows both alike. Seconds are the
processor's, of all threads together; they are medians, and the spread beside a ratio says how far the runs'
own ratios lay apart.
"""

from __future__ import annotations

import contextlib
import itertools
import math
import multiprocessing
import resource
import statistics
import sys
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from prep.remembered import forget


@dataclass(frozen=True, slots=True)
class Race:
    """What two ways took.

    :param ours_s: median seconds
    :param theirs_s: median seconds of the way compared with
    :param low: least ratio of one run, theirs / ours
    :param high: largest ratio of one run
    :param ours: what our way gave
    :param theirs: what theirs gave
    """

    ours_s: float
    theirs_s: float
    low: float
    high: float
    ours: Any
    theirs: Any

    @property
    def ratio(self) -> float:
        """How many times as long theirs takes."""
        return self.theirs_s / self.ours_s

    def cells(self) -> tuple[str, str, str, str]:
        """Give our seconds, their seconds, the ratio and its spread, as text."""
        return (
            seconds(self.ours_s),
            seconds(self.theirs_s),
            f"{self.ratio:.2f}",
            f"{self.low:.2f}-{self.high:.2f}",
        )


_FIRST_WIDE = 34
_WIDE = 8
_LONG_S = 10.0
RACE_HEADINGS = ("ours s", "theirs s", "ratio", "spread")


def race(ours: Callable[[], Any], theirs: Callable[[], Any], *, repeats: int) -> Race:
    """Run both in turn, after one run of each that isn't counted.

    Where the other way takes more than 10 s, the first run is the only one, and counts.

    :param repeats: how many times each is timed
    """
    taken: list[tuple[float, float]] = []
    for run in range(repeats + 1):
        ours_s, ours_gave = timed(ours)
        theirs_s, theirs_gave = timed(theirs)
        taken.append((ours_s, theirs_s))
        if theirs_s > _LONG_S or run == repeats:
            break
    taken = taken[1:] or taken
    ratios = [b / a for a, b in taken]
    return Race(
        statistics.median(a for a, _ in taken),
        statistics.median(b for _, b in taken),
        min(ratios),
        max(ratios),
        ours_gave,
        theirs_gave,
    )


def timed(call: Callable[[], Any]) -> tuple[float, Any]:
    """Give the processor seconds a call takes with nothing kept from before, and what it gives."""
    forget()
    began = time.process_time()
    gave = call()
    return time.process_time() - began, gave


def seconds(value: float) -> str:
    """Give seconds with three figures that count."""
    return f"{value:.3g}"


def peak_mb(call: Callable[..., Any], *arguments: Any) -> tuple[float, Any]:
    """Run a call in a fresh process of its own; give its largest memory in MB, and what it gave.

    :param call: a function at the top of a module, so that the process can find it; what it gives
        must travel between processes
    """
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        return pool.apply(_with_peak, (call, arguments))


def _with_peak(call: Callable[..., Any], arguments: tuple[Any, ...]) -> tuple[float, Any]:
    gave = call(*arguments)
    return _own_peak_mb(), gave


def _own_peak_mb() -> float:
    """Give this process's largest memory; Linux's getrusage counts what its parent had at the start too."""
    with contextlib.suppress(FileNotFoundError):
        for line in Path("/proc/self/status").read_text().splitlines():
            if line.startswith("VmHWM:"):
                return float(line.split()[1]) / 1024
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (1024**2 if sys.platform == "darwin" else 1024)


def exponent(small: tuple[float, float], large: tuple[float, float]) -> float:
    """Give the power of the size by which the time grows; each is (size, seconds)."""
    return math.log(large[1] / small[1]) / math.log(large[0] / small[0])


def print_table(title: str, headings: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Print rows under their headings as they come; the first column to the left, the others right."""
    widths = [_FIRST_WIDE, *(max(len(heading), _WIDE) for heading in headings[1:])]
    print(f"\n{title}")
    for row in itertools.chain([headings, ["-" * width for width in widths]], rows):
        first, *others = (str(cell) for cell in row)
        cells = [cell.rjust(width) for cell, width in zip(others, widths[1:], strict=True)]
        print("  ".join([first.ljust(widths[0]), *cells]), flush=True)
