"""Times what somebody at the page waits for, beside the first reckoning of the same order.

    python tests/bench/paging.py [--vertices 100000]

Seconds of the clock, as one waits for them, once each: the page itself from its start to its first answer,
beside a Python that does nothing; the three demo orders from the drop to the last figure, and then again
after one change after the other; likewise a drawing of four colours with so many vertices in all. ``first``
is the time to the first figures and the picture, ``all`` to the last figure, ``steps`` how often it was
said what was done; each has its ratio to the whole first reckoning of the same order, and the page's start
that to the bare Python.
"""

from __future__ import annotations

import argparse
import http.client
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

sys.path.insert(0, str(Path(__file__).parents[2]))

from prep.pictures import path_data
from prep.remembered import forget
from prep_page.bench import Bench
from prep_page.calls import reckon
from prep_page.dropped import lay_out
from prep_page.edits import Change
from prep_page.places import ORDER
from tests.bench.drawings import vertices_of
from tests.bench.inking import drawings
from tests.bench.table import print_table, seconds

DEMO = Path(__file__).parents[2] / "artwork"
CHANGES: tuple[tuple[str, Change], ...] = (
    ("one shirt more", Change(("garment", 0, "sizes", "M"), "number", "15")),
    ("more ink in reserve", Change(("ink", "reserve"), "text", "23 %")),
    ("retarder", Change(("mix", "additives", "retarder"), "text", "3 %")),
    ("a fan in the room", Change(("drying", "climate"), "toml", '["fan on the screens"]')),
    ("another garment colour", Change(("garment", 0, "colour"), "text", "#2b3144")),
    ("another width", Change(("print", 0, "width"), "text", "231 mm")),
)
"""Changes that every order takes; with them goes :func:`another_mesh`."""
Row = tuple[str, str, str, str, str, str]
COLOURS = ("#1d3557", "#e63946", "#f1c453", "#2a9d8f")


@dataclass(frozen=True, slots=True)
class Waited:
    """Seconds to the first figures and to the last, and how often it was said what was being done."""

    first_s: float
    all_s: float
    said: int


def waited(bench: Bench, folder: Path, changes: Sequence[Change] = ()) -> Waited:
    """Reckon an order that lies in a folder, with the demo's shop."""
    began, parts, steps = time.perf_counter(), list[float](), 0

    def say(said: tuple[Any, ...]) -> None:
        nonlocal steps
        if said[0] == "part":
            parts.append(time.perf_counter() - began)
        else:
            steps += 1

    shop = DEMO / "shop.toml"
    reckon(bench, say, folder=folder, shop=shop, changes=changes, shown=0)
    return Waited(parts[0], time.perf_counter() - began, steps)


def another_mesh(folder: Path) -> tuple[str, Change]:
    """Give the change of the first colour's mesh to another that the shop has."""
    order = tomllib.loads((folder / ORDER).read_text("utf-8"))
    shop = tomllib.loads((DEMO / "shop.toml").read_text("utf-8"))
    first = order["print"][0].get("colour", [{"hex": COLOURS[0]}])[0]
    mesh = next(one["name"] for one in shop["mesh"] if one["name"] != first.get("mesh"))
    return "another mesh", Change(("print", 0, "colour", first["hex"], "mesh"), "text", mesh)


def rows_of(said: str, folder: Path) -> Iterator[Row]:
    """Reckon an order from the start and then after each change, those before it left as they are."""
    bench, changes = Bench(), (*CHANGES, another_mesh(folder))
    forget()
    whole = waited(bench, folder)
    yield _row(said, whole, whole)
    for name, change in changes:
        yield _row(f"  {name}", waited(bench, folder, [change]), whole)


def start_s() -> tuple[float, float]:
    """Give seconds from the start of the page to its first answer, and those of a bare Python."""
    began = time.perf_counter()
    subprocess.run([sys.executable, "-c", "pass"], check=True)
    bare = time.perf_counter() - began
    began = time.perf_counter()
    command = [sys.executable, "-m", "prep", "page", "--no-browser"]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as page:
        assert page.stdout is not None
        address = urlsplit(page.stdout.readline().strip())
        connection = http.client.HTTPConnection("127.0.0.1", address.port, timeout=60)
        connection.request("GET", f"/?{address.query}")
        answered = connection.getresponse().status
        taken = time.perf_counter() - began
        connection.close()
        page.terminate()
    assert answered == 303, answered
    return taken, bare


def made_drawing(vertices: int) -> bytes:
    """Give a drawing of four colours."""
    paths = "".join(
        f'<path fill="{colour}" fill-rule="evenodd" d="{path_data(region)}"/>'
        for colour, region in zip(COLOURS, drawings(vertices // 4), strict=True)
    )
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="300mm"'
        f' viewBox="0 0 300 300">{paths}</svg>'
    ).encode()


def paging(folder: Path, vertices: int, orders: Sequence[str]) -> None:
    """Print the table."""
    taken, bare = start_s()
    rows: list[Row] = [
        ("page, to its first answer", seconds(taken), f"{taken / bare:.2f}", "", "", ""),
        ("bare Python", seconds(bare), "1.00", "", "", ""),
    ]
    for name in orders:
        place = folder / name
        shutil.copytree(DEMO / name, place)
        rows += rows_of(f"{name}, dropped", place)
    place = folder / "made"
    place.mkdir()
    drawing = made_drawing(vertices)
    lay_out(place, [("made.svg", drawing)])
    assert (place / ORDER).is_file()
    drawn = sum(vertices_of(region) for region in drawings(vertices // 4))
    rows += rows_of(f"drawing of {drawn:,} vertices", place)
    head = ("", "first s", "ratio", "all s", "ratio", "steps")
    print_table("waiting at the page", head, rows)


def _row(name: str, waited: Waited, whole: Waited) -> Row:
    return (
        name,
        seconds(waited.first_s),
        f"{waited.first_s / whole.all_s:.3f}",
        seconds(waited.all_s),
        f"{waited.all_s / whole.all_s:.3f}",
        str(waited.said),
    )


def main() -> int:
    """Run the command."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--vertices", type=int, default=100_000)
    parser.add_argument("--orders", nargs="*", default=["pea-pod", "dandelion", "two-finches"])
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        paging(Path(folder), given.vertices, given.orders)
    return 0


if __name__ == "__main__":
    sys.exit(main())
