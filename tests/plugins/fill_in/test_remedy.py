"""Larger prints and finer meshes."""

from __future__ import annotations

import pytest

from prep_fill_in.remedy import (
    FrameSize,
    Resolution,
    Room,
    enlarged_mm,
    largest,
    mesh_for,
    why_too_large,
)

COARSE = Resolution("43-80", 232.558, 152.558, 80.0)
FINE = Resolution("120-34", 83.333, 49.333, 34.0)


def test_width_grows_in_proportion_and_is_rounded_up() -> None:
    """0.6 mm in a 200 mm print reaches 1.0 mm at 333.33 mm: 333.4 is asked for."""
    assert enlarged_mm(200.0, 1.0 / 0.6) == 333.4
    assert enlarged_mm(200.0, 1.5) == 300.0


def test_resolution_of_a_mesh() -> None:
    """43-80: 2 pitches .465, opening + 2 threads .313 mm; 120-34: .167, .117 (from memory)."""
    assert COARSE.resolves_mm() == pytest.approx(0.465, abs=5e-4)
    assert COARSE.fails_below_mm() == pytest.approx(0.313, abs=5e-4)
    assert FINE.resolves_mm() == pytest.approx(0.167, abs=5e-4)
    assert FINE.fails_below_mm() == pytest.approx(0.117, abs=5e-4)


def test_the_coarsest_mesh_that_resolves_it_is_chosen() -> None:
    assert mesh_for(0.5, [FINE, COARSE], 2.0) is COARSE
    assert mesh_for(0.3, [FINE, COARSE], 2.0) is FINE
    assert mesh_for(0.1, [FINE, COARSE], 2.0) is None


def test_the_film_bounds_the_shorter_side() -> None:
    """500 mm film with 50 mm margins takes 400 mm across, whichever way it lies."""
    room = Room(500.0, 50.0)
    assert why_too_large(400.0, 600.0, room) is None
    assert why_too_large(600.0, 400.0, room) is None
    assert "film 501 mm wide" in (why_too_large(401.0, 600.0, room) or "")


def test_the_frame_must_leave_the_squeegee_its_way() -> None:
    """280 x 300 mm needs 386 x 406 inside (13 + 40 mm each side: common practice, no source)."""
    small, fits = FrameSize("small", 385.0, 500.0), FrameSize("usual", 400.0, 430.0)
    assert "386 x 406" in (why_too_large(280.0, 300.0, Room(500.0, 50.0, (small,))) or "")
    assert why_too_large(280.0, 300.0, Room(500.0, 50.0, (small, fits))) is None
    assert why_too_large(300.0, 280.0, Room(500.0, 50.0, (fits,))) is None


@pytest.mark.parametrize(
    ("width", "height", "frames", "most"),
    [
        (100.0, 100.0, (), 1.5),  # film takes 4 times
        (320.0, 600.0, (), 1.25),  # 400 mm of film across the shorter side
        (300.0, 200.0, (FrameSize("a", 346.0, 466.0),), 1.2),  # 240 x 360 mm left in the frame
        (500.0, 500.0, (), 0.8),
    ],
)
def test_how_large_a_print_may_get(
    width: float, height: float, frames: tuple[FrameSize, ...], most: float
) -> None:
    """By hand; and the test of a single size agrees on both sides of it."""
    room = Room(500.0, 50.0, frames)
    assert largest(width, height, room) == pytest.approx(most)
    if most < 1.5:
        below, above = 0.999 * most, 1.001 * most
        assert why_too_large(width * below, height * below, room) is None
        assert why_too_large(width * above, height * above, room) is not None
