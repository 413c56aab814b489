"""Random drawings, read and proved against the renderer; and real ones with random damage.

A longer run: ``FIRSTPULL_FUZZ=2000 python -m pytest tests/outside/test_random_drawings.py``.
"""

from __future__ import annotations

import os
import random

import pytest
from fetch_art import ROOT, art_folder
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from prep.artwork import Artwork, PrintSize
from prep.errors import InputError
from prep.separations import separate
from prep.svg import read_svg
from prep.svg.proof import proof

EXAMPLES = int(os.environ.get("FIRSTPULL_FUZZ", "150"))
COLOURS = ("#1f3a5f", "#d64550", "#2e7d32", "none", "currentColor", "hsl(40 90% 50%)")

place = st.integers(-10, 110)
length = st.integers(1, 60)
radius = st.integers(20, 60)
colour = st.sampled_from(COLOURS)


@st.composite
def transforms(draw: st.DrawFn) -> str:
    """Give a transform attribute, or none."""
    kinds = (
        st.just(""),
        st.builds("translate({} {})".format, st.integers(-30, 30), st.integers(-30, 30)),
        st.builds("rotate({} 50 50)".format, st.integers(-180, 180)),
        st.builds(
            "scale({} {})".format, st.sampled_from([0.5, 1, 1.5, -1]), st.sampled_from([0.7, 1, 2])
        ),
        st.builds("skewX({})".format, st.integers(-40, 40)),
    )
    text = " ".join(draw(st.lists(st.one_of(*kinds), max_size=2))).strip()
    return f' transform="{text}"' if text else ""


@st.composite
def paints(draw: st.DrawFn, bent: bool = False) -> str:
    """Give fill and stroke, as attributes or in a style.

    :param bent: for shapes that may bend tighter than the pen: there the renderer leaves holes in wide
        strokes and measures dashes coarsely, so that these get thin, solid lines (wide ones on tight
        bends are compared with buffers in the tests of strokes)
    """
    given = {
        "fill": draw(colour),
        "stroke": draw(colour),
        "stroke-width": draw(st.sampled_from(["1", "0.5"] if bent else ["1", "12", "2mm", "5%"])),
        "stroke-linecap": draw(st.sampled_from(["butt", "round", "square"])),
        "stroke-linejoin": draw(st.sampled_from(["miter", "round", "bevel"])),
        "stroke-dasharray": draw(
            st.sampled_from(["none"] if bent else ["none", "9.3 5.1", "4.7", "20.3 3.1 1.7 3.3"])
        ),
        "fill-rule": draw(st.sampled_from(["nonzero", "evenodd"])),
        "paint-order": draw(st.sampled_from(["normal", "stroke", "markers fill"])),
    }
    names = draw(st.lists(st.sampled_from(sorted(given)), unique=True, max_size=6))
    if bent:
        names = [*names, *({"stroke-width", "stroke-dasharray"} - set(names))]
    if draw(st.booleans()):
        return "".join(f' {name}="{given[name]}"' for name in names)
    return f' style="{"; ".join(f"{name}: {given[name]}" for name in names)}"'


@st.composite
def path_data(draw: st.DrawFn) -> str:
    """Give path data of a few sub-paths."""
    words = []
    for _ in range(draw(st.integers(1, 3))):
        words.append(f"M{draw(place)} {draw(place)}")
        for letter in draw(st.lists(st.sampled_from("LlHvCcSQqTAa"), min_size=1, max_size=5)):
            low = letter.islower()
            xy = [str(draw(st.integers(-40, 40) if low else place)) for _ in range(6)]
            count = {"L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2}
            if letter in "Aa":
                # the renderer rounds the tips of needle-thin ellipses off
                r = f"{draw(radius)} {draw(radius)} {draw(st.integers(0, 90))}"
                flags = f"{draw(st.integers(0, 1))} {draw(st.integers(0, 1))}"
                words.append(f"{letter}{r} {flags} {xy[0]} {xy[1]}")
            else:
                words.append(letter + " ".join(xy[: count[letter.upper()]]))
        if draw(st.booleans()):
            words.append("z")
    return "".join(words)


@st.composite
def shapes(draw: st.DrawFn) -> str:
    """Give one shape, perhaps clipped."""
    rest = draw(transforms())
    if draw(st.integers(0, 4)) == 0:
        rest += f' clip-path="url(#{draw(st.sampled_from(["c1", "c2", "c3"]))})"'
    look, bent = draw(paints()) + rest, draw(paints(bent=True)) + rest
    x, y, w, h = draw(place), draw(place), draw(length), draw(length)
    return draw(
        st.sampled_from(
            [
                f'<rect x="{x}" y="{y}" width="{w}" height="{h}"{look}/>',
                f'<rect x="{x}" y="{y}" width="{w}" height="{h}" rx="{h // 3}"{bent}/>',
                f'<circle cx="{x}" cy="{y}" r="{w}"{bent}/>',
                f'<ellipse cx="{x}" cy="{y}" rx="{w}" ry="{h}"{bent}/>',
                f'<line x1="{x}" y1="{y}" x2="{w}" y2="{h}"{look}/>',
                f'<polygon points="{x},{y} {w},{h} {h},{x}"{look}/>',
                f'<path d="{draw(path_data())}"{bent}/>',
                f'<path d="{draw(path_data())}"{bent}/>',
                f'<use href="#u" x="{x}" y="{y}"{look}/>',
                f'<svg x="{x}" y="{y}" width="{w}" height="{h}" viewBox="0 0 100 100">'
                f'<circle cx="50" cy="50" r="60"{bent}/></svg>',
            ]
        )
    )


def grouped(children: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    """Give groups of what there is."""
    return st.builds(
        lambda look, move, inside: f"<g{look}{move}>{''.join(inside)}</g>",
        paints(),
        transforms(),
        st.lists(children, min_size=1, max_size=3),
    )


DEFINED = (
    '<defs><clipPath id="c1"><circle cx="50" cy="50" r="35"/></clipPath>'
    '<clipPath id="c2" clipPathUnits="objectBoundingBox"><path d="M0 0H1V.6H.3z"/></clipPath>'
    '<clipPath id="c3" clip-path="url(#c1)"><rect x="20" width="50" height="99"/></clipPath>'
    '<path id="u" d="M0 0h20v10l-10 10z"/></defs>'
)
drawings = st.builds(
    lambda inside, hue: (
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" '
        f'viewBox="0 0 100 100" color="{hue}">{DEFINED}{"".join(inside)}</svg>'
    ).encode(),
    st.lists(st.recursive(shapes(), grouped, max_leaves=5), min_size=1, max_size=4),
    st.sampled_from(["#111111", "teal"]),
)


@settings(
    max_examples=EXAMPLES,
    phases=(Phase.explicit, Phase.generate),  # a failing drawing is small enough as it is
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(drawings)
def test_random_drawing_is_read_as_it_looks(data: bytes) -> None:
    """Whatever is read looks as the renderer draws it, by share and by place."""
    try:
        artwork = read_svg(data, name="drawing.svg", size=PrintSize())
    except InputError:
        return
    for shape in artwork.shapes:
        assert shape.region.is_valid
        assert not shape.region.is_empty
    visible = [(one.colour, one.region) for one in separate(artwork)]
    assert proof(data, artwork, visible).differences == ()


FILES = [*sorted((ROOT / "artwork").glob("**/*.svg")), *sorted(art_folder().glob("*/*.svg"))[::13]]
FILES = [file for file in FILES if file.stat().st_size < 40_000]


@pytest.mark.skipif(not FILES, reason="no drawings to damage")
def test_damaged_drawing_ends_in_a_reading_or_in_words() -> None:
    """Bytes changed, lost, doubled or moved: read, or refused in one line for each reason."""
    dice = random.Random(7)
    for _ in range(EXAMPLES):
        data = bytearray(dice.choice(FILES).read_bytes())
        for _ in range(dice.randint(1, 6)):
            at, to = sorted((dice.randrange(len(data)), dice.randrange(len(data))))
            to = min(to, at + dice.choice((1, 5, 200)))
            kind = dice.randrange(4)
            if kind == 0:
                data[at] = dice.randrange(256)
            elif kind == 1:
                del data[at:to]
            elif kind == 2:
                data[at:at] = data[at:to]
            else:
                data[at:at] = dice.choice(
                    (b"0", b"-", b"e9", b"%", b"<g>", b"none", b"1e400", b"nan")
                )
            if len(data) < 2:
                break
        lines, artwork = outcome(bytes(data))
        assert all(line.startswith("drawing.svg: ") for line in lines)
        assert lines or (artwork is not None and all(s.region.is_valid for s in artwork.shapes))


def outcome(data: bytes) -> tuple[tuple[str, ...], Artwork | None]:
    """Give the lines a drawing is refused with, or what was read."""
    try:
        return (), read_svg(data, name="drawing.svg", size=PrintSize(width_mm=280))
    except InputError as error:
        return error.lines(), None
