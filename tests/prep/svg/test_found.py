"""What real, random and damaged drawings have found in the reader, a case for each defect mended.

Found by ``tests/outside/real_art.py`` and ``tests/outside/fuzz.py``; areas are reckoned by hand, in mm².
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from prep.artwork import Artwork, PrintSize
from prep.reading import read_and_separate
from prep.svg.proof import proof

REFUSED = {
    # CSS Masking Level 1, 5: a use in a clip path must refer to a shape or text directly; some viewers
    # follow it all the same
    "use of a use in a clip path": (
        '<defs><rect id="a" width="9" height="9"/><use id="b" href="#a"/></defs>'
        '<clipPath id="c"><use href="#b"/></clipPath><rect clip-path="url(#c)" width="9" height="9"/>',
        "is a use of another use",
    ),
    # a step without length has vertices, too (SVG 2, 13.7.4)
    "a marker where a path has a step without length": (
        '<marker id="m"><path d="M0 0h2v2z"/></marker>'
        '<path marker-mid="url(#m)" d="M10 10h20v20h0l5 5"/>',
        "has a marker whose place viewers read differently",
    ),
    # SVG 1.1, 11.6.2 has no markers on it, SVG 2, 13.7 has
    "markers on a rectangle": (
        '<marker id="m" overflow="visible"><path d="M0 0h20v20z"/></marker>'
        '<g marker-start="url(#m)"><rect x="50" y="50" width="9" height="9"/></g>',
        "has markers, which not every viewer shows",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_viewers_read_differently_is_refused(
    reasons: Callable[[str], tuple[str, ...]], name: str
) -> None:
    """The refusal says what it is, in one line."""
    body, says = REFUSED[name]
    (line,) = reasons(body)
    assert says in line


READ = {
    # the segment with the error is left out (SVG 2, 9.5.4), and viewers count the number to it
    "an e without an exponent in path data": ('<path d="M10 10H30V30H1eV90"/>', 200),
    # CSS Values Level 3, 6.1: an em is settled where it is said, and inherited as it came out there;
    # the stroke is 4 wide, on a square whose sides are 20
    "a pen in em on a group": (
        '<g font-size="40" stroke="red" stroke-width=".1em" fill="none">'
        '<rect x="20" y="20" width="20" height="20" font-size="80"/></g>',
        24 * 24 - 16 * 16,
    ),
    # dashes of 4 and gaps of 4 along 40, pen 1 wide
    "dashes in em on a group": (
        '<g font-size="40" stroke="red" stroke-dasharray=".1em">'
        '<path d="M10 10h40" font-size="80"/></g>',
        20,
    ),
}


@pytest.mark.parametrize("name", READ)
def test_what_was_read_wrongly_is_read_rightly(read: Callable[[str], Artwork], name: str) -> None:
    """All that is painted together has the area reckoned by hand."""
    body, expected = READ[name]
    shapes = read(body).shapes
    assert all(shape.region.is_valid for shape in shapes)
    assert sum(shape.region.area for shape in shapes) == pytest.approx(expected, rel=1e-3)


def test_marker_where_a_path_turns_back_on_the_spot(read: Callable[[str], Artwork]) -> None:
    """Both middles of a turn by 180° are as good (SVG 2, 13.7.4); viewers take the mean of both angles."""
    marker = '<marker id="m" orient="auto" overflow="visible"><path d="M0 0H10V2H0z"/></marker>'
    (shape,) = read(f'{marker}<path fill="none" marker-mid="url(#m)" d="M20 50h30H30"/>').shapes
    assert shape.region.bounds == pytest.approx((48, 50, 50, 60))


@pytest.mark.parametrize("back", ["M50 20v30V30", "M20 20l30 30l-9 -9", "M20 50l30 -30l-9 9"])
def test_marker_whose_turn_viewers_tell_apart_is_refused(
    reasons: Callable[[str], tuple[str, ...]], back: str
) -> None:
    """The mean of 90° and -90° is 0°, that of 90° and 270° is 180°: viewers take either (from memory)."""
    marker = '<marker id="m" orient="auto"><path d="M0 0H10V2H0z"/></marker>'
    (reason,) = reasons(f'{marker}<path fill="none" marker-mid="url(#m)" d="{back}"/>')
    assert "viewers read differently" in reason


def test_proof_of_a_tiny_page_compares_no_more_than_the_page() -> None:
    """A page of 1.2 mm is 4.5 px: rounded to 5 it would show what reaches over its edge."""
    data = (
        b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100" width="4.5" height="4.5">'
        b'<rect x="-9" y="20" width="120" height="120"/></svg>'
    )
    artwork, separations = read_and_separate(data, "drawing.svg", PrintSize())
    visible = [(one.colour, one.region) for one in separations]
    assert proof(data, artwork, visible).differences == ()


def test_edge_along_the_middle_of_pixels_is_no_difference() -> None:
    """Along the diagonal of a square page the rasteriser leaves a bare crack between two regions."""
    data = (
        b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 512 512">'
        b'<path d="m102 345 151-109H67l151 109-58-178Z"/><path fill="#eee" d="M512 0 0 512l23-8 22 8h23'
        b"l54-32 54 32h32l48-32 48 32h32l54-32 54 32h68l-8-22 8-23v-23l-32-54 32-54v-32l-32-48 32-48v-32"
        b'l-32-54 32-54z"/></svg>'
    )
    artwork, separations = read_and_separate(data, "drawing.svg", PrintSize(width_mm=280))
    visible = [(one.colour, one.region) for one in separations]
    assert proof(data, artwork, visible).differences == ()
