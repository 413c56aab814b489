"""Letters of an open font: widths that can be read from the outlines' coordinates.

DejaVu Sans has 2048 units to the em; set 2.048 mm to the em, a unit is 0.001 mm. The coordinates named
here are those of the outlines in the font's files.
"""

from __future__ import annotations

import math

import pytest

from prep.measures import Limits, Measures, measure
from tests.prep.measures.lettering import letters

_LIMITS = Limits(places_to_mm=0.75, search_to_mm=1.0)


def _measured(letter: str, font: str) -> Measures:
    return measure(letters(letter, font, 2.048), _LIMITS)


# the stem of I from 201 to 403 and so on; the bars of H, E are thinner than their stems; that of e lies
# between the counter's lowest corner (311, 659) and the line y = 516
@pytest.mark.parametrize(
    ("font", "letter", "width"),
    [
        ("DejaVuSans", "I", 403 - 201),
        ("DejaVuSans", "l", 377 - 193),
        ("DejaVuSans", "H", 881 - 711),
        ("DejaVuSans", "E", 170 - 0),
        ("DejaVuSans", "e", 659 - 516),
        ("DejaVuSans-Bold", "I", 573 - 188),
        ("DejaVuSans-Bold", "l", 530 - 172),
        ("DejaVuSans-Bold", "H", 924 - 633),
        ("DejaVuSans-Bold", "E", 291 - 0),
        ("DejaVuSans-Bold", "e", 682 - 461),
    ],
)
def test_finest_opening_of_a_letter(font: str, letter: str, width: int) -> None:
    """The finest opening is the thinner of stem and bar."""
    finest = _measured(letter, font).finest_opening
    assert finest is not None
    assert finest.kind == "strip"
    assert finest.width_mm * 1000 == pytest.approx(width, abs=1e-3)


def test_bar_and_stems_are_one_place() -> None:
    """Bar and stems of an H hang together: one place, as narrow as the bar, in the bar's middle.

    The bar runs from 403 to 1137 and from 711 to 881: its middle is (770, 796).
    """
    openings = _measured("H", "DejaVuSans").openings
    assert [place.kind for place in openings] == ["strip"]
    x, y = openings[0].at_mm
    assert (1000 * x, 1000 * y) == pytest.approx((770, 796), abs=0.5)


# between the arms of E, between the stems of H
@pytest.mark.parametrize(
    ("font", "letter", "gaps"),
    [
        ("DejaVuSans", "E", [1323 - 881, 711 - 170]),
        ("DejaVuSans", "H", [1137 - 403, 1137 - 403]),
        ("DejaVuSans-Bold", "E", [1202 - 924, 633 - 291]),
        ("DejaVuSans-Bold", "H", [1141 - 573, 1141 - 573]),
    ],
)
def test_film_between_straight_parts(font: str, letter: str, gaps: list[int]) -> None:
    """The film between arms and between stems is as wide as their coordinates say."""
    found = _measured(letter, font).gaps
    assert {place.kind for place in found} == {"strip"}
    assert found.width_mm * 1000 == pytest.approx(gaps, abs=1e-3)


def test_the_gap_of_e_lies_at_its_end() -> None:
    """The end of the bold e comes nearest to its bar at (1237, 344), under the line y = 461."""
    finest = _measured("e", "DejaVuSans-Bold").finest_gap
    assert finest is not None
    assert finest.piece == 0
    assert finest.width_mm * 1000 == pytest.approx(461 - 344, abs=1e-3)
    assert [1000 * c for c in finest.at_mm] == pytest.approx([1237, (461 + 344) / 2], abs=0.5)


def _least_in_an_ellipse(tall: float, wide: float) -> float:
    """Give the local width of an ellipse where its medial axis ends for a separation angle of 120°.

    With half axes a > b and c² = a² - b², the disc about (x, 0), x = u c, has the radius
    b sqrt(1 - u²) and touches at x + u b²/c. It counts as long as that lies no more than half the
    radius off: u b/c <= sqrt(1 - u²)/2, so u² <= 1 / (1 + 4 b²/c²).
    """
    a, b = tall / 2, wide / 2
    squared = 1 / (1 + 4 * b**2 / (a**2 - b**2))
    return wide * math.sqrt(1 - squared)


@pytest.mark.parametrize(
    ("font", "tall", "wide"),
    [("DejaVuSans", 991 - 127, 946 - 307), ("DejaVuSans-Bold", 891 - 227, 946 - 461)],
)
def test_the_counter_of_o(font: str, tall: int, wide: int) -> None:
    """The film in an o is an island narrower than its waist and wider than an ellipse within it.

    Its curves bulge beyond the ellipse of the same height and width.
    """
    (island,) = _measured("o", font).islands
    left, low, right, high = island.bounds_mm
    assert 1000 * (right - left) == pytest.approx(wide, abs=1e-6)
    assert 1000 * (high - low) == pytest.approx(tall, abs=1e-6)
    assert island.narrowest_mm is not None
    assert _least_in_an_ellipse(tall, wide) < 1000 * island.narrowest_mm < wide


@pytest.mark.parametrize(
    ("font", "low", "high", "left", "right"),
    [("DejaVuSans", 659, 991, 311, 967), ("DejaVuSans-Bold", 682, 909, 457, 922)],
)
def test_the_counter_of_e(font: str, low: int, high: int, left: int, right: int) -> None:
    """The film in an e is an island, narrower than the counter is high; the gap beside is not it."""
    measures = _measured("e", font)
    (island,) = measures.islands
    assert [1000 * c for c in island.bounds_mm] == pytest.approx([left, low, right, high], abs=1e-6)
    own = measures.gaps.take(measures.gaps.piece == 1).strips()
    assert len(own) == 1
    assert island.narrowest_mm == own.width_mm[0]
    assert (high - low) / 2 < 1000 * own.width_mm[0] < high - low
