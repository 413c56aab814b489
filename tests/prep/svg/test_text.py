"""Text outlined with font files: a font made of rectangles, whose places can be reckoned by hand."""

from __future__ import annotations

import contextlib
import io
import subprocess
import sys
from collections.abc import Callable
from functools import lru_cache

import pytest
from fontTools.feaLib.builder import addOpenTypeFeaturesFromString
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.t2CharStringPen import T2CharStringPen
from fontTools.pens.ttGlyphPen import TTGlyphPen

from prep.artwork import Artwork, PrintSize
from prep.errors import ArtworkRefused, InputError
from prep.svg import FontFile, ReadingOptions, read_svg
from prep.svg.document import parse
from prep.svg.family_names import spellings
from prep.svg.fonts import renamed
from prep.svg.proof import proof

SIGNS = {"A": 500, "B": 400, "f": 200, "i": 100, "fi": 350, "acute": 100}
"""Width of each glyph's rectangle in thousandths of an em; its advance is 100 more."""
CODES = {0x41: "A", 0x42: "B", 0x66: "f", 0x69: "i", 0x301: "acute", 0x20: "space", 0xA0: "space"}
FEATURES = """
languagesystem DFLT dflt;
languagesystem latn dflt;
languagesystem latn ROM;
feature kern { lookupflag IgnoreMarks; pos A B -50; } kern;
feature liga { sub f i by fi; } liga;
feature locl { script latn; language ROM exclude_dflt; sub i by f; } locl;
markClass acute <anchor 0 -100> @above;
feature mark { pos base A <anchor 200 700> mark @above; } mark;
"""
Pen = TTGlyphPen | T2CharStringPen
Box = tuple[float, float, float, float]


def _rectangle(pen: Pen, width: float) -> None:
    pen.moveTo((0, 0))
    pen.lineTo((0, 700))
    pen.lineTo((width, 700))
    pen.lineTo((width, 0))
    pen.closePath()


@lru_cache
def font_data(
    *, cff: bool = False, axes: tuple[tuple[str, float, float, float], ...] = ()
) -> bytes:
    """Make the font, with TrueType or with PostScript outlines."""
    builder = FontBuilder(1000, isTTF=not cff)
    widths = {".notdef": 500, "space": 0, **SIGNS}
    builder.setupGlyphOrder(list(widths))
    builder.setupCharacterMap(CODES)
    drawn = {}
    for name, width in widths.items():
        pen: Pen = T2CharStringPen(width + 100, None) if cff else TTGlyphPen(None)
        if width:
            _rectangle(pen, width)
        drawn[name] = pen.getCharString() if isinstance(pen, T2CharStringPen) else pen.glyph()
    if cff:
        builder.setupCFF("Blocks", {}, drawn, {})
    else:
        builder.setupGlyf(drawn)
    metrics = {name: (width + 100 if name != "space" else 300, 0) for name, width in widths.items()}
    builder.setupHorizontalMetrics(metrics | {"acute": (0, 0)})
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": "Blocks", "styleName": "Regular"})
    builder.setupOS2()
    builder.setupPost()
    if axes:
        builder.setupFvar([(*axis, axis[0]) for axis in axes], [])
    addOpenTypeFeaturesFromString(builder.font, FEATURES)
    out = io.BytesIO()
    builder.save(out)
    return out.getvalue()


def font(**changes: object) -> FontFile:
    values = {"family": "Blocks", "weight": 400, "style": "normal", "name": "blocks.ttf"}
    return FontFile(**{"data": font_data(), **values, **changes})  # type: ignore[arg-type]  # by name


def drawing(body: str) -> bytes:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100"'
        f' font-family="Blocks" font-size="10">{body}</svg>'
    ).encode()


def read(body: str, *fonts: FontFile) -> Artwork:
    options = ReadingOptions(fonts=fonts or (font(),))
    return read_svg(drawing(body), name="t.svg", size=PrintSize(), options=options)


def boxes(body: str, *fonts: FontFile) -> list[Box]:
    """Give the boxes of all pieces, from left to right: x, y of the top left, right, bottom in mm."""
    pieces = [piece for shape in read(body, *fonts).shapes for piece in shape.region.geoms]
    for piece in pieces:
        assert piece.area == pytest.approx(piece.envelope.area), "a rectangle stays one"
    return sorted(piece.bounds for piece in pieces)


def lefts(body: str, *fonts: FontFile) -> list[float]:
    return [box[0] for box in boxes(body, *fonts)]


def refusals(body: str, *fonts: FontFile) -> str:
    with pytest.raises(ArtworkRefused) as caught:
        read(body, *fonts)
    return "\n".join(caught.value.lines())


@pytest.mark.parametrize("cff", [False, True])
def test_one_letter_stands_on_its_baseline(cff: bool) -> None:
    """A rectangle of half an em by 0.7 em, its foot at y, from either kind of outlines."""
    (box,) = boxes('<text x="20" y="50">A</text>', font(data=font_data(cff=cff)))
    assert box == pytest.approx((20, 43, 25, 50))


@pytest.mark.parametrize(
    ("size", "em"),
    [
        *[("20", 20), ("20px", 20), ("15pt", 20), ("1pc", 16), ("0.25in", 24), ("2.54cm", 96)],
        *[("25.4mm", 96), ("150%", 15), ("1.5em", 15), ("larger", 12)],
    ],
)
def test_font_sizes(size: str, em: float) -> None:
    """Each unit of the font's size (CSS Values 3, 6.2: 96 px to the inch; % and em of the parent's)."""
    (box,) = boxes(f'<text x="1" y="90" font-size="{size}">A</text>')
    assert box == pytest.approx((1, 90 - 0.7 * em, 1 + 0.5 * em, 90))


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        # A advances 6, B 5; the pair is 0.5 closer by the font's kerning
        ('<text x="10" y="50">AA</text>', [10, 16]),
        ('<text x="10" y="50">AB</text>', [10, 15.5]),
        ('<text x="10" y="50">BA</text>', [10, 15]),
        ('<text y="50">A</text>', [0]),
        ('<text x="10 30 60" y="50">AABA</text>', [10, 30, 60, 65]),
        ('<text x="10" dx="2 3 4" y="50">AAA</text>', [12, 21, 31]),
        ('<text x="10" dx="10%" y="50">A</text>', [20]),
        ('<text x="1em" y="50">A</text>', [10]),
        ('<text x="50" y="50" text-anchor="middle">AA</text>', [44, 50]),
        ('<text x="50" y="50" text-anchor="end">AA</text>', [38, 44]),
        ('<text x="50" dx="5" y="50" text-anchor="middle">AA</text>', [49, 55]),
        ('<text x="10" y="50" letter-spacing="2">AAA</text>', [10, 18, 26]),
        ('<text x="10" y="50" letter-spacing="-0.05em">AA</text>', [10, 15.5]),
        ('<text x="10" y="50" word-spacing="4">A A</text>', [10, 23]),
        ('<text x="10" y="50">A<tspan dx="3">A</tspan>A</text>', [10, 19, 25]),
        ('<text x="10" y="50">A<tspan x="40">A</tspan>A</text>', [10, 40, 46]),
        ('<text x="10 20" y="50">A<tspan x="40">A</tspan>A</text>', [10, 40, 46]),
        ('<text x="10 20 70" y="50">A<tspan>A</tspan>A</text>', [10, 20, 70]),
        ('<text x="10" y="50">A<a href="#x">A</a></text>', [10, 16]),
        ('<text x="10" y="50"><tspan visibility="hidden">A</tspan>A</text>', [16]),
        ('<text x="10" y="50"><tspan display="none">A</tspan>A</text>', [10]),
        ('<text x="10" y="50">A<desc>not shown</desc>A</text>', [10, 16]),
        (
            '<g transform="translate(5)"><text x="10" y="50" transform="scale(2,1)">A</text></g>',
            [25],
        ),
    ],
)
def test_places_from_left_to_right(body: str, expected: list[float]) -> None:
    """Positions, spacing, kerning and anchors put letters where they are reckoned to be."""
    assert lefts(body) == pytest.approx(expected)


def test_a_letter_moves_up_and_down_by_dy() -> None:
    """Shifts of y add up, as those of x do."""
    found = boxes('<text x="10" y="50" dy="0 3 -5">AAA</text>')
    assert [box[3] for box in found] == pytest.approx([50, 53, 48])


def test_lines_are_centred_each_by_itself() -> None:
    """A chunk begins at each x and is anchored alone; the break before the next one counts as a space.

    The space after the first line, 3 wide, is part of its chunk.
    """
    found = boxes(
        '<text text-anchor="middle">\n <tspan x="50" y="30">A</tspan>\n'
        ' <tspan x="50" y="60">BB</tspan>\n</text>'
    )
    assert [(box[0], box[3]) for box in found] == [
        pytest.approx((50 - 5, 60)),
        pytest.approx((50 - 4.5, 30)),
        pytest.approx((50, 60)),
    ]


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ('<text x="10" y="50">  A \n\t A  </text>', [10, 19]),
        ('<text x="10" y="50" xml:space="preserve"> A  A</text>', [13, 25]),
        ('<text x="10" y="50" xml:space="preserve">A\nA</text>', [10, 19]),
        ('<text x="10" y="50">A <tspan> A</tspan></text>', [10, 19]),
        ('<text x="10" y="50">&#xA0;A</text>', [13]),
        # a collapsed space takes no position of a list
        ('<text x="10 20 30" y="50"> A  A </text>', [10, 30]),
        ('<text x="10" y="50">A<!-- a remark -->A</text>', [10, 16]),
    ],
)
def test_spaces(body: str, expected: list[float]) -> None:
    """Spaces collapse, or stay where xml:space says so (CSS Text 3, 4.1)."""
    assert lefts(body) == pytest.approx(expected)


def test_ligatures_and_marks_are_the_fonts_own() -> None:
    """f and i make one glyph 0.35 em wide; an acute stands where the font's anchors put it."""
    assert boxes('<text x="10" y="50">fi</text>') == [pytest.approx((10, 43, 13.5, 50))]
    letter, acute = boxes('<text x="10" y="50">A&#x301;</text>')
    assert letter == pytest.approx((10, 43, 15, 50))
    # by (0.2, 0.7 + 0.1) em from the letter's origin
    assert acute == pytest.approx((12, 35, 13, 42))


def test_faces_are_matched_exactly() -> None:
    """Bold text takes the file named for bold; the family's name is matched whatever its case."""
    bold = font(weight=700, name="bold.ttf")
    body = (
        '<text x="10" y="50" font-family="BLOCKS, serif">B<tspan font-weight="{}">B</tspan></text>'
    )
    assert lefts(body.format("bold"), font(), bold) == pytest.approx([10, 15])
    said = refusals(body.format("600"), font(), bold)
    assert 'family = "BLOCKS", weight = "600", style = "normal"' in said
    assert "order.toml" in said


@pytest.mark.parametrize(
    ("style", "size"),
    [
        ("font: 20px Blocks", 20),
        ("font: normal 400 15pt 'Blocks', serif", 20),
        ("font: 2em Blocks; font-size: 30px", 30),
    ],
)
def test_the_shorthand_font(style: str, size: float) -> None:
    """The shorthand sets size and family; what follows goes over it."""
    (box,) = boxes(f'<text x="10" y="50" style="{style}" font-family="Other">A</text>')
    assert box[2] - box[0] == pytest.approx(size / 2)


def test_fill_and_stroke_as_of_shapes() -> None:
    """A stroke of 1 around 5 x 7 covers 6 x 8 with mitred corners, less 4 x 6 within."""
    artwork = read('<text x="10" y="50" fill="red" stroke="blue">A</text>')
    assert [shape.colour for shape in artwork.shapes] == ["#ff0000", "#0000ff"]
    assert [shape.region.area for shape in artwork.shapes] == pytest.approx([35, 24])
    order = read('<text x="10" y="50" fill="red" stroke="blue" paint-order="stroke">A</text>')
    assert [shape.colour for shape in order.shapes] == ["#0000ff", "#ff0000"]


def test_parts_have_colours_of_their_own() -> None:
    """A tspan's fill paints its letters only; the source names the text."""
    artwork = read('<text id="t" x="10" y="50" fill="red">A<tspan fill="lime">A</tspan>A</text>')
    assert [shape.colour for shape in artwork.shapes] == ["#ff0000", "#00ff00", "#ff0000"]
    assert artwork.shapes[0].source == 'text "AAA" (id "t"), line 1'


def test_overlapping_letters_are_one_region() -> None:
    """Letters set tighter than they are wide are filled through, whatever the fill rule says."""
    ((left, _, right, _),) = boxes(
        '<text x="10" y="50" letter-spacing="-3" fill-rule="evenodd">AA</text>'
    )
    assert (left, right) == pytest.approx((10, 18))


def test_text_clips_and_is_clipped() -> None:
    """Letters in a clipping path let through what lies under them, and are clipped like shapes."""
    clip = '<clipPath id="c"><text x="10" y="50">AA</text></clipPath>'
    assert boxes(f'{clip}<rect width="100" height="100" clip-path="url(#c)"/>') == [
        pytest.approx((10, 43, 15, 50)),
        pytest.approx((16, 43, 21, 50)),
    ]
    clip = '<clipPath id="c"><rect width="12" height="100"/></clipPath>'
    assert boxes(f'{clip}<text x="10" y="50" clip-path="url(#c)">A</text>') == [
        pytest.approx((10, 43, 12, 50))
    ]


def test_used_text_takes_its_place_and_paint_from_the_use() -> None:
    """A use shows text like any shape."""
    artwork = read('<defs><text id="t" y="50">A</text></defs><use href="#t" x="30" fill="red"/>')
    assert artwork.shapes[0].colour == "#ff0000"
    assert artwork.shapes[0].region.bounds == pytest.approx((30, 43, 35, 50))


@pytest.mark.parametrize(
    ("attributes", "content", "says"),
    [
        ("", '<textPath href="#p">A</textPath>', "textPath"),
        ("", '<tref href="#p"/>A', "tref"),
        ('rotate="0 10"', "AA", "rotate"),
        ('textLength="50"', "A", "textLength"),
        ('writing-mode="tb"', "A", "writing-mode: tb"),
        ('direction="rtl"', "A", "direction: rtl"),
        ("", "A&#x5D0;", "from right to left"),
        ("", "A&#x202E;", "from right to left"),
        ("", "A&#xAD;A", "an invisible sign: U+00AD"),
        ("", "&#x200D;A", "an invisible sign: U+200D"),
        ("", "A&#x2028;B", "an invisible sign: U+2028"),
        ("", "A&#x2029;B", "an invisible sign: U+2029"),
        ('dx="0 -7"', "AA", "dx that leads left of where the text begins"),
        ('x="50" dx="2 -7"', "AA", "dx that leads left of where the text begins"),
        ("", 'AA<tspan dx="-13">A</tspan>', "dx that leads left of where the text begins"),
        ("", '<tspan display="none" x="50">A</tspan>A', "positions in a hidden part"),
        ("", '<tspan display="none" dy="5">A</tspan>A', "positions in a hidden part"),
        ("", 'A<tspan display="none"><tspan dx="5">A</tspan></tspan>A', "positions in a hidden"),
        ("", '<tspan systemLanguage="xx" y="5">A</tspan>A', "positions in a hidden part"),
        ('font-size="-5"', "A", "(font-size: -5); give it a size of zero or more"),
        ('style="font-size:-5px"', "A", "(font-size: -5px); give it a size of zero or more"),
        ("", "AШ", "U+0428 in blocks.ttf"),
        ("", 'A <tspan xml:space="preserve">A</tspan>', "spaces that viewers count differently"),
        ('y="1 2" letter-spacing="1"', "AA", "y without x"),
        ("", '<a dx="3">A</a>', "a position on a link"),
        ('x="1 2"', "<tspan> AA</tspan>", "a list of positions"),
        (
            "",
            '<tspan letter-spacing="2">A </tspan><tspan> A</tspan>',
            "spaces at the end of one part and the start of the next",
        ),
        ('text-decoration="underline"', "A", "text-decoration: underline"),
        ('dominant-baseline="middle"', "A", "dominant-baseline: middle"),
        ("", '<tspan baseline-shift="super">A</tspan>', "baseline-shift: super"),
        ('font-variant="small-caps"', "A", "font-variant: small-caps"),
        ("style=\"font-feature-settings:'liga' 0\"", "A", "font-feature-settings"),
        ('style="text-transform:uppercase"', "A", "text-transform"),
        ('style="font:bold 12px/1.5 Blocks"', "A", "font: bold 12px/1.5 Blocks"),
        ('font-stretch="condensed"', "A", "font-stretch: condensed"),
        ('text-rendering="optimizeSpeed"', "A", "text-rendering"),
        ('xml:lang="ro"', "Ai", "letters of the language ro"),
        ("", '<tspan opacity="0.5">A</tspan>', "opacity on a part of it"),
        ('stroke="red" stroke-dasharray="2"', "A", "dashes"),
        ('dx="0 3"', "fi", 'a change within the glyph of "i" U+0069'),
        ("", 'f<tspan fill="red">i</tspan>', 'a change within the glyph of "i" U+0069'),
        ("", 'A<tspan font-size="20">B</tspan>', "kerning over a change of font"),
        ("", 'A&#x301;<tspan font-size="20">B</tspan>', "kerning over a change of font"),
        ("", 'A<tspan font-size="20">B&#x301;</tspan>', "kerning over a change of font"),
        ('letter-spacing="2"', "fi", "ligatures in spaced text"),
        ('style="letter-spacing:2"', "AA", "letter-spacing: 2 without a unit"),
        ('style="word-spacing:2"', "A A", "word-spacing: 2 without a unit"),
        ('style="-webkit-text-security:disc"', "A", "-webkit-text-security: disc"),
        ('style="font-size:10"', "A", "font-size: 10 without a unit"),
        ('letter-spacing="-9"', "A", "spacing tighter than the letters are wide"),
        (
            'letter-spacing="2" text-anchor="middle"',
            "AA",
            "spacing in text that isn't left-aligned",
        ),
        ('dx="0 2" text-anchor="end"', "AA", "dx in text that isn't left-aligned"),
        ('y="1 2" text-anchor="end"', "AA", "y without x"),
        ('style="white-space:pre"', "A  A", "spaces that viewers count differently"),
        ("", "A<tspan> A</tspan>", "a part that begins with a space"),
        ('dx="2 nonsense"', "AA", "dx: 2 nonsense"),
        ('dx="1ex"', "AA", "dx: 1ex"),
        ('x="1 2"', '<tspan display="none">A</tspan>A', "a list of positions"),
        ("", "&#x1F9FF;A", "U+1F9FF in blocks.ttf"),
        ("", "AC", '"C" U+0043 in blocks.ttf'),
        ('font-family="Other"', "A", 'family = "Other", weight = "normal", style = "normal"'),
        ('font-style="italic"', "A", 'style = "italic"'),
        ('font-weight="bolder"', "A", "font-weight: bolder"),
        ('font-size="small"', "A", "font-size: small"),
        ('font-size="3vw"', "A", "3vw"),
    ],
)
def test_what_is_refused(attributes: str, content: str, says: str) -> None:
    """What viewers set differently, or the font lacks, is refused, and the line says what it is."""
    assert says in refusals(f'<text {attributes} id="t">{content}</text>')


def test_lines_of_a_group_are_refused() -> None:
    """A line under a group runs on under the text in it, though it isn't inherited."""
    said = refusals('<g text-decoration="underline"><text y="50">A</text></g>')
    assert "text-decoration: underline" in said


def test_spaces_kept_from_outside_are_refused_only_where_it_matters() -> None:
    """xml:space on a group counts for some viewers only."""
    group = '<g xml:space="preserve"><text x="10" y="50">{}</text></g>'
    assert lefts(group.format("A A")) == pytest.approx([10, 19])
    assert "spaces that viewers count differently" in refusals(group.format("A  A"))


def test_the_box_of_text_is_refused() -> None:
    """A clipping path in units of the text's box depends on what a viewer takes for the box."""
    clip = (
        '<clipPath id="c" clipPathUnits="objectBoundingBox"><rect width="1" height="1"/></clipPath>'
    )
    assert "bounding box of text" in refusals(f'{clip}<text clip-path="url(#c)">A</text>')


def test_without_font_files_text_is_refused() -> None:
    """No font of the machine is used."""
    with pytest.raises(ArtworkRefused, match="convert text to outlines first, or name its font"):
        read_svg(drawing("<text>A</text>"), name="t.svg", size=PrintSize())


@pytest.mark.parametrize("named", [True, False])
def test_all_reasons_against_a_text_are_told_together(named: bool) -> None:
    """One reading tells all that stands against a text, whether its font is at hand or not."""
    body = (
        '<linearGradient id="g"><stop stop-color="red"/><stop offset="1"/></linearGradient>'
        '<text id="t" y="50" rotate="9" opacity="0.5" style="letter-spacing:2;text-shadow:1px 1px"'
        ' fill="url(#g)" text-anchor="end">'
        'A<tspan dx="1" font-weight="900" font-size="small">A</tspan>&#x202E;'
        '<textPath direction="rtl">A</textPath>'
        '<tspan font-weight="bolder" stroke="red" stroke-dasharray="2" word-spacing="2vw">A</tspan>'
        '<tspan style="font-family:var(--f)" fill="red">A</tspan></text>'
    )
    options = ReadingOptions(fonts=(font(),) if named else ())
    with pytest.raises(ArtworkRefused) as caught:
        read_svg(drawing(body), name="t.svg", size=PrintSize(), options=options)
    said = "\n".join(caught.value.lines())
    for reason in (
        *("(rotate)", "letter-spacing: 2 without a unit", "text-shadow: 1px 1px", "(#g)"),
        *(
            "(textPath)",
            "direction: rtl",
            "font-weight: bolder",
            "font-size: small",
            "(2vw)",
            "(dashes)",
        ),
        *("var(--f)", 'weight = "900"', "partly transparent"),
    ):
        assert reason in said, reason
    assert ('family = "Blocks", weight = "normal"' in said) is not named


def test_what_any_font_is_refused_for_is_told_together() -> None:
    """Signs and places that no font sets alike are told with the fonts to name."""
    body = '<text y="50 60" dx="0 1" text-anchor="end" letter-spacing="1">AA&#x202E;&#x5D0;A</text>'
    with pytest.raises(ArtworkRefused) as caught:
        read_svg(drawing(body), name="t.svg", size=PrintSize())
    said = "\n".join(caught.value.lines())
    for reason in (
        *("from right to left: U+202E", "an invisible sign: U+202E", "y without x"),
        *("spacing in text that isn't left-aligned", 'family = "Blocks", weight = "normal"'),
    ):
        assert reason in said, reason


def test_the_font_is_noted() -> None:
    """The notes say which file a text was outlined with."""
    (note,) = read('<text id="t" y="50">A</text>').notes
    assert (
        note == 'Text "A" (id "t"), line 1 is text, outlined with the font file named (blocks.ttf).'
    )


def _without_outlines() -> bytes:
    return _changed(lambda made: made.pop("glyf"))


def _coloured() -> bytes:
    return _changed(lambda made: made.__setitem__("COLR", b"\0" * 14))


def _changed(change: Callable[[dict[str, bytes]], object]) -> bytes:
    """Give the font with its tables changed as bytes."""
    from fontTools.ttLib import TTFont
    from fontTools.ttLib.sfnt import SFNTWriter

    made = TTFont(io.BytesIO(font_data()))
    tables = {tag: made.reader[tag] for tag in made.reader.keys()}  # noqa: SIM118  # no mapping
    change(tables)
    out = io.BytesIO()
    writer = SFNTWriter(out, len(tables))
    for tag, data in tables.items():
        writer[tag] = data
    writer.close()
    return out.getvalue()


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "can't be read as a font"),
        (b"<html>", "can't be read as a font"),
        (b"wOF2" + b"\0" * 60, "is a web font or a collection of fonts"),
        (b"ttcf" + b"\0" * 60, "is a web font or a collection of fonts"),
        (_without_outlines(), "has no outlines"),
        (_coloured(), "is a colour font"),
        (font_data(axes=(("opsz", 8, 12, 72),)), "variable font whose opsz is 12"),
        (font_data(axes=(("wght", 100, 300, 900),)), "variable font whose wght is 300"),
    ],
)
def test_fonts_that_can_not_be_used(data: bytes, says: str) -> None:
    """Files that are no plain font are refused by name."""
    with pytest.raises(InputError, match=says) as caught:
        read('<text y="50">A</text>', font(data=data))
    assert "blocks.ttf" in str(caught.value)


def test_the_default_of_a_variable_font_is_read() -> None:
    """A variable font that stands at the weight asked for is an ordinary font."""
    data = font_data(axes=(("wght", 100, 400, 900),))
    assert lefts('<text x="10" y="50">A</text>', font(data=data)) == pytest.approx([10])


@pytest.mark.parametrize("cut", range(0, 2000, 97))
def test_damaged_fonts_end_in_a_line(cut: int) -> None:
    """A font that ends too soon, or has bytes overwritten, is refused or still has its letter."""
    data = font_data()
    for damaged in (data[: cut + 40], data[:cut] + b"\xff" * 12 + data[cut + 12 :]):
        shapes = 1
        with contextlib.suppress(InputError):
            shapes = len(read('<text x="10" y="50">A</text>', font(data=damaged)).shapes)
        assert shapes == 1


def test_dx_to_the_left_within_the_text_is_read() -> None:
    """A step back that doesn't pass the beginning moves what follows, nothing else."""
    assert lefts('<text x="10" y="50" dx="0 -6">AA</text>') == pytest.approx([10])
    assert lefts('<text x="10" y="50" dx="-3">A</text>') == pytest.approx([7])


def test_a_hidden_part_without_positions_is_passed_over() -> None:
    """It has no characters, and says nothing of those of others."""
    body = '<text x="10" y="50">A<tspan display="none" fill="red">A</tspan>A</text>'
    assert lefts(body) == pytest.approx([10, 16])


@pytest.mark.parametrize(
    ("brought", "noted"),
    [
        ("<style>@font-face{font-family:'BLOCKS';src:url(data:,)}</style>", True),
        ("<style>@font-face{font-family:Blocks;src:local(x)}</style>", True),
        ('<defs><font><font-face font-family="Blocks"/></font></defs>', True),
        ("<style>@font-face{font-family:Other;src:local(x)}</style>", False),
        ("<style>text{font-family:Blocks}</style>", False),
    ],
)
def test_a_font_the_drawing_brings_is_told(brought: str, noted: bool) -> None:
    """Some viewers show the drawing's own font of the name; the order's file is taken, and said."""
    artwork = read(f'{brought}<text id="t" x="10" y="50">A</text>')
    assert len(artwork.shapes) == 1
    told = [note for note in artwork.notes if "brings a font of its own" in note]
    assert len(told) == noted
    assert all('(id "t")' in note for note in told)


def test_renamed_fonts_bear_the_names_of_the_order() -> None:
    """A renderer that goes by a file's own names finds it as the artwork names it."""
    from fontTools.ttLib import TTFont

    made = TTFont(io.BytesIO(renamed(font(family="Shop Sign", weight=700, style="italic"))))
    assert made["name"].getDebugName(1) == "Shop Sign"
    assert made["OS/2"].usWeightClass == 700
    assert made["OS/2"].fsSelection & 1
    assert made["head"].macStyle == 3


@pytest.mark.parametrize(
    "text",
    [
        '<text x="10" y="50" font-family="SHOP sign">A</text>',
        '<text x="10" y="50" font-family="\'shop sign\', Other">A</text>',
        '<text x="10" y="50" font-family="\' Shop  Sign\'">A</text>',
        '<text x="10" y="50" style="font: 10px shop Sign">A</text>',
        "<style>text{font-family:'SHOP SIGN'}</style><text x='10' y='50'>A</text>",
    ],
)
def test_a_family_in_other_letters_passes_the_proof(text: str) -> None:
    """Names are the same in any case and with any blanks, in what is read and in its proof."""
    fonts = (font(family="Shop Sign"),)
    artwork = read(text, *fonts)
    seen = [(shape.colour, shape.region) for shape in artwork.shapes]
    assert len(seen) == 1
    assert proof(drawing(text), artwork, seen, fonts=fonts).differences == ()


def test_spellings_of_a_family() -> None:
    """Words in a row, with or without quotes; other families and comments are none."""
    root = parse(
        drawing(
            "<!-- SHOP sign --><style>a{font:bold 9px Shop/**/ SIGN, shop}</style>"
            "<g font-family=\"Q, ' shop sign', Sign\" style='font-family: shop sign'/>"
        ),
        "t.svg",
    )
    assert sorted(spellings(root, "Shop  Sign")) == [" shop sign", "Shop SIGN", "shop sign"]


def test_the_libraries_are_imported_only_for_text() -> None:
    """A drawing without text needs neither library; one with text says what to install."""
    code = """
import sys
sys.modules["uharfbuzz"] = None
from prep.artwork import PrintSize
from prep.errors import ArtworkRefused
from prep.svg import FontFile, ReadingOptions, read_svg
fonts = (FontFile("Blocks", 400, "normal", b"", "b.ttf"),)
svg = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" font-family="Blocks">%s</svg>'
def read(body):
    data = (svg % body).encode()
    return read_svg(data, name="t", size=PrintSize(), options=ReadingOptions(fonts=fonts))
read('<rect width="9" height="9"/>')
assert not any(name.partition(".")[0] == "fontTools" for name in sys.modules)
try:
    read('<text y="9">A</text>')
except ArtworkRefused as error:
    print(error)
"""
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert 'pip install "firstpull[text]"' in ran.stdout
