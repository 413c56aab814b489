"""Styles restated for the proof's renderer: drawn as read, while what is read wrong is still found."""

from __future__ import annotations

import pytest
import shapely
from shapely import MultiPolygon
from shapely.affinity import translate

from prep.artwork import Artwork, PrintSize
from prep.separations import separate
from prep.svg import read_svg
from prep.svg.older_css import older_transform
from prep.svg.proof import Proof, proof

TWO = (
    '<g><rect class="a" x="10" y="10" width="30" height="30"/>'
    '<rect class="b" id="i" x="50" y="10" width="30" height="30"/></g>'
)
ONE = '<rect class="a" x="10" y="10" width="30" height="30" {}/>'
RED = "#ff0000"


def drawing(sheet: str, body: str) -> bytes:
    head = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 100 100">'
    )
    return f"{head}<style>{sheet}</style>{body}</svg>".encode()


def proofed(data: bytes, moved: float = 0.0) -> tuple[Artwork, Proof]:
    """Read and compare, perhaps with the reading pushed aside."""
    artwork = read_svg(data, name="drawing.svg", size=PrintSize())
    shown = [
        (one.colour, MultiPolygon(shapely.get_parts(translate(one.region, moved, 0)).tolist()))
        for one in separate(artwork)
    ]
    return artwork, proof(data, artwork, shown)


RESTATED = [
    ("rect{fill:red} .a{transform:translate(10px,40px)}", TWO),
    ("rect{fill:red} .a{transform:translate(2mm,4Q) scale(50%)}", TWO),
    ("rect{fill:red} .a{transform:rotate(.2rad);transform-origin:20px 20px}", TWO),
    ("rect{fill:red} .a{transform:translateX(20px) skewX(10deg)}", TWO),
    ("", ONE.format('style="transform:translateY(40px) scaleX(2)" fill="red"')),
    ("", ONE.format('style="transform:skew(5deg, 10deg)" fill="red"')),
    ("", ONE.format('style="TRANSFORM:Rotate(20DEG) SKEWX(9deg)" fill="red"')),
    ("", '<path d="M10 10h80q5 5 0 9" fill="none" stroke="red" stroke-width="8Q"/>'),
    ("path{stroke-width:40Q}", '<path d="M10 30h80" stroke="red"/>'),
    ("", '<rect x="10" y="8q" width="80Q" height="100Q" fill="red"/>'),
    ("rect{fill:red} rect:not(.a){fill:blue}", TWO),
    ("rect{fill:red} .a, g > rect:nth-child(2){fill:blue}", TWO),
    ("rect{fill:red} rect:nth-of-type(2n){fill:blue} rect:last-child{stroke:#0a0}", TWO),
    ("rect{fill:red} .a ~ rect{fill:blue}", TWO),
    ("rect:is(.a){fill:red} :is(.b, circle){fill:blue}", TWO),
    ('[class="A" i]{fill:red} rect[class="b" s]{fill:blue}', TWO),
    ("<![CDATA[<!-- .a{fill:red} --> .b{fill:red}]]>", TWO),
    ("rect{fill #00f; fill:red}", TWO),
    ("", ONE.format('style="fill #00f; fill:red"')),
    # as heavy as before: a class and an element outweigh a class, which outweighs an element
    ("rect:not(.a){fill:blue} .b{fill:red} rect{fill:green}", TWO),
    (".b:not(.a){fill:blue} rect.b{fill:red}", TWO),
    ("#i{fill:red} rect:not(.a){fill:blue}", TWO),
    (":root{fill:red} .b{fill:blue}", TWO),
    ("g{fill:red} .b{fill:blue} .b{fill:unset} .a{fill:revert}", TWO),
    ("rect{opacity:0;fill:red} .b{opacity:unset}", TWO),
]


@pytest.mark.parametrize(("sheet", "body"), RESTATED)
def test_what_the_renderer_lacks_is_proofed(sheet: str, body: str) -> None:
    """Nothing differs, and there is something to compare."""
    artwork, made = proofed(drawing(sheet, body))
    assert artwork.shapes
    assert made.differences == ()


@pytest.mark.parametrize(("sheet", "body"), RESTATED)
def test_a_wrong_reading_is_found_all_the_same(sheet: str, body: str) -> None:
    """The renderer still places and draws all by itself."""
    _, made = proofed(drawing(sheet, body), moved=1.2)
    assert made.differences


@pytest.mark.parametrize(
    "sheet",
    [
        "rect{fill:red} g > rect ~ rect{fill:blue}",  # a mark is heavier than three elements
        "rect{fill:red} #i:not(.a){fill:blue}",  # and lighter than an id
        ":where(.a){fill:blue} .b{fill:red}",  # and heavier than nothing
    ],
)
def test_what_cannot_be_restated_stays_refused(sheet: str) -> None:
    """A mark of another weight could let another rule win."""
    assert proofed(drawing(sheet, TWO))[1].differences


def test_a_selector_asks_for_attributes_as_they_were_written() -> None:
    """Attributes are restated after the selectors."""
    body = ONE.format('rx="4Q" fill="red"')
    sheet = '.a:not([rx="4Q"]){fill:blue}'
    artwork, made = proofed(drawing(sheet, body))
    assert [shape.colour for shape in artwork.shapes] == [RED]
    assert made.differences == ()


@pytest.mark.parametrize(
    ("text", "older"),
    [
        ("rotate(0.5turn)", "rotate(180.0)"),
        ("translate(1in 72pt)", "translate(96.0 96.0)"),
        ("translateX(1e1px)rotate(10)", "translate(10.0 0.0)rotate(10.0)"),
        ("translate(1em, 2px)", "translate(1em, 2px)"),
        ("rotate3d(1, 1, 1, 45deg)", "rotate3d(1, 1, 1, 45deg)"),
        ("matrix(1 0 0 1 5 6)", "matrix(1 0 0 1 5 6)"),
        ("none", "none"),
    ],
)
def test_transforms(text: str, older: str) -> None:
    """Plain numbers where the unit is known (CSS Transforms 1; CSS Values 3, 6.2), else as it was."""
    assert older_transform(text) == older
