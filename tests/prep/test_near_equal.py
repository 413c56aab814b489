"""Groups of colours that can hardly be told apart, beside all pairs reckoned one by one."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prep.colour_difference import difference, near_equal

hexes = st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06x}")
close_hexes = st.tuples(*[st.integers(118, 136)] * 3).map(lambda rgb: "#" + bytes(rgb).hex())


def linked(colours: list[str], tolerance: float) -> set[frozenset[str]]:
    """Join groups pair by pair until nothing changes, with every pair reckoned."""
    groups = [{colour} for colour in colours]
    for one, other in itertools.combinations(colours, 2):
        if difference(one, other) < tolerance:
            touched = [group for group in groups if one in group or other in group]
            groups = [g for g in groups if g not in touched] + [set().union(*touched)]
    return {frozenset(group) for group in groups if len(group) > 1}


@given(
    st.lists(hexes, unique=True, max_size=8) | st.lists(close_hexes, unique=True, max_size=12),
    st.sampled_from([0.0, 0.5, 2.3, 10.0, 30.0]),
)
def test_groups_are_those_of_all_pairs(colours: list[str], tolerance: float) -> None:
    """Leaving out pairs that differ too much in lightness loses none; each colour is in one group."""
    groups = near_equal(colours, tolerance)
    assert {frozenset(group.colours) for group in groups} == linked(colours, tolerance)
    for group in groups:
        inside = [difference(a, b) for a, b in itertools.combinations(group.colours, 2)]
        near = [apart for apart in inside if apart < tolerance]
        assert group.least == pytest.approx(min(near)) == pytest.approx(difference(*group.closest))
        assert group.most == pytest.approx(max(near))
        assert (group.ends is None) is (len(near) == len(inside))
        if group.ends is not None:
            assert tolerance <= group.ends_apart == pytest.approx(difference(*group.ends))
        assert list(group.colours) == [c for c in colours if c in group.colours]


def test_a_chain_is_one_group() -> None:
    """Ends of a row of greys are told together although they lie further apart than the tolerance."""
    greys = ["#808080", "#848484", "#888888"]
    apart = [difference(a, b) for a, b in itertools.combinations(greys, 2)]
    assert apart[0] < 2.3
    assert apart[2] < 2.3 < apart[1]
    (group,) = near_equal(greys, 2.3)
    assert group.colours == tuple(greys)
    assert (group.least, group.most) == pytest.approx((min(apart), max(apart[0], apart[2])))
    assert group.ends is not None
    assert set(group.ends) == {"#808080", "#888888"}
    assert group.ends_apart == pytest.approx(apart[1])


def test_the_tolerance_itself_is_not_near() -> None:
    """A difference equal to the tolerance is no longer under it."""
    apart = difference("#000000", "#010101")
    assert near_equal(["#000000", "#010101"], apart) == ()
    assert len(near_equal(["#000000", "#010101"], apart * 1.0001)) == 1


def test_nothing_to_compare() -> None:
    """No colour, one colour, and a tolerance of nothing give no groups."""
    assert near_equal([], 2.3) == near_equal(["#123456"], 2.3) == ()
    assert near_equal(["#000000", "#000001"], 0.0) == ()
