"""Tints made solid: colours by hand and by an independent renderer, and no colour too many.

Source of the sums: W3C, Compositing and Blending Level 1, 5.1 and 9.1.4 (source over; sections from
memory): over an opaque backdrop co = cs αs + cb (1 - αs), on sRGB levels.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prep.artwork import Artwork, PrintSize
from prep.errors import ArtworkRefused
from prep.separations import separate
from prep.svg import ReadingOptions, read_svg
from prep.svg.proof import proof
from prep.svg.tints import mixed

Read = Callable[..., Artwork]
WHITE, NAVY = "#ffffff", "#1d2b4f"
STOPS = '<stop stop-color="{}" stop-opacity="{}"/><stop offset="1" stop-color="{}"/>'


def seen(artwork: Artwork) -> dict[str, float]:
    """Give the area in mm² that shows of each colour."""
    return {s.colour: pytest.approx(s.region.area, abs=1e-6) for s in separate(artwork)}


@pytest.mark.parametrize(
    ("over", "below", "alpha", "shows"),
    [
        ("#0000ff", "#ff0000", 0.5, "#800080"),  # 127.5 is rounded up
        ("#ff0000", "#0000ff", 0.5, "#800080"),
        ("#000000", "#ffffff", 0.2, "#cccccc"),  # 255 · 0.8 = 204
        ("#ff0000", "#1d2b4f", 0.6, "#a51120"),  # 153 + 11.6 = 164.6; 17.2; 31.6
        ("#123456", "#abcdef", 0.0, "#abcdef"),
        ("#123456", "#abcdef", 1.0, "#123456"),
    ],
)
def test_colours_mix_by_source_over(over: str, below: str, alpha: float, shows: str) -> None:
    """Levels reckoned by hand."""
    assert mixed(over, below, alpha) == shows


levels = st.integers(0, 255)


@given(levels, levels, st.floats(0, 1))
def test_a_mixed_level_lies_between_both(over: int, below: int, alpha: float) -> None:
    """Nothing gets lighter or darker than what it is mixed of."""
    shows = int(mixed(f"#{over:02x}0000", f"#{below:02x}0000", alpha)[1:3], 16)
    assert min(over, below) <= shows <= max(over, below)


# what one drawing of 60 x 20 mm shows on white and on navy; half red over navy is
# (255 + 29)/2 = 142, 43/2 = 21.5 -> 22, 79/2 = 39.5 -> 40
RED = '<rect width="10" height="10" fill="#f00"/>'
CASES = {
    "over the garment": (
        '<rect width="10" height="10" fill="#f00" fill-opacity=".5"/>',
        {"#ff8080": 100},
        {"#8e1628": 100},
    ),
    "over a shape and the garment": (
        RED + '<rect x="5" width="10" height="10" fill="#00f" opacity=".5"/>',
        {"#ff0000": 50, "#800080": 50, "#8080ff": 50},
        # half blue over navy: 14.5 -> 15, 21.5 -> 22, (79 + 255)/2 = 167
        {"#ff0000": 50, "#800080": 50, "#0f16a7": 50},
    ),
    "two tints that overlap": (
        '<rect width="10" height="10" fill="#f00" opacity=".5"/>'
        '<rect x="5" width="10" height="10" fill="#00f" opacity=".5"/>',
        # the overlap: half blue over #ff8080 is 127.5 -> 128, 64, (128 + 255)/2 = 191.5 -> 192
        {"#ff8080": 50, "#8040c0": 50, "#8080ff": 50},
        # over #8e1628: 71, 11, (40 + 255)/2 = 147.5 -> 148
        {"#8e1628": 50, "#470b94": 50, "#0f16a7": 50},
    ),
    "tints hidden by what lies above": (
        '<rect width="10" height="10" fill="#f00" opacity=".5"/>'
        '<rect width="10" height="10" fill="#00f"/>',
        {"#0000ff": 100},
        {"#0000ff": 100},
    ),
    "a group fades as one": (
        '<g opacity=".5"><rect width="10" height="10"/>'
        '<rect x="5" width="10" height="10" fill="#f00"/></g>',
        {"#808080": 50, "#ff8080": 100},
        {"#0f1628": 50, "#8e1628": 100},
    ),
    "fill and stroke fade as one": (
        '<rect x="1" y="1" width="10" height="10" fill="#f00" stroke="#000" stroke-width="2" '
        'opacity=".5"/>',
        {"#ff8080": 64, "#808080": 80},
        {"#8e1628": 64, "#0f1628": 80},
    ),
    "stroke over its own fill": (
        # half the stroke lies over the fill, half over the garment
        '<rect x="1" y="1" width="10" height="10" fill="#f00" stroke="#000" stroke-width="2" '
        'stroke-opacity=".5"/>',
        {"#ff0000": 64, "#800000": 36, "#808080": 44},
        {"#ff0000": 64, "#800000": 36, "#0f1628": 44},
    ),
    "opacities multiply": (
        '<g opacity=".5"><rect width="10" height="10" fill="#f00" fill-opacity=".4"/></g>',
        {"#ffcccc": 100},
        # 255 · 0.2 + 29 · 0.8 = 74.2; 34.4; 63.2
        {"#4a223f": 100},
    ),
    "colours with alpha": (
        '<rect width="10" height="10" fill="rgba(255, 0, 0, .2)"/>'
        '<rect x="20" width="10" height="10" fill="#f003"/>'
        '<rect x="40" width="10" height="10" fill="#ff000033"/>',
        {"#ffcccc": 300},
        {"#4a223f": 300},
    ),
    "a gradient of one translucent colour": (
        '<linearGradient id="g"><stop stop-color="red" stop-opacity=".2"/>'
        '<stop offset="1" stop-color="red" stop-opacity=".2"/></linearGradient>'
        '<rect width="10" height="10" fill="url(#g)"/>',
        {"#ffcccc": 100},
        {"#4a223f": 100},
    ),
    "cut by a clip": (
        '<clipPath id="c"><rect width="5" height="5"/></clipPath>'
        '<g clip-path="url(#c)" opacity=".2"><rect width="10" height="10" fill="red"/></g>',
        {"#ffcccc": 25},
        {"#4a223f": 25},
    ),
}


@pytest.mark.parametrize("ground", [WHITE, NAVY])
@pytest.mark.parametrize("case", CASES)
def test_what_shows_becomes_solid(read: Read, case: str, ground: str) -> None:
    """Colours and areas reckoned by hand, and a renderer that draws the same on that ground."""
    body, on_white, on_navy = CASES[case]
    size = 'width="60mm" height="20mm" viewBox="0 0 60 20"'
    artwork = read(body, size, solid_tints_on=ground)
    assert seen(artwork) == (on_white if ground == WHITE else on_navy)
    assert any("translucent; it is printed solid" in note for note in artwork.notes)
    visible = [(s.colour, s.region) for s in separate(artwork)]
    page = f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{body}</svg>'
    assert proof(page.encode(), artwork, visible, ground=ground).differences == ()


def test_the_artwork_tells_new_colours_and_what_was_made_solid(read: Read) -> None:
    """A colour that is also drawn solid isn't new; the note names the elements."""
    artwork = read(
        '<rect id="half" width="10" height="10" fill="#f00" opacity=".5"/>'
        '<rect id="fifth" x="20" width="10" height="10" fill="#f00" opacity=".2"/>'
        '<rect x="40" width="10" height="10" fill="#ff8080"/>',
        solid_tints_on=WHITE,
    )
    assert artwork.tints == ("#ffcccc",)
    (note,) = artwork.notes
    assert 'rect "half", line 1; rect "fifth", line 1 is translucent' in note


HALF_RED_ON_NAVY = "#8e1628"


@pytest.mark.parametrize(
    ("under", "over", "new"),
    [
        # the opaque shape of the tint's colour shows
        (f'<rect x="50" width="10" height="10" fill="{HALF_RED_ON_NAVY}"/>', "", ()),
        # it is covered by another, by two together, by the tint itself; it lies off the page
        (
            f'<rect x="50" width="10" height="10" fill="{HALF_RED_ON_NAVY}"/>',
            '<rect x="50" width="10" height="10"/>',
            (HALF_RED_ON_NAVY,),
        ),
        (
            f'<rect x="50" width="10" height="10" fill="{HALF_RED_ON_NAVY}"/>',
            '<rect x="50" width="6" height="10"/><rect x="55" width="9" height="10"/>',
            (HALF_RED_ON_NAVY,),
        ),
        (
            f'<rect x="200" width="10" height="10" fill="{HALF_RED_ON_NAVY}"/>',
            "",
            (HALF_RED_ON_NAVY,),
        ),
        # half of it is covered
        (
            f'<rect x="50" width="10" height="10" fill="{HALF_RED_ON_NAVY}"/>',
            '<rect x="50" width="5" height="10"/>',
            (),
        ),
    ],
)
def test_a_colour_is_new_unless_an_opaque_shape_shows_it(
    read: Read, under: str, over: str, new: tuple[str, ...]
) -> None:
    """A hidden shape of the same colour makes no screen, so the tint's does; a line says either."""
    tint = '<rect width="10" height="10" fill="#f00" opacity=".5"/>'
    artwork = read(f"{under}{tint}{over}", solid_tints_on=NAVY)
    assert artwork.tints == new
    told = [note for note in artwork.notes if "no new screen" in note]
    assert len(told) == (0 if new else 1)


def test_a_drawing_without_tints_says_so(read: Read) -> None:
    """Asked for in vain: nothing changes, and a note says so."""
    artwork = read(RED, solid_tints_on=WHITE)
    assert artwork.tints == ()
    assert any("Nothing in the drawing is translucent" in note for note in artwork.notes)


@pytest.mark.parametrize("turn", range(0, 90, 7))
def test_edges_shared_with_what_lies_beneath_give_no_colour_of_their_own(
    read: Read, turn: int
) -> None:
    """A highlight along the edge of its shape never makes a screen of slivers over the garment."""
    body = (
        f'<g transform="translate(50 50) rotate({turn}) scale(1.37 .71)">'
        '<circle r="30" fill="#f00"/><path d="M-30 0A30 30 0 0 0 30 0z" fill="#fff" opacity=".5"/>'
        '<path d="M-30 0A30 30 0 0 1 0 -30L0 0z" fill="#000" opacity=".25"/></g>'
    )
    artwork = read(body, solid_tints_on=NAVY)
    assert set(seen(artwork)) == {"#ff0000", "#ff8080", "#bf0000"}
    assert artwork.tints == ("#ff8080", "#bf0000")


def test_edges_that_nearly_meet_give_no_colour_of_their_own(read: Read) -> None:
    """Two halves 0.01 mm apart under a tint: the hairline between them takes a neighbour's colour."""
    halves = (
        '<rect width="10" height="10" fill="#f00"/>'
        '<rect x="{}" width="10" height="10" fill="#00f"/>'
        '<rect x="2" y="2" width="16" height="6" fill="#fff" opacity=".5"/>'
    )
    # the flattening of a page of 400 mm is 0.01 mm, so that edges may be 0.02 mm apart
    for gap, colours in ((0.01, 4), (0.1, 5)):
        data = (
            '<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="400mm" '
            f'viewBox="0 0 400 400">{halves.format(10 + gap)}</svg>'
        )
        artwork = read_svg(
            data.encode(),
            name="drawing.svg",
            size=PrintSize(),
            options=ReadingOptions(solid_tints_on=NAVY),
        )
        assert len(seen(artwork)) == colours
        assert len(artwork.tints) == colours - 2


def test_tints_all_over_thin_lines_stay(read: Read) -> None:
    """A tint that is a hairline itself keeps one colour and is not lost."""
    artwork = read(
        '<rect width="10" height=".001" fill="#f00" opacity=".5"/>', solid_tints_on=WHITE
    )
    assert seen(artwork) == {"#ff8080": 0.01}


def test_shapes_side_by_side_under_a_tint_leave_no_cracks(read: Read) -> None:
    """Ten strips of one red beside each other under one tint: one piece without holes."""
    strips = "".join(
        f'<path d="M{k} 0L{k + 1} 0L{k + 1.3} 10L{k + 0.3} 10z" fill="#f00"/>' for k in range(10)
    )
    artwork = read(
        f'<g transform="rotate(13) translate(20 5)">{strips}'
        '<circle cx="5" cy="5" r="3.7" fill="#fff" opacity=".5"/></g>',
        solid_tints_on=NAVY,
    )
    (tint,) = [s for s in separate(artwork) if s.colour == "#ff8080"]
    (piece,) = tint.region.geoms
    assert len(piece.interiors) == 0


@pytest.mark.parametrize(
    ("body", "says"),
    [
        (
            '<g id="t" opacity=".5"><rect width="9" height="9" opacity=".5"/><circle r="9"/></g>',
            "translucent group of translucent shapes",
        ),
        (
            f'<linearGradient id="a">{STOPS.format("red", 1, "blue")}</linearGradient>'
            '<rect id="t" width="9" height="9" fill="url(#a)"/>',
            "has a gradient",
        ),
        (
            # one colour that fades out is no flat tint
            f'<linearGradient id="a">{STOPS.format("red", 0.5, "red")}</linearGradient>'
            '<rect id="t" width="9" height="9" fill="url(#a)"/>',
            "has a gradient",
        ),
        (
            '<pattern id="a" width="5" height="5"><rect width="2" height="2"/></pattern>'
            '<rect id="t" width="9" height="9" fill="url(#a)"/>',
            "is filled with a pattern",
        ),
        (
            '<mask id="a"><rect width="9" height="9" fill="#888"/></mask>'
            '<rect id="t" width="9" height="9" mask="url(#a)"/>',
            "isn't plain black and white",
        ),
        (
            '<rect id="t" width="9" height="9" opacity=".5" style="mix-blend-mode:multiply"/>',
            "is blended",
        ),
    ],
)
def test_what_is_no_flat_tint_stays_refused(read: Read, body: str, says: str) -> None:
    """Gradients, patterns, soft masks and blending are refused with and without the option."""
    with pytest.raises(ArtworkRefused) as refused:
        read(body, solid_tints_on=WHITE)
    (line,) = refused.value.lines()
    assert says in line
    assert "solid_tints" not in line


def test_the_refusal_offers_the_option(reasons: Callable[[str], tuple[str, ...]]) -> None:
    """Without the option a tint is refused by its element, with both ways out."""
    (line,) = reasons('<rect id="t" width="9" height="9" opacity=".5"/>')
    assert line == (
        'drawing.svg: rect "t", line 1: is partly transparent: ink is printed solid; give it the solid'
        " colour of an ink; or say solid_tints = true under [[print]], or --solid-tints, to print what"
        " it shows as inks of their own"
    )


@pytest.mark.parametrize(
    ("colours", "limit"), [(("#f00", "#0f0", "#00f"), "60 new colours"), (("#f00",), "6000 pieces")]
)
def test_tints_over_tints_without_end_are_refused(
    read: Read, colours: tuple[str, ...], limit: str
) -> None:
    """A thousand discs on each other: one line, soon, for nobody prints hundreds of colours."""
    discs = "".join(
        f'<circle id="d{k}" cx="{k * 37 % 100}" cy="{k * 61 % 97}" r="{3 + k % 7}" '
        f'fill="{colours[k % len(colours)]}" opacity=".5"/>'
        for k in range(1000)
    )
    with pytest.raises(ArtworkRefused) as refused:
        read(discs, solid_tints_on=WHITE)
    (line,) = refused.value.lines()
    assert f"than can be made solid (more than {limit}" in line
    assert 'circle "d' in line
