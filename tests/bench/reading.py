"""Times reading and separating against svgelements, shapely and KLayout.

    python tests/outside/fetch_art.py --whole
    python tests/bench/reading.py [--small] [--repeats N] [--only PART ...]

**Reading and separating** is from a file's bytes to what shows of each colour. Theirs is the plain way with
svgelements and shapely (:mod:`naive`), to the same width and tolerance. Only files that both read alike are
timed: every colour's visible area within half a percent of the artboard. What ours refuses and what theirs
reads otherwise is counted beside. The ratio here is ours to theirs: below 1, ours is faster.

**Knocking out** is ``separate`` alone, its check that nothing is lost with it. Against it stand a cover
that grows from the top down, in shapely, and KLayout's booleans by halves, on a grid of 0.1 µm, with the
handing over of the shapes to KLayout. The ratio is theirs to ours: above 1, ours is faster.

All run in one thread. Memory is the largest the process had, with the libraries loaded, in a process of
its own. Without the fetched drawings the parts that need them say so and are left out.
"""

from __future__ import annotations

import argparse
import statistics
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import shapely

sys.path.insert(0, str(Path(__file__).parents[2]))

from prep.artwork import Artwork, PrintSize
from prep.errors import InputError
from prep.separations import separate
from prep.svg import read_svg
from tests.bench.made_svg import BOARD_MM, KINDS, heaped, overlapping
from tests.bench.naive import painted_of, read, separated, separated_by_klayout
from tests.bench.table import RACE_HEADINGS, exponent, peak_mb, print_table, race, seconds, timed
from tests.outside.fetch_art import art_folder, whole_folder

WIDTH_MM = 280.0
_ALIKE = 0.005
_SMALL_BYTES = 20_000
_LARGE = ("bo.svg", "es.svg", "rs.svg", "sv.svg")
_LAYERED = "rs.svg"


def ours(data: bytes, width_mm: float = WIDTH_MM) -> dict[str, float]:
    """Read and separate a drawing; give each colour's visible area in mm²."""
    artwork = read_svg(data, name="drawing.svg", size=PrintSize(width_mm=width_mm))
    return areas_of(artwork)


def areas_of(artwork: Artwork) -> dict[str, float]:
    """Separate an artwork; give each colour's visible area in mm²."""
    return {layer.colour: layer.region.area for layer in separate(artwork)}


def theirs(data: bytes, width_mm: float, height_mm: float, tolerance_mm: float) -> dict[str, float]:
    """Do the same with svgelements and shapely."""
    page = shapely.box(0, 0, width_mm, height_mm)
    return separated(read(data, width_mm, tolerance_mm), page)


def differ(one: dict[str, float], other: dict[str, float]) -> float:
    """Give the largest difference of a colour's area, in mm²."""
    colours = one.keys() | other.keys()
    return max((abs(one.get(c, 0.0) - other.get(c, 0.0)) for c in colours), default=0.0)


def _sides(data: bytes) -> tuple[Callable[[], object], Callable[[], object], int] | str:
    """Give both ways to read a drawing and its shapes' number, or why it isn't compared."""
    try:
        artwork = read_svg(data, name="drawing.svg", size=PrintSize(width_mm=WIDTH_MM))
    except InputError:
        return "refused"
    page = artwork.width_mm, artwork.height_mm

    def other() -> dict[str, float]:
        return theirs(data, *page, artwork.flattening_mm)

    try:
        found = other()
    except (ValueError, TypeError, AttributeError, RecursionError, shapely.errors.GEOSException):
        return "unread by theirs"
    if differ(areas_of(artwork), found) > _ALIKE * page[0] * page[1]:
        return "read otherwise by theirs"
    return (lambda: ours(data)), other, len(artwork.shapes)


def small_files(small: bool, repeats: int) -> None:
    """Compare on small files of all fetched sets."""
    files = [f for f in sorted(art_folder().glob("*/*.svg")) if f.stat().st_size < _SMALL_BYTES]
    if not files:
        print("\nReading small files: no drawings fetched (tests/outside/fetch_art.py)")
        return
    wanted = 6 if small else 80
    left: dict[str, int] = {}
    taken: list[tuple[float, float]] = []
    for file in files[:: max(1, len(files) // wanted)]:
        sides = _sides(file.read_bytes())
        if isinstance(sides, str):
            left[sides] = left.get(sides, 0) + 1
            continue
        found = race(sides[0], sides[1], repeats=repeats)
        taken.append((found.ours_s, found.theirs_s))
    ratios = sorted(a / b for a, b in taken)
    mine, others = sum(a for a, _ in taken), sum(b for _, b in taken)
    print_table(
        "Reading and separating small files (ours / theirs; at most 1.2 wanted)",
        ("files", "ours s", "theirs s", "total", "median", "largest"),
        [
            (
                len(taken),
                seconds(mine),
                seconds(others),
                f"{mine / others:.2f}",
                f"{statistics.median(ratios):.2f}",
                f"{ratios[-1]:.2f}",
            )
        ],
    )
    print("left out:", ", ".join(f"{count} {why}" for why, count in left.items()) or "none")


def large_files(small: bool, repeats: int) -> None:
    """Compare on drawings with 500 to 1000 overlapping shapes."""
    drawings: dict[str, bytes] = {}
    for name in () if small else _LARGE:
        file = _flag(name)
        if file is not None:
            drawings[name] = file.read_bytes()
    for shapes in (60,) if small else (500, 1000):
        for kind in ("heaped", "drawn"):
            drawings[f"{kind} {shapes}"] = KINDS[kind](shapes)
    rows = []
    for name, data in drawings.items():
        sides = _sides(data)
        if isinstance(sides, str):
            rows.append((name, "-", sides, "", ""))
            continue
        found = race(sides[0], sides[1], repeats=repeats)
        low, high = 1 / found.high, 1 / found.low
        rows.append(
            (
                name,
                sides[2],
                seconds(found.ours_s),
                seconds(found.theirs_s),
                f"{1 / found.ratio:.2f} ({low:.2f}-{high:.2f})",
            )
        )
    print_table(
        "Reading and separating many overlapping shapes (ours / theirs; at most 0.3 wanted)",
        ("drawing", "shapes", "ours s", "theirs s", "ratio"),
        rows,
    )


def many(small: bool, repeats: int) -> None:
    """Show how time grows up to 10,000 shapes, and the memory the largest needs."""
    sizes = (20, 50) if small else (1_000, 3_000, 10_000)
    rows = []
    for kind, make in KINDS.items():
        taken: list[tuple[float, float]] = []
        for shapes in sizes:
            data = make(shapes)
            ways = [_read_and_separate(data) for _ in range(repeats if shapes < sizes[-1] else 1)]
            reading = statistics.median(way[0] for way in ways)
            separating = statistics.median(way[1] for way in ways)
            taken.append((float(shapes), reading + separating))
            last = shapes == sizes[-1]
            peak = f"{peak_mb(_alone, kind, shapes)[0]:.0f}" if last else ""
            power = f"{exponent(taken[-2], taken[-1]):.2f}" if len(taken) > 1 else ""
            if last:
                power += f", {exponent(taken[0], taken[-1]):.2f} from the first"
            rows.append((kind, shapes, seconds(reading), seconds(separating), peak, power))
    print_table(
        "Many shapes (under 30 s, 1024 MB and a growth exponent of 1.3 wanted)",
        ("drawing", "shapes", "read s", "separate s", "peak MB", "exponent"),
        rows,
    )


def _read_and_separate(data: bytes) -> tuple[float, float]:
    size = PrintSize(width_mm=BOARD_MM)
    reading, artwork = timed(lambda: read_svg(data, name="many.svg", size=size))
    separating, _ = timed(lambda: separate(artwork))
    return reading, separating


def _alone(kind: str, shapes: int) -> int:
    return len(ours(KINDS[kind](shapes), BOARD_MM))


def knocking_out(small: bool, repeats: int) -> None:
    """Compare the separation alone."""
    drawings: dict[str, Artwork] = {
        f"{shapes} overlapping": overlapping(shapes)
        for shapes in ((100,) if small else (3_000, 10_000))
    }
    file = None if small else _flag(_LAYERED)
    if file is not None:
        flag = read_svg(file.read_bytes(), name=file.name, size=PrintSize(width_mm=WIDTH_MM))
        drawings[f"{file.name}, {len(flag.shapes)} layers"] = flag
    else:
        heap = heaped(40 if small else 460)
        drawings["heaped, in place of a flag"] = read_svg(
            heap, name="heaped.svg", size=PrintSize(width_mm=BOARD_MM)
        )
    rows = []
    for name, artwork in drawings.items():
        painted = painted_of(artwork)
        for other, way in (("KLayout", separated_by_klayout), ("naive", separated)):
            found = race(
                lambda artwork=artwork: areas_of(artwork),
                lambda painted=painted, way=way: way(painted),
                repeats=repeats if len(painted) < 5_000 else 1,
            )
            rows.append((name, other, *found.cells(), f"{differ(found.ours, found.theirs):.1e}"))
    print_table(
        "Knocking out (theirs / ours; on overlapping shapes at least 3 of KLayout's and 5 of the naive"
        " way's wanted, on a flag at least 1 of KLayout's)",
        ("drawing", "against", *RACE_HEADINGS, "apart mm²"),
        rows,
    )


def _flag(name: str) -> Path | None:
    for folder in (whole_folder(), art_folder()):
        file = folder / "flag-icons" / name
        if file.is_file():
            return file
    print(f"{name} isn't fetched (tests/outside/fetch_art.py --whole); left out", file=sys.stderr)
    return None


PARTS: dict[str, Callable[[bool, int], None]] = {
    "small": small_files,
    "large": large_files,
    "many": many,
    "knock-out": knocking_out,
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--small", action="store_true", help="small sizes only")
    parser.add_argument("--repeats", type=int, default=3)
    parser.add_argument("--only", nargs="+", choices=PARTS, default=list(PARTS))
    asked = parser.parse_args(arguments)
    for name in asked.only:
        PARTS[name](asked.small, asked.repeats)
    return 0


if __name__ == "__main__":
    sys.exit(main())
