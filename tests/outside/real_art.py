"""Reads real drawings of open sets and compares each with a renderer, by shares and by place.

    python tests/outside/fetch_art.py --whole
    python tests/outside/real_art.py [--whole] [--every N] [--only TEXT] [--list VERDICT]

Prints the verdicts by set and the refusals by reason, and fails on anything silently wrong or failed. All
drawings are read 280 mm wide, as a print over a chest, since none of them says how large it is.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from itertools import groupby
from pathlib import Path

from fetch_art import art_folder, whole_folder
from judging import VERDICTS, Drawing, Judgement, judge_all, reasons_table, table

WIDTH_MM = 280.0


def files_of(folder: Path) -> list[Path]:
    """Give the drawings of the sets in a folder."""
    return sorted(folder.glob("*/*.svg"))


def judge_files(
    files: Sequence[Path], workers: int = 2, width_mm: float = WIDTH_MM
) -> list[Judgement]:
    """Judge files, printed at a width."""
    drawings = [Drawing(f"{f.parent.name}/{f.name}", f.read_bytes(), width_mm) for f in files]
    return judge_all(drawings, workers)


def main(arguments: Sequence[str] | None = None) -> int:
    """Judge the sets; 1 if anything is silently wrong or fails."""
    parser = argparse.ArgumentParser(description="Read real drawings and compare them.")
    parser.add_argument("--whole", action="store_true", help="the whole sets, not the part for CI")
    parser.add_argument("--every", type=int, default=1, metavar="N", help="only each N-th drawing")
    parser.add_argument("--only", default="", help="only files whose path holds this")
    parser.add_argument("--list", choices=VERDICTS, help="list the drawings of one verdict")
    parser.add_argument("--workers", type=int, default=2, help="processes that read")
    options = parser.parse_args(arguments)
    files = files_of(whole_folder() if options.whole else art_folder())
    files = [file for file in files if options.only in str(file)][:: options.every]
    if not files:
        print("no drawings there; run tests/outside/fetch_art.py first", file=sys.stderr)
        return 2
    began = time.perf_counter()
    judgements = judge_files(files, options.workers)
    groups = groupby(judgements, key=lambda one: one.name.partition("/")[0])
    print(table((name, list(group)) for name, group in groups))
    print(f"{len(files)} drawings in {time.perf_counter() - began:.0f} s\n")
    print(reasons_table(judgements))
    for one in judgements:
        if one.verdict in ("wrong", "failed", options.list):
            print(f"{one.verdict}: {one.name}: {one.detail}")
    return 1 if any(one.verdict in ("wrong", "failed") for one in judgements) else 0


if __name__ == "__main__":
    sys.exit(main())
