"""What viewers read differently is refused where it changes the print, and read where all agree."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from prep.artwork import Artwork, PrintSize
from prep.errors import ArtworkRefused
from prep.svg import read_svg

Read = Callable[..., Artwork]
Reasons = Callable[[str], tuple[str, ...]]

RECT = '<rect id="a" class="x" x="10" y="10" width="20" height="20" {}/>'
LINE = '<path id="a" d="M10 10h40" stroke="red" stroke-width="2" {}/>'
KINDS = {
    "path": 'd="M10 10h40"',
    "line": 'x1="10" y1="10" x2="50" y2="10"',
    "polyline": 'points="10,10 50,10"',
    "polygon": 'points="10,10 50,10 50,50"',
    "rect": 'x="10" y="10" width="20" height="20"',
    "circle": 'cx="40" cy="40" r="20"',
    "ellipse": 'cx="40" cy="40" rx="20" ry="9"',
}


def total(artwork: Artwork) -> float:
    """Give the area in mm² of all shapes."""
    return sum(shape.region.area for shape in artwork.shapes)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("claimed", ["10", "0", "1e1"])
def test_dashes_counted_by_a_claimed_length_are_refused(
    reasons: Reasons, kind: str, claimed: str
) -> None:
    """10 of 40 units make dashes four times as long; not every viewer does so."""
    (line,) = reasons(
        f'<{kind} {KINDS[kind]} fill="none" stroke="red" stroke-dasharray="1" pathLength="{claimed}"/>'
    )
    assert f"pathLength {claimed}" in line


def test_a_claimed_length_without_dashes_changes_nothing(read: Read) -> None:
    """It rules dashes alone (SVG 2, 9.6.1); dashes of nothing make a solid line."""
    for dashes in ("", 'stroke-dasharray="none"', 'stroke-dasharray="0 0"'):
        artwork = read(LINE.format(f'pathLength="10" {dashes}'))
        assert total(artwork) == pytest.approx(80)
        assert artwork.notes == ()


@pytest.mark.parametrize("claimed", ["-10", "long", "50%"])
def test_a_claimed_length_that_is_none_is_noted(read: Read, claimed: str) -> None:
    """Dashes of 5 and gaps of 5 leave half of the line."""
    artwork = read(LINE.format(f'stroke-dasharray="5" pathLength="{claimed}"'))
    assert total(artwork) == pytest.approx(40)
    assert any(f"pathLength: {claimed}" in note for note in artwork.notes)


@pytest.mark.parametrize(
    "style",
    [
        "-webkit-transform:rotate(20deg)",
        "-moz-transform:scale(2)",
        "-webkit-filter:blur(2px)",
        "-webkit-opacity:0.5",
        "-webkit-mask:url(#m)",
        "-webkit-mask-image:linear-gradient(red,blue)",
        "-webkit-mask-box-image:url(a.png)",
        "-webkit-clip-path:circle(3px)",
        # as heavy as the plain one and later: it wins where it is heeded
        "transform:scale(2); -webkit-transform:scale(3)",
        "-webkit-transform:scale(3) !important; transform:scale(2)",
    ],
)
def test_a_vendors_property_that_changes_the_print_is_refused(reasons: Reasons, style: str) -> None:
    """Some viewers take it for the plain one, others pass over it."""
    (line,) = reasons(RECT.format(f'style="{style}"'))
    assert "only some viewers heed" in line
    assert "-webkit-" in line or "-moz-" in line


@pytest.mark.parametrize(
    "style",
    [
        "-webkit-transform:none; -webkit-filter:none; -webkit-opacity:1; -webkit-mask-image:none",
        "-webkit-transform:scale(2); transform:scale(1)",
        "-webkit-clip-path:initial; -webkit-user-select:none; -webkit-font-smoothing:antialiased",
        "-inkscape-stroke:hairline; --ink:red",
    ],
)
def test_a_vendors_property_without_bearing_is_passed_over(read: Read, style: str) -> None:
    """Both ways of reading come to the same."""
    artwork = read(RECT.format(f'style="{style}"'))
    assert total(artwork) == pytest.approx(400)
    assert artwork.notes == ()


def test_a_vendors_unknown_property_is_noted(read: Read) -> None:
    """Neither refused nor dropped in silence."""
    for name in ("-webkit-frobnicate", "-x-thing"):
        assert any(name in note for note in read(RECT.format(f'style="{name}:1"')).notes)


HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
BLACK = '<rect width="9" height="9"/>'
XHTML = 'xmlns:h="http://www.w3.org/1999/xhtml"'


def refused(data: str | bytes) -> tuple[str, ...]:
    """Give the lines a whole file is refused with."""
    made = data if isinstance(data, bytes) else data.encode()
    with pytest.raises(ArtworkRefused) as caught:
        read_svg(made, name="drawing.svg", size=PrintSize())
    return caught.value.lines()


def read_whole(data: str) -> Artwork:
    """Read a whole file."""
    return read_svg(data.encode(), name="drawing.svg", size=PrintSize())


@pytest.mark.parametrize(
    "data",
    [
        f'<?xml-stylesheet href="looks.css" type="text/css"?>{HEAD}{BLACK}</svg>',
        f'<?xml version="1.0"?><!-- x --><?xml-stylesheet href="data:text/css,rect%7Bfill:red%7D"?>'
        f"<!DOCTYPE svg>{HEAD}{BLACK}</svg>",
        f'<?xml-stylesheet href="#s"?><?other thing?>{HEAD}{BLACK}</svg>',
        f'{HEAD}<h:link {XHTML} rel="Stylesheet" href="looks.css"/>{BLACK}</svg>',
        f"{HEAD}<metadata><h:style {XHTML}>rect{{fill:red}}</h:style></metadata>{BLACK}</svg>",
        f'{HEAD}<style title="a">rect{{fill:red}}</style><style title="b">rect{{fill:lime}}</style>'
        f"{BLACK}</svg>",
    ],
)
def test_sheets_that_only_some_viewers_heed_are_refused(data: str) -> None:
    """Browsers colour the square by them, most drawing programs don't."""
    (line,) = refused(data)
    assert "a style sheet that only some viewers heed" in line


def test_other_instructions_and_links_are_passed_over() -> None:
    """They style nothing; text on both sides of one is one text."""
    artwork = read_whole(
        f'<?x-thing xml-stylesheet?>{HEAD}<?y?><h:link {XHTML} rel="author" href="a"/>'
        f'<style title="a">rect{{fi<?z fill?>ll:lime}}</style><style title="a">g{{fill:red}}</style>'
        f"{BLACK}</svg><?xml-stylesheet href='late.css'?>"
    )
    assert [shape.colour for shape in artwork.shapes] == ["#00ff00"]


@pytest.mark.parametrize(
    ("style", "shown"),
    [
        ("display:none; display:nonsense", False),
        ("display:nonsense; display:none", False),
        ("display:block; display:hidden", True),
        ("display:none; display:block", True),
        ("display:NONE", False),
        ("display:none; display:block none", False),
    ],
)
def test_a_display_that_is_none_of_css_is_left_out(read: Read, style: str, shown: bool) -> None:
    """The declaration that is valid holds (CSS Syntax Level 3, 9)."""
    artwork = read(BLACK + RECT.format(f'style="{style}" fill="red"'))
    assert ("#ff0000" in {shape.colour for shape in artwork.shapes}) is shown


@pytest.mark.parametrize("value", ["contents", "block flow", "-webkit-box", "inline flow-root"])
@pytest.mark.parametrize(
    "body",
    [
        '<g style="display:none; display:{0}"><rect width="9" height="9"/></g>',
        '<clipPath id="c"><rect style="display:{0}" width="5" height="9"/></clipPath>'
        '<rect clip-path="url(#c)" width="9" height="9"/>',
        '<svg style="display:{0}"><rect width="9" height="9"/></svg>',
    ],
)
def test_a_display_that_not_every_viewer_knows_is_refused(
    reasons: Reasons, body: str, value: str
) -> None:
    """An older viewer lets what stands before it hold."""
    (line,) = reasons(body.format(value))
    assert f"display: {value}" in line
