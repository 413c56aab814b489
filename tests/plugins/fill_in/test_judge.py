"""Details judged by rules: levels, causes, growth, groups."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from prep_fill_in.judge import (
    AT_RISK,
    PASSES,
    WILL_FAIL,
    Rule,
    group,
    judge,
    release_ratio,
)

WEEDING = Rule("weeding", "width", 1.0, 0.5)
AREA = Rule("holding", "area", 8.0, 4.0)
widths = st.lists(st.floats(0.02, 3.0), min_size=1, max_size=40)


def test_levels_turn_exactly_at_the_bounds() -> None:
    """A slot that misses the limit by under 0.01 mm passes; so at the lower end, where it will fail."""
    judged = judge({"width": np.array([1.0, 0.991, 0.99, 0.5, 0.491, 0.49])}, [WEEDING])
    assert judged.level.tolist() == [PASSES, PASSES, AT_RISK, AT_RISK, AT_RISK, WILL_FAIL]
    judged = judge({"width": np.array([0.981, 0.98, 0.481, 0.48])}, [WEEDING], 0.02)
    assert judged.level.tolist() == [PASSES, AT_RISK, AT_RISK, WILL_FAIL]


def test_other_sizes_reach_their_bounds_as_if_the_width_were_so_much_more() -> None:
    """A square of 2.825 mm would have 8.037 mm² with 0.01 mm more each way, one of 2.815 mm 7.981 mm²."""
    width = np.array([2.825, 2.815])
    judged = judge({"width": width, "area": width**2}, [AREA])
    assert judged.level.tolist() == [PASSES, AT_RISK]
    depth = 0.2
    slots = np.array([0.255, 0.253])  # 0.66 times twice the depth is 0.264 mm
    release = Rule("release", "ratio", 0.66, 0.0)
    judged = judge({"width": slots, "ratio": slots / (2 * depth)}, [release])
    assert judged.level.tolist() == [PASSES, AT_RISK]


def test_a_slot_drawn_at_the_limit_passes_in_spite_of_rounding() -> None:
    """1 mm measured as 0.99999999 passes a limit of 1 mm."""
    assert judge({"width": np.array([0.99999999])}, [WEEDING]).level.tolist() == [PASSES]


def test_each_detail_keeps_all_its_causes_and_the_worst_decides() -> None:
    """A place can be at risk for weeding and fail for the mesh; the mesh decides."""
    judged = judge({"width": np.array([0.55, 0.8])}, [WEEDING, Rule("mesh", "width", 0.7, 0.6)])
    assert judged.levels.tolist() == [[AT_RISK, WILL_FAIL], [AT_RISK, PASSES]]
    assert judged.decides.tolist() == [1, 0]


def test_of_equal_levels_the_one_that_asks_for_more_growth_decides() -> None:
    judged = judge({"width": np.array([0.2])}, [Rule("cutting", "width", 0.5, 0.25), WEEDING])
    assert judged.decides.tolist() == [1]
    assert judged.grow_to_pass[0] == pytest.approx(5.0)


def test_growth_of_an_area_goes_by_the_square() -> None:
    """An island of 2 mm2 reaches 8 mm2 when the print is twice as wide."""
    judged = judge({"width": np.array([1.0]), "area": np.array([2.0])}, [AREA])
    assert judged.grow_to_pass[0] == pytest.approx(2.0)
    assert judged.grow_to_survive[0] == pytest.approx(math.sqrt(2.0))


@given(widths)
def test_a_wider_detail_is_never_judged_worse(given_mm: list[float]) -> None:
    """Level and growth fall, or stay, as the width grows."""
    width = np.sort(np.array(given_mm))
    judged = judge({"width": width}, [WEEDING, Rule("mesh", "width", 0.47, 0.31)])
    assert (np.diff(judged.level) <= 0).all()
    assert (np.diff(judged.grow_to_pass) <= 1e-12).all()


@given(widths)
def test_the_growth_asked_for_is_enough_and_no_less_is(given_mm: list[float]) -> None:
    """Grown by 1.001 of it every detail passes; by 0.99 of it each that failed still does."""
    sizes = {"width": np.array(given_mm), "area": np.array(given_mm) ** 2}
    rules = [WEEDING, AREA]
    grow = judge(sizes, rules).grow_to_pass

    def levels(by: float) -> np.ndarray[tuple[int], np.dtype[np.int8]]:
        scale = grow * by
        return judge(
            {"width": sizes["width"] * scale, "area": sizes["area"] * scale**2}, rules
        ).level

    assert (levels(1.001) == PASSES).all()
    assert (levels(0.99)[grow > 1.0] > PASSES).all()


@given(widths)
def test_groups_hold_every_detail_once_and_are_alike(given_mm: list[float]) -> None:
    """No detail is lost or counted twice; a group has one level and a narrow span of widths."""
    width = np.array(given_mm)
    judged = judge({"width": width}, [WEEDING])
    groups = group(judged.level, judged.decides, width)
    assert sorted(np.concatenate(groups).tolist()) == list(range(len(width)))
    for members in groups:
        assert len(set(judged.level[members].tolist())) == 1
        narrowest = width[members[0]]
        assert width[members].max() <= max(1.15 * narrowest, narrowest + 0.05)
    assert [int(judged.level[g[0]]) for g in groups] == sorted(
        (int(judged.level[g[0]]) for g in groups), reverse=True
    )


def test_forty_equal_tines_are_one_group() -> None:
    width = np.full(40, 0.4)
    judged = judge({"width": width}, [WEEDING])
    assert [len(g) for g in group(judged.level, judged.decides, width)] == [40]


def test_no_details_give_no_groups() -> None:
    nothing = np.array([])
    judged = judge({"width": nothing}, [WEEDING])
    assert group(judged.level, judged.decides, nothing) == []


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_a_size_that_is_no_size_is_an_error(bad: float) -> None:
    with pytest.raises(ValueError, match="finite and above zero"):
        judge({"width": np.array([bad])}, [WEEDING])


def test_a_rule_without_its_size_is_an_error() -> None:
    with pytest.raises(ValueError, match="needs the area"):
        judge({"width": np.array([1.0])}, [AREA])


def test_bounds_must_not_cross() -> None:
    with pytest.raises(ValueError, match="fails below"):
        Rule("weeding", "width", 0.5, 1.0)


def test_release_ratio_of_a_rectangle() -> None:
    """1.0 x 0.5 mm, 0.12 mm deep: 1.389 (1.39 on a published calculator page for such stencils)."""
    ratio = release_ratio(np.array([0.5]), np.array([3.0]), 0.12)
    assert ratio[0] == pytest.approx(1.389, abs=5e-4)
    assert ratio[0] == pytest.approx(1.39, abs=5e-3)


def test_release_aspect_of_the_same_slot() -> None:
    """0.5 mm over 0.12 mm: 4.17; and 1.5 x 0.12 = 0.18 mm (both on the same calculator page).

    What misses it by under 0.01 mm has reached it.
    """
    assert pytest.approx(4.17, abs=5e-3) == 0.5 / 0.12
    rule = Rule("release", "width", 1.5 * 0.12, 0.0)
    assert judge({"width": np.array([0.169, 0.171])}, [rule]).level.tolist() == [AT_RISK, PASSES]


def test_release_ratio_of_a_disc_is_d_over_4t() -> None:
    """0.5 mm across, 0.21 mm deep: 0.595, under the published limit 0.66 (IPC-7525)."""
    ratio = release_ratio(np.array([math.pi / 16.0]), np.array([math.pi / 2.0]), 0.21)
    assert ratio[0] == pytest.approx(0.595, abs=5e-4)
    rule = Rule("release", "ratio", 0.66, 0.0)
    assert judge({"width": np.array([0.5]), "ratio": ratio}, [rule]).level.tolist() == [AT_RISK]


def test_wall_area_in_mils() -> None:
    """168 mil around x 5 mil deep = 840 square mil (read in an engineering page's example)."""
    mil = 0.0254
    area, perimeter, depth = 554.4 * mil**2, 168.0 * mil, 5.0 * mil
    assert perimeter * depth / mil**2 == pytest.approx(840.0)
    assert release_ratio(np.array([area]), np.array([perimeter]), depth)[0] == pytest.approx(0.66)


def test_a_wider_span_makes_fewer_groups() -> None:
    """Widths 0.2, 0.25 ... 0.45 of one level: a span of 1.5 takes 0.2 to 0.3 together."""
    width = np.array([0.2, 0.25, 0.3, 0.35, 0.4, 0.45])
    judged = judge({"width": width}, [WEEDING])
    sizes = {
        span: [len(g) for g in group(judged.level, judged.decides, width, span=span)]
        for span in (1.0, 1.5, math.inf)
    }
    assert sizes[1.5] == [3, 3]
    assert sizes[math.inf] == [6]
    assert len(sizes[1.0]) >= 3
