"""Random drawings and damaged real ones, read and compared with a renderer.

    python tests/outside/fuzz.py [--drawings N] [--mutated N] [--seed N] [--out FOLDER]
    python tests/outside/fuzz.py --replay FILE ...

Random drawings (:mod:`random_svg`) must be read as the renderer draws them, by shares and by place, or be
refused in words. Real drawings with faults (:mod:`damage`) likewise. Nothing may end in a traceback, or
take longer than ten seconds. Each failure is made smaller, printed and laid into the folder; ``--replay``
judges such a file again. The same seed makes the same drawings.
"""

from __future__ import annotations

import argparse
import random
import re
import sys
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from damage import damaged
from fetch_art import ROOT, art_folder
from judging import Drawing, Judgement, guarded, judge_all, judged, reasons_table, table
from lxml import etree
from random_svg import random_drawing
from reducing import reduced

WIDTH_MM = 200.0
_LARGEST = 30_000  # bytes of a drawing to damage
_FAR = 8  # times the page
_PLACING = frozenset(("d", "points", "transform", "x", "y", "width", "height", "r", "rx", "ry"))
_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_TOLD = 4_000  # bytes of a failure that are printed


def random_drawings(count: int, seed: int) -> list[Drawing]:
    """Give random drawings; each hangs on the seed and its number alone."""
    return [
        Drawing(f"random-{n}.svg", random_drawing(random.Random(f"{seed} {n}")), None, False)
        for n in range(count)
    ]


def mutated_drawings(count: int, seed: int) -> list[Drawing]:
    """Give real drawings with faults, by turns of those that were fetched and our own."""
    files = [*sorted((ROOT / "artwork").glob("**/*.svg")), *sorted(art_folder().glob("*/*.svg"))]
    files = [file for file in files if file.stat().st_size <= _LARGEST]
    made = []
    for number in range(count):
        dice = random.Random(f"{seed} {number}")
        data = damaged(dice.choice(files).read_bytes(), dice)
        made.append(Drawing(f"mutated-{number}.svg", data, WIDTH_MM, False))
    return made


def _too_far(drawing: Drawing) -> bool:
    """Say whether a drawing reaches so far out that the renderer's 32-bit numbers lose its curves."""
    root = etree.fromstring(drawing.data)
    view = [abs(float(part)) for part in _NUMBER.findall(root.get("viewBox", ""))]
    said = " ".join(
        str(value)
        for element in root.iter(etree.Element)
        for name, value in element.attrib.items()
        if element is not root and name in _PLACING
    )
    return any(abs(float(part)) > _FAR * max(view, default=100.0) for part in _NUMBER.findall(said))


def settled(drawing: Drawing, judgement: Judgement) -> Judgement:
    """Hold nothing against a reading that the renderer can't be trusted with."""
    if judgement.verdict != "wrong" or not _too_far(drawing):
        return judgement
    return replace(judgement, verdict="unproven", detail=f"too far out: {judgement.detail}")


def judge_drawings(made: Sequence[Drawing], workers: int = 2) -> list[Judgement]:
    """Judge drawings with several warm workers."""
    return list(map(settled, made, judge_all(made, workers)))


def failures(
    made: Sequence[Drawing], judgements: Sequence[Judgement]
) -> list[tuple[Drawing, Judgement]]:
    """Give the drawings that were read wrongly or not ended in words."""
    pairs = zip(made, judgements, strict=True)
    return [pair for pair in pairs if pair[1].verdict in ("wrong", "failed")]


def _ways(judgement: Judgement) -> set[str]:
    """Give what distinguishes failures, without numbers and places."""
    if judgement.verdict == "failed":
        return {judgement.detail.partition("\n")[0][:40]}
    return set(
        re.findall("should be .*?, but was read as [^;]*|#.{6} was read as", judgement.detail)
    )


def smaller(drawing: Drawing, judgement: Judgement) -> Drawing:
    """Give a smaller drawing that fails in the same way."""
    wanted = _ways(judgement)

    with guarded() as guard:

        def fails(data: bytes) -> bool:
            again = Drawing(drawing.name, data, drawing.width_mm, False)
            found = settled(again, judged(guard, again))
            return found.verdict == judgement.verdict and bool(_ways(found) & wanted)

        least = reduced(drawing.data, fails)
    return Drawing(drawing.name, least, drawing.width_mm, False)


def _run(kind: str, made: list[Drawing], out: Path) -> tuple[list[Judgement], int]:
    began = time.perf_counter()
    judgements = judge_drawings(made)
    print(table([(kind, judgements)]))
    print(f"{len(made)} drawings in {time.perf_counter() - began:.0f} s\n")
    print(reasons_table(judgements))
    for one in judgements:
        if one.verdict == "unproven":
            print(f"unproven: {one.name}: {one.detail[:200]}")
    found = failures(made, judgements)
    known: set[str] = set()
    for drawing, judgement in found:
        ways = _ways(judgement)
        if ways <= known:  # one of a kind is enough to be made smaller
            continue
        known |= ways
        least = smaller(drawing, judgement)
        out.mkdir(parents=True, exist_ok=True)
        (out / drawing.name).write_bytes(least.data)
        print(f"\n{judgement.verdict}: {judgement.name}: {judgement.detail}")
        print(f"  {least.data[:_TOLD]!r}")
    return judgements, len(found)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run; 1 if anything fails."""
    parser = argparse.ArgumentParser(description="Read random and damaged drawings.")
    parser.add_argument("--drawings", type=int, default=0, metavar="N", help="random drawings")
    parser.add_argument("--mutated", type=int, default=0, metavar="N", help="damaged real ones")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--out", type=Path, default=ROOT / ".cache" / "fuzz", metavar="FOLDER")
    parser.add_argument("--replay", type=Path, nargs="+", metavar="FILE", help="judge files again")
    options = parser.parse_args(arguments)
    count = 0
    if options.replay:
        made = [
            Drawing(f.name, f.read_bytes(), WIDTH_MM if "mutated" in f.name else None, False)
            for f in options.replay
        ]
        judgements = judge_drawings(made)
        for one in judgements:
            print(f"{one.verdict}: {one.name}: {one.detail}")
        count += len(failures(made, judgements))
    if options.drawings:
        drawn = random_drawings(options.drawings, options.seed)
        count += _run("random", drawn, options.out)[1]
    if options.mutated:
        count += _run("mutated", mutated_drawings(options.mutated, options.seed), options.out)[1]
    return 1 if count else 0


if __name__ == "__main__":
    sys.exit(main())
