"""What viewers read differently is refused where it changes the print, and read where all agree."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from prep.artwork import Artwork, PrintSize
from prep.errors import ArtworkRefused, InputError
from prep.svg import limits, read_svg

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


def test_an_empty_transform_is_none(read: Read) -> None:
    """Right as an attribute (CSS Transforms 1, 8); in CSS a value is missing, and the rest holds."""
    assert read(RECT.format('transform=""')).notes == ()
    artwork = read(RECT.format('style="transform:scale(2); transform:; -webkit-transform:"'))
    assert artwork.shapes[0].region.bounds == pytest.approx((20, 20, 60, 60))


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


@pytest.mark.parametrize(
    "rule",
    [
        '@namespace url("http://www.w3.org/1999/xhtml");',
        '@namespace s "http://www.w3.org/2000/svg";',
    ],
)
def test_namespaces_in_sheets_are_refused(reasons: Reasons, rule: str) -> None:
    """They change what a selector matches."""
    (line,) = reasons(f"<style>{rule} rect{{fill:red}}</style>{RECT.format('')}")
    assert "@namespace" in line


def test_the_namespace_of_svg_by_default_changes_nothing(read: Read) -> None:
    """Nothing else is drawn."""
    rule = "@namespace url(http://www.w3.org/2000/svg);"
    (shape,) = read(f"<style>{rule} rect{{fill:red}}</style>{RECT.format('')}").shapes
    assert shape.colour == "#ff0000"


@pytest.mark.parametrize(
    "style",
    [
        "border:2px solid red",
        "border-left:thick dotted",
        "border-style:double",
        "border-radius:9px",
        "border-top-left-radius:0 2px",
        "padding:5px",
        "padding-left:1em",
        "padding:1e999px",
        "box-shadow:0 0 9px red",
        "outline:solid",
    ],
)
def test_the_page_as_a_box_of_css_is_refused(style: str) -> None:
    """A browser draws its lines and shifts what is in it."""
    (line,) = refused(HEAD.replace("<svg ", f'<svg style="{style}" ') + f"{BLACK}</svg>")
    assert style.partition(":")[0] in line


@pytest.mark.parametrize(
    "style",
    [
        *("border:0 none", "border:1px", "border-color:red", "border-width:9px", "outline:none"),
        *("outline:0", "outline-color:red", "border-radius:0", "padding:0 0px", "margin:0 auto"),
        *("box-shadow:none", "padding:initial"),
    ],
)
def test_a_box_without_lines_and_space_changes_nothing(style: str) -> None:
    """A border without a style has no width (CSS Backgrounds 3, 3.3)."""
    data = HEAD.replace("<svg ", f'<svg style="{style}" ')
    artwork = read_whole(f'{data}{BLACK}<g style="border:solid red; padding:9px"/></svg>')
    assert total(artwork) == pytest.approx(81)
    assert artwork.notes == ()


def test_an_outline_on_a_shape_is_refused(reasons: Reasons) -> None:
    """Some browsers draw it."""
    for style in ("outline: 1px solid red", "outline-style: dashed"):
        (line,) = reasons(RECT.format(f'style="{style}"'))
        assert style in line


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (RECT.format('style="fill #0000ff"'), "fill #0000ff"),
        (f"<style>rect{{fill #0000ff}}</style>{RECT.format('')}", "fill #0000ff"),
        (f"<style>rect fill</style>{RECT.format('')}", "a rule"),
    ],
)
def test_a_style_that_can_not_be_parsed_is_noted(read: Read, body: str, said: str) -> None:
    """It is dropped, as in every viewer, but not in silence."""
    artwork = read(body)
    assert artwork.shapes[0].colour == "#000000"
    assert any(said in note for note in artwork.notes)


def test_marker_as_an_attribute_is_noted(read: Read) -> None:
    """It is no presentation attribute (SVG 2, 6.6); in CSS it is a shorthand."""
    marker = '<marker id="m" overflow="visible"><path d="M0 0h2v2H0z"/></marker>'
    line = '<path d="M10 10h20" stroke="red" {}/>'
    attribute = read(marker + line.format('marker="url(#m)"'))
    assert {shape.colour for shape in attribute.shapes} == {"#ff0000"}
    assert any("marker as an attribute" in note for note in attribute.notes)
    assert read(marker + line.format('marker="none"')).notes == ()
    style = read(marker + line.format('style="marker:url(#m)"'))
    assert {shape.colour for shape in style.shapes} == {"#ff0000", "#000000"}


def test_hidden_content_by_css_is_refused(reasons: Reasons) -> None:
    """content-visibility: hidden hides in some viewers."""
    (line,) = reasons(f'<svg style="content-visibility:hidden">{BLACK}</svg>')
    assert "content-visibility: hidden" in line


@pytest.mark.parametrize(
    "text",
    [
        *("calc(5px + 4px)", "CALC(9px)", "round(9.2px, 1px)", "abs(-9px)", "mod(19px, 10px)"),
        *("hypot(3px, 4px)", "min(9px, 20px)", "max(1px,9px)", "clamp(1px, 9px, 10px)"),
        *("var(--w)", "-webkit-calc(9px)", "rem(19px, 10px)", "sqrt(81)"),
    ],
)
def test_functions_in_lengths_are_refused(reasons: Reasons, text: str) -> None:
    """Browsers reckon them, other viewers take the default."""
    for body in (
        f'<rect width="{text}" height="9"/>',
        f'<rect x="{text}" width="9" height="9"/>',
        f'<rect rx="{text}" width="9" height="9"/>',
        f'<circle r="{text}"/>',
        f'<path d="M0 9h9" stroke="red" stroke-width="{text}"/>',
        f'<path d="M0 9h9" stroke="red" style="stroke-width:{text}"/>',
    ):
        (line,) = reasons(body)
        assert text in line


def test_no_function_is_seen_where_there_is_none(read: Read) -> None:
    """A name that ends like one is only a name."""
    body = f'<g id="x-calc(1)">{BLACK}</g><rect fill="url(#x-calc(1)) red" width="1" height="1"/>'
    assert [shape.colour for shape in read(body.replace("url(#x-calc(1)) ", "")).shapes] == [
        "#000000",
        "#ff0000",
    ]


@pytest.mark.parametrize(
    "word", ["LinkText", "canvas", "ButtonFace", "HIGHLIGHT", "WindowText", "-webkit-link"]
)
def test_colours_of_the_viewers_windows_are_refused(reasons: Reasons, word: str) -> None:
    """They are valid, and each viewer has its own."""
    for body in (
        RECT.format(f'fill="{word}"'),
        RECT.format(f'style="color:{word}; fill:currentColor"'),
    ):
        (line,) = reasons(body)
        assert word in line


MASK = '<mask id="m"><rect width="99" height="99" fill="white"/></mask>'


@pytest.mark.parametrize(
    "style",
    [
        *("mask-mode:alpha", "mask-composite:exclude", "mask-clip:content-box", "mask-size:5px"),
        *("mask-origin:padding-box", "mask-position:9px 9px", "mask-repeat:no-repeat"),
    ],
)
def test_layers_of_masks_are_refused(read: Read, reasons: Reasons, style: str) -> None:
    """Only where there is a mask."""
    (line,) = reasons(MASK + RECT.format(f'mask="url(#m)" style="{style}"'))
    assert style.replace(":", ": ") in line
    assert total(read(RECT.format(f'style="{style}"'))) == pytest.approx(400)


def test_layers_of_masks_that_do_nothing_are_read(read: Read) -> None:
    """Each at its initial value."""
    style = (
        "mask-mode:match-source; mask-composite:add; mask-clip:border-box; mask-origin:border-box;"
        "mask-size:auto; mask-position:0% 0%; mask-repeat:repeat; zoom:1"
    )
    artwork = read(MASK + RECT.format(f'mask="url(#m)" style="{style}"'))
    assert total(artwork) == pytest.approx(400)
    assert artwork.notes == ()


@pytest.mark.parametrize("style", ["zoom: 2", "rotate: 20deg", "scale: 2", "translate: 9px"])
@pytest.mark.parametrize(
    "body",
    [
        '<rect style="{0}" width="9" height="9"/>',
        '<g style="{0}"><rect width="9" height="9"/></g>',
        '<clipPath id="c"><rect style="{0}" width="5" height="9"/></clipPath>'
        '<rect clip-path="url(#c)" width="9" height="9"/>',
        '<clipPath id="c" style="{0}"><rect width="5" height="9"/></clipPath>'
        '<rect clip-path="url(#c)" width="9" height="9"/>',
    ],
)
def test_what_moves_by_css_alone_is_refused(reasons: Reasons, body: str, style: str) -> None:
    """Some browsers heed it, other viewers don't; also on a clipping path, and on the page."""
    (line,) = reasons(body.format(style))
    assert f"({style})" in line
    (line,) = refused(HEAD.replace("<svg ", f'<svg style="{style}" ') + f"{BLACK}</svg>")
    assert f"({style})" in line


def test_a_pattern_of_computed_size_is_refused(reasons: Reasons) -> None:
    """It is no pattern without size, which would paint nothing."""
    pattern = '<pattern id="p" width="calc(5px)" height="5"><rect width="5" height="5"/></pattern>'
    (line,) = reasons(pattern + RECT.format('fill="url(#p)"'))
    assert "pattern" in line


@pytest.mark.parametrize("view", ["0 0 0 10", "0 0 10 0", "5 5 0 0"])
@pytest.mark.parametrize(
    "body",
    [
        '<svg viewBox="{0}" width="50" height="50"><rect width="9" height="9" fill="red"/></svg>',
        '<symbol id="s" viewBox="{0}"><rect width="9" height="9" fill="red"/></symbol>'
        '<use href="#s" width="50" height="50"/>',
        '<marker id="m" viewBox="{0}"><path fill="red" d="M0 0h9v9z"/></marker>'
        '<path marker-start="url(#m)" d="M50 50h9"/>',
    ],
)
def test_a_view_box_of_no_size_is_refused(reasons: Reasons, body: str, view: str) -> None:
    """It shows nothing (SVG 2, 8.6), but some viewers pass over it."""
    (line,) = reasons(BLACK + body.format(view))
    assert f"viewBox: {view}" in line


@pytest.mark.parametrize("view", ["0 0 -5 10", "0 0 10", "a"])
def test_a_view_box_in_error_is_as_if_there_were_none(read: Read, view: str) -> None:
    """The square is 9 wide in the units around."""
    body = f'<svg viewBox="{view}" width="50" height="50"><rect width="9" height="9"/></svg>'
    artwork = read(body)
    assert total(artwork) == pytest.approx(81)
    assert any("viewBox" in note for note in artwork.notes)


@pytest.mark.parametrize(
    "body",
    [
        f'<g id="a b">{BLACK}</g><use href="#a%20b" x="20"/>',
        '<clipPath id="ä"><rect width="9" height="9"/></clipPath>'
        '<rect width="18" height="18" clip-path="url(#%C3%A4)"/>'
        + BLACK.replace("rect ", 'rect x="50" '),
        '<linearGradient id="a(b"><stop stop-color="red"/></linearGradient>'
        '<rect width="9" height="18" fill="url(#a%28b)"/>',
        '<mask id="a b"><rect width="18" height="9" fill="white"/></mask>'
        '<rect width="18" height="18" mask="url(\'#a%20b\')"/>',
    ],
)
def test_references_may_be_percent_encoded(read: Read, body: str) -> None:
    """Each shows 162 mm² by what it refers to."""
    assert total(read(body)) == pytest.approx(162)


def test_an_id_written_with_percent_goes_first(read: Read) -> None:
    """The element that bears the very text is meant."""
    ids = "".join(
        f'<linearGradient id="{name}"><stop stop-color="{colour}"/></linearGradient>'
        for name, colour in (("a b", "red"), ("a%20b", "lime"))
    )
    (shape,) = read(ids + RECT.format('fill="url(#a%20b)"')).shapes
    assert shape.colour == "#00ff00"


@pytest.mark.parametrize(
    "body",
    [
        '<clipPath id="c"><rect width="5" height="5"/></clipPath><g clip-path="url(#c)">{0}</g>',
        '<mask id="c"><rect width="5" height="5" fill="white"/></mask><g mask="url(#c)">{0}</g>',
        '<clipPath id="c"/><g clip-path="url(#c)">{0}</g>',
        '<svg width="5" height="5">{0}</svg>',
    ],
)
def test_art_that_is_wholly_cut_away_is_noted(read: Read, body: str) -> None:
    """With its place; what is left in part needs no note."""
    two = RECT.format("") + '<rect id="b" width="9" height="9"/>'
    artwork = read('<rect x="50" width="9" height="9"/>' + body.format(two))
    (note,) = (note for note in artwork.notes if "cut away" in note)
    assert 'rect "a", line 1' in note.lower()
    assert ('rect "b"' in note.lower()) is ('<clipPath id="c"/>' in body)


@pytest.mark.parametrize(
    ("subset", "named"),
    [
        ('<!ATTLIST rect fill CDATA "red">', '"fill"'),
        ("<!ATTLIST rect x CDATA #IMPLIED\n  transform CDATA #FIXED 'scale(2)'>", '"transform"'),
        ('<!ELEMENT rect ANY><!ATTLIST rect visibility (visible|hidden) "hidden">', '"visibility"'),
        ('<!ATTLIST use xlink:href CDATA "#a">', '"xlink:href"'),
    ],
)
def test_attributes_set_by_a_document_type_are_refused(subset: str, named: str) -> None:
    """Browsers heed them, other viewers don't; and not all encodings write them alike."""
    data = f"<!DOCTYPE svg [{subset}]>{HEAD}{BLACK}</svg>"
    for made in (data.encode(), data.encode("utf-16")):
        with pytest.raises(InputError, match=named):
            read_svg(made, name="drawing.svg", size=PrintSize())


def test_document_types_that_set_no_attribute_of_svg_are_read() -> None:
    """Those of old exports declare ids, namespaces and kinds of links."""
    subset = (
        '<!ENTITY n "x"><!ATTLIST rect id ID #IMPLIED x CDATA #REQUIRED>'
        '<!ATTLIST svg xmlns CDATA #FIXED "http://www.w3.org/2000/svg"'
        ' xmlns:x CDATA "http://example.org/" xlink:type CDATA "simple">'
    )
    head = HEAD.replace("<svg ", '<svg xmlns:xlink="http://www.w3.org/1999/xlink" ')
    artwork = read_whole(f"<!DOCTYPE svg [{subset}]>{head}{BLACK}</svg>")
    assert total(artwork) == pytest.approx(81)


def test_selectors_are_counted_not_rules() -> None:
    """One rule may hold any number; each is tried on the elements of its class, id or name alone."""
    many = ",".join(f".c{number}" for number in range(limits.SELECTORS + 1))
    with pytest.raises(InputError, match="selectors in its style rules"):
        read_whole(f"{HEAD}<style>{many}{{fill:red}}</style>{BLACK}</svg>")
    squares = '<rect width="1" height="1" class="a"/>' * 3000
    tried = ",".join(["g > rect"] * 2000)
    with pytest.raises(InputError, match="6000000 times"):
        read_whole(f"{HEAD}<style>{tried}{{fill:red}}</style>{squares}</svg>")
    sheet = "".join(f".c{number},.d{number}{{fill:red}}" for number in range(1000))
    assert read_whole(f"{HEAD}<style>{sheet}.a{{fill:lime}}</style>{squares}</svg>").shapes
