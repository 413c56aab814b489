"""What real, random and damaged drawings have found in the reader, a case for each defect mended.

Found by ``tests/outside/real_art.py`` and ``tests/outside/fuzz.py``; areas are reckoned by hand, in mm².
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

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
