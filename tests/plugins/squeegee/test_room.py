"""Room in frames, worked by hand."""

from __future__ import annotations

import ast
import math
from itertools import product
from pathlib import Path as File

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prep_squeegee import room
from prep_squeegee.room import (
    FrameSize,
    Limits,
    Path,
    by_size,
    hang,
    holds,
    largest_scale,
    least_squeegee,
    needed,
    own_of,
    own_squeegee,
    squeegee_for,
    stretch_mm,
)

LIMITS = Limits(overhang_mm=13.0, good_overhang_mm=25.0, to_frame_mm=40.0, well_mm=40.0)
STOCK = Limits(13.0, 25.0, 40.0, 40.0, squeegees_mm=(200.0, 330.0, 400.0))
PRINT = Path((0.0, 0.0, 280.0, 300.0), (140.0, 150.0))


def test_it_imports_nothing_of_prep() -> None:
    tree = ast.parse(File(room.__file__).read_text(encoding="utf-8"))
    modules = [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    assert not [name for name in modules if name.startswith("prep")]


def test_a_print_of_280_by_300() -> None:
    """280 + 2·13 = 306 of squeegee, + 2·40 = 386 wide; 300 + 2·40 = 380 high."""
    assert least_squeegee(PRINT, LIMITS) == 306.0
    assert needed(PRINT, LIMITS) == (386.0, 380.0)


def test_the_stock_decides_what_the_frame_needs() -> None:
    """Of 200, 330 and 400 mm the shortest over 306 is 330: 330 + 80 = 410. Without one: 386."""
    assert needed(PRINT, STOCK)[0] == 410.0
    short = Limits(13.0, 25.0, 40.0, 40.0, squeegees_mm=(200.0,))
    assert needed(PRINT, short)[0] == 386.0


def test_what_lies_beside_the_middle_needs_twice_that_more() -> None:
    """A path 100 wide whose middle lies 30 beside the frame's: 100 + 26 + 80 + 2·30 = 266."""
    aside = Path((80.0, 0.0, 180.0, 50.0), (100.0, 40.0))
    assert aside.aside_mm == 30.0
    assert needed(aside, LIMITS) == (266.0, 2 * (40.0 + 40.0))


@pytest.mark.parametrize(
    ("frame_mm", "film_mm", "length"),
    [
        (460.0, 400.0, 330.0),  # 280 + 2·25
        (None, 400.0, 330.0),
        (400.0, 400.0, 320.0),  # 400 − 2·40
        (460.0, 310.0, 310.0),  # as wide as the film
        (386.0, 400.0, 306.0),
        (385.0, 400.0, None),
        (460.0, 305.0, None),
    ],
)
def test_squeegee_as_advised_as_far_as_there_is_room(
    frame_mm: float | None, film_mm: float, length: float | None
) -> None:
    assert squeegee_for(PRINT, LIMITS, frame_mm=frame_mm, film_mm=film_mm) == length


def test_squeegee_from_stock() -> None:
    """Of those between 306 and what fits, the nearest to 330."""
    assert squeegee_for(PRINT, STOCK, frame_mm=500.0, film_mm=450.0) == 330.0
    long = Limits(13.0, 25.0, 40.0, 40.0, squeegees_mm=(300.0, 400.0))
    assert squeegee_for(PRINT, long, frame_mm=500.0, film_mm=450.0) == 400.0
    assert squeegee_for(PRINT, long, frame_mm=470.0, film_mm=450.0) is None


def test_the_smallest_frame_that_holds() -> None:
    frames = (
        FrameSize("large", 460, 560),
        FrameSize("small", 240, 300),
        FrameSize("long", 390, 600),
    )
    (given,) = hang([needed(PRINT, LIMITS)], frames)
    assert given is not None
    assert given.name == "long"


def test_large_frames_go_to_what_needs_them() -> None:
    """One large and one middle frame: the small film doesn't take the large one from the large film."""
    frames = (FrameSize("large", 460, 560, 1), FrameSize("middle", 300, 400, 1))
    given = hang([(250, 300), (400, 500)], frames)
    assert [frame and frame.name for frame in given] == ["middle", "large"]
    assert hang([(250, 300)] * 3, frames)[2] is None
    assert None not in hang([(250, 300)] * 9, (FrameSize("middle", 300, 400),))


def _names(needs: list[tuple[float, float]], frames: list[FrameSize]) -> list[str | None]:
    return [None if frame is None else frame.name for frame in hang(needs, frames)]


def test_a_frame_is_left_to_the_film_that_no_other_holds() -> None:
    """300 × 600 fit both, 400 × 400 the smaller one only, though that is enough for 300 × 600."""
    frames = [FrameSize("short", 420, 620, 1), FrameSize("long", 320, 900, 1)]
    assert _names([(300, 600), (400, 400)], frames) == ["long", "short"]
    assert _names([(400, 400), (300, 600)], frames) == ["short", "long"]
    assert _names([(300, 600)], frames) == ["short"]
    assert _names([], frames) == []
    assert _names([(300, 600)], []) == [None]


SIDES = st.integers(1, 6).map(lambda n: 100.0 * n)


@given(
    needs=st.lists(st.tuples(SIDES, SIDES), max_size=4),
    sizes=st.lists(st.tuples(SIDES, SIDES, st.integers(1, 2)), max_size=3),
)
def test_no_way_hangs_more_or_takes_smaller_frames(
    needs: list[tuple[float, float]], sizes: list[tuple[float, float, int]]
) -> None:
    """Against all ways there are, tried one by one."""
    frames = [FrameSize(f"{i}", *size) for i, size in enumerate(sizes)]
    rank = {frame.name: place for place, frame in enumerate(by_size(frames))}

    def size(way: tuple[FrameSize | None, ...]) -> int:
        return sum(rank[frame.name] for frame in way if frame is not None)

    def homeless(way: tuple[FrameSize | None, ...]) -> list[int]:
        return [i for i, frame in enumerate(way) if frame is None]

    def can_be(way: tuple[FrameSize | None, ...]) -> bool:
        return all(
            frame is None or holds(frame, *need) for frame, need in zip(way, needs, strict=True)
        ) and all(way.count(frame) <= (frame.count or 0) for frame in frames)

    given = hang(needs, frames)
    assert can_be(given)
    ways = [way for way in product([None, *frames], repeat=len(needs)) if can_be(way)]
    assert len(homeless(given)) == min(len(homeless(way)) for way in ways)
    assert size(given) == min(size(way) for way in ways if homeless(way) == homeless(given))


@given(
    wide=st.floats(20, 500),
    high=st.floats(20, 500),
    mark=st.floats(0, 40),
    aside=st.floats(-15, 15),
    frame=st.tuples(st.floats(150, 800), st.floats(150, 800)),
    lengths=st.lists(st.floats(50, 600), max_size=4),
    margin=st.floats(5, 60),
)
def test_the_largest_scale_fits_and_no_larger_one(
    wide: float,
    high: float,
    mark: float,
    aside: float,
    frame: tuple[float, float],
    lengths: list[float],
    margin: float,
) -> None:
    """The print scaled so is held with its film; 1 % more isn't, in squeegee, well or film."""
    limits = Limits(13.0, 25.0, 40.0, 40.0, tuple(sorted(lengths)))
    held = FrameSize("one", *frame)

    def path(scale: float) -> Path:
        w, h = wide * scale, high * scale
        return Path((0.0, -mark, w, h + mark), (w / 2.0 + aside * scale, h / 2.0))

    def fits(scale: float) -> bool:
        p = path(scale)
        sheet = (
            math.ceil(p.width_mm + 2 * margin - 1e-9),
            math.ceil(2 * p.reach_mm + 2 * margin - 1e-9),
        )
        blade = squeegee_for(p, limits, frame_mm=frame[0], film_mm=1e9)
        return holds(held, *needed(p, limits)) and holds(held, *sheet) and blade is not None

    scale = largest_scale(path(1.0), (0.0, 0.0, wide, high), limits, margin, (held,))
    if scale > 0.01:
        assert fits(scale * (1 - 1e-9))
        assert not fits(scale * 1.01)


def test_film_is_rounded_up_once() -> None:
    """149.6 mm with 50 mm of film each side are cut to 250 mm: what a frame of 250 mm holds in full.

    So 150 of 149.6 fit: 1.00267 times. In 250.9 mm, the film's next whole millimetre would be too much.
    """
    path = Path((0.0, 0.0, 50.0, 149.6), (25.0, 74.8))
    for high in (250.0, 250.9):
        scale = largest_scale(
            path, (0.0, 0.0, 50.0, 149.6), LIMITS, 50.0, (FrameSize("one", 900, high),)
        )
        assert scale == pytest.approx(150.0 / 149.6)


def test_a_squeegee_takes_more_where_there_is_no_lane() -> None:
    """Lane of 40 to the right: 20 there, so 100 + 20 + 25. Of stock 150 goes 30 over on the left; the
    film's margin of 50 lets it. 180 would need 60."""
    own = own_of((0.0, 0.0, 100.0, 50.0), [(140.0, 0.0, 200.0, 50.0)])
    assert own.room_mm == (math.inf, math.inf, 20.0, math.inf)
    path = Path((0.0, 0.0, 200.0, 50.0), (100.0, 25.0))

    def length(*stock: float, frame: float | None = 460.0) -> float | None:
        limits = Limits(13.0, 25.0, 40.0, 40.0, squeegees_mm=stock)
        return own_squeegee(own, path, limits, frame_mm=frame, film_mm=300.0)

    assert length() == 145.0
    assert length(150.0, 180.0) == 150.0
    assert length(180.0) is None
    # 13 mm, then 40 to the frame, left of an opening 100 mm left of its middle: 2·153
    assert length(frame=306.0) == 133.0
    assert length(frame=305.0) is None


def test_the_wider_lane_is_kept() -> None:
    """Apart by 10 along x and by 30 along y: the stroke ends 15 short of the other."""
    own = own_of((0.0, 0.0, 50.0, 50.0), [(60.0, 80.0, 90.0, 99.0)])
    assert own.room_mm == (math.inf, math.inf, math.inf, 15.0)


def test_how_much_off_contact_stretches_a_print() -> None:
    """3 mm over 400 mm: 2 sqrt(200^2 + 3^2) - 400 = 0.0450 mm, a hundredth of a per cent."""
    assert stretch_mm(3.0, 400.0) == pytest.approx(0.0450, abs=5e-5)
    assert stretch_mm(3.0, 400.0) / 400.0 == pytest.approx(2 * (3.0 / 400.0) ** 2, rel=1e-3)
    assert stretch_mm(0.0, 400.0) == 0.0
