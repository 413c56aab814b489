"""Lengths, places, shares and lists in words."""

from __future__ import annotations

import pytest

from prep.phrases import length, percent, place, several


def test_lengths_and_places_in_both_units() -> None:
    """0.35 mm are 0.0138 in; the shop's units decide."""
    assert (length(0.35, "metric"), length(0.35, "inch")) == ("0.35 mm", "0.014 in")
    assert (place((12.3, 45.6), "metric"), place((25.4, 12.7), "inch")) == (
        "(12, 46) mm",
        "(1.00, 0.50) in",
    )


@pytest.mark.parametrize(
    ("share", "said"),
    [(0.0, "0 %"), (0.001, "under 1 %"), (0.25, "25 %"), (0.999, "over 99 %"), (1.0, "100 %")],
)
def test_a_share_is_never_nothing_or_all_unless_it_is(share: float, said: str) -> None:
    """What draws can't tell from nothing or all is said as a bound."""
    assert percent(share) == said


@pytest.mark.parametrize(
    ("names", "said"),
    [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (iter("abc"), "a, b and c")],
)
def test_lists(names: list[str], said: str) -> None:
    """None, one, two, and more, from any iterable."""
    assert several(names) == said
