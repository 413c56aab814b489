"""Text against an independent renderer: DejaVu Sans, by shares of colours and by place."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from renderer import counted, largest_difference, painted

import prep
from prep.artwork import Artwork, PrintSize
from prep.separations import separate
from prep.svg import FontFile, ReadingOptions, proof, read_svg

_FOLDER = Path(prep.__file__).parent / "fonts"
FONTS = tuple(
    FontFile(family, weight, "normal", (_FOLDER / name).read_bytes(), name)
    for family, weight, name in (
        ("DejaVu Sans", 400, "DejaVuSans.ttf"),
        ("DejaVu Sans", 700, "DejaVuSans-Bold.ttf"),
        # the artwork may call it otherwise
        ("Shop Sign", 300, "DejaVuSans-Bold.ttf"),
    )
)
TEXTS = (
    '<text x="10" y="50">AVATAR To. Töff</text>',
    '<text x="10" y="50">office fluffy</text>',
    '<text x="100" y="50" text-anchor="middle" dx="4">Middle</text>',
    '<text x="190" y="50" text-anchor="end" font-weight="bold">Wave</text>',
    '<text x="10 30 60" y="50 60" dx="0 2" dy="0 3 -6">ABCDE</text>',
    '<text x="10" y="50" letter-spacing="3">Wide AV</text>',
    '<text x="10" y="50" letter-spacing="-1.5" word-spacing="8">Tight a b</text>',
    '<text x="10" y="30">Red <tspan fill="red">green</tspan> '
    '<tspan font-weight="bold" dy="1em">bold</tspan> tail</text>',
    '<text text-anchor="middle">\n <tspan x="100" y="30">One</tspan>\n'
    ' <tspan x="100" y="60" font-size="150%">Two  three</tspan>\n</text>',
    '<text x="10" y="50" xml:space="preserve">  a   b</text>',
    '<text x="10" y="50" fill="blue" stroke="red" stroke-width="1.5">Stroke</text>',
    '<text x="10" y="50" fill="blue" stroke="red" stroke-width="3" paint-order="stroke">Under</text>',
    '<text x="10" y="30" transform="rotate(20) skewX(10)" font-size="8mm">Turned</text>',
    '<text x="10" y="50">e&#x301; Ą q&#x323;&#x307; Αθήνα Привет</text>',
    '<text x="10" y="60" font-family="Shop Sign" font-weight="300" font-size="40">Sign</text>',
    '<clipPath id="c"><text x="10" y="70" font-size="60" font-weight="bold">CLIP</text></clipPath>'
    '<rect width="200" height="100" fill="green" clip-path="url(#c)"/>',
    '<clipPath id="c"><circle cx="60" cy="50" r="20"/></clipPath>'
    '<text x="10" y="60" font-size="40" clip-path="url(#c)">Clipped</text>',
    '<style>text{font:bold 30px "DejaVu Sans";fill:teal}</style>'
    '<text x="10" y="50" font-size="5">Styled</text>',
)


def drawing(body: str) -> bytes:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100"'
        f' font-family="DejaVu Sans" font-size="20">{body}</svg>'
    ).encode()


def read(data: bytes) -> Artwork:
    options = ReadingOptions(fonts=FONTS)
    return read_svg(data, name="t.svg", size=PrintSize(), options=options)


def proofed(data: bytes, artwork: Artwork, fonts: Sequence[FontFile] = FONTS) -> proof.Proof:
    visible = [(one.colour, one.region) for one in separate(artwork)]
    return proof.proof(data, artwork, visible, fonts=fonts)


@pytest.mark.parametrize("body", TEXTS)
def test_text_looks_as_the_renderer_draws_it(body: str) -> None:
    """No blob differs by place, and each colour's share is within 0.1 % of the page."""
    data = drawing(body)
    artwork = read(data)
    found = proofed(data, artwork)
    assert not found.differences
    drawn = counted(np.asarray(Image.open(io.BytesIO(found.drawn_png)).convert("RGBA")))
    share, colour = largest_difference(painted(artwork), drawn)
    assert share < 1e-3, colour
    assert any(value > 0.005 for value in drawn.values()), "something is drawn"


def test_the_proof_tells_lettering_that_is_off() -> None:
    """A text read with another font's file is found out."""
    data = drawing('<text x="10" y="60" font-size="40">Sign</text>')
    artwork = read(data.replace(b'"40"', b'"40" font-weight="700"'))
    assert proofed(data, artwork).differences
