"""Groups, use, symbols, viewports, switch, clips, masks, markers, paint servers."""

from __future__ import annotations

import gzip
import math
from collections.abc import Callable
from pathlib import Path

import pytest

from prep.artwork import Artwork, PrintSize
from prep.cli import run
from prep.svg import read_svg

Read = Callable[..., Artwork]
Area = Callable[[str], float]
Reasons = Callable[[str], tuple[str, ...]]
RECT = '<rect x="10" y="10" width="20" height="10"/>'


def total(read: Read, body: str, colour: str | None = None) -> float:
    """Give the painted area of all shapes, or of those of one colour."""
    return sum(s.region.area for s in read(body).shapes if colour is None or s.colour == colour)


def bounds(read: Read, body: str) -> tuple[float, ...]:
    """Give the bounds of the one shape."""
    (shape,) = read(body).shapes
    return shape.region.bounds


# --- structure -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        (f'<g transform="translate(5 6)">{RECT}</g>', (15, 16, 35, 26)),
        (f"<a>{RECT}</a>", (10, 10, 30, 20)),
        (f'<defs><g id="u">{RECT}</g></defs><use href="#u" x="3" y="4"/>', (13, 14, 33, 24)),
        (
            f'<defs><g id="u" transform="scale(2)">{RECT}</g></defs>'
            '<use href="#u" x="3" y="4" transform="translate(1)"/>',
            (24, 24, 64, 44),
        ),
        (
            f'<symbol id="u" viewBox="0 0 40 40">{RECT}</symbol>'
            '<use href="#u" width="80" height="80"/>',
            (20, 20, 60, 40),
        ),
        (
            f'<symbol id="u" viewBox="0 0 40 40">{RECT}</symbol>'
            '<use href="#u" width="80" height="40"/>',
            (30, 10, 50, 20),
        ),
        (f'<svg x="5" y="6" width="50" height="50">{RECT}</svg>', (15, 16, 35, 26)),
        (f'<svg viewBox="0 0 50 50">{RECT}</svg>', (20, 20, 60, 40)),
        # the inner viewport cuts off what reaches over it
        (f'<svg width="25" height="15">{RECT}</svg>', (10, 10, 25, 15)),
        (f'<svg width="25" height="15" overflow="visible">{RECT}</svg>', (10, 10, 30, 20)),
        ('<svg width="50" height="50"><rect width="50%" height="10%"/></svg>', (0, 0, 25, 5)),
        (
            f'<svg id="u" width="40" height="40" viewBox="0 0 40 40" display="none"/>'
            f'<svg width="80" height="80" viewBox="0 0 40 40">{RECT}</svg>',
            (20, 20, 60, 40),
        ),
    ],
)
def test_structure_places_shapes(read: Read, body: str, expected: tuple[float, ...]) -> None:
    """Groups, uses, symbols and inner viewports put a rectangle where it belongs."""
    assert bounds(read, body) == pytest.approx(expected)


def test_use_hands_its_style_on(read: Read) -> None:
    """What a use shows inherits from the use, not from where it stands in the file."""
    body = f'<g fill="red"><defs><g id="u">{RECT}</g></defs></g><use href="#u" fill="blue"/>'
    assert read(body).shapes[0].colour == "#0000ff"


def test_use_of_nothing_is_noted(read: Read) -> None:
    """A use that points nowhere prints nothing, and says so."""
    artwork = read(f'{RECT}<use id="lost" href="#gone"/><use/>')
    assert len(artwork.shapes) == 1
    assert any("lost" in note and "#gone" in note for note in artwork.notes)


def test_unused_definitions_paint_nothing(read: Read) -> None:
    """Symbols, clips, masks and definitions show only where they are used."""
    hidden = "".join(
        f"<{tag}>{RECT}</{tag}>"
        for tag in ("defs", "symbol", "clipPath", "mask", "marker", "pattern")
    )
    assert total(read, f'<rect width="1" height="1"/>{hidden}') == pytest.approx(1)


def test_hidden_elements_paint_nothing(read: Read) -> None:
    """display none hides all within; a visible child of a hidden group shows."""
    assert total(read, f'<g display="none">{RECT}</g><rect width="1" height="1"/>') == 1
    body = f'<g visibility="hidden">{RECT}<rect visibility="visible" width="3" height="1"/></g>'
    assert total(read, body) == pytest.approx(3)


def test_switch_shows_its_first_fitting_branch(read: Read) -> None:
    """The first child whose conditions hold, and English where the language decides."""
    branches = (
        '<rect systemLanguage="xx" width="1" height="1"/>'
        '<rect requiredExtensions="urn:x" width="2" height="1"/>'
        '<rect systemLanguage="xx, en-GB" width="3" height="1"/>'
        '<rect width="4" height="1"/>'
    )
    artwork = read(f"<switch><desc/>{branches}</switch>")
    assert artwork.shapes[0].region.area == pytest.approx(3)
    assert any("language" in note for note in artwork.notes)


def test_gzipped_and_other_encodings_are_read() -> None:
    """An svgz, UTF-16 with a declaration, and Latin-1 are the same drawing."""
    plain = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9">'
        '<rect id="\xe9" width="3" height="3"/></svg>'
    )
    for data in (
        plain.encode(),
        b"\xef\xbb\xbf" + plain.encode(),
        gzip.compress(plain.encode()),
        gzip.compress(plain[:50].encode()) + gzip.compress(plain[50:].encode()) + bytes(7),
        f'<?xml version="1.0" encoding="UTF-16"?>{plain}'.encode("utf-16"),
        f'<?xml version="1.0" encoding="ISO-8859-1"?>{plain}'.encode("latin-1"),
    ):
        (shape,) = read_svg(data, name="x.svg", size=PrintSize()).shapes
        assert shape.region.area == pytest.approx(9)
        assert shape.source == 'rect "\xe9", line 1'


def test_text_entities_inside_the_file_are_read() -> None:
    """Namespaces and values kept in internal entities, as some programs write them."""
    data = (
        b'<!DOCTYPE svg [<!ENTITY ns "http://www.w3.org/2000/svg"><!ENTITY w "3">]>'
        b'<svg xmlns="&ns;" width="9mm" height="9mm" viewBox="0 0 9 9">'
        b'<rect width="&w;" height="&w;"/></svg>'
    )
    (shape,) = read_svg(data, name="x.svg", size=PrintSize()).shapes
    assert shape.region.area == pytest.approx(9)


# --- clips ---------------------------------------------------------------------------------------

CLIP = '<clipPath id="c"{}><rect x="15" y="0" width="10" height="15"{}/></clipPath>'


@pytest.mark.parametrize(
    ("clip", "expected"),
    [
        (CLIP.format("", ""), 10 * 5),
        (CLIP.format(' transform="translate(-10)"', ""), 5 * 5),
        (CLIP.format("", ' transform="scale(1 2)"'), 10 * 10),
        (CLIP.format("", ' display="none"'), 0),
        (CLIP.format("", ' visibility="hidden"'), 0),
        ('<clipPath id="c"/>', 0),
        (
            '<clipPath id="c" clipPathUnits="objectBoundingBox">'
            '<rect x=".25" y=".5" width=".5" height=".5"/></clipPath>',
            10 * 5,
        ),
        # two shapes that overlap clip as their union
        (
            '<clipPath id="c"><path d="M10 10h10v10h-10z"/><path d="M15 10h10v10h-10z"/></clipPath>',
            150,
        ),
        # a hole by clip-rule, given on the child
        (
            '<clipPath id="c"><path clip-rule="evenodd" '
            'd="M10 10h20v10h-20zM12 12h5v5h-5z"/></clipPath>',
            200 - 25,
        ),
        # a clip within a clip, on the clip path and on its child
        (
            '<clipPath id="d"><rect x="10" width="8" height="99"/></clipPath>'
            '<clipPath id="c" clip-path="url(#d)"><rect x="15" width="10" height="15"/></clipPath>',
            3 * 5,
        ),
        (
            '<clipPath id="d"><rect x="10" width="8" height="99"/></clipPath>'
            '<clipPath id="c"><rect clip-path="url(#d)" x="15" width="10" height="15"/></clipPath>',
            3 * 5,
        ),
        (
            '<defs><rect id="s" x="15" width="10" height="15"/></defs>'
            '<clipPath id="c"><use href="#s" x="2"/></clipPath>',
            10 * 5,
        ),
        # a group does not clip
        ('<clipPath id="c"><g><rect width="99" height="99"/></g></clipPath>', 0),
    ],
)
def test_clips(read: Read, clip: str, expected: float) -> None:
    """A rectangle of 20 x 10 under each kind of clip path."""
    body = f'{clip}<rect clip-path="url(#c)" x="10" y="10" width="20" height="10"/>'
    anchor = '<rect x="90" y="90" width="1" height="1"/>'
    assert total(read, body + anchor) == pytest.approx(expected + 1)


def test_clip_on_group_and_page(read: Read) -> None:
    """A clip on a group works in the group's own space; one on the page cuts everything."""
    clip = '<clipPath id="c"><rect width="15" height="15"/></clipPath>'
    body = f'{clip}<g transform="translate(10 10)" clip-path="url(#c)">{RECT}</g>'
    assert total(read, body) == pytest.approx(5 * 5)
    page = read(
        f"{clip}{RECT}", 'width="99mm" height="99mm" viewBox="0 0 99 99" clip-path="url(#c)"'
    )
    assert page.shapes[0].region.area == pytest.approx(25)


def test_bounding_box_of_a_turned_group_is_in_its_own_space(read: Read) -> None:
    """objectBoundingBox takes the group's own axes, however it is turned, and no strokes."""
    body = (
        '<clipPath id="c" clipPathUnits="objectBoundingBox"><rect width=".5" height="1"/></clipPath>'
        '<g transform="translate(50 50) rotate(30)"><g clip-path="url(#c)">'
        '<rect width="20" height="10" stroke="none"/><circle cx="30" cy="5" r="10" fill="none"/>'
        "</g></g>"
    )
    assert total(read, body) == pytest.approx(20 * 10)


# --- masks ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mask", "expected"),
    [
        ('<mask id="m"><rect width="20" height="99" fill="#fff"/></mask>', 100),
        # black takes away what white gave, white gives it back
        (
            '<mask id="m"><rect width="99" height="99" fill="white"/>'
            '<rect x="10" y="10" width="10" height="5"/></mask>',
            150,
        ),
        (
            '<mask id="m"><rect width="99" height="99" fill="white"/>'
            '<rect x="10" y="10" width="10" height="5"/>'
            '<rect x="10" y="10" width="2" height="5" fill="white"/></mask>',
            160,
        ),
        ('<mask id="m"/>', 0),
        # the mask's own frame: by default a tenth more than the box on every side
        (
            '<mask id="m" x="0" y="0" width=".5" height="1">'
            '<rect width="99" height="99" fill="white"/></mask>',
            100,
        ),
        (
            '<mask id="m" maskUnits="userSpaceOnUse" x="10" y="10" width="5" height="5">'
            '<rect width="99" height="99" fill="white"/></mask>',
            25,
        ),
        (
            '<mask id="m" maskContentUnits="objectBoundingBox">'
            '<rect width=".5" height="1" fill="white"/></mask>',
            100,
        ),
        ('<mask id="m" mask-type="alpha"><rect width="20" height="99" fill="red"/></mask>', 100),
        (
            '<mask id="n"><rect width="99" height="15" fill="white"/></mask>'
            '<mask id="m" mask="url(#n)"><rect width="20" height="99" fill="white"/></mask>',
            50,
        ),
    ],
)
def test_masks_of_black_and_white_are_clips(read: Read, mask: str, expected: float) -> None:
    """A rectangle of 20 x 10 under each kind of black-and-white mask."""
    body = f'{mask}<rect mask="url(#m)" x="10" y="10" width="20" height="10"/>'
    anchor = '<rect x="90" y="90" width="1" height="1"/>'
    assert total(read, body + anchor) == pytest.approx(expected + 1)


@pytest.mark.parametrize(
    "inside",
    [
        '<rect width="9" height="9" fill="#808080"/>',
        '<rect width="9" height="9" fill="red"/>',
        '<rect width="9" height="9" fill="white" opacity=".5"/>',
    ],
)
def test_grey_masks_are_refused(reasons: Reasons, inside: str) -> None:
    """Anything but black and white makes a soft edge, which can't be cut."""
    (line,) = reasons(f'<mask id="m">{inside}</mask><rect mask="url(#m)" width="9" height="9"/>')
    assert "mask" in line


# --- markers -------------------------------------------------------------------------------------

SQUARE = '<marker id="m" markerWidth="4" markerHeight="4" {}><rect width="4" height="2"/></marker>'


@pytest.mark.parametrize(
    ("attributes", "where", "expected"),
    [
        ("", "start", (50, 50, 54, 52)),
        ("", "mid", (70, 50, 74, 52)),
        ("", "end", (70, 70, 74, 72)),
        ('refX="4" refY="2"', "start", (46, 48, 50, 50)),
        ('orient="90"', "start", (48, 50, 50, 54)),
        ('orient="auto"', "end", (68, 70, 70, 74)),
        ('orient="auto-start-reverse"', "start", (46, 48, 50, 50)),
        ('viewBox="0 0 8 8"', "start", (50, 50, 52, 51)),
        # drawn within its tile, unless it may overflow
        ('markerHeight="1"', "start", (50, 50, 54, 51)),
        ('overflow="visible" markerHeight="1"', "start", (50, 50, 54, 52)),
    ],
)
def test_markers(read: Read, attributes: str, where: str, expected: tuple[float, ...]) -> None:
    """A marker of 4 x 2 at a vertex of a path that turns right."""
    marker = SQUARE.format(attributes)
    if "markerHeight" in attributes:
        marker = marker.replace('markerHeight="4" ', "", 1)
    path = f'<path fill="none" marker-{where}="url(#m)" d="M50 50H70V70"/>'
    assert bounds(read, marker + path) == pytest.approx(expected, abs=1e-6)


def test_marker_follows_the_stroke_width(read: Read) -> None:
    """A marker grows with the stroke, unless its units are the drawing's."""
    for units, factor in (("strokeWidth", 3), ("userSpaceOnUse", 1)):
        marker = SQUARE.format(f'markerUnits="{units}"')
        path = '<path fill="none" stroke-width="3" marker-start="url(#m)" d="M50 50H70"/>'
        assert total(read, marker + path) == pytest.approx(8 * factor**2)


def test_marker_half_way_round_a_corner(read: Read) -> None:
    """orient auto takes the middle of both directions at a vertex, 45° at a right angle."""
    marker = '<marker id="m" orient="auto" overflow="visible"><path d="M0 0L10 1V-1z"/></marker>'
    path = '<path fill="none" marker-mid="url(#m)" d="M50 50H70V70"/>'
    x0, y0, x1, y1 = bounds(read, marker + path)
    assert (x0 + y0, x1 - y1) == pytest.approx((120, 20))


def test_context_paint_takes_the_colour_of_what_is_marked(read: Read) -> None:
    """context-stroke in a marker is the stroke of the path that bears it."""
    body = (
        '<marker id="m"><rect width="1" height="1" fill="context-stroke"/></marker>'
        '<path fill="none" stroke="red" marker-start="url(#m)" d="M50 50H70"/>'
    )
    assert {s.colour for s in read(body).shapes} == {"#ff0000"}


# --- paint servers -------------------------------------------------------------------------------

STOP = '<stop offset="{}" stop-color="{}"/>'


def test_gradient_of_one_colour_is_that_colour(read: Read) -> None:
    """Stops of one opaque colour, own or taken over by href, paint it; a note says so."""
    body = (
        f'<linearGradient id="a">{STOP.format(0, "red")}{STOP.format(1, "#f00")}</linearGradient>'
        '<radialGradient id="b" href="#a"/>'
        '<rect id="r" width="9" height="9" fill="url(#b)"/>'
    )
    artwork = read(body)
    assert artwork.shapes[0].colour == "#ff0000"
    assert any("gradient of one colour" in note for note in artwork.notes)


def test_gradients_and_patterns_are_refused(reasons: Reasons) -> None:
    """Each element with a gradient or pattern is named, all in one go."""
    lines = reasons(
        f'<linearGradient id="a">{STOP.format(0, "red")}{STOP.format(1, "blue")}</linearGradient>'
        f'<pattern id="p" width="5" height="5">{RECT}</pattern>'
        '<rect id="one" width="9" height="9" fill="url(#a)"/>'
        '<rect id="two" width="9" height="9" fill="none" stroke="url(#a)"/>'
        '<rect id="three" width="9" height="9" fill="url(#p)"/>'
    )
    assert [('"one"' in line, '"two"' in line, '"three"' in line) for line in lines] == [
        (True, False, False),
        (False, True, False),
        (False, False, True),
    ]
    assert "flat colours" in lines[0]


@pytest.mark.parametrize(
    ("server", "colour"),
    [
        ('<linearGradient id="a"/>', None),
        ('<pattern id="a" width="5" height="5"/>', None),
        (f'<pattern id="a" width="0" height="5">{RECT}</pattern>', None),
        (
            f'<linearGradient id="a">{STOP.format(0, "red")}{STOP.format(1, "blue")}</linearGradient>',
            "line",
        ),
    ],
)
def test_paint_servers_that_paint_nothing_are_noted(
    read: Read, server: str, colour: str | None
) -> None:
    """No stops, no content, or a bounding box without height: nothing is painted, with a note."""
    shape = (
        '<path stroke="url(#a)" d="M0 0H9"/>'
        if colour
        else '<rect width="9" height="9" fill="url(#a)"/>'
    )
    artwork = read(f'{server}{shape}<rect x="50" width="1" height="1"/>')
    assert total(read, f'{server}{shape}<rect x="50" width="1" height="1"/>') == pytest.approx(1)
    assert any("paints nothing" in note for note in artwork.notes)


def test_fallback_of_a_missing_server(read: Read, reasons: Reasons) -> None:
    """A missing paint server paints its fallback; without one it is refused by name."""
    assert read('<rect width="9" height="9" fill="url(#no) red"/>').shapes[0].colour == "#ff0000"
    (line,) = reasons('<rect width="9" height="9" fill="url(#no)"/>')
    assert "#no" in line


# --- refusals ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "word"),
    [
        ('<text id="t" y="9">Seed swap</text>', 'text "Seed swap" (id "t"), line 1'),
        ('<image id="t" href="data:image/png;base64,AA" width="9" height="9"/>', "pixels"),
        ('<foreignObject width="9" height="9"/>', "isn't a drawing"),
        ('<rect id="t" width="9" height="9" opacity=".5"/>', "partly transparent"),
        ('<rect id="t" width="9" height="9" fill="#ff000080"/>', "partly transparent"),
        ('<rect id="t" width="9" height="9" stroke="red" stroke-opacity=".5"/>', "transparent"),
        ('<g id="t" opacity="50%"><rect width="9" height="9"/></g>', 'g "t"'),
        ('<rect id="t" width="9" height="9" filter="url(#f)"/>', "filter effect"),
        ('<rect id="t" width="9" height="9" clip-path="url(#no)"/>', "#no"),
        ('<rect id="t" width="9" height="9" mask="url(#no)"/>', "#no"),
        ('<use id="t" href="other.svg#a"/>', "nothing outside the file is ever opened"),
        ('<use id="t" href="#t"/>', "refers to itself"),
        ('<path id="t" d="M0 0H9" stroke="red" vector-effect="non-scaling-stroke"/>', "scale"),
        ('<path id="t" d="M0 0H9" stroke="red" stroke-linejoin="arcs"/>', "corner style"),
        ('<path id="t" d="M0 0H9" stroke="red" stroke-width="-3"/>', "negative"),
        ('<rect id="t" width="1e400" height="9"/>', "number"),
        ('<rect id="t" width="9" height="9" transform="scale(1e20)"/>', "number"),
        ('<rect id="t" width="1e12" height="9"/>', "far outside"),
        ('<rect xmlns="" id="t" width="9" height="9"/>', "no namespace"),
        (
            '<symbol id="t" transform="scale(2)"><rect width="9" height="9"/></symbol>'
            '<use href="#t"/>',
            "symbol",
        ),
    ],
)
def test_what_is_refused(reasons: Reasons, body: str, word: str) -> None:
    """Each refusal names the file, the element with its line, and what to do."""
    (line,) = reasons(body)
    assert line.startswith("drawing.svg: ")
    assert ", line 1" in line
    assert word in line
    assert "; " in line


FAULTS = {
    '<text id="t" y="9">Seed swap</text>': 'text "Seed swap" (id "t"), line 2: is text',
    '<g id="veil" opacity=".3"><rect width="9" height="9"/></g>': 'g "veil", line 3: is partly',
    '<image href="data:," width="9" height="9"/>': "image, line 4: is a picture made of pixels",
    '<path id="sky" d="M0 0H9V9z" fill="url(#g)"/>': 'path "sky", line 5: has a gradient',
    '<path class="net" d="M0 0H9V9z" fill="url(#p)"/>': "path, line 6: is filled with a pattern",
    '<rect id="glow" width="9" height="9" filter="url(#f)"/>': 'rect "glow", line 7: has a filter',
    '<rect id="soft" width="9" height="9" mask="url(#m)"/>': 'rect "soft", line 8: has a mask',
    '<use id="far" href="others.svg#fish"/>': 'use "far", line 9: refers to another file',
    '<rect id="lost" width="9" height="9" clip-path="url(#gone)"/>': 'rect "lost", line 10: refers to',
    '<circle id="ink" r="9" fill="device-cmyk(0 1 1 0)"/>': 'circle "ink", line 11: has a colour',
    '<rect id="mix" width="9" height="9" style="mix-blend-mode:multiply"/>': 'rect "mix", line 12: is',
    '<line id="thin" x2="9" stroke="red" vector-effect="non-scaling-stroke"/>': 'line "thin", line 13',
}
SERVERS = (
    '<linearGradient id="g"><stop stop-color="red"/><stop offset="1"/></linearGradient>'
    '<pattern id="p" width="5" height="5"><rect width="2" height="2"/></pattern>'
    '<mask id="m"><rect width="9" height="9" fill="#888"/></mask>'
)


def test_all_reasons_are_told_together(reasons: Reasons) -> None:
    """A dozen unlike faults: a line for each finds its element and says what to do."""
    lines = reasons("\n".join([SERVERS, *FAULTS]))
    assert len(lines) == len(FAULTS)
    for line, found in zip(sorted(lines, key=_line_number), FAULTS.values(), strict=True):
        assert line.startswith(f"drawing.svg: {found}")
        assert "; " in line.removeprefix(f"drawing.svg: {found}")


def test_elements_on_one_line_are_counted(reasons: Reasons) -> None:
    """Without ids and line breaks each fault still has a line of its own that finds it."""
    faint = '<path d="M0 0H9V9z" opacity=".5"/>'
    lines = reasons(f'{faint}<g>{faint}</g><g id="sails">{RECT}{faint}<g>{faint}</g></g>')
    assert [line.split(": ")[1] for line in lines] == [
        "path 1 of svg, line 1",
        "path 1 of g 2 of svg, line 1",
        'path 2 of g "sails", line 1',
        'path 1 of g 3 of g "sails", line 1',
    ]


def _line_number(line: str) -> int:
    return int(line.split(", line ")[1].split(":")[0])


def test_the_command_tells_all_reasons(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The worker hands every reason over, and the command prints each on a line of its own."""
    drawing = tmp_path / "drawing.svg"
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9">'
    drawing.write_text(head + "\n".join([SERVERS, *FAULTS]) + "</svg>")
    assert run(["measure", str(drawing)]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert len(told.err.splitlines()) == len(FAULTS)
    for found in FAULTS.values():
        assert told.err.count(f"prep: drawing.svg: {found}") == 1


def test_hidden_faults_are_no_faults(read: Read) -> None:
    """What is hidden, empty or unused may hold anything."""
    body = (
        f'{RECT}<g display="none"><text>x</text><image href="x.png"/></g><text> </text>'
        '<defs><rect id="u" fill="url(#no)" width="9" height="9"/></defs><image/>'
        '<rect width="9" height="9" opacity="0"/><rect width="9" height="9" fill-opacity="0"/>'
    )
    assert total(read, body) == pytest.approx(200)


@pytest.mark.parametrize(
    ("body", "word"),
    [
        ("<script>let x</script>", "script"),
        ('<animate attributeName="x"/>', "moving"),
        ('<x:view xmlns:x="urn:x"><rect width="9" height="9"/></x:view>', "no drawing standard"),
        ("<frobnicate/>", "no element of SVG"),
        ('<rect id="r"/><rect id="r"/>', "id"),
        ('<rect width="9" height="9" transform="scale(0)"/>', "flattened"),
        ('<rect width="9" height="9" opacity="0"/>', "transparent"),
    ],
)
def test_what_is_read_with_a_note(read: Read, body: str, word: str) -> None:
    """What prints nothing is told in a note."""
    artwork = read(RECT + body)
    assert len(artwork.shapes) == 1
    assert any(word in note for note in artwork.notes)


def test_circle_within_half_a_bounding_box(read: Read) -> None:
    """The bounding box of a circle is that of its curve, not of its control points."""
    body = (
        '<clipPath id="c" clipPathUnits="objectBoundingBox"><rect width=".5" height="1"/></clipPath>'
        '<circle cx="50" cy="50" r="20" clip-path="url(#c)"/>'
    )
    assert total(read, body) == pytest.approx(200 * math.pi, rel=1e-3)
