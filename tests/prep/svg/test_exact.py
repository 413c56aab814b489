"""Every feature the table calls "read exactly": drawn alike by an independent renderer, and by hand.

The renderer is resvg. What it doesn't know, such as newer colour functions, is reckoned by hand in
``test_styles.py``.
"""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest

import prep
from prep.artwork import PrintSize
from prep.separations import separate
from prep.svg import FontFile, ReadingOptions, read_svg
from prep.svg.features import FEATURES, Treatment
from prep.svg.proof import proof

STAR = "M50 5L79 90L5 36H95L21 90z"
BARS = '<path id="bars" d="M0 0H100V20H0zM0 40H100V60H0zM0 80H100V100H0z"/>'
DIAMOND = '<path d="M50 10L90 50L50 90L10 50z" {}/>'
ARROW = (
    '<marker id="m" viewBox="0 0 10 10" refX="3" refY="5" markerWidth="5" markerHeight="4" {}>'
    '<path d="M0 0L10 5L0 10z" {}/></marker>'
)
BEND = '<path d="M20 20L80 30L70 80L30 70" fill="none" stroke="#d64550" stroke-width="4" {}/>'
SAME = '<stop stop-color="#2e7d32"/><stop offset="1" stop-color="#2e7d32"/>'

EXACT: dict[str, tuple[str, ...]] = {
    "shapes": (
        f'<path d="{STAR}"/>',
        '<path d="M10 80C40 10 65 10 95 80S150 150 180 80M20 20Q40 0 60 20T90 20L60 40z"/>',
        '<rect x="10" y="20" width="70" height="50" rx="30" ry="10"/>',
        '<rect x="10" y="20" width="70" height="50" rx="200"/>',
        '<circle cx="40" cy="50" r="30"/><ellipse cx="70" cy="50" rx="20" ry="40" fill="red"/>',
        '<circle cx="50%" cy="40%" r="20%"/>',
        '<line x1="10" y1="10" x2="90" y2="70" stroke="red" stroke-width="5"/>',
        '<polyline points="10,10 90,20 50,90" stroke="red" stroke-width="3"/>',
        '<polygon points="10,10 90,20 50,90" stroke="red" stroke-width="3"/>',
    ),
    "structure": (
        f'<a><g fill="red"><path d="{STAR}"/></g></a>',
        '<defs><g id="u"><rect width="20" height="10"/><circle r="9" fill="red"/></g></defs>'
        '<use href="#u" x="20" y="20"/><use href="#u" transform="rotate(40 50 50) scale(2)" x="20"/>',
        '<symbol id="s" viewBox="0 0 40 20"><path d="M0 0H40L0 40z"/></symbol>'
        '<use href="#s" x="10" y="5" width="80" height="30"/>'
        '<use href="#s" x="10" y="50" width="20" height="40" fill="red"/>',
        # without a size a symbol fills the viewport
        '<symbol id="s" viewBox="0 0 40 20" preserveAspectRatio="xMinYMax slice">'
        '<circle cx="10" cy="10" r="10"/></symbol><use href="#s"/>',
        '<defs><svg id="s" x="5" width="30" height="30" viewBox="0 0 10 10"><circle r="8"/></svg>'
        '</defs><use href="#s" y="10" width="70" height="60"/>',
        # viewports within viewports, each cutting what reaches over it
        '<svg x="10" y="10" width="70" height="70" viewBox="0 0 35 35"><circle cx="5" cy="5" r="20"/>'
        '<svg x="50%" y="20%" width="40%" height="10" fill="red"><circle r="30"/></svg></svg>',
        '<svg x="10" y="20" width="50" height="30" viewBox="0 0 10 10" preserveAspectRatio="none">'
        f'<g transform="scale(.1)">{DIAMOND.format("")}</g></svg>',
        '<switch><g systemLanguage="xx"><rect width="90" height="90"/></g>'
        '<circle requiredExtensions="urn:none" r="50"/><rect x="20" width="50" height="30"/>'
        '<circle r="90"/></switch>',
        '<switch transform="translate(10 10)" fill="red"><foreignObject requiredExtensions="urn:x"/>'
        f"<g>{DIAMOND.format('')}</g></switch>",
    ),
    "transforms": (
        '<g transform="translate(50 50) skewX(20)"><g transform="rotate(33) scale(1.5 .5)">'
        '<rect x="-20" y="-30" width="50" height="40" stroke="red" stroke-width="6"/></g></g>',
        '<rect width="20" height="30" transform="matrix(1 .5 -.3 2 30 10) , skewY(-10)"/>',
    ),
    "styles": (
        "<style>.a{fill:red} #b{fill:blue!important} g > rect{stroke:green; stroke-width:4}</style>"
        '<g class="a"><rect width="30" height="30"/><rect id="b" x="40" width="30" height="30" '
        'style="fill:red"/></g>',
    ),
    "fill": (
        f'<path fill-rule="evenodd" d="{STAR}"/>',
        f'<g color="#d64550"><path fill="currentColor" color="#2e7d32" d="{STAR}"/>'
        '<rect x="5" y="5" width="20" height="20" fill="currentColor"/></g>',
        # currentColor is inherited as a word, not as a colour
        f'<g color="red" fill="currentColor"><g color="blue"><path d="{STAR}"/></g></g>',
        '<rect width="30" height="30" fill="rebeccapurple"/>'
        '<rect x="30" width="30" height="30" fill="#d45"/>'
        '<rect x="60" width="30" height="30" fill="#D64550"/>'
        '<rect y="30" width="30" height="30" fill="#d64f"/>'
        '<rect x="30" y="30" width="30" height="30" fill="#2e7d32ff"/>'
        '<rect x="60" y="30" width="30" height="30" fill="rgb(46, 125, 50)"/>'
        '<rect y="60" width="30" height="30" fill="rgb(20%, 40%, 60%)"/>'
        '<rect x="30" y="60" width="30" height="30" fill="hsl(40, 90%, 50%)"/>'
        '<rect x="60" y="60" width="30" height="30" fill="rgba(46, 25, 50, 1)"/>',
    ),
    "stroke": (
        f'<path d="{STAR}" fill="none" stroke="red" stroke-width="5" stroke-linejoin="round"/>',
        '<path d="M20 20L80 25L20 30" fill="none" stroke="red" stroke-width="8" '
        'stroke-miterlimit="3" stroke-linecap="square"/>',
        f'<path d="{STAR}" fill="none" stroke="red" stroke-width="3" stroke-dasharray="9 4" '
        'stroke-dashoffset="3"/>',
        f'<path d="{STAR}" stroke="red" stroke-width="8" paint-order="stroke"/>',
        ARROW.format("", 'fill="blue"')
        + BEND.format('paint-order="markers" marker-mid="url(#m)" marker-end="url(#m)"'),
        ARROW.format("", 'fill="blue"')
        + BEND.format('style="fill:#2e7d32; paint-order: stroke markers" marker-mid="url(#m)"'),
    ),
    "shown": (
        '<rect width="90" height="90" display="none"/><g visibility="hidden"><circle r="50"/>'
        '<circle cx="50" cy="50" r="20" visibility="visible"/></g>',
        '<g visibility="collapse"><rect width="90" height="20"/></g><rect y="50" width="9" height="9"/>',
        '<svg x="20" y="20" width="40" height="40" overflow="visible"><circle r="30"/></svg>',
    ),
    "clip": (
        f'<clipPath id="c"><path d="{STAR}" clip-rule="evenodd"/></clipPath>'
        f'<g clip-path="url(#c)">{BARS}</g>',
        # a fill-rule doesn't cut, clip-rule is inherited
        f'<clipPath id="c" clip-rule="evenodd"><path d="{STAR}" fill-rule="nonzero"/></clipPath>'
        '<rect width="100" height="100" clip-path="url(#c)"/>',
        '<clipPath id="c" clipPathUnits="objectBoundingBox"><circle cx=".5" cy=".5" r=".5"/></clipPath>'
        '<g transform="translate(60) rotate(30)"><g clip-path="url(#c)">'
        '<rect x="10" y="10" width="50" height="20"/><rect x="10" y="40" width="30" height="20" '
        'fill="red"/></g></g>',
        f'<clipPath id="d">{BARS}</clipPath>'
        f'<clipPath id="c" clip-path="url(#d)">{DIAMOND.format("")}</clipPath>'
        f'<g clip-path="url(#c)"><g clip-path="url(#c)"><path d="{STAR}"/></g></g>',
        f'<clipPath id="d" clipPathUnits="objectBoundingBox"><rect width=".7" height=".7"/></clipPath>'
        f'<clipPath id="c">{DIAMOND.format("clip-path=&quot;url(#d)&quot;")}</clipPath>'.replace(
            "&quot;", '"'
        )
        + f'<path d="{STAR}" clip-path="url(#c)"/>',
        '<defs><circle id="o" r="30"/></defs><clipPath id="c" transform="scale(1.2)">'
        '<use href="#o" x="40" y="40"/><rect width="20" height="90"/></clipPath>'
        '<use href="#o" x="60" y="50" transform="scale(1.1)" clip-path="url(#c)"/>',
    ),
    "mask": (
        f'<mask id="m"><rect width="100" height="100" fill="#fff"/><path d="{STAR}"/></mask>'
        f'<g mask="url(#m)">{DIAMOND.format("")}</g>',
        '<mask id="m" maskContentUnits="objectBoundingBox" width=".9" height=".8">'
        '<circle cx=".5" cy=".5" r=".6" fill="white"/></mask>'
        '<rect x="20" y="10" width="70" height="50" mask="url(#m)"/>',
        '<mask id="m" maskUnits="userSpaceOnUse" x="30" y="0" width="30" height="100">'
        f'<path d="{STAR}" fill="white" stroke="black" stroke-width="3"/></mask>'
        f'<g mask="url(#m)">{BARS}</g>',
        # the luminance of a mask without fill="white" is black: nothing shows
        '<mask id="m"><rect width="100" height="100"/></mask><rect width="9" height="9" y="50"/>'
        '<rect width="50" height="40" mask="url(#m)"/>',
    ),
    "marker": (
        ARROW.format('orient="auto"', 'fill="blue"')
        + BEND.format('marker-start="url(#m)" marker-mid="url(#m)" marker-end="url(#m)"'),
        ARROW.format('orient="auto-start-reverse"', 'fill="blue"')
        + BEND.format('marker="url(#m)"'),
        ARROW.format('orient="30" overflow="visible" markerUnits="userSpaceOnUse"', "")
        + '<polygon points="20,20 80,30 50,80" fill="red" marker-mid="url(#m)" '
        'marker-start="url(#m)" marker-end="url(#m)"/>',
        "<style>path{marker-end:url(#m)} marker path{marker:none}</style>"
        + ARROW.format('orient="auto" preserveAspectRatio="none"', 'fill="blue"')
        + BEND.format(""),
    ),
    "context": (
        ARROW.format('orient="auto"', 'fill="context-stroke"')
        + BEND.format('marker-mid="url(#m)"'),
        '<defs><path id="o" fill="context-fill" stroke="context-stroke" stroke-width="5" '
        f'd="{STAR}"/></defs><use href="#o" fill="red" stroke="blue"/>',
    ),
    "origin": (
        '<rect x="20" y="20" width="40" height="20" transform="rotate(30)" transform-origin="30 40"/>',
        '<rect x="20" y="20" width="40" height="20" transform="scale(1.5 -1)" '
        'style="transform-origin: 40px 30px"/>',
        '<g transform-origin="10 70"><rect width="9" height="9"/></g>',
    ),
    "svgz": (f'<path d="{STAR}"/>',),
    "lettered": (
        '<text x="5" y="60" font-family="Shop Sign" font-size="40">Pea<tspan dy="9">!</tspan></text>',
    ),
}
"""Drawings of 100 x 100 units by key of the table."""

NOTED_TOO = {
    '<linearGradient id="g">' + SAME + '</linearGradient><path fill="url(#g)" d="' + STAR + '"/>': "one",
    '<linearGradient id="g">' + SAME + '</linearGradient><radialGradient id="h" href="#g"/>'
    + DIAMOND.format('fill="none" stroke="url(#h)" stroke-width="9"'): "one",
}  # fmt: skip
"""Read exactly, and noted since the paint isn't what it seems."""


def font() -> FontFile:
    """Give a font file."""
    file = Path(prep.__file__).parent / "fonts" / "DejaVuSans.ttf"
    return FontFile("Shop Sign", 400, "normal", file.read_bytes(), file.name)


def test_every_exact_row_has_a_drawing() -> None:
    """The table promises nothing that isn't looked at here."""
    assert EXACT.keys() == {
        key for key, feature in FEATURES.items() if feature.treatment is Treatment.EXACT
    }


@pytest.mark.parametrize(
    ("key", "body"),
    [(key, body) for key, bodies in EXACT.items() for body in bodies]
    + [("gradient", body) for body in NOTED_TOO],
)
def test_an_independent_renderer_draws_the_same(key: str, body: str) -> None:
    """Colour by colour and place by place, within the proof's bounds: 1 mm² and 3 pixels."""
    data = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="50mm" '
        f'viewBox="0 0 100 100">{body}</svg>'
    ).encode()
    fonts = (font(),) if key == "lettered" else ()
    artwork = read_svg(
        gzip.compress(data) if key == "svgz" else data,
        name="drawing.svg",
        size=PrintSize(),
        options=ReadingOptions(fonts=fonts),
    )
    visible = [(s.colour, s.region) for s in separate(artwork)]
    assert visible
    assert proof(data, artwork, visible, fonts=fonts).differences == ()


@pytest.mark.parametrize("where", ["g", "svg"])
def test_a_clip_on_the_page_is_the_renderers(where: str) -> None:
    """A clip path on the outermost svg cuts everything, as it does on a group."""
    on = {"g": "", "svg": ""} | {where: ' clip-path="url(#c)"'}
    data = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" '
        f'viewBox="0 0 100 100"{on["svg"]}><clipPath id="c"><path d="{STAR}"/></clipPath>'
        f'<g{on["g"]}><rect width="100" height="70"/></g></svg>'
    ).encode()
    artwork = read_svg(data, name="drawing.svg", size=PrintSize())
    visible = [(s.colour, s.region) for s in separate(artwork)]
    assert proof(data, artwork, visible).differences == ()
    # the star from its upper tip, its arms cut off at 70
    ((_, region),) = visible
    assert region.bounds[1::2] == pytest.approx((5, 70))
