"""Drawings made to hang, crash or mislead the reader: each ends in time, in a clear line or read rightly.

Every file is read as the command does it: in the guard's worker, within 10 s and 1 GiB.
"""

from __future__ import annotations

import gzip
import random
from collections.abc import Iterator

import pytest

from prep.artwork import Artwork, PrintSize
from prep.errors import InputError, WorkStopped
from prep.guard import Guard
from prep.svg import read_svg

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
RECT = '<rect width="9" height="9"/>'
CLIPPED = '<rect width="9" height="9" clip-path="url(#{})"/>'
OUTSIDE = '[<!ENTITY a SYSTEM "file:///etc/hostname">]'


@pytest.fixture(scope="module")
def guard() -> Iterator[Guard]:
    """Give one warm worker for all files."""
    with Guard(seconds=10.0, memory_mb=1024) as made:
        yield made


def body(text: str) -> bytes:
    """Give a drawing with a body."""
    return f"{HEAD}{text}</svg>".encode()


def declared(declaration: str, text: str, first: str = "") -> str:
    """Give a drawing with a declaration before it."""
    return f"{first}<!DOCTYPE svg {declaration}>{HEAD}{text}</svg>"


def points(count: int) -> str:
    """Give random points on the page."""
    dice = random.Random(count)
    return " ".join(f"{dice.uniform(0, 100):.2f},{dice.uniform(0, 100):.2f}" for _ in range(count))


def laughs() -> bytes:
    """Entities of entities: 10 to the 9th letters."""
    more = "".join(f'<!ENTITY {chr(98 + i)} "{f"&{chr(97 + i)};" * 10}">' for i in range(9))
    return declared(f'[<!ENTITY a "aaaaaaaaaa">{more}]', "<title>&j;</title>").encode()


def use_bomb(levels: int) -> str:
    """Give groups of ten uses of groups of ten uses ..."""
    groups = ""
    for level in range(levels):
        use = f'<use href="#u{level}"/>'
        groups += f'<g id="u{level + 1}">{use * 10}</g>'
    return f'<defs><rect id="u0" width="1" height="1"/>{groups}</defs><use href="#u{levels}"/>'


def chain_of(tag: str, link: str) -> str:
    """Give 30 clips or masks, each of which bears the next one twice: 2 to the 30th."""
    parts = ""
    for level in range(30):
        inside = f'<rect width="50" height="50" fill="white" {link}="url(#c{level + 1})"/>'
        parts += f'<{tag} id="c{level}">{inside * 2}</{tag}>'
    return f'{parts}<{tag} id="c30">{RECT}</{tag}><rect width="9" height="9" {link}="url(#c0)"/>'


REFUSED = {
    "entity bomb": (laughs(), "entity"),
    "one long entity, often": (
        declared(f'[<!ENTITY a "{"a" * 100_000}">]', f"<title>{'&a;' * 20_000}</title>").encode(),
        "entity",
    ),
    "external entity": (
        declared(OUTSIDE, f"<title>&a;</title>{RECT}").encode(),
        "outside",
    ),
    "external entity in UTF-16": (
        declared(OUTSIDE, RECT, '<?xml version="1.0" encoding="UTF-16"?>').encode("utf-16"),
        "outside",
    ),
    "parameter entity": (
        declared('[<!ENTITY % a SYSTEM "http://localhost/x"> %a;]', RECT).encode(),
        "outside",
    ),
    "shapes out of an entity": (
        declared("[<!ENTITY r \"<rect width='9' height='9'/>\">]", f"&r;{RECT}").encode(),
        "no namespace",
    ),
    "20,000 groups within each other": (body("<g>" * 20_000 + RECT + "</g>" * 20_000), "depth"),
    "200 groups within each other": (body("<g>" * 200 + RECT + "</g>" * 200), "too deep"),
    "use of itself": (body('<use id="a" href="#a"/>'), "itself"),
    "uses of each other": (
        body('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'),
        "itself",
    ),
    "use bomb of 10 to the 8th": (body(use_bomb(8)), "used so often"),
    "clips of clips": (body(chain_of("clipPath", "clip-path")), "used so often"),
    "masks of masks": (body(chain_of("mask", "mask")), "used so often"),
    "markers of markers": (
        body(
            "".join(
                f'<marker id="m{i}" overflow="visible"><path d="M0 0h1v1h1v1" '
                f'marker-start="url(#m{i + 1})" marker-mid="url(#m{i + 1})"/></marker>'
                for i in range(30)
            )
            + '<path marker-start="url(#m0)" d="M0 0h1"/>'
        ),
        "used so often",
    ),
    "clip of itself": (
        body(f'<clipPath id="c" clip-path="url(#c)">{RECT}</clipPath>{CLIPPED.format("c")}'),
        "itself",
    ),
    "clips in a row of 1,000": (
        body(
            "".join(
                f'<clipPath id="c{i}" clip-path="url(#c{i + 1})">{RECT}</clipPath>'
                for i in range(1000)
            )
            + f'<clipPath id="c1000">{RECT}</clipPath>{CLIPPED.format("c0")}'
        ),
        "too deep",
    ),
    "gradients of each other": (
        body(
            '<linearGradient id="a" href="#b"/><linearGradient id="b" href="#a"/>'
            '<rect width="9" height="9" fill="url(#a)"/>'
        ),
        "itself",
    ),
    "300,000 random points": (body(f'<path d="M{points(300_000)}z"/>'), "crosses itself"),
    "a stroke through 60,000 random points": (
        body(f'<path fill="none" stroke="red" d="M{points(60_000)}"/>'),
        "crosses itself",
    ),
    "a star of 2,500 corners": (body(f'<path d="M{points(2_500)}z"/>'), "crosses itself"),
    "2,000 lines across each other": (
        body(
            '<path fill="none" stroke="red" stroke-width=".03" d="'
            + "".join(f"M{i / 10} 0V100M0 {i / 10}H100" for i in range(1000))
            + '"/>'
        ),
        "crosses itself",
    ),
    "curves far off and back": (
        body(
            '<path d="M0 0'
            + "".join(f"C{(-1) ** i * 9e5} 0 {(-1) ** i * -9e5} 9 {i} {i}" for i in range(3000))
            + '"/>'
        ),
        "too many points",
    ),
    "300,000 elements": (body('<rect width="1" height="1"/>' * 300_000), "elements"),
    "dashes of a hundredth of a thousandth": (
        body('<path d="M0 0H100" stroke="red" stroke-dasharray="0.00001"/>'),
        "dashes",
    ),
    "20,000 style rules": (
        body(
            f"<style>{''.join(f'.c{i} rect:not(.x) {{fill:red}}' for i in range(20_000))}</style>{RECT}"
        ),
        "style rules",
    ),
    "4,000 costly rules over 4,000 elements": (
        body(
            f"<style>{''.join(f'g rect:nth-child({i}n) {{fill:red}}' for i in range(4000))}</style>"
            f"<g>{RECT * 4000}</g>"
        ),
        "style rules",
    ),
    "a width of 1e308": (body('<rect width="1e308" height="1e308"/>'), "far outside"),
    "a width of 1e400": (body('<rect width="1e400" height="5"/>'), "number"),
    "a path to 1e400": (body('<path d="M0 0L1e400 5 5 5z"/>'), "number"),
    "widths that are not numbers": (body('<rect width="nan" height="5"/>'), "no shapes"),
    "a scale of 1e20": (body('<rect width="5" height="5" transform="scale(1e20)"/>'), "number"),
    "a flat matrix": (body('<rect width="5" height="5" transform="scale(0)"/>'), "no shapes"),
    "a canvas of a thousand kilometres": (
        b'<svg xmlns="http://www.w3.org/2000/svg" width="1e9mm" height="1e9mm"><rect/></svg>',
        "5000 mm",
    ),
    "a zip bomb": (gzip.compress((HEAD + " " * 100_000_000).encode()), "unzipped"),
    "half a gzip file": (gzip.compress(body(RECT))[:60], "gzip"),
    "a gzip file of noise": (b"\x1f\x8b" + b"\x07" * 50, "gzip"),
    "21 MB": (body(" " * (21 * 2**20)), "MB"),
    "11 MB of text": (body(f"<title>{'a' * 11_000_000}</title>"), "not a whole SVG"),
    "an import": (body(f'<style>@import url("x.css");</style>{RECT}'), "@import"),
    "another file": (body('<use href="other.svg#a"/>'), "outside"),
    "no namespace": (
        b'<svg width="9mm" height="9mm"><rect width="5" height="5"/></svg>',
        "namespace",
    ),
    "a page of HTML": (b"<html><body/></html>", "not SVG"),
    "a PNG": (b"\x89PNG\r\n\x1a\n" + b"x" * 99, "a PNG picture"),
    "zeros": (b"\0" * 1000, "not a whole SVG"),
    "nothing": (b"", "empty"),
    "blanks": (b" \n ", "empty"),
    "half a tag": (HEAD.encode() + b"<rect wid", "not a whole SVG"),
    "an unknown encoding": (b'<?xml version="1.0" encoding="foo"?>' + body(RECT), "not a whole SVG"),
    "bytes that are no UTF-8": (HEAD.encode() + b"<title>\xff\xfe</title></svg>", "not a whole SVG"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_hostile_drawing_is_refused_in_time(guard: Guard, name: str) -> None:
    """One line for each reason, that names the file, what is wrong and what to do."""
    data, word = REFUSED[name]
    with pytest.raises(InputError) as caught:
        guard.run(read_svg, data, name="drawing.svg", size=PrintSize())
    assert not isinstance(caught.value, WorkStopped)
    lines = caught.value.lines()
    assert all(line.startswith("drawing.svg: ") and "; " in line for line in lines)
    assert any(word in line for line in lines), lines


READ = {
    "an external document type": (
        declared('PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://localhost/svg11.dtd"', RECT).encode(),
        81.0,
    ),
    "a script": (body(f"<script>for(;;){{}}</script>{RECT}"), 81.0),
    "a star of 300 corners, stroked": (
        body(f'<path d="M{points(150)}z" stroke="black" stroke-width="3"/>'),
        None,
    ),
    "3,000 dashes": (
        body(
            '<circle cx="50" cy="50" r="40" fill="none" stroke="red" stroke-width="2" '
            'stroke-dasharray=".05"/>'
        ),
        251.3,
    ),
    "100 groups within each other": (body("<g>" * 100 + RECT + "</g>" * 100), 81.0),
}


@pytest.mark.parametrize("name", READ)
def test_odd_drawing_is_read_in_time(guard: Guard, name: str) -> None:
    """What is merely odd or laborious is read."""
    data, expected = READ[name]
    artwork = guard.run(read_svg, data, name="drawing.svg", size=PrintSize())
    assert isinstance(artwork, Artwork)
    assert all(shape.region.is_valid for shape in artwork.shapes)
    if expected is not None:
        assert sum(shape.region.area for shape in artwork.shapes) == pytest.approx(
            expected, rel=5e-3
        )
