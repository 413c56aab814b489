"""The benchmark of the ink still works; no time is judged here."""

from __future__ import annotations

import pytest

from tests.bench.drawings import vertices_of
from tests.bench.inking import COLOURS, STAGES, drawings, main, run_of


def test_the_table_is_printed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command prints every stage, with measuring as its own measure."""
    monkeypatch.setattr("sys.argv", ["inking.py", "--vertices", "60", "--repeats", "1"])
    assert main() == 0
    lines = capsys.readouterr().out.splitlines()
    for stage in STAGES:
        assert sum(line.startswith(f"{stage}  ") for line in lines) == 1
    (measuring,) = (line for line in lines if line.startswith("measuring  "))
    assert measuring.split()[2] == "1.0000"


def test_the_screens_are_unlike_and_have_vertices_as_asked() -> None:
    """Four regions, the same every time, each with at least nine tenths of what is asked, none twice."""
    regions = drawings(6000)
    assert len({region.wkb for region in regions}) == len(COLOURS) == 4
    assert [region.wkb for region in drawings(6000)] == [region.wkb for region in regions]
    for region in regions:
        assert 0.9 * 6000 <= vertices_of(region) <= 1.2 * 6000
        assert region.is_valid


def test_what_is_timed_is_the_ink_of_every_screen_with_its_interval() -> None:
    """Each screen has grams with a range, of the area that was measured."""
    regions = drawings(60)
    run = run_of(regions)
    assert len(run.taken_s) == len(STAGES)
    for colour, region in zip(COLOURS, regions, strict=True):
        found = run.ink[colour]
        assert 0 < found.per_print_g.low < found.per_print_g.value < found.per_print_g.high
        volume_ml = found.mean_deposit_um.value * region.area * 1e-6
        grams = volume_ml * found.density_g_per_ml.value
        assert found.per_print_g.value == pytest.approx(grams, rel=1e-6)
