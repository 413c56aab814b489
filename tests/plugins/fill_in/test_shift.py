"""What strokes that miss each other take from a gap, against tables of the normal distribution."""

from __future__ import annotations

import math

import numpy as np
import pytest

from prep_fill_in.limits import Conditions, in_force
from prep_fill_in.shift import taken_from_gap_mm


def test_two_passes_of_one_stroke() -> None:
    """The difference of two normal draws is normal: its quartile 0.6745 and 1.6449 sigma, by tables."""
    usual, seldom = taken_from_gap_mm(2, 1, 0.5, 0.25)
    assert usual == pytest.approx(0.6745 * math.sqrt(2) * 0.5, rel=0.02)
    assert seldom == pytest.approx(1.6449 * math.sqrt(2) * 0.5, rel=0.02)


@pytest.mark.parametrize(("passes", "usual", "seldom"), [(3, 1.588, 2.902), (4, 1.978, 3.240)])
def test_more_passes_as_tables_of_the_studentized_range_say(
    passes: int, usual: float, seldom: float
) -> None:
    """Median and 90 % point of the range of normal draws; the latter as q(0.10; n, infinite), tabled."""
    from scipy.stats import studentized_range

    found = taken_from_gap_mm(passes, 1, 1.0, 0.25)
    known = studentized_range.ppf([0.5, 0.9], passes, np.inf)
    assert found == pytest.approx(known, rel=0.02)
    assert (usual, seldom) == pytest.approx(known, rel=0.005)


def test_strokes_of_one_pass_miss_each_other_by_the_share() -> None:
    """Two strokes without drying between: as two passes of a quarter of the scatter."""
    share = taken_from_gap_mm(1, 2, 0.5, 0.25)
    assert share == pytest.approx(taken_from_gap_mm(2, 1, 0.125, 0.25), rel=0.03)


def test_one_stroke_misses_nothing() -> None:
    assert taken_from_gap_mm(1, 1, 0.5, 0.25) == (0.0, 0.0)
    assert "shift" not in in_force({}, Conditions(pulls=20, strokes=1, scatter_mm=0.5))


def test_more_of_anything_takes_more() -> None:
    base = taken_from_gap_mm(2, 2, 0.4, 0.25)
    for more in ((3, 2, 0.4, 0.25), (2, 3, 0.4, 0.25), (2, 2, 0.5, 0.25), (2, 2, 0.4, 0.5)):
        found = taken_from_gap_mm(*more)
        assert found[0] > base[0]
        assert found[1] > base[1]


@pytest.mark.parametrize("given", [(0, 1, 0.1, 0.1), (1, 0, 0.1, 0.1), (1, 1, -0.1, 0.1)])
def test_what_can_not_be_is_refused(given: tuple[int, int, float, float]) -> None:
    with pytest.raises(ValueError, match=r"print nothing|scatter"):
        taken_from_gap_mm(*given)


@pytest.mark.parametrize(
    ("strokes", "spread"), [(0, 0.2), (1, 0.15), (2, 0.2), (3, 0.25), (4, 0.3), (6, 0.3)]
)
def test_ink_spreads_farther_with_every_stroke(strokes: int, spread: float) -> None:
    """A quarter more for each beyond the usual two, within 0.1 to 0.3 mm: our guess, within practice."""
    bounds = in_force({}, Conditions(pulls=20, strokes=strokes))
    assert bounds["gain"].at_risk_below == pytest.approx(spread)
    assert bounds["gap"].fails_below == pytest.approx(2 * spread)


def test_a_spread_the_shop_has_measured_is_not_changed_by_strokes() -> None:
    bounds = in_force({"gain": (0.25, None)}, Conditions(pulls=20, strokes=4))
    assert bounds["gain"].at_risk_below == 0.25


def test_a_gap_the_shop_has_measured_holds_whatever_strays() -> None:
    conditions = Conditions(pulls=20, hits=2, strokes=2, scatter_mm=0.9)
    bounds = in_force({"gap": (0.8, None)}, conditions)
    assert bounds["gap"].at_risk_below == 0.8
    assert in_force({"gap": (0.8, 0.3)}, conditions)["gap"].fails_below == 0.3
