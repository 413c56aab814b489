"""Basic shapes, paths, fill rules and transforms: areas that can be reckoned by hand, in mm²."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from svgelements import Path as OtherPath

from prep.artwork import Artwork, PrintSize
from prep.svg import read_svg
from prep.svg.paths import parse_path

Area = Callable[[str], float]
Read = Callable[..., Artwork]


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ('<rect x="10" y="10" width="20" height="30"/>', 600),
        ('<rect width="50%" height="10%"/>', 500),
        ('<rect width="20" height="10" rx="3"/>', 200 - (4 - math.pi) * 9),
        ('<rect width="20" height="10" ry="50" rx="4"/>', 200 - (4 - math.pi) * 4 * 5),
        ('<rect width="20" height="10" rx="-3" ry="3"/>', 200 - (4 - math.pi) * 9),
        ('<circle cx="50" cy="50" r="20"/>', math.pi * 400),
        ('<ellipse cx="50" cy="50" rx="20" ry="10"/>', math.pi * 200),
        ('<ellipse cx="50" cy="50" rx="20"/>', math.pi * 400),
        ('<polygon points="10,10 30,10 10,40"/>', 300),
        ('<polyline points="10,10 30,10 10,40"/>', 300),
        ('<path d="M10 10h20v10h-20z"/>', 200),
        ('<path d="m10 10 20 0 0 10 -20 0"/>', 200),
        ('<path d="M10,10H30V20H10Z m30 0h20v10h-20z"/>', 400),
        ('<path d="M10 50A40 40 0 0 1 90 50z"/>', math.pi * 800),
        ('<path d="M10 50a40 40 0 0180 0z"/>', math.pi * 800),
        ('<path d="M10 50A10 10 0 0 1 90 50z"/>', math.pi * 800),
        # the area between a quadratic's arc and its chord is 2/3 of its triangle (Archimedes)
        ('<path d="M10 10Q50 70 90 10z"/>', 2 / 3 * 80 * 60 / 2),
        ('<path d="M10 40Q30 10 50 40T90 40z"/>', 2 * (2 / 3) * 40 * 30 / 2),
        # y of this cubic is 3·60·t(1-t), x its smoothstep: the area is 80·60·3/5
        ('<path d="M10 10C10 70 90 70 90 10z"/>', 80 * 60 * 3 / 5),
    ],
)
def test_shape_has_the_area_reckoned_by_hand(area: Area, body: str, expected: float) -> None:
    """Each basic shape and path command has its exact area, but for the flattening."""
    assert area(body) == pytest.approx(expected, rel=5e-4)


@pytest.mark.parametrize(
    ("data", "nonzero", "evenodd"),
    [
        # a square within a square, wound alike, and wound the other way
        ("M0 0H40V40H0zM10 10H30V30H10z", 1600, 1200),
        ("M0 0H40V40H0zM10 10V30H30V10z", 1200, 1200),
        # three squares within each other
        ("M0 0H40V40H0zM10 10V30H30V10zM15 15H25V25H15z", 1300, 1300),
        # two squares that overlap
        ("M0 0H20V20H0zM10 10H30V30H10z", 700, 600),
        # the same square twice
        ("M0 0H20V20H0zM0 0H20V20H0z", 400, 0),
        # a bow tie: two triangles wound opposite ways
        ("M0 0L20 20V0L0 20z", 200, 200),
        # rings that touch in a corner
        ("M0 0H20V20H0zM20 20H40V40H20z", 800, 800),
    ],
)
def test_fill_rules_are_exact(read: Read, data: str, nonzero: float, evenodd: float) -> None:
    """Both fill rules give the area that winding numbers reckoned by hand give."""
    for rule, expected in (("nonzero", nonzero), ("evenodd", evenodd)):
        body = f'<path fill-rule="{rule}" d="{data}"/><rect x="90" y="90" width="1" height="1"/>'
        shapes = [s for s in read(body).shapes if s.source.startswith("path")]
        assert sum(s.region.area for s in shapes) == pytest.approx(expected, abs=1e-3)


def test_pentagram_differs_by_its_pentagon(read: Read) -> None:
    """A five-pointed star drawn in one stroke is full by nonzero and hollow by evenodd."""
    points = " ".join(
        f"{50 + 40 * math.sin(4 * math.pi * k / 5)},{50 - 40 * math.cos(4 * math.pi * k / 5)}"
        for k in range(5)
    )
    full, hollow = (
        read(f'<polygon fill-rule="{rule}" points="{points}"/>').shapes[0].region.area
        for rule in ("nonzero", "evenodd")
    )
    inner = 40 * math.cos(2 * math.pi / 5) / math.cos(math.pi / 5)  # radius of the pentagon
    assert full - hollow == pytest.approx(5 / 2 * inner**2 * math.sin(2 * math.pi / 5), rel=1e-4)


numbers = st.floats(-3, 3, allow_nan=False)


@given(st.tuples(numbers, numbers, numbers, numbers))
def test_area_scales_with_the_determinant(matrix: tuple[float, float, float, float]) -> None:
    """A transform multiplies areas of fills and of strokes by its determinant."""
    a, b, c, d = matrix
    det = abs(a * d - b * c)
    assume(det > 0.05)
    shape = (
        '<path stroke="red" stroke-width="3" stroke-linejoin="round" fill="blue" '
        'd="M-9 -7L9 -8C9 9 0 3 -3 8z"/>'
    )
    plain, turned = (
        read_svg(
            f'<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" '
            f'viewBox="-100 -100 200 200"><g transform="{transform}">{shape}</g></svg>'.encode(),
            name="drawing.svg",
            size=PrintSize(),
        ).shapes
        for transform in ("scale(1)", f"matrix({a} {b} {c} {d} 1 2)")
    )
    for before, after in zip(plain, turned, strict=True):
        # the flattening is 0.005 mm, along an edge of some 60 mm stretched by up to 4
        assert after.region.area == pytest.approx(before.region.area * det, abs=1.2, rel=2e-3)


@pytest.mark.parametrize(
    ("transform", "expected"),
    [
        ("translate(10 20)", (10, 20, 20, 25)),
        ("translate(10)", (10, 0, 20, 5)),
        ("scale(2)", (0, 0, 20, 10)),
        ("scale(2 3)", (0, 0, 20, 15)),
        ("rotate(90 10 10)", (15, 0, 20, 10)),
        ("matrix(1 0 0 1 3 4)", (3, 4, 13, 9)),
        ("skewX(45)", (0, 0, 15, 5)),
        ("translate(50,50) rotate(180) , scale(2)", (30, 40, 50, 50)),
    ],
)
def test_transform_moves_as_the_standard_says(
    read: Read, transform: str, expected: tuple[float, ...]
) -> None:
    """Each transform function takes a 10 x 5 rectangle where it belongs."""
    (shape,) = read(f'<rect width="10" height="5" transform="{transform}"/>').shapes
    assert shape.region.bounds == pytest.approx(expected, abs=1e-6)


def test_transform_origin_turns_about_it(read: Read) -> None:
    """transform-origin in px, in percent of the viewport and in words."""
    for origin in ("10px 10px", "10% 10%", "10 10"):
        body = f'<rect width="20" height="10" transform="rotate(180)" transform-origin="{origin}"/>'
        assert read(body).shapes[0].region.bounds == pytest.approx((0, 10, 20, 20), abs=1e-6)
    body = '<rect width="20" height="10" transform="scale(-1 1)" style="transform-origin: top"/>'
    assert read(body).shapes[0].region.bounds == pytest.approx((80, 0, 100, 10), abs=1e-6)


@pytest.mark.parametrize(
    "data",
    [
        "M1 2c3-4 5-6 7-8s9 1 2 3q4 5 6 7t8 9a1 2 30 0 1 4 5z",
        "M10-20.5.5-.5L1e1,2E-1ZL3 4",
        "m1 1zm2 2 3 3",
        "M0 0A5 3 20 10 8 2a4 4 0 11-3 3",
        "M0 0H5V5h-2v-2zM20 20 25 25 20 25",
        "M0 0C1 2 3 4 5 6S7 8 9 1M3 3T9 9T1 5",
    ],
)
def test_path_data_agrees_with_a_second_parser(data: str) -> None:
    """Points along each path agree with svgelements, an independent reader of path data."""
    path, whole = parse_path(data)
    assert whole
    other = OtherPath(data)
    theirs = [s for s in other if type(s).__name__ not in ("Move",) and s.length() > 1e-9]
    ends = [(s.end.x, s.end.y) for s in theirs]
    ours = path.control[path.knots, 3]
    assert len(ours) == len(ends)
    np.testing.assert_allclose(ours, ends, atol=1e-9)
    lengths = float(
        sum(np.hypot(*np.diff(_along(control), axis=0).T).sum() for control in path.control)
    )
    assert lengths == pytest.approx(sum(s.length(error=1e-7) for s in theirs), rel=1e-4)


def _along(control: np.ndarray) -> np.ndarray:
    t = np.linspace(0, 1, 200)[:, None]
    return (
        (1 - t) ** 3 * control[0]
        + 3 * t * (1 - t) ** 2 * control[1]
        + 3 * t**2 * (1 - t) * control[2]
        + t**3 * control[3]
    )


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        ("M10 10h20v20h-20z L 5", 400),
        ("M10 10h20v20h-20z x 5 5", 400),
        ("M10 10h20v20h-20,", 400),
        ("M10 10h20v20h-20z M 1,,2", 400),
    ],
)
def test_damaged_path_is_read_up_to_its_error(read: Read, data: str, expected: float) -> None:
    """Path data with an error is read up to it, as SVG 2, 9.5.4 asks, and a note says so."""
    artwork = read(f'<path id="torn" d="{data}"/>')
    assert artwork.shapes[0].region.area == pytest.approx(expected)
    assert any("torn" in note and "error" in note for note in artwork.notes)


def test_flattening_stays_within_what_is_stated(read: Read) -> None:
    """No point of a flattened circle is further from it than the flattening says."""
    artwork = read('<circle cx="50" cy="50" r="45"/>')
    (shape,) = artwork.shapes
    ring = np.asarray(shape.region.geoms[0].exterior.coords) - 50
    middles = (ring[1:] + ring[:-1]) / 2
    off = np.concatenate([np.hypot(*ring.T), np.hypot(*middles.T)]) - 45
    assert artwork.flattening_mm == pytest.approx(0.0025)
    assert np.abs(off).max() <= artwork.flattening_mm


def test_paint_order_puts_the_stroke_below(read: Read) -> None:
    """paint-order decides whether the fill or the stroke lies on top."""
    body = '<rect x="9" y="9" width="9" height="9" fill="red" stroke="blue" {}/>'
    assert [s.colour for s in read(body.format("")).shapes] == ["#ff0000", "#0000ff"]
    stroked = read(body.format('paint-order="stroke"'))
    assert [s.colour for s in stroked.shapes] == ["#0000ff", "#ff0000"]


def test_what_lies_outside_the_artboard_is_cut_and_noted(read: Read) -> None:
    """Shapes across the edge are cut there; shapes beyond it are named in a note."""
    artwork = read(
        '<rect id="across" x="90" y="0" width="20" height="10"/>'
        '<rect id="beyond" x="200" y="0" width="20" height="10"/>'
    )
    (shape,) = artwork.shapes
    assert shape.region.area == pytest.approx(100)
    assert any("across" in note and "cut off" in note for note in artwork.notes)
    assert any("beyond" in note and "outside" in note for note in artwork.notes)


def test_shape_without_area_is_noted(read: Read) -> None:
    """A rectangle without width and a line without stroke print nothing, and notes say so."""
    artwork = read('<rect id="thin" height="9"/><path id="bare" d="M0 0H9"/><circle r="9"/>')
    assert len(artwork.shapes) == 1
    assert any("thin" in note for note in artwork.notes)
    assert any("bare" in note for note in artwork.notes)
