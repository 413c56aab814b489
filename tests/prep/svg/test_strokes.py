"""Strokes: caps, joins, mitre limit, dashes, tight bends; areas reckoned by hand, in mm²."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from prep.artwork import Artwork
from prep.svg.fills import filled
from prep.svg.limits import PastLimit
from prep.svg.paths import parse_path
from prep.svg.strokes import Pen, stroke_rings

Read = Callable[..., Artwork]
TOLERANCE = 0.002


def stroke_area(data: str, **pen: object) -> float:
    """Give the area of a stroke."""
    return stroke(data, **pen).area


def stroke(data: str, **pen: object) -> shapely.MultiPolygon:
    """Give a stroke's region; the pen is 10 wide unless told otherwise."""
    path, _ = parse_path(data)
    made = Pen(**{"width": 10.0, **pen})  # type: ignore[arg-type]  # checked by the tests' own use
    region = filled(stroke_rings(path, made, TOLERANCE), "nonzero")
    assert region.is_valid
    return region


@pytest.mark.parametrize(
    ("cap", "expected"),
    [("butt", 400), ("square", 500), ("round", 400 + 25 * math.pi)],
)
def test_caps(cap: str, expected: float) -> None:
    """A line of 40 by 10 with each cap."""
    assert stroke_area("M0 0H40", cap=cap) == pytest.approx(expected, rel=2e-4)


@pytest.mark.parametrize(
    ("join", "expected"),
    [
        # two arms of 40 x 10 meet at a right angle: they overlap in a 5 x 5 square
        ("bevel", 800 - 25 + 12.5),
        ("miter", 800 - 25 + 25),
        ("round", 800 - 25 + 25 * math.pi / 4),
    ],
)
def test_joins_at_a_right_angle(join: str, expected: float) -> None:
    """The outer corner of a right angle is bevelled, pointed or round."""
    assert stroke_area("M0 0H40V40", join=join) == pytest.approx(expected, rel=2e-4)


def test_mitre_becomes_a_bevel_beyond_its_limit() -> None:
    """At 60° the mitre is twice the width long: drawn at a limit of 2, bevelled just below."""
    corner = "M0 0H40L20 -34.641016"
    pointed, bevelled = (
        stroke_area(corner, join="miter", miter_limit=limit) for limit in (2.001, 1.999)
    )
    # the tip of the mitre: a triangle on the bevel, half·tan(60°) · half·sin... = 25·tan(60°) less
    # the bevel's own triangle of 25·sin(120°)/2
    assert pointed - bevelled == pytest.approx(
        25 * math.tan(math.pi / 3) - 12.5 * math.sin(2 * math.pi / 3), rel=1e-3
    )


def test_closed_path_has_joins_and_no_caps() -> None:
    """A closed square of 40 with mitres is a frame of 50 less a hole of 30."""
    assert stroke_area("M0 0H40V40H0z", cap="square") == pytest.approx(2500 - 900)
    assert stroke_area("M0 0H40V40H0z", join="round") == pytest.approx(
        2500 - 900 - (4 - math.pi) * 25, rel=1e-4
    )


def test_steps_that_lead_back_by_rounding_close_the_path() -> None:
    """0.1 ten times and back leaves no tiny last segment with a direction of its own."""
    back = "M30 0" + "h0.1" * 10 + "v10h-1v-10z"
    assert stroke_area(back, width=1) == pytest.approx(stroke_area("M30 0h1v10h-1z", width=1))


def test_circle_and_arc() -> None:
    """A ring of radius 20 is 2π·20·10; a quarter of it with butt caps is a quarter."""
    ring = "M20 0A20 20 0 0 1 -20 0A20 20 0 0 1 20 0z"
    assert stroke_area(ring) == pytest.approx(400 * math.pi, rel=3e-4)
    assert stroke_area("M20 0A20 20 0 0 1 0 20") == pytest.approx(100 * math.pi, rel=3e-4)


def test_pen_wider_than_the_bend() -> None:
    """A circle of radius 3 under a pen of 10 is a disc of radius 8, without a hole."""
    ring = "M3 0A3 3 0 0 1 -3 0A3 3 0 0 1 3 0z"
    assert stroke_area(ring) == pytest.approx(64 * math.pi, rel=2e-4)
    # half of it sweeps half the disc; beyond the centre the pen sweeps half a disc of 5 - 3
    half = stroke_area("M3 0A3 3 0 0 1 -3 0")
    assert half == pytest.approx(32 * math.pi + 2 * math.pi, rel=1e-3)


def test_pen_that_turns_back_on_the_spot() -> None:
    """A curve that runs to and fro on a line turns the pen round at its turning points."""
    # from 37.4 to 39 with turning points at 37.9 and 38.1, all inside the ends' caps
    data = "M37.4375 38c1.75 0-0.875 0 1.5625 0"
    assert stroke_area(data, width=2, cap="round") == pytest.approx(2 * 1.5625 + math.pi, rel=2e-3)


def test_overlapping_strokes_count_once() -> None:
    """A cross of two lines in one path has its middle once."""
    assert stroke_area("M0 0H40M20 -20V20") == pytest.approx(800 - 100)


@pytest.mark.parametrize(
    ("cap", "dot"), [("butt", 0.0), ("round", 25 * math.pi), ("square", 100.0)]
)
@pytest.mark.parametrize("data", ["M5 5z", "M5 5L5 5", "M5 5h0v0z", "M5 5l0 0 0 0"])
def test_point_is_a_dot_under_round_and_square_caps(data: str, cap: str, dot: float) -> None:
    """A sub-path without length paints a dot, as SVG 2, 13.5.5 says."""
    assert stroke_area(data, cap=cap) == pytest.approx(dot, rel=1e-3)


def test_move_alone_paints_nothing() -> None:
    """A move that nothing follows is no dot."""
    assert stroke_area("M5 5M6 6", cap="round") == 0


@pytest.mark.parametrize(
    ("dashes", "offset", "spans"),
    [
        ((4.0, 6.0), 0.0, [(0, 4), (10, 14), (20, 24), (30, 34)]),
        ((4.0, 6.0), 4.0, [(6, 10), (16, 20), (26, 30), (36, 40)]),
        ((4.0, 6.0), 2.0, [(0, 2), (8, 12), (18, 22), (28, 32), (38, 40)]),
        ((4.0, 6.0), -3.0, [(3, 7), (13, 17), (23, 27), (33, 37)]),
        ((4.0, 6.0, 2.0, 8.0), 0.0, [(0, 4), (10, 12), (20, 24), (30, 32)]),
        ((50.0, 5.0), 0.0, [(0, 40)]),
    ],
)
def test_dashes_of_a_line(
    dashes: tuple[float, ...], offset: float, spans: list[tuple[float, float]]
) -> None:
    """Dashes lie where the pattern puts them, from its offset on."""
    region = stroke("M0 0H40", width=2, dashes=dashes, dash_offset=offset)
    assert sorted((g.bounds[0], g.bounds[2]) for g in region.geoms) == [
        pytest.approx(span) for span in spans
    ]


def test_dashes_run_on_round_corners_and_over_the_start() -> None:
    """On a closed square a dash bends round the corner; ink at the end joins that at the start."""
    frame = stroke("M0 0H20V20H0z", width=2, dashes=(8.0, 12.0), dash_offset=4.0)
    # one dash lies round each corner, 4 along either side: 2·8 less the 1 x 1 overlap, mitred
    assert len(frame.geoms) == 4
    for piece in frame.geoms:
        assert piece.area == pytest.approx(16)


def test_dash_longer_than_a_closed_path_has_ends() -> None:
    """Viewers don't join a dash with itself: the corner at the start stays notched."""
    assert stroke_area("M0 0H20V20H0z", width=2, dashes=(90.0, 5.0)) == pytest.approx(160 - 1)


def test_square_dots_are_refused_where_viewers_turn_them_differently() -> None:
    """On level and upright lines all viewers agree, on slanted ones they don't."""
    pen = {"width": 2.0, "cap": "square", "dashes": (0.0, 10.0)}
    assert stroke_area("M0 0H40", **pen) == pytest.approx(16)
    with pytest.raises(PastLimit, match="square dots"):
        stroke_area("M0 0L40 10", **pen)


def test_dash_without_length_is_a_dot() -> None:
    """A pattern of 0 and gap gives dots, the first at the start of the path."""
    dots = stroke("M0 0H40V40H0z", width=2, cap="round", dashes=(0.0, 10.0))
    assert len(dots.geoms) == 16
    assert dots.area == pytest.approx(16 * math.pi, rel=3e-3)


def test_uneven_scale_makes_an_uneven_stroke(read: Read) -> None:
    """The pen is scaled with the drawing: 2 wide across, 6 wide along."""
    (shape,) = read(
        '<path transform="scale(1 3)" fill="none" stroke="red" stroke-width="2" '
        'stroke-linejoin="miter" d="M10 10H50V20H10z"/>'
    ).shapes
    outer, inner = (40 + 2) * (30 + 6), (40 - 2) * (30 - 6)
    assert shape.region.area == pytest.approx(outer - inner)


def test_stroke_width_of_none_paints_nothing(read: Read) -> None:
    """A width of 0 leaves only the fill."""
    artwork = read('<rect width="9" height="9" stroke="red" stroke-width="0"/>')
    assert [s.colour for s in artwork.shapes] == ["#000000"]


points = st.lists(
    st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=2, max_size=8, unique=True
)


@given(points, st.sampled_from([0.5, 3.0, 12.0]))
def test_round_stroke_is_the_path_widened_by_half_the_pen(
    corners: list[tuple[int, int]], width: float
) -> None:
    """Round caps and joins give just what lies within half a width of the path."""
    data = "M" + " ".join(f"{x} {y}" for x, y in corners)
    region = stroke(data, width=width, cap="round", join="round")
    line = shapely.LineString(corners)
    true = line.buffer(width / 2, quad_segs=400)
    assert shapely.symmetric_difference(region, true).area <= TOLERANCE * true.length * 1.5


@given(st.lists(st.tuples(st.integers(0, 30), st.integers(0, 30)), min_size=4, max_size=4))
def test_round_stroke_of_a_curve_is_the_curve_widened(corners: list[tuple[int, int]]) -> None:
    """The same holds for a cubic curve, also where it bends tighter than the pen or turns back."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = corners
    data = f"M{x0} {y0}C{x1} {y1} {x2} {y2} {x3} {y3}"
    region = stroke(data, width=6.0, cap="round", join="round")
    t = np.linspace(0, 1, 400)[:, None]
    p = np.array(corners, dtype=float)
    curve = (
        (1 - t) ** 3 * p[0] + 3 * t * (1 - t) ** 2 * p[1] + 3 * t**2 * (1 - t) * p[2] + t**3 * p[3]
    )
    # piece by piece: a buffer of the whole line loses parts where it turns back
    pieces = shapely.linestrings(np.stack((curve[:-1], curve[1:]), axis=1))
    true = shapely.union_all(shapely.buffer(pieces, 3.0, quad_segs=60))
    assert shapely.symmetric_difference(region, true).area <= 0.01 * true.length + 0.02
