"""The line through a balance's readings, against certified figures."""

from __future__ import annotations

import pytest

from prep_log.slope import slope_of

# NIST StRD, linear regression, data set Norris (measured ozone against a customer's), from memory: that the
# certified digits below come out of these points to the last shows that they are right
NORRIS = """
0.1 0.2  338.8 337.4  118.1 118.2  888.0 884.6  9.2 10.1  228.1 226.5  668.5 666.3  998.5 996.3
449.1 448.6  778.9 777.0  559.2 558.2  0.3 0.4  0.1 0.6  778.1 775.5  668.8 666.9  339.3 338.0
448.9 447.5  10.8 11.6  557.7 556.0  228.3 228.1  998.0 995.8  888.8 887.6  119.6 120.2  0.3 0.3
0.6 0.3  557.6 556.8  339.3 339.1  888.0 887.2  998.5 999.0  778.9 779.0  10.2 11.1  117.6 118.3
228.9 229.2  668.4 669.1  449.2 448.9  0.2 0.5
"""


def test_certified_digits() -> None:
    """Slope, its standard deviation and the crossing as NIST certifies them, to eleven digits."""
    numbers = [float(word) for word in NORRIS.split()]
    y, x = numbers[::2], numbers[1::2]
    found = slope_of(x, y)
    assert len(x) == 36
    assert found.per_unit == pytest.approx(1.00211681802045, rel=1e-13)
    assert found.at_zero == pytest.approx(-0.262323073774029, rel=1e-11)
    assert found.off == pytest.approx(0.429796848199937e-3, rel=1e-11)


def test_two_readings_say_nothing_of_their_error() -> None:
    """A screen of 1412.0 g that weighs 1411.1 g after 600 s loses 1.5 mg a second."""
    found = slope_of([0.0, 600.0], [1412.0, 1411.1])
    assert found.per_unit == pytest.approx(-0.0015)
    assert found.off is None


@pytest.mark.parametrize("times", [[], [3.0], [3.0, 3.0]])
def test_a_line_needs_two_times(times: list[float]) -> None:
    with pytest.raises(ValueError, match="two times"):
        slope_of(times, [1.0] * len(times))
