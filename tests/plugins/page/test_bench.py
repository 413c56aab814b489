"""What is told while an order is reckoned, and when."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from prep_page.bench import Bench, reckon
from prep_page.dropped import lay_out
from prep_page.edits import Change
from prep_page.places import PICTURES, RESULT

from .conftest import FISH


def told(folder: Path, bench: Bench, *changes: Change) -> list[tuple[str, dict[str, Any]]]:
    """Reckon, and give each result with the step that was said before it."""
    results: list[tuple[str, dict[str, Any]]] = []
    step = ""

    def say(said: tuple[Any, ...]) -> None:
        nonlocal step
        if said[0] == "step":
            step = said[1]
        else:
            results.append((step, json.loads((folder / RESULT).read_bytes())))

    reckon(bench, say, folder=folder, shop=None, changes=changes)
    return results


def test_the_picture_is_told_before_anything_is_measured(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Read, the fish is there with its areas; measured, with its finest; then with all that follows."""
    monkeypatch.chdir(tmp_path)
    lay_out(tmp_path, [("fish.svg", FISH)])
    bench = Bench()
    results = told(tmp_path, bench)
    step, early = results[0]
    assert step in ("reading fish.svg", "comparing with fish.svg")
    (setup,) = early["setups"]
    assert not early["whole"]
    assert not setup["done"]
    assert setup["size_mm"] == pytest.approx([60, 40])
    dot = next(one for one in setup["colours"] if one["hex"] == "#c0392b")
    assert dot["area_mm2"] == pytest.approx(3.14159265 * 0.4**2, rel=0.01)
    assert dot["pieces"] == 1
    assert "finest_opening_mm" not in dot
    picture = (tmp_path / PICTURES / f"{setup['design']['picture']}.svg").read_text()
    assert "#1f5a3c" in picture
    measured = results[1][1]["setups"][0]
    assert all("finest_opening_mm" in one for one in measured["colours"])
    assert [one["whole"] for _, one in results] == [False, False, False, True]
    # what is shown already isn't taken away for less
    again = told(tmp_path, bench, Change(("garment", 0, "colour"), "text", "#eeeeee"))
    assert all("finest_opening_mm" in one["setups"][0]["colours"][0] for _, one in again)
