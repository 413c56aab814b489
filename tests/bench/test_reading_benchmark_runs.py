"""The benchmarks of reading and separating still work, and both sides give the same. Nothing is timed."""

from __future__ import annotations

import pytest

from prep.artwork import PrintSize
from prep.separations import separate
from prep.svg import read_svg
from tests.bench.made_svg import BOARD_MM, KINDS, heaped, overlapping
from tests.bench.naive import painted_of, separated, separated_by_klayout
from tests.bench.reading import areas_of, differ, main, ours, theirs


@pytest.mark.parametrize("part", ["large", "many", "knock-out"])
def test_a_table_is_printed(part: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The command prints a row for each small case."""
    assert main(["--small", "--repeats", "1", "--only", part]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert any("separate s" in line or "ratio" in line for line in lines[:3])
    assert len(lines) > 4
    assert "otherwise" not in "".join(lines)


@pytest.mark.parametrize("kind", KINDS)
def test_both_read_the_same(kind: str) -> None:
    """Ours and the plain way with svgelements give each colour the same area."""
    data = KINDS[kind](40)
    artwork = read_svg(data, name=f"{kind}.svg", size=PrintSize())
    found = ours(data, BOARD_MM)
    other = theirs(data, BOARD_MM, BOARD_MM, artwork.flattening_mm)
    assert len(found) > 2
    assert found.keys() == other.keys()
    # curves are cut at other places, each within the tolerance of the curve
    around = sum(layer.region.length for layer in separate(artwork))
    assert differ(found, other) < artwork.flattening_mm * around


@pytest.mark.parametrize("kind", ["overlapping", "heaped"])
def test_all_ways_of_separating_agree(kind: str) -> None:
    """The growing cover gives the same areas, KLayout's booleans the same but for their grid."""
    artwork = (
        overlapping(80)
        if kind == "overlapping"
        else read_svg(heaped(60), name="heaped.svg", size=PrintSize())
    )
    mine = areas_of(artwork)
    assert len(mine) == 6
    assert differ(mine, separated(painted_of(artwork))) < 1e-7
    assert differ(mine, separated_by_klayout(painted_of(artwork))) < 0.02
    assert sum(mine.values()) > 0.9 * BOARD_MM**2


def test_drawings_are_the_same_each_time() -> None:
    """What is timed doesn't change from run to run, and has as many shapes as asked for."""
    for make in KINDS.values():
        assert make(30) == make(30)
    assert heaped(30).count(b"<path") == 30
    assert len(overlapping(30).shapes) == 30
