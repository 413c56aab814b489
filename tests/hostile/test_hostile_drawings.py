"""Drawings made to hang, crash or mislead the reader: each ends in time, in a clear line or read rightly.

Every file is read as the command does it: in the guard's worker, within 10 s and 1 GiB.
"""

from __future__ import annotations

import gzip
import os
import random
from collections.abc import Iterator
from pathlib import Path

import pytest

from prep.artwork import Artwork, PrintSize
from prep.errors import InputError, WorkStopped
from prep.guard import Guard
from prep.reading import read_and_separate
from prep.svg import read_svg
from prep.svg.proof import proof

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
    "a use of 10 to the 5th": (body(use_bomb(5)), "used so often"),
    "symbols within each other": (
        body(
            '<symbol id="a"><use href="#b"/></symbol><symbol id="b"><use href="#a"/></symbol>'
            '<use href="#a"/>'
        ),
        "itself",
    ),
    "mask of itself": (
        body(
            '<mask id="m"><rect width="9" height="9" fill="#fff" mask="url(#m)"/></mask>'
            '<rect width="9" height="9" mask="url(#m)"/>'
        ),
        "itself",
    ),
    "marker of itself": (
        body(
            '<marker id="m"><path d="M0 0h1v1" marker-start="url(#m)"/></marker>'
            '<path d="M0 0h9v9" marker-start="url(#m)"/>'
        ),
        "itself",
    ),
    "brackets within brackets in a style": (
        body(f'<rect width="9" height="9" style="fill:{"rgb(" * 20_000}"/>'),
        "brackets",
    ),
    "selectors within selectors": (
        body(f"<style>{':is(' * 300}rect{')' * 300}{{fill:red}}</style>{RECT}"),
        "brackets",
    ),
    "an arc with radii of 1e300": (body('<path d="M0 0A1e300 1e300 0 0 1 50 50z"/>'), "number"),
    "an arc with radii of 1e-300": (body('<path d="M0 0A1e-300 1e-300 0 0 1 50 50z"/>'), "number"),
    "a mitre without end": (
        body('<path d="M0 0H50L0 .000001" fill="none" stroke="red" stroke-miterlimit="1e300"/>'),
        "far outside",
    ),
    "a pen of 1e9": (body('<path d="M0 0H50" stroke="red" stroke-width="1e9"/>'), "far outside"),
    "a number of a million digits": (body(f'<rect width="{"1" * 10**6}" height="9"/>'), "number"),
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
    "120,000 random points": (body(f'<path d="M{points(120_000)}z"/>'), "crosses itself"),
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
    "100,000 selectors in a rule": (
        body(f"<style>{','.join(f'.c{i} rect' for i in range(100_000))}{{fill:red}}</style>{RECT}"),
        "selectors",
    ),
    "4,000 costly rules over 4,000 elements": (
        body(
            f"<style>{''.join(f'g rect:nth-child({i}n) {{fill:red}}' for i in range(4000))}</style>"
            f"<g>{RECT * 4000}</g>"
        ),
        "selectors",
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
    "a zip bomb in two halves": (2 * gzip.compress((HEAD + " " * 35_000_000).encode()), "unzipped"),
    "a gzip file of empty ones": (500_000 * gzip.compress(b""), "not a whole SVG"),
    "a gzip file with something behind": (gzip.compress(body(RECT)) + b"behind", "damaged gzip"),
    "a gzip file and half another": (gzip.compress(body(RECT)) + b"\x1f\x8b\x08", "too soon"),
    "a gzip file of noise": (b"\x1f\x8b" + b"\x07" * 50, "gzip"),
    "21 MB": (body(" " * (21 * 2**20)), "MB"),
    "11 MB of text": (body(f"<title>{'a' * 11_000_000}</title>"), "not a whole SVG"),
    "an import": (body(f'<style>@import url("x.css");</style>{RECT}'), "@import"),
    "another file": (body('<use href="other.svg#a"/>'), "outside"),
    "a child without namespace": (
        body(f'<rect xmlns="" width="9" height="9"/>{RECT}'),
        "namespace",
    ),
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
    "an unknown encoding": (
        b'<?xml version="1.0" encoding="foo"?>' + body(RECT),
        "not a whole SVG",
    ),
    "bytes that are no UTF-8": (
        HEAD.encode() + b"<title>\xff\xfe</title></svg>",
        "not a whole SVG",
    ),
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
    "a declaration 100,000 times": (
        body(f'<rect width="9" height="9" style="{"fill:red;" * 100_000}"/>'),
        81.0,
    ),
    "ISO 8859-1": (
        f'<?xml version="1.0" encoding="ISO-8859-1"?>{HEAD}<title>é</title>{RECT}</svg>'.encode(
            "latin-1"
        ),
        81.0,
    ),
    "UTF-16": (
        f'<?xml version="1.0" encoding="UTF-16"?>{HEAD}{RECT}</svg>'.encode("utf-16"),
        81.0,
    ),
    "UTF-32": (
        f'<?xml version="1.0" encoding="UTF-32"?>{HEAD}{RECT}</svg>'.encode("utf-32"),
        81.0,
    ),
    "an inclusion of another file": (
        body(
            '<x:include xmlns:x="http://www.w3.org/2001/XInclude" href="file:///etc/hostname"/>'
            f"{RECT}"
        ),
        81.0,
    ),
    "3,000 clips": (
        body(
            '<clipPath id="c"><rect width="1" height="1"/></clipPath>'
            + '<g clip-path="url(#c)"><rect width="5" height="5"/></g>' * 3000
        ),
        3000.0,
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


def test_notes_without_end_are_counted(guard: Guard) -> None:
    """100,000 unknown properties don't make as many notes."""
    many = "".join(f"x{number}:1;" for number in range(20_000))
    data = body(f'<rect width="9" height="9" style="{many}"/>')
    artwork = guard.run(read_svg, data, name="drawing.svg", size=PrintSize())
    assert len(artwork.notes) < 30
    assert "19980 times" in artwork.notes[-1]


def read_and_proved(data: bytes) -> int:
    """Read a drawing and prove it; runs in the worker."""
    try:
        artwork, separations = read_and_separate(data, "drawing.svg", PrintSize())
    except InputError:
        return -1
    visible = [(one.colour, one.region) for one in separations]
    return len(proof(data, artwork, visible).differences)


OUTSIDE_WAYS = {
    "an entity": '<!DOCTYPE svg [<!ENTITY a SYSTEM "{}">]>{head}<title>&a;</title>{rect}',
    "an entity in capitals": '<!DOCTYPE svg [<!ENTITY a PUBLIC "x" "{}">]>{head}{rect}&a;',
    "a document type": '<!DOCTYPE svg SYSTEM "{}">{head}{rect}',
    "a style sheet": '<?xml-stylesheet href="{}"?>{head}{rect}',
    "an import": '{head}<style>@import url("{}");</style>{rect}',
    "a font face": '{head}<style>@font-face {{font-family:x;src:url("{}")}}</style>{rect}',
    "a picture": '{head}<image width="9" height="9" href="{}"/>{rect}',
    "a hidden picture": '{head}<g display="none"><image width="9" height="9" href="{}"/></g>{rect}',
    "an unused filter": '{head}<filter id="f"><feImage href="{}"/></filter>{rect}',
    "an unused pattern": '{head}<pattern id="p"><image href="{}" width="9" height="9"/></pattern>{rect}',
    "a use": '{head}<use href="{}#a"/>{rect}',
    "a fill": '{head}<rect width="9" height="9" fill="url({}#a)"/>{rect}',
    "a clip": '{head}<rect width="9" height="9" clip-path="url({}#a)"/>{rect}',
    "a cursor": '{head}<rect width="9" height="9" style="cursor:url({})"/>{rect}',
    "a background": '{head}<rect width="9" height="9" style="background:url({})"/>{rect}',
    "a link": '{head}<a href="{}">{rect}</a>',
    "an inclusion": '{head}<x:include xmlns:x="http://www.w3.org/2001/XInclude" href="{}"/>{rect}',
    "a colour profile": '{head}<color-profile name="x" href="{}"/>{rect}',
}


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="the system has no named pipes")
@pytest.mark.parametrize("way", OUTSIDE_WAYS)
def test_nothing_outside_the_file_is_opened(guard: Guard, tmp_path: Path, way: str) -> None:
    """A named pipe that no one writes to: whoever opened it would wait for ever."""
    pipe = tmp_path / "pipe.svg"
    os.mkfifo(pipe)
    for name in (str(pipe), pipe.as_uri()):
        text = OUTSIDE_WAYS[way].replace("{head}", HEAD).replace("{rect}", RECT)
        text = text.replace("{{", "{").replace("}}", "}").replace("{}", name)
        assert guard.run(read_and_proved, f"{text}</svg>".encode()) <= 0
