"""What real, random and damaged drawings have found in the reader, a case for each defect mended.

Found by ``tests/outside/real_art.py`` and ``tests/outside/fuzz.py``; areas are reckoned by hand, in mm².
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from prep.artwork import Artwork

REFUSED = {
    # CSS Masking Level 1, 5: a use in a clip path must refer to a shape or text directly; some viewers
    # follow it all the same
    "use of a use in a clip path": (
        '<defs><rect id="a" width="9" height="9"/><use id="b" href="#a"/></defs>'
        '<clipPath id="c"><use href="#b"/></clipPath><rect clip-path="url(#c)" width="9" height="9"/>',
        "is a use of another use",
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
    # SVG 1.1, 11.6.2: markers belong to path, line, polyline and polygon, and viewers keep to it
    "markers on a rectangle": (
        '<marker id="m" overflow="visible"><rect width="20" height="20"/></marker>'
        '<g marker-start="url(#m)"><rect x="50" y="50" width="9" height="9" stroke="none"/></g>',
        81.0,
    ),
}


@pytest.mark.parametrize("name", READ)
def test_what_was_read_wrongly_is_read_rightly(read: Callable[[str], Artwork], name: str) -> None:
    """All that is painted together has the area reckoned by hand."""
    body, expected = READ[name]
    shapes = read(body).shapes
    assert all(shape.region.is_valid for shape in shapes)
    assert sum(shape.region.area for shape in shapes) == pytest.approx(expected, rel=1e-3)
