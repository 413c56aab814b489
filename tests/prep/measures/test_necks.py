"""Film that hangs on necks: pieces whose sizes and necks are known by hand."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon, affinity, box

from prep.measures import measure
from prep.measures.necks import _mended


def as_region(shape: object) -> MultiPolygon:
    parts = [p for p in shapely.get_parts(shape) if isinstance(p, Polygon)]
    return MultiPolygon(parts)


def frame(neck_mm: float) -> Polygon:
    """Give a square frame 2 mm thick around 10 x 10 mm of film, open at the right by a neck."""
    ring = box(0, 0, 14, 14).difference(box(2, 2, 12, 12))
    return ring.difference(box(11, 7 - neck_mm / 2, 15, 7 + neck_mm / 2))


@pytest.mark.parametrize("neck_mm", [0.3, 0.8, 1.4])
@pytest.mark.parametrize("turned", [0.0, 33.0])
def test_film_in_a_frame_hangs_on_its_neck(neck_mm: float, turned: float) -> None:
    """100 mm2 inside the frame and half of the 2 mm long neck."""
    measures = measure(as_region(affinity.rotate(frame(neck_mm), turned)))
    assert measures.islands == ()
    (held,) = measures.hanging
    assert held.held_by_mm == pytest.approx(neck_mm, abs=1e-6)
    assert held.area_mm2 == pytest.approx(100 + neck_mm, abs=0.01)


def test_two_ties_hold_one_piece() -> None:
    """A frame in two halves: the film inside hangs on both ties, the wider is named."""
    halves = frame(0.5).difference(box(-1, 6.5, 3, 7.5))
    (held,) = measure(as_region(halves)).hanging
    assert held.held_by_mm == pytest.approx(1.0, abs=1e-6)
    assert held.area_mm2 == pytest.approx(100 + 0.5 + 1.0, abs=0.01)


def test_an_island_with_a_waist_hangs_on_itself() -> None:
    """Two films of 64 and 36 mm2 joined by a waist, in one opening: the smaller hangs on the larger."""
    film = shapely.union_all([box(0, 0, 8, 8), box(8, 3.6, 9, 4.4), box(9, 1, 15, 7)])
    measures = measure(as_region(box(-5, -5, 20, 13).difference(film)))
    assert len(measures.islands) == 1
    (held,) = measures.hanging
    assert held.held_by_mm == pytest.approx(0.8, abs=1e-6)
    assert held.area_mm2 == pytest.approx(36 + 0.4, abs=0.01)


def test_film_around_an_opening_hangs_in_an_island() -> None:
    """8 x 8 mm with an opening of 16 mm2 in its middle, on a neck in a ring that an island holds."""
    rings = [
        box(0, 0, 20, 20).difference(box(2, 2, 18, 18)),
        box(4, 4, 16, 16).difference(box(6, 6, 14, 14)).difference(box(9.9, 3, 10.1, 7)),
        box(8, 8, 12, 12),
    ]
    measures = measure(as_region(shapely.union_all(rings)))
    (island,) = measures.islands
    assert island.area_mm2 == pytest.approx(256 - (80 - 0.4) - 16)
    (held,) = measures.hanging
    assert held.held_by_mm == pytest.approx(0.2, abs=1e-6)
    assert held.area_mm2 == pytest.approx(48 + 0.2, abs=0.01)


def test_openings_inside_count_out() -> None:
    """What hangs has a hole of 9 mm2: its film is that much less."""
    region = shapely.union_all([frame(0.8), box(4, 4, 7, 7)])
    (held,) = [h for h in measure(as_region(region)).hanging if h.area_mm2 > 50]
    assert held.area_mm2 == pytest.approx(100.8 - 9, abs=0.01)


def test_a_strip_between_two_bars_is_no_neck() -> None:
    """Narrow all along, and joined at both ends: nothing hangs."""
    assert measure(as_region(MultiPolygon([box(0, 0, 20, 5), box(0, 5.5, 20, 9)]))).hanging == ()


def test_a_notch_as_narrow_as_its_mouth_is_no_piece() -> None:
    """A slit of film 0.5 mm wide into an opening is a strip."""
    region = box(0, 0, 20, 10).difference(box(8, -1, 8.5, 7))
    assert measure(as_region(region)).hanging == ()


def test_a_face_that_crosses_itself_is_taken_apart() -> None:
    """A bow tie of two triangles of 1 mm² each: both are kept, and a square as it is."""
    tie = shapely.Polygon([(0, 0), (2, 2), (2, 0), (0, 2)])
    made = _mended(np.array([box(5, 5, 6, 6), tie], dtype=object))
    assert shapely.is_valid(made).all()
    assert sorted(shapely.area(made)) == pytest.approx([1.0, 1.0, 1.0])


@pytest.mark.parametrize("turned", range(0, 360, 15))
def test_film_between_openings_that_touch_hangs_on_nothing(turned: float) -> None:
    """Four squares round a fifth of film, corner to corner: cut out, it is loose."""
    squares = [box(5, 0, 10, 5), box(0, 5, 5, 10), box(10, 5, 15, 10), box(5, 10, 10, 15)]
    region = MultiPolygon(squares)
    measures = measure(as_region(affinity.rotate(region, turned, origin=(0, 0))))
    # where rounding lets two corners overlap all round, it is an island
    (loose,) = [*measures.islands, *measures.hanging]
    assert loose.area_mm2 == pytest.approx(25)
    assert loose.held_by_mm is None or loose.held_by_mm < 1e-6


@pytest.mark.parametrize("turned", range(0, 90, 15))
def test_film_between_three_discs_hangs_on_all_three_necks(turned: float) -> None:
    """Discs of 10 mm, 0.1 mm apart: the film between has the area of a triangle less half a disc."""
    turn = np.radians(turned + np.arange(96) * 3.75)
    way = 5 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    side = 10.1
    middles = np.array([(0, 0), (side, 0), (side / 2, side * 3**0.5 / 2)])
    (held,) = measure(MultiPolygon([Polygon(way + middle) for middle in middles])).hanging
    assert held.area_mm2 == pytest.approx(side**2 * 3**0.5 / 4 - np.pi * 25 / 2, abs=0.2)
    assert held.held_by_mm == pytest.approx(0.1, abs=0.025)


def test_the_film_of_a_checkerboard_hangs_on_nothing() -> None:
    """Of 12 fields of film on 5 x 5, 4 lie inside, and 8 at the edge are film around the print."""
    fields = [box(i, j, i + 1, j + 1) for i in range(5) for j in range(5) if (i + j) % 2 == 0]
    measures = measure(as_region(affinity.scale(MultiPolygon(fields), 5, 5)))
    assert measures.islands == ()
    assert [held.area_mm2 for held in measures.hanging] == pytest.approx([25.0] * 4)


def test_an_island_that_touches_the_outline_is_told_once() -> None:
    """A hole with a corner on the shell: its film is an island."""
    hole = [(0, 10), (5, 5), (10, 10), (5, 15)]
    measures = measure(as_region(Polygon([(0, 0), (20, 0), (20, 20), (0, 20)], [hole])))
    assert len(measures.islands) == 1
    assert measures.hanging == ()
