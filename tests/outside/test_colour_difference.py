"""CIEDE2000 beside the published test pairs, and the sRGB path beside what follows by hand.

The pairs are of Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula: implementation notes,
supplementary test data, and mathematical observations", Color Research & Application 30(1), 2005, 21-30,
table 1. The values are written from memory.
"""

from __future__ import annotations

import pytest

from prep.colour_difference import Lab, difference, lab_difference, lab_of

BLUE, GREY, ROSE = (50.0, 0.0, -82.7485), (50.0, 0.0, 0.0), (50.0, 2.5, 0.0)
# number in the table, one colour, the other, difference to 4 decimals
PAIRS: list[tuple[int, Lab, Lab, float]] = [
    (1, (50.0, 2.6772, -79.7751), BLUE, 2.0425),
    (2, (50.0, 3.1571, -77.2803), BLUE, 2.8615),
    (3, (50.0, 2.8361, -74.0200), BLUE, 3.4412),
    (4, (50.0, -1.3802, -84.2814), BLUE, 1.0000),
    (5, (50.0, -1.1848, -84.8006), BLUE, 1.0000),
    (6, (50.0, -0.9009, -85.5211), BLUE, 1.0000),
    (7, GREY, (50.0, -1.0, 2.0), 2.3669),
    (8, (50.0, -1.0, 2.0), GREY, 2.3669),
    # hues opposite each other: where the mean hue flips over
    (9, (50.0, 2.49, -0.001), (50.0, -2.49, 0.0009), 7.1792),
    (10, (50.0, 2.49, -0.001), (50.0, -2.49, 0.0010), 7.1792),
    (11, (50.0, 2.49, -0.001), (50.0, -2.49, 0.0011), 7.2195),
    (12, (50.0, 2.49, -0.001), (50.0, -2.49, 0.0012), 7.2195),
    (13, (50.0, -0.001, 2.49), (50.0, 0.0009, -2.49), 4.8045),
    (14, (50.0, -0.001, 2.49), (50.0, 0.0010, -2.49), 4.8045),
    (15, (50.0, -0.001, 2.49), (50.0, 0.0011, -2.49), 4.7461),
    (16, ROSE, (50.0, 0.0, -2.5), 4.3065),
    (17, ROSE, (73.0, 25.0, -18.0), 27.1492),
    (18, ROSE, (61.0, -5.0, 29.0), 22.8977),
    (19, ROSE, (56.0, -27.0, -3.0), 31.9030),
    (20, ROSE, (58.0, 24.0, 15.0), 19.4535),
    (21, ROSE, (50.0, 3.1736, 0.5854), 1.0000),
    (22, ROSE, (50.0, 3.2972, 0.0), 1.0000),
    (23, ROSE, (50.0, 1.8634, 0.5757), 1.0000),
    (24, ROSE, (50.0, 3.2592, 0.3350), 1.0000),
    (25, (60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    (26, (63.0109, -31.0961, -5.8663), (62.8187, -29.7946, -4.0864), 1.2630),
    (27, (61.2901, 3.7196, -5.3901), (61.4292, 2.2480, -4.9620), 1.8731),
    (28, (35.0831, -44.1164, 3.7933), (35.0232, -40.0716, 1.5901), 1.8645),
    (29, (22.7233, 20.0904, -46.6940), (23.0331, 14.9730, -42.5619), 2.0373),
    (30, (36.4612, 47.8580, 18.3852), (36.2715, 50.5065, 21.2231), 1.4146),
    (31, (90.8027, -2.0831, 1.4410), (91.1528, -1.6435, 0.0447), 1.4441),
    (32, (90.9257, -0.5406, -0.9208), (88.6381, -0.8985, -0.7239), 1.5381),
    (33, (6.7747, -0.2908, -2.4247), (5.8714, -0.0985, -2.2286), 0.6377),
    (34, (2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
]


@pytest.mark.parametrize(("number", "one", "other", "expected"), PAIRS)
def test_the_published_pairs(number: int, one: Lab, other: Lab, expected: float) -> None:
    """Every pair of the table agrees to its four decimals, in both directions."""
    assert lab_difference(one, other) == pytest.approx(expected, abs=5.1e-5), number
    assert lab_difference(other, one) == pytest.approx(expected, abs=5.1e-5), number


def test_white_and_black_of_srgb() -> None:
    """White has L* 100, black 0, no colour; with the mean at 50, L* weighs 1: 100 apart."""
    assert lab_of("#ffffff") == pytest.approx((100.0, 0.0, 0.0), abs=0.02)
    assert lab_of("#000000") == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)
    assert difference("#000000", "#ffffff") == pytest.approx(100.0, abs=1e-3)


def test_a_step_of_grey() -> None:
    """#000000 and #010101: L* = 903.3 · (1/255)/12.92 = 0.2742, weighed at L* 0.137 with 1.7455 (CIE)."""
    lightness = 24389 / 27 * (1 / 255) / 12.92
    middle = (lightness / 2 - 50.0) ** 2
    weight = 1 + 0.015 * middle / (20 + middle) ** 0.5
    assert difference("#000000", "#010101") == pytest.approx(lightness / weight, abs=1e-3)
