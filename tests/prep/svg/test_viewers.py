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


@pytest.mark.parametrize(
    ("attributes", "bounds"),
    [
        ('style="transform:translate(20px,30px)"', (30, 40, 50, 60)),
        ('style="transform:TRANSLATE(20PX, 30px)"', (30, 40, 50, 60)),
        ('style="transform:translatex(20px)translateY(30px)"', (30, 40, 50, 60)),
        ('style="transform:scale(2) rotate(0)"', (20, 20, 60, 60)),
        ('style="transform:matrix(1,0,0,1,20,30)"', (30, 40, 50, 60)),
        ('style="transform:ROTATE(90deg);transform-origin:20px 20px"', (10, 10, 30, 30)),
        ('style="transform:NONE"', (10, 10, 30, 30)),
        ('transform="translate(20 30)"', (30, 40, 50, 60)),
        ('transform="translate (20,30), scale(1)"', (30, 40, 50, 60)),
        ('transform="rotate(90 20 20)"', (10, 10, 30, 30)),
    ],
)
def test_transforms_where_they_are_right(
    read: Read, attributes: str, bounds: tuple[float, ...]
) -> None:
    """CSS has units, commas and names in any case; attributes have plain numbers."""
    (shape,) = read(RECT.format(attributes)).shapes
    assert shape.region.bounds == pytest.approx(bounds)


@pytest.mark.parametrize(
    "attributes",
    [
        'style="transform:translate(20,30)"',
        'style="transform:translate(20px 30px)"',
        'style="transform:rotate(45)"',
        'style="transform:rotate(45deg,20,20)"',
        'style="transform:rotate(45deg), scale(2)"',
        'style="transform:scale (2)"',
        'style="transform:skewX(10)"',
        'style="transform:matrix(1 0 0 1 20 30)"',
        'style="transform:rotate(90deg);transform-origin:20 20"',
        'transform="translate(20px,30px)"',
        'transform="rotate(45deg)"',
        'transform="scale(50%)"',
        'transform="translateX(20)"',
        'transform="skew(10, 5)"',
    ],
)
def test_transforms_that_are_not_right_where_they_stand_are_refused(
    reasons: Reasons, attributes: str
) -> None:
    """Browsers leave them out, other viewers apply them."""
    (line,) = reasons(RECT.format(attributes))
    assert "isn't right where it stands" in line


@pytest.mark.parametrize("text", ["Rotate(45)", "TRANSLATE(5)", "skewx(9)", "turn(5)"])
def test_a_transform_attribute_in_another_case_is_noted(read: Read, text: str) -> None:
    """Names of functions are as they are in an attribute; others leave no transform."""
    artwork = read(RECT.format(f'transform="{text}"'))
    assert artwork.shapes[0].region.bounds == pytest.approx((10, 10, 30, 30))
    assert any(text in note for note in artwork.notes)


@pytest.mark.parametrize("text", ["rotateX(45deg)", "rotateY(45DEG)", "ROTATEZ(45deg)"])
def test_turns_out_of_the_plane_are_refused(reasons: Reasons, text: str) -> None:
    """Browsers flatten them."""
    (line,) = reasons(RECT.format(f'style="transform:{text}"'))
    assert "CSS transform that isn't read" in line


def test_a_font_size_without_a_unit_is_refused_where_it_counts(
    read: Read, reasons: Reasons
) -> None:
    """It is right as an attribute; in CSS browsers leave it out, other viewers take it for px."""
    two_em = '<rect width="2em" height="5" {}/>'
    assert total(read(two_em.format('font-size="10"'))) == pytest.approx(100)
    assert total(read(two_em.format('style="font-size:10px"'))) == pytest.approx(100)
    assert reasons(two_em.format('style="font-size:10"'))
    assert total(read(RECT.format('style="font-size:10"'))) == pytest.approx(400)


def test_a_stroke_in_css_needs_no_units(read: Read) -> None:
    """SVG 2, 13.5 takes plain numbers there: 2 wide, dashes of 5 of every 10, along 40."""
    style = "stroke-width:2; stroke-dasharray:5; stroke-dashoffset:10"
    body = f'<path d="M10 10h40" stroke="red" style="{style}"/>'
    assert total(read(body)) == pytest.approx(40)
