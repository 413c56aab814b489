"""The benchmark of the sheet still works; no time is judged here."""

from __future__ import annotations

import pytest

from tests.bench.typesetting import ARTWORK, STAGES, empty, main, pages_of


def test_the_table_is_printed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command prints every stage, with measuring as its own measure, and both parts make the sheet."""
    drawing = str(ARTWORK / "two-finches" / "sleeve.svg")
    asked = ["typesetting.py", "--artwork", drawing, "--width", "80 mm", "--repeats", "1"]
    monkeypatch.setattr("sys.argv", asked)
    assert main() == 0
    lines = capsys.readouterr().out.splitlines()
    assert any("2 screens" in line for line in lines)
    took = {}
    for stage in STAGES:
        (line,) = (line for line in lines if line.startswith(f"{stage}  "))
        took[stage] = float(line.removeprefix(stage).split()[0])
    (measuring,) = (line for line in lines if line.startswith("measuring  "))
    assert measuring.split()[2] == "1.000"
    assert took["sheet"] == pytest.approx(took["composing"] + took["typesetting"], rel=0.02)


@pytest.mark.parametrize("pages", [1, 7])
def test_the_empty_document_has_pages_as_asked(pages: int) -> None:
    """As many as the sheet it is held against."""
    assert pages_of(empty(pages)) == pages
