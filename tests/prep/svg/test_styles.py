"""The cascade and colours: which colour each shape has."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from coloraide import Color

from prep.artwork import Artwork

Read = Callable[..., Artwork]
Reasons = Callable[[str], tuple[str, ...]]
RECT = '<rect id="a" class="x y" width="9" height="9" {}/>'


def colour(read: Read, body: str) -> str:
    """Give the colour of the one shape."""
    (shape,) = read(body).shapes
    return shape.colour


@pytest.mark.parametrize(
    ("sheet", "attributes", "expected"),
    [
        ("", "", "#000000"),
        ("", 'fill="red"', "#ff0000"),
        ("rect{fill:blue}", 'fill="red"', "#0000ff"),
        ("rect{fill:blue} .x{fill:green}", "", "#008000"),
        (".x{fill:green} rect{fill:blue}", "", "#008000"),
        (".x{fill:green} #a{fill:blue} .y{fill:red}", "", "#0000ff"),
        (".x{fill:green} .y{fill:blue}", "", "#0000ff"),
        (".x.y{fill:green} .y{fill:blue}", "", "#008000"),
        ("rect{fill:blue}", 'style="fill:red"', "#ff0000"),
        ("rect{fill:blue!important}", 'style="fill:red"', "#0000ff"),
        ("rect{fill:blue!important}", 'style="fill:red!important"', "#ff0000"),
        (".x{fill:green!important} #a{fill:blue!important}", "", "#0000ff"),
        ("g rect{fill:blue}", "", "#0000ff"),
        ("svg > rect{fill:blue}", 'fill="red"', "#ff0000"),
        ("g > rect{fill:blue}", "", "#0000ff"),
        ("[width]{fill:blue}", "", "#0000ff"),
        ("[class~=y]{fill:blue}", "", "#0000ff"),
        ("rect:first-child{fill:blue}", "", "#0000ff"),
        ("g :not(.x){fill:blue}", "", "#000000"),
        ("*{fill:blue}", "", "#0000ff"),
        ("circle, rect{fill:blue}", "", "#0000ff"),
        ("rect{fill:blue; fill:nonsense}", "", "#0000ff"),
        ("rect{fill:nonsense}", 'fill="red"', "#ff0000"),
        ("/* rect{fill:blue} */", 'fill="red"', "#ff0000"),
        ("rect{FILL:BLUE}", "", "#0000ff"),
        ("g{fill:blue}", 'fill="inherit"', "#0000ff"),
        ("g{fill:blue}", 'style="fill:initial"', "#000000"),
        ("g{fill:blue}", 'style="fill:unset"', "#0000ff"),
        ("g{color:blue}", 'fill="currentColor"', "#0000ff"),
        ("g{color:blue; fill:currentColor}", 'color="red"', "#ff0000"),
        ("g{color:blue} rect{color:currentColor}", 'fill="currentColor"', "#0000ff"),
        ("@font-face{font-family:x} rect{fill:blue}", "", "#0000ff"),
    ],
)
def test_cascade(read: Read, sheet: str, attributes: str, expected: str) -> None:
    """Attributes, rules by specificity and place, inline style, !important, inheritance."""
    body = f"<g>{RECT.format(attributes)}</g><style>{sheet.replace('>', '&gt;')}</style>"
    assert colour(read, body) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("#ABC", "#aabbcc"),
        ("#1f3A5f", "#1f3a5f"),
        ("#1f3a5fff", "#1f3a5f"),
        ("rebeccapurple", "#663399"),
        ("RED", "#ff0000"),
        ("rgb(31,58,95)", "#1f3a5f"),
        ("rgb(31 58 95)", "#1f3a5f"),
        ("rgb(31 58 95 / 100%)", "#1f3a5f"),
        ("rgba(300, -5, 95.4, 1)", "#ff005f"),
        ("rgb(100%, 50%, 0%)", "#ff8000"),
        ("hsl(120, 100%, 25%)", "#008000"),
        ("hsl(480deg 100% 25%)", "#008000"),
        ("hsl(120, 200%, 25%)", "#008000"),
        ("hwb(240 0% 0%)", "#0000ff"),
        # 180° at half the lightness: both channels 127.5, and halves go up
        ("hsl(0.5turn 100% 25%)", "#008080"),
        ("hsl(200grad, 100%, 25%)", "#008080"),
        ("hwb(120deg 20% 40%)", "#339933"),
        ("hwb(120 60% 60%)", "#808080"),
        ("rgb(none 58 none)", "#003a00"),
        ("hsl(none 100% 50%)", "#ff0000"),
        ("rgb(30% 30% 30%)", "#4d4d4d"),
        ("rgb(31 58 95 / 1)", "#1f3a5f"),
        ("color(srgb 0.2 60% none)", "#339900"),
    ],
)
def test_colour_syntax(read: Read, text: str, expected: str) -> None:
    """Every way CSS has to write an sRGB colour."""
    assert colour(read, RECT.format(f'fill="{text}"')) == expected


@pytest.mark.parametrize(
    ("text", "space", "channels"),
    [
        ("lab(50% 40 20)", "lab", (50, 40, 20)),
        ("lch(50 50 30)", "lch", (50, 50, 30)),
        ("lch(50% 50 none)", "lch", (50, 50, 0)),
        ("oklab(0.5 0.05 0.05)", "oklab", (0.5, 0.05, 0.05)),
        # 100 % of a and b in oklab is 0.4, of chroma in oklch too (CSS Color Level 4)
        ("oklab(50% 10% -5%)", "oklab", (0.5, 0.04, -0.02)),
        ("oklch(60% 0.1 30)", "oklch", (0.6, 0.1, 30)),
        ("color(srgb-linear 0.5 0.25 0.1)", "srgb-linear", (0.5, 0.25, 0.1)),
        ("color(display-p3 0.6 0.4 0.2)", "display-p3", (0.6, 0.4, 0.2)),
        ("color(xyz 0.3 0.3 0.2)", "xyz-d65", (0.3, 0.3, 0.2)),
    ],
)
def test_other_colour_spaces_agree_with_coloraide(
    read: Read, text: str, space: str, channels: tuple[float, ...]
) -> None:
    """Colours of other spaces become the sRGB that coloraide gives."""
    expected = Color(space, channels).convert("srgb").to_string(hex=True, fit=False)
    assert colour(read, RECT.format(f'fill="{text}"')) == expected


@pytest.mark.parametrize(
    ("text", "space", "channels"),
    [
        # a grey of L = 50 is #777777, whatever the chroma below zero
        ("lch(50% -10 0)", "lch", (50, 0, 0)),
        ("lch(50 -10 200)", "lch", (50, 0, 0)),
        ("oklch(0.6 -0.2 40)", "oklch", (0.6, 0, 0)),
        ("lab(150 50 0)", "lab", (100, 50, 0)),
        ("lab(150% 50 0)", "lab", (100, 50, 0)),
        ("lch(150 30 90)", "lch", (100, 30, 90)),
        ("oklab(1.5 0.2 0)", "oklab", (1, 0.2, 0)),
        ("oklch(150% 0.1 30)", "oklch", (1, 0.1, 30)),
        ("lab(-20 50 0)", "lab", (0, 50, 0)),
        ("oklab(-20% 0.2 0)", "oklab", (0, 0.2, 0)),
    ],
)
def test_lightness_and_chroma_keep_within_their_range(
    read: Read, text: str, space: str, channels: tuple[float, ...]
) -> None:
    """Lightness is clamped to 0 ... 100 %, chroma to no less than 0, before anything is reckoned.

    coloraide, which clamps nothing, is given what is left.
    """
    expected = Color(space, channels).convert("srgb").clip().to_string(hex=True, fit=False)
    assert colour(read, RECT.format(f'fill="{text}"')) == expected


def test_a_grey_known_by_hand(read: Read) -> None:
    """L = 50 is a luminance of 0.1842 (CIE 1976), by the curve of sRGB 0.4663: 119 of 255, hex 77."""
    assert colour(read, RECT.format('fill="lch(50% -10 0)"')) == "#777777"


@pytest.mark.parametrize(
    "text",
    [
        *("rgb(0 0 0 / none)", "rgb(9% 0% 0% / NONE)", "hsl(9 9% 9%/none)", "hwb(9 9% 9% / none)"),
        *("lab(50 0 0 / none)", "oklch(0.5 0 0 / none)", "color(srgb 1 0 0 / none)"),
    ],
)
def test_an_alpha_of_none_is_transparent(read: Read, text: str) -> None:
    """A missing alpha counts as 0: nothing is printed, and it is noted as transparent."""
    artwork = read(RECT.format(f'fill="{text}"') + '<circle cx="50" cy="50" r="9" fill="red"/>')
    assert [s.colour for s in artwork.shapes] == ["#ff0000"]
    (note,) = artwork.notes
    assert "transparent" in note


def test_none_with_commas_is_no_colour(read: Read) -> None:
    """The older way of writing colours knows no none: the declaration is left out, and noted."""
    for text in ("rgb(0, 255, 0, none)", "rgb(none, 255, 0)", "hsla(none, 100%, 50%, 1)"):
        artwork = read(RECT.format(f'fill="{text}"'))
        assert artwork.shapes[0].colour == "#000000"
        assert any(text in note for note in artwork.notes)


def test_white_in_every_space(read: Read) -> None:
    """The white of each space is the white of sRGB, whatever white it was defined on."""
    for text in (
        *("lab(100% 0 0)", "lch(100 0 none)", "oklab(1 0 0)", "oklch(100% 0 0)", "hwb(9 100% 0%)"),
        *("color(display-p3 1 1 1)", "color(a98-rgb 1 1 1)", "color(prophoto-rgb 1 1 1)"),
        "color(srgb-linear 1 1 1)",
        *("color(xyz-d50 0.9642956764 1 0.8251046025)", "color(xyz 0.9504559271 1 1.0890577508)"),
    ):
        assert colour(read, RECT.format(f'fill="{text}"')) == "#ffffff", text


def test_no_paint_at_all(read: Read) -> None:
    """none and transparent paint nothing; the one is no paint, the other a colour to be noted."""
    for text in ("none", "transparent", "#0000", "#12345600", "rgb(1 2 3 / 0)"):
        artwork = read(RECT.format(f'fill="{text}"') + '<circle r="9" fill="red"/>')
        assert [s.colour for s in artwork.shapes] == ["#ff0000"]
        assert any("transparent" in note for note in artwork.notes) is (text != "none")


def test_colour_beyond_srgb_is_noted(read: Read) -> None:
    """A colour no screen shows is named by the nearest one, and a note says so."""
    artwork = read(RECT.format('fill="color(display-p3 0 1 0)"'))
    assert artwork.shapes[0].colour == "#00ff00"
    assert any('rect "a"' in note.lower() and "can't show" in note for note in artwork.notes)


@pytest.mark.parametrize(
    "text",
    [
        *("color-mix(in srgb, red, blue)", "light-dark(red, blue)", "rgb(from red r g b)"),
        *("device-cmyk(0 1 1 0)", "red icc-color(press, 0, 1, 1, 0)", "var(--ink)"),
    ],
)
def test_colour_that_depends_on_the_viewer_is_refused(reasons: Reasons, text: str) -> None:
    """Colours that can't be told from the file are refused, not taken for none."""
    (line,) = reasons(RECT.format(f'fill="{text}"'))
    assert 'rect "a", line 1' in line


@pytest.mark.parametrize("text", ["color(rec2020 0.2 0.4 0.1)", "color(REC2020 1 1 1 / 0.5)"])
def test_rec2020_is_refused(reasons: Reasons, text: str) -> None:
    """Some viewers take the curve of cameras for it, others a gamma of 2.4: no colour is right in both."""
    for body in (
        RECT.format(f'fill="{text}"'),
        RECT.format(f'style="color:{text};fill:currentColor"'),
    ):
        (line,) = reasons(body)
        assert 'rect "a", line 1' in line
        assert "viewers read differently" in line
        assert "write it as #rrggbb" in line


@pytest.mark.parametrize(
    ("sheet", "word"),
    [
        ('@import url("more.css");', "@import"),
        ("@media print{rect{fill:red}}", "@media"),
        ("@layer a{rect{fill:red}}", "@layer"),
        ("rect{&amp;:hover{fill:red}}", "rule within a rule"),
        ("rect:what(1){fill:red}", "what"),
        ("rect{fill:var(--ink)}", "var(--ink)"),
        ("rect{stroke:red; stroke-width:calc(1px + 2px)}", "calc"),
        ("rect{width:20px}", "width"),
        ("rect{rotate:20deg; }", "rotate"),
        ("rect{clip-path:circle(3px)}", "circle(3px)"),
        ("svg{background:red}", "red"),
        ("rect{mix-blend-mode:multiply}", "multiply"),
        ("rect{filter:blur(2px)}", "blur"),
        ("rect{all:unset}", "all"),
    ],
)
def test_styles_that_are_not_read_are_refused(reasons: Reasons, sheet: str, word: str) -> None:
    """Rules and values the reader doesn't know how to read are never left out in silence."""
    lines = reasons(f"<style>{sheet}</style>{RECT.format('')}")
    assert any(word in line for line in lines)


def test_properties_without_bearing_are_left_out(read: Read) -> None:
    """Own data and text properties bear on nothing printed; unknown ones are noted."""
    plain = read(RECT.format('style="--x-thing:1; -inkscape-x:1; font-family:Q; cursor:help"'))
    assert plain.notes == ()
    odd = read(RECT.format('style="frobnicate:1"'))
    assert any("frobnicate" in note for note in odd.notes)


def test_invalid_value_is_noted(read: Read) -> None:
    """A value that isn't allowed leaves the default, as the standard says, and a note."""
    artwork = read(RECT.format('fill="nonsense" rx="wide"'))
    assert artwork.shapes[0].colour == "#000000"
    assert any("nonsense" in note for note in artwork.notes)
    assert any("wide" in note for note in artwork.notes)


@pytest.mark.parametrize("unit", ["vw", "ch", "rem", "lh"])
def test_units_that_depend_on_the_viewer_are_refused(reasons: Reasons, unit: str) -> None:
    """Lengths that hang on a window or a font can't be told from the file."""
    (line,) = reasons(f'<rect width="9{unit}" height="9"/>')
    assert f"9{unit}" in line


def test_em_follows_the_font_size(read: Read) -> None:
    """An em is the element's font size, and 16 px where none is set."""
    body = '<g font-size="10"><rect font-size="50%" width="2em" height="1ex"/></g>'
    assert read(body).shapes[0].region.area == pytest.approx(10 * 2.5)
    assert read('<rect width="1em" height="1em"/>').shapes[0].region.area == pytest.approx(256)
