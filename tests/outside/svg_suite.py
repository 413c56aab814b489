"""Scores the reader on a folder of conformance files, and fails on any silent error.

    FIRSTPULL_SVG_SUITE=FOLDER python tests/outside/svg_suite.py [--list VERDICT]

Files are named ``folder__feature__case.svg``. A file is right when every colour's share of the artboard
is within 0.5 points of what resvg draws (:mod:`renderer`); refused when the reader refuses it in words;
wrong when it is read and a share is further off; failed when the reader crashes or runs out of time.
Each file is read as the command does it, in the guard's worker.
"""

from __future__ import annotations

import argparse
import os
import re
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from renderer import difference, painted

from prep.artwork import PrintSize
from prep.errors import InputError, PrepError, WorkStopped
from prep.guard import Guard
from prep.svg import read_svg

SUITE = "FIRSTPULL_SVG_SUITE"
TOLERANCE = 0.005
VERDICTS = ("right", "refused", "unproven", "wrong", "failed")
_WORKERS = 2
_SECONDS = 20.0


def _quarter_millimetres(data: bytes) -> bytes:
    return re.sub(rb"([0-9.]+)q\b", lambda m: b"%.6fmm" % (float(m[1]) / 4), data, flags=re.I)


FOR_THE_RENDERER = {
    # resvg doesn't know the unit Q; CSS Values and Units Level 3, 6.2 has it: 40 Q are 1 cm
    "shapes__rect__q-values.svg": _quarter_millimetres,
}
"""Files the renderer is shown in other words, because it lacks what the standard has."""


@dataclass(frozen=True, slots=True)
class Score:
    """What became of one file.

    :param verdict: one of :data:`VERDICTS`; unproven: the renderer itself refuses it
    """

    name: str
    verdict: str
    detail: str


def score(path: str) -> Score:
    """Read one file and compare it; runs in the worker."""
    file = Path(path)
    data = file.read_bytes()
    try:
        artwork = read_svg(data, name=file.name, size=PrintSize())
    except InputError as error:
        return Score(file.name, "refused", " | ".join(error.lines()))
    shown = FOR_THE_RENDERER.get(file.name, bytes)(data)
    found = difference(painted(artwork), shown, TOLERANCE)
    if found is None:
        return Score(file.name, "unproven", "the renderer refuses it")
    share, colour = found
    verdict = "right" if share <= TOLERANCE else "wrong"
    return Score(file.name, verdict, f"{100 * share:.2f} % in {colour or 'nothing'}")


def score_all(files: Sequence[Path]) -> list[Score]:
    """Score files with two warm workers."""

    def run(part: Iterable[Path]) -> list[Score]:
        from svg_suite import score as importable  # the worker imports it by this name

        scores = []
        with Guard(seconds=_SECONDS) as guard:
            for file in part:
                try:
                    scores.append(guard.run(importable, str(file)))
                except WorkStopped as error:
                    scores.append(Score(file.name, "failed", str(error)))
                except PrepError as error:
                    scores.append(Score(file.name, "failed", f"{error}"))
        return scores

    with ThreadPoolExecutor(_WORKERS) as pool:
        parts = pool.map(run, [files[start::_WORKERS] for start in range(_WORKERS)])
        return sorted((one for part in parts for one in part), key=lambda one: one.name)


def table(scores: Iterable[Score]) -> str:
    """Give the counts by feature folder."""
    rows: dict[str, Counter[str]] = defaultdict(Counter)
    for one in scores:
        rows["/".join(one.name.split("__")[:2])][one.verdict] += 1
    total = sum(rows.values(), Counter[str]())
    lines = [f"{'':34}" + "".join(f"{verdict:>10}" for verdict in VERDICTS)]
    for name, counts in [*sorted(rows.items()), ("all", total)]:
        lines.append(f"{name:34}" + "".join(f"{counts[verdict]:>10}" for verdict in VERDICTS))
    return "\n".join(lines)


def main(arguments: Sequence[str] | None = None) -> int:
    """Score the suite; 1 if anything is silently wrong or fails."""
    parser = argparse.ArgumentParser(description="Score the SVG reader on conformance files.")
    parser.add_argument("--list", choices=VERDICTS, help="list the files of one verdict")
    parser.add_argument("--only", default="", help="only files whose name holds this")
    options = parser.parse_args(arguments)
    folder = os.environ.get(SUITE)
    if not folder:
        print(f"{SUITE} names no folder", file=sys.stderr)
        return 2
    files = sorted(p for p in Path(folder).glob("*.svg*") if options.only in p.name)
    scores = score_all(files)
    print(table(scores))
    for one in scores:
        if one.verdict in ("wrong", "failed", options.list):
            print(f"{one.verdict}: {one.name}: {one.detail}")
    return 1 if any(one.verdict in ("wrong", "failed") for one in scores) else 0


if __name__ == "__main__":
    sys.exit(main())
