"""Areas per colour against resvg's pixel counts, for real drawings of open sets and for our own.

The sets are fetched by ``fetch_art.py``; renderer and counting are in ``renderer.py``.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from fetch_art import ROOT, art_folder
from renderer import counted, painted, render
from svg_suite import Score, score_all

from prep.artwork import PrintSize
from prep.errors import InputError
from prep.guard import Guard
from prep.separations import separate
from prep.svg import read_svg
from prep.svg.proof import proof

ART = sorted(art_folder().glob("*/*.svg"))
OWN = sorted((ROOT / "artwork").glob("**/*.svg"))
RENDERER_ERRS = {
    # the renderer leaves a notch in a round stroke where a control point lies on its end point
    "-1FAB0.svg",
}
needs_art = pytest.mark.skipif(
    len(ART) < 40, reason="no drawings fetched; run tests/outside/fetch_art.py"
)


@pytest.fixture(scope="module")
def scores() -> list[Score]:
    """Score all fetched drawings once."""
    return score_all(ART)


@needs_art
def test_no_drawing_is_silently_wrong(scores: list[Score]) -> None:
    """Every colour's share is within half a percent of the artboard, or the file is refused."""
    bad = [one for one in scores if one.verdict not in ("right", "refused")]
    assert not bad
    assert Counter(one.verdict for one in scores)["right"] >= 0.9 * len(scores)


@needs_art
def test_drawings_have_many_colours() -> None:
    """At least 40 of the drawings have three colours or more: single shapes would prove little."""
    many = 0
    for file in ART[::4]:
        picture = render(file.read_bytes(), 200)
        many += picture is not None and len(counted(picture)) >= 3
    assert many >= 40


@needs_art
def test_refusals_name_element_reason_and_remedy(scores: list[Score]) -> None:
    """Each refusal is a line with the file, the element and its line, what it is and what to do."""
    refused = [one for one in scores if one.verdict == "refused"]
    assert refused
    for one in refused:
        for line in one.detail.split(" | "):
            assert line.startswith(f"{one.name}: ")
            assert ", line " in line
            assert "; " in line


def blobs(data: bytes, name: str) -> tuple[str, ...]:
    """Read a drawing 280 mm wide and prove it by place; runs in the worker."""
    try:
        artwork = read_svg(data, name=name, size=PrintSize(width_mm=280))
    except InputError:
        return ()
    visible = [(one.colour, one.region) for one in separate(artwork)]
    return tuple(one.what for one in proof(data, artwork, visible).differences)


@needs_art
def test_no_drawing_differs_by_place() -> None:
    """The proof finds no blob of a square millimetre that was read otherwise than it is drawn."""
    from test_areas_against_renderer import blobs as importable

    with Guard(seconds=30) as guard:
        found = {
            file.name: guard.run(importable, file.read_bytes(), file.name) for file in ART[1::4]
        }
    assert {name: what for name, what in found.items() if what and name not in RENDERER_ERRS} == {}


@pytest.mark.parametrize("file", OWN, ids=lambda file: file.name)
def test_our_designs(file: Path) -> None:
    """Our own designs: every colour within a thousandth of the artboard."""
    data = file.read_bytes()
    read = painted(read_svg(data, name=file.name, size=PrintSize()))
    picture = render(data, 3000)
    assert picture is not None
    drawn = counted(picture)
    assert read.keys() == drawn.keys()
    assert read == pytest.approx(drawn, abs=1e-3)
