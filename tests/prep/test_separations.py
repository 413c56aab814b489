"""What is visible of each colour."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from shapely import MultiPolygon, box

import prep.knock_out
from prep import separations
from prep.artwork import Artwork, Shape
from prep.errors import OurFault
from prep.separations import separate
from tests.specimens import circle, multi
from tests.strategies import artworks

RED, BLUE, WHITE = "#ff0000", "#0000ff", "#ffffff"


def _artwork(*shapes: tuple[shapely.Geometry, str]) -> Artwork:
    painted = tuple(
        Shape(multi(shape), colour, f"path {k}") for k, (shape, colour) in enumerate(shapes)
    )
    return Artwork("test.svg", 100, 100, painted, 0.01)


def test_what_lies_on_top_hides_what_lies_below() -> None:
    """A disc on a square leaves a square with a hole; colours come as they are first painted."""
    disc = circle(3, 0.01, 5, 5)
    red, blue = separate(_artwork((box(0, 0, 10, 10), RED), (disc, BLUE)))
    assert (red.colour, red.painted, blue.colour, blue.painted) == (RED, 0, BLUE, 1)
    assert red.region.area == pytest.approx(100 - disc.area)
    assert blue.region.equals(multi(disc))
    assert len(red.region.geoms[0].interiors) == 1


def test_one_colour_merges_across_another() -> None:
    """Two red squares that touch are one piece; blue between them in the paint order cuts one only."""
    red, blue = separate(
        _artwork((box(0, 0, 4, 4), RED), (box(3, 0, 5, 4), BLUE), (box(4, 0, 8, 4), RED))
    )
    assert red.region.area == pytest.approx(3 * 4 + 4 * 4)
    assert blue.region.equals(multi(box(3, 0, 4, 4)))
    (merged,) = separate(_artwork((box(0, 0, 4, 4), RED), (box(4, 0, 8, 4), RED)))
    assert merged.region.equals(multi(box(0, 0, 8, 4)))


def test_a_hidden_colour_is_no_separation() -> None:
    """What is wholly covered isn't printed."""
    assert [
        s.colour for s in separate(_artwork((box(1, 1, 2, 2), RED), (box(0, 0, 5, 5), WHITE)))
    ] == [WHITE]


def test_nothing_painted() -> None:
    """No shapes, no separations."""
    assert separate(_artwork()) == ()


@settings(max_examples=60)
@given(artworks())
def test_colours_partition_what_is_painted(artwork: Artwork) -> None:
    """The layers don't overlap, and each point shows the colour of the topmost shape there."""
    layers = separate(artwork)
    assert all(s.region.is_valid for s in layers)
    for k, first in enumerate(layers):
        for second in layers[k + 1 :]:
            assert first.region.intersection(second.region).area < 1e-7
    for x in range(-8, 30, 3):
        for y in range(-8, 30, 3):
            point = shapely.Point(x + 0.137, y + 0.291)
            top = [s.colour for s in artwork.shapes if s.region.contains(point)][-1:]
            assert [s.colour for s in layers if s.region.contains(point)] == top


def test_a_layer_gone_wrong_is_our_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    """When areas don't add up the artwork is named and nothing is printed."""
    monkeypatch.setattr(prep.knock_out, "_tidy", lambda _: MultiPolygon([box(0, 0, 1, 1)]))
    with pytest.raises(
        OurFault,
        match=r"test\.svg: the colours add up to 1\.0+ mm², but the shapes cover 100\.0+ mm²",
    ):
        separate(_artwork((box(0, 0, 10, 10), RED)))


SQUARES = (
    (box(0, 0, 10, 10), RED),
    (box(20, 0, 30, 10), BLUE),
    (box(40, 0, 50, 10), WHITE),
)


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        # the red square lost, the white one twice as wide
        ([[], [1], [3]], r"at 5\.000, 5\.000 mm nothing shows in place of #ff0000"),
        # the red square lost, the blue one shown in white, too
        ([[], [1], [1, 2]], r"#0000ff and #ffffff shows in place of #0000ff"),
        # two colours exchanged
        ([[1], [0], [2]], r"at 25\.000, 5\.000 mm #ff0000 shows in place of #0000ff"),
        # one shown twice, and one lost
        ([[0, 1], [1], []], r"at 25\.000, 5\.000 mm #ff0000 and #0000ff shows in place of #0000ff"),
    ],
)
def test_errors_that_cancel_in_the_sums_are_our_fault(
    monkeypatch: pytest.MonkeyPatch, wrong: list[list[int]], told: str
) -> None:
    """Squares of one size: the areas add up, yet what shows is wrong."""
    squares = [*(square for square, _ in SQUARES), box(40, 0, 60, 10)]
    layers = [MultiPolygon([squares[number] for number in numbers]) for numbers in wrong]
    monkeypatch.setattr(separations, "knock_out", lambda *_: layers)
    with pytest.raises(OurFault, match=told):
        separate(_artwork(*SQUARES))


def test_points_on_edges_decide_nothing() -> None:
    """The middle of the red square lies on the edge of blue; nothing is wrong."""
    red, blue = separate(_artwork((box(0, 0, 10, 10), RED), (box(5, 0, 10, 10), BLUE)))
    assert (red.region.area, blue.region.area) == (50, 50)


def test_shapes_cut_by_one_outline_leave_no_slit() -> None:
    """A disc over a plate, both cut by one diamond: two pieces with no line without width between."""
    from prep.artwork import PrintSize
    from prep.reading import read_and_separate

    data = (
        b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 400"><mask id="m">'
        b'<path fill="#fff" d="M200 20L380 200 200 380 20 200z"/></mask><g mask="url(#m)">'
        b'<rect width="400" height="400" fill="#1b998b"/>'
        b'<circle cx="200" cy="120" r="80" fill="#f46036"/></g></svg>'
    )
    _, layers = read_and_separate(data, "badge.svg", PrintSize(width_mm=280.0))
    plate = layers[0].region
    opened = plate.buffer(-0.001, join_style="mitre").buffer(0.001, join_style="mitre")
    # with the slit the outline would be some 70 mm longer, twice its length
    assert plate.length == pytest.approx(opened.length, rel=1e-3)
