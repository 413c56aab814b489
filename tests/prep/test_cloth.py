"""Figures of a mesh from count and thread, or from the maker's line."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prep.cloth import ImpossibleMeshError, figures, per_inch, void_um


def test_figures_follow_from_count_and_thread():
    """43 threads/cm of 80 um: by the definitions of pitch, opening and open area."""
    mesh = figures("43-80", 43, 80)
    assert mesh.pitch_um == pytest.approx(232.558, abs=0.01)
    assert mesh.opening_um == pytest.approx(152.558, abs=0.01)
    assert mesh.open_area * 100 == pytest.approx(43.03, abs=0.01)
    assert per_inch(43) == pytest.approx(109.22, abs=0.01)
    assert mesh.volume_origin == "ideal"


def test_thickness_of_the_maker_gives_the_volume():
    """90-40, 59 um thick: opening 71.11 um, 41.0 %, 24.2 cm3/m2 by definition."""
    mesh = figures("90-40", 90, 40, thickness_um=59)
    assert mesh.opening_um == pytest.approx(71.11, abs=0.1)
    assert mesh.open_area * 100 == pytest.approx(41.0, abs=0.1)
    assert mesh.volume_um == pytest.approx(24.2, abs=0.1)


def test_void_of_a_cloth():
    """43-80, 130 um thick, threads in a sine wave: 85.6 um (own reckoning, a regression)."""
    assert void_um(43, 80, 130) == pytest.approx(85.6, abs=0.5)
    assert void_um(43, 80, 130) / 53 == pytest.approx(1.61, abs=0.01)


def test_makers_line_is_used_as_it_stands():
    """Stated figures come back unchanged and count as the maker's."""
    mesh = figures("a", 90, 48, opening_um=65, open_area=0.33, thickness_um=72, volume_um=24)
    assert (mesh.opening_um, mesh.open_area, mesh.thickness_um, mesh.volume_um) == (
        65,
        0.33,
        72,
        24,
    )
    assert mesh.volume_origin == "maker"
    assert mesh.stated == {"opening", "open area", "thickness", "volume"}


def test_missing_figures_follow_from_the_stated_ones():
    """Volume and open area give the thickness; volume and thickness give the open area."""
    from_area = figures("a", 43, 80, open_area=0.41, volume_um=53)
    assert from_area.thickness_um == pytest.approx(53 / 0.41)
    assert from_area.opening_um == pytest.approx(232.558 * math.sqrt(0.41), abs=0.01)
    from_thickness = figures("a", 43, 80, thickness_um=130, volume_um=53)
    assert from_thickness.open_area == pytest.approx(53 / 130)
    assert figures("a", 43, 80, volume_um=53).volume_um == 53


@pytest.mark.parametrize(
    ("stated", "says"),
    [
        ({"opening_um": 73, "open_area": 0.30}, "open area of 43.2 %, but 30.0 % is stated"),
        ({"open_area": 0.42, "thickness_um": 59, "volume_um": 30}, "24.8 cm3/m2, but 30"),
        ({"opening_um": 120}, "wider than the pitch"),
        ({"open_area": 1.0}, "leaves no thread"),
        ({"thickness_um": 90}, "between 40 and 80 um"),
        ({"thickness_um": 30}, "between 40 and 80 um"),
        ({"thickness_um": 59, "volume_um": 60}, "possible"),
        ({"opening_um": 30}, "leave openings of some 71.1 um"),
        ({"opening_um": 85}, "42.7 to 78.2 um are possible"),
        ({"open_area": 0.9}, "are possible"),
        ({"volume_um": 120}, "this count and thread hold"),
        ({"volume_um": 3}, "this count and thread hold"),
        ({"open_area": 0.2, "volume_um": 24}, "can't be 120 um thick"),
        ({"volume_um": -1}, "more than 0"),
        ({"opening_um": math.nan}, "more than 0"),
    ],
)
def test_figures_that_contradict_each_other_are_named(stated, says):
    """90-40 with a maker's line that can't be true: the message names both figures."""
    with pytest.raises(ImpossibleMeshError) as caught:
        figures("90-40", 90, 40, **stated)
    assert says in str(caught.value)


@pytest.mark.parametrize(("count", "thread"), [(90, 120), (100, 100), (0, 40), (90, -1)])
def test_a_mesh_that_cannot_exist_is_refused(count, thread):
    """A thread as wide as the pitch or wider leaves no opening."""
    with pytest.raises(ImpossibleMeshError):
        figures("x", count, thread)


def test_ideal_volume_carries_its_interval():
    """+5/-25 % from 60 threads/cm on, +5/-15 % below; +-5 % for a maker's line."""
    assert figures("a", 60, 64).volume_range == (0.75, 1.05)
    assert figures("a", 59, 64).volume_range == (0.85, 1.05)
    assert figures("a", 60, 64, open_area=0.35, thickness_um=102).volume_range == (0.95, 1.05)
    assert figures("a", 60, 64, open_area=0.35).volume_origin == "ideal"


@given(st.floats(5, 180), st.floats(0.1, 0.95))
def test_any_possible_mesh_is_consistent(count, part):
    """Opening, open area, volume and void of any mesh agree with each other."""
    mesh = figures("x", count, part * 10_000 / count)
    assert 0 < mesh.opening_um < mesh.pitch_um
    assert mesh.open_area == pytest.approx((mesh.opening_um / mesh.pitch_um) ** 2)
    assert mesh.volume_um <= mesh.void_um <= mesh.thickness_um
    again = figures(
        "x",
        count,
        mesh.thread_um,
        opening_um=mesh.opening_um,
        open_area=mesh.open_area,
        thickness_um=mesh.thickness_um,
        volume_um=mesh.volume_um,
    )
    assert again.volume_um == mesh.volume_um
