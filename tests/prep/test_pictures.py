"""Pictures: right coordinates, safe text, lighter outlines."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, box

from prep.pictures import Canvas, path_data, simplified

SVG = "{http://www.w3.org/2000/svg}"


def test_path_data_of_a_square_with_a_hole() -> None:
    """Outer ring and hole, each closed, no point written twice."""
    region = box(0, 0, 4, 3).difference(box(1, 1, 2, 2))
    rings = [ring.split() for ring in path_data(region).strip("MZ").split("ZM")]
    assert [sorted(ring) for ring in rings] == [
        ["0,0", "0,3", "4,0", "4,3"],
        ["1,1", "1,2", "2,1", "2,2"],
    ]


@pytest.mark.parametrize(
    ("x", "decimals", "written"),
    [(-0.0001, 3, "0"), (100.0, 0, "100"), (1.2345, 3, "1.234"), (0.5, 3, "0.5"), (-2.0, 1, "-2")],
)
def test_numbers_are_short_and_right(x: float, decimals: int, written: str) -> None:
    """No minus before nought, no noughts cut off before the point."""
    data = path_data(shapely.Polygon([(x, 7), (x + 9, 7), (x + 9, 9)]), decimals=decimals)
    assert f"{written},7" in data.strip("MZ").split()


@given(
    st.lists(st.floats(-2000, 2000) | st.integers(-200, 200), min_size=6, max_size=40),
    st.integers(0, 6),
)
def test_all_numbers_of_a_path_are_written_as_each_alone(
    numbers: list[float], decimals: int
) -> None:
    """Rounded as Python rounds, without noughts at the end, a bare point or a minus before nought."""
    points = list(zip(numbers[::2], numbers[1::2], strict=False))
    region = MultiPolygon([shapely.Polygon(points), box(0, 0, 10, 100)])

    def short(value: float) -> str:
        text = f"{value:.{decimals}f}"
        text = text.rstrip("0").rstrip(".") if decimals else text
        return "0" if text == "-0" else text

    written = [
        " ".join(f"{short(x)},{short(y)}" for x, y in ring.coords[:-1])
        for ring in (part.exterior for part in region.geoms)
    ]
    assert path_data(region, decimals=decimals) == "".join(f"M{ring}Z" for ring in written)


def test_nothing_has_no_path_data() -> None:
    assert path_data(MultiPolygon()) == ""
    with pytest.raises(ValueError, match="inf has no place in a picture"):
        path_data(shapely.Polygon([(0, 0), (1, 0), (1, float("inf"))]))


def test_a_picture_is_true_to_size_and_shows_the_part_asked_for() -> None:
    """One unit is one millimetre; the viewBox starts where the part starts."""
    picture = Canvas((-5.0, 10.0, 35.0, 30.0)).region(box(0, 12, 10, 20)).picture("a box")
    root = ElementTree.fromstring(picture.svg)
    assert root.attrib["width"] == "40mm"
    assert root.attrib["height"] == "20mm"
    assert root.attrib["viewBox"] == "-5 10 40 20"
    assert (picture.width_mm, picture.height_mm) == (40.0, 20.0)
    title = root.find(f"{SVG}title")
    assert title is not None
    assert title.text == "a box"


@given(st.text())
def test_any_text_stays_text(text: str) -> None:
    """Whatever a name holds, the picture stays well-formed and the text is read back."""
    svg = Canvas((0, 0, 9, 9)).text(text, (1, 1), height_mm=2).picture(text).svg
    root = ElementTree.fromstring(svg.encode("utf-8"))
    written = root.find(f"{SVG}text")
    assert len(root) == 2
    assert written is not None
    kept = "".join(c if c in "\t\n\r" or ord(c) >= 32 else "\ufffd" for c in text)
    kept = "".join("\ufffd" if c in "\ufffe\uffff" else c for c in kept)
    # XML readers turn each line end into a line feed
    assert (written.text or "") == kept.replace("\r\n", "\n").replace("\r", "\n")


def test_paint_can_not_leave_its_attribute() -> None:
    """A colour that is none breaks nothing but itself."""
    canvas = Canvas((0, 0, 9, 9)).circle((1, 1), 1, fill='"/><script/>', stroke='"x')
    canvas.text("a", (1, 1), height_mm=1, fill='">', halo='">')
    root = ElementTree.fromstring(canvas.picture("a", background='"/><script/>').svg)
    assert [child.tag.removeprefix(SVG) for child in root] == ["title", "rect", "circle", "text"]


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -float("inf")])
def test_no_place_at_infinity(bad: float) -> None:
    """A coordinate that is no number is an error, not a broken picture."""
    with pytest.raises(ValueError, match="no place in a picture"):
        Canvas((0, 0, 9, 9)).circle((bad, 1), 1)


def test_lighter_outlines_stay_close() -> None:
    """Far fewer points, none farther off than the tolerance, holes kept."""
    ring = Point(0, 0).buffer(40, quad_segs=500).difference(Point(0, 0).buffer(20, quad_segs=500))
    region = MultiPolygon([ring])
    light = simplified(region, 0.05)
    before, after = (len(shapely.get_coordinates(r)) for r in (region, light))
    assert after < before / 10
    assert len(light.geoms[0].interiors) == 1
    assert shapely.hausdorff_distance(region.boundary, light.boundary) <= 0.05


def test_nothing_to_draw() -> None:
    """An empty region leaves no mark and is no error."""
    assert path_data(MultiPolygon()) == ""
    assert "<path" not in Canvas((0, 0, 9, 9)).region(MultiPolygon()).picture("empty").svg
    assert simplified(MultiPolygon()).is_empty
