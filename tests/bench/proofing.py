"""Times the whole command with and without its proof, on artwork as it comes.

    python tests/bench/proofing.py [FOLDER ...] [--files 12] [--repeats 3] [--small]

``prep measure`` is run as a printer runs it, start of the process and of its worker included, in turn
with and without ``--no-proof``. The share is what the proof adds, in parts of the whole; it is to stay
under one half. Without folders the demo artwork is taken, and what tests/outside/fetch_art.py fetched.
Files that are refused are passed over and counted.
"""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from table import print_table, seconds, timed

_HERE = Path(__file__).resolve().parents[2]
_MOST = 0.5


@dataclass(frozen=True, slots=True)
class Share:
    """What the proof adds to one file's command.

    :param with_s: median seconds with it
    :param without_s: median seconds without
    """

    name: str
    with_s: float
    without_s: float

    @property
    def share(self) -> float:
        """What the proof takes of the whole."""
        return max(0.0, 1 - self.without_s / self.with_s)


def share_of(file: Path, repeats: int) -> Share | None:
    """Time one file; None when it is refused."""
    command = [sys.executable, "-P", "-c", "from prep.cli import main; main()", "measure"]
    command += [str(file), "--width", "280 mm", "--json"]
    both: tuple[list[float], list[float]] = ([], [])
    for _ in range(repeats):
        for taken, more in zip(both, ((), ("--no-proof",)), strict=True):
            took, ended = timed(
                lambda more=more: subprocess.run(  # type: ignore[misc]  # mypy can't type it
                    [*command, *more], capture_output=True, check=False
                )
            )
            if ended.returncode:
                return None
            taken.append(took)
    return Share(file.name, statistics.median(both[0]), statistics.median(both[1]))


def artwork(folders: Sequence[Path], files: int) -> list[Path]:
    """Give so many files of the folders, spread evenly over them."""
    found = sorted(file for folder in folders for file in folder.rglob("*.svg"))
    step = max(1, len(found) // max(1, files))
    return found[::step][:files]


def main(arguments: Sequence[str]) -> int:
    """Print the table; give 1 when the proof takes more than half of all commands together."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("folders", nargs="*", type=Path)
    parser.add_argument("--files", type=int, default=12)
    parser.add_argument("--repeats", type=int, default=3)
    parser.add_argument("--small", action="store_true", help="the demo artwork alone, once")
    asked = parser.parse_args(arguments)
    folders = asked.folders or [_HERE / ".cache" / "art"]
    repeats = 1 if asked.small else asked.repeats
    chosen = artwork([_HERE / "artwork"], 9)
    if not asked.small:
        chosen += artwork(folders, asked.files)
    shares = [share_of(file, repeats) for file in chosen]
    timed_files = [share for share in shares if share is not None]
    print_table(
        "The proof's share of prep measure",
        ("artwork", "with s", "without s", "share"),
        [(s.name, seconds(s.with_s), seconds(s.without_s), f"{s.share:.0%}") for s in timed_files],
    )
    whole, without = (
        sum(getattr(s, side) for s in timed_files) for side in ("with_s", "without_s")
    )
    share = 1 - without / whole
    print(f"\nall together {share:.0%}; largest {max(s.share for s in timed_files):.0%};", end=" ")
    print(f"{len(shares) - len(timed_files)} of {len(shares)} files refused")
    return int(share > _MOST)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
