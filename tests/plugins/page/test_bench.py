"""What is told while an order is reckoned, and when."""

from __future__ import annotations

import json
import tomllib
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from prep.errors import SettingsError
from prep.guard import Guard
from prep_page.bench import Bench, forget, make_files, reckon
from prep_page.dropped import lay_out
from prep_page.edits import Change
from prep_page.places import FILES, PICTURES, RESULT

from .conftest import FISH

FONT = Path(__file__).parents[3] / "prep" / "fonts" / "DejaVuSans.ttf"


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    """A bench, at a folder with an order of the fish."""
    monkeypatch.chdir(tmp_path)
    lay_out(tmp_path, [("fish.svg", FISH)])
    bench = Bench()
    yield bench
    for folder in list(bench.lines):
        bench.forget(folder)


def unheard(said: object) -> None:
    """Hear nothing."""


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


def test_the_picture_is_told_before_anything_is_measured(tmp_path: Path, bench: Bench) -> None:
    """Read, the fish is there with its areas; measured, with its finest; then with all that follows."""
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


NAME, GARMENT = ("name",), ("garment", 0, "name")
NO_SUCH_COLOUR = Change(("base", "under"), "toml", '["#123456"]')
"""Is read, and refused only by what is worked out of it."""
NO_WIDTH = Change(("print", 0, "width"), "text", "wide")
"""Is refused when it is read."""


@pytest.mark.parametrize("also", [(), (NO_WIDTH,)])
def test_what_is_refused_late_takes_no_other_change_with_it(
    tmp_path: Path, bench: Bench, also: tuple[Change, ...]
) -> None:
    """Each refused change is told with its number; the good ones hold, before and after it."""
    changes = (
        Change(NAME, "text", "lake fish"),
        NO_SUCH_COLOUR,
        *also,
        Change(GARMENT, "text", "night tee"),
    )
    refused = reckon(bench, unheard, folder=tmp_path, shop=None, changes=changes)
    assert [number for number, _ in refused] == [1, 2][: 1 + len(also)]
    assert "base.under" in refused[0][1][0]
    order = tomllib.loads((tmp_path / "order.toml").read_text())
    assert (order["name"], order["garment"][0]["name"]) == ("lake fish", "night tee")
    assert "base" not in order
    assert "width" not in order["print"][0]
    result = json.loads((tmp_path / RESULT).read_bytes())
    assert result["whole"]
    assert result["name"] == "lake fish"
    assert result["setups"][0]["garments"][0]["name"] == "night tee"


def test_one_change_refused_late_leaves_the_order_as_it_was(tmp_path: Path, bench: Bench) -> None:
    """Alone, it is told as what stopped the work; with one refused early, both are told."""
    before = (tmp_path / "order.toml").read_bytes()
    with pytest.raises(SettingsError, match="base.under"):
        reckon(bench, unheard, folder=tmp_path, shop=None, changes=[NO_SUCH_COLOUR])
    assert (tmp_path / "order.toml").read_bytes() == before
    both = [NO_WIDTH, NO_SUCH_COLOUR]
    refused = reckon(bench, unheard, folder=tmp_path, shop=None, changes=both)
    assert [number for number, _ in refused] == [0, 1]
    assert (tmp_path / "order.toml").read_bytes() == before


def test_the_archive_holds_all_that_its_order_names(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Fonts, and all artworks: dropped again, it opens with the same files."""
    one, two = tmp_path / "one", tmp_path / "two"
    one.mkdir()
    two.mkdir()
    order = (
        '[[print]]\nplace = "front"\nartwork = "fish.svg"\n'
        '[[print]]\nplace = "back"\nartwork = "back.svg"\n'
        "[[garment]]\nsizes = { M = 3 }\n"
        '[[font]]\nfamily = "Own"\nfile = "own.ttf"\n'
    )
    own = FONT.read_bytes()
    lay_out(
        one,
        [
            ("order.toml", order.encode()),
            ("fish.svg", FISH),
            ("back.svg", FISH + b"\n"),
            ("own.ttf", own),
        ],
    )
    monkeypatch.chdir(one)
    bench = Bench()
    make_files(bench, unheard, folder=one, shop=None)
    forget(bench, unheard, folder=one)
    data = (one / FILES / "everything.zip").read_bytes()
    lay_out(two, [("everything.zip", data)])
    with zipfile.ZipFile(one / FILES / "everything.zip") as archive:
        assert archive.read("own.ttf") == own
    for name in ("fish.svg", "back.svg", "own.ttf"):
        assert (two / name).read_bytes() == (one / name).read_bytes()
    monkeypatch.chdir(two)
    reckon(bench, unheard, folder=two, shop=None)
    forget(bench, unheard, folder=two)
    assert json.loads((two / RESULT).read_bytes())["whole"]


def test_what_is_forgotten_holds_no_worker(
    tmp_path: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An order's line goes with its workers; one that isn't remembered can be forgotten too."""
    warm: list[Guard] = []

    class Noted(Guard):
        def run(self, *call: Any, **named: Any) -> Any:
            warm.append(self)
            return super().run(*call, **named)

        def close(self) -> None:
            super().close()
            warm[:] = [one for one in warm if one is not self]

    monkeypatch.setattr("prep.line.Guard", Noted)
    reckon(bench, unheard, folder=tmp_path, shop=None)
    assert len(set(warm)) == 1
    forget(bench, unheard, folder=tmp_path)
    assert not bench.lines
    assert not warm
    forget(bench, unheard, folder=tmp_path)


def test_pictures_stay_while_a_window_may_come_to_them(tmp_path: Path) -> None:
    """Three results' pictures stay; one that is shown again isn't taken away with the first that had it."""
    bench = Bench()
    gone = [bench.shows(tmp_path, named) for named in ({"a", "b"}, {"b"}, {"c"}, {"b", "d"}, {"e"})]
    assert gone == [set(), set(), set(), {"a"}, set()]
    bench.forget(tmp_path)
    assert bench.shows(tmp_path, {"f"}) == set()
