"""The close-up of a place: what it shows, and how large it says that is."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from shapely import MultiPolygon, box

from prep.at_place import at_place, bar_of

SVG = "{http://www.w3.org/2000/svg}"
STRIP = MultiPolygon([box(0, 0, 100, 0.8), box(90, 90, 99, 99)])


@pytest.mark.parametrize(
    ("at_most_mm", "units", "bar"),
    [
        (1.6, "metric", (1.0, "1 mm")),
        (2.0, "metric", (2.0, "2 mm")),
        (16.0, "metric", (10.0, "10 mm")),
        (1.6, "inch", (1.27, "0.05 in")),
        (16.0, "inch", (12.7, "0.5 in")),
    ],
)
def test_a_scale_bar_has_a_round_length(at_most_mm: float, units: str, bar: object) -> None:
    """In the shop's units, and as long as it says."""
    assert bar_of(at_most_mm, units) == bar  # type: ignore[arg-type]  # one of the two words


@pytest.mark.parametrize(
    ("size_mm", "wide_mm"), [(None, 4.0), (0.1, 4.0), (0.8, 8.0), (50.0, 40.0)]
)
def test_it_shows_ten_times_the_size_in_bounds(size_mm: float | None, wide_mm: float) -> None:
    """From 4 to 40 mm; the scale is that of the side it is shown at."""
    picture, scale = at_place(
        STRIP,
        (),
        (50.0, 0.4),
        size_mm=size_mm,
        severity="will fail",
        side_mm=20.0,
        units="metric",
        alt="a strip",
    )
    assert (picture.width_mm, picture.height_mm) == pytest.approx((wide_mm, wide_mm))
    assert scale == pytest.approx(20.0 / wide_mm)


def test_it_draws_what_lies_there_and_nothing_else() -> None:
    """The strip from edge to edge, its far neighbour not, the ring dashed where it is a risk."""
    picture, _ = at_place(
        STRIP,
        (),
        (50.0, 0.4),
        size_mm=0.8,
        severity="at risk",
        side_mm=20.0,
        units="inch",
        alt="a strip",
    )
    root = ElementTree.fromstring(picture.svg)
    (path,) = root.iter(f"{SVG}path")
    corners = {
        tuple(map(float, pair.split(","))) for pair in path.attrib["d"].strip("MZ").split(" ")
    }
    # 8 mm around 50, and half a mm on paper beyond the frame
    assert corners == {(45.8, 0.0), (54.2, 0.0), (45.8, 0.8), (54.2, 0.8)}
    rings = [ring for ring in root.iter(f"{SVG}circle") if "stroke-dasharray" in ring.attrib]
    assert [(ring.attrib["cx"], ring.attrib["cy"]) for ring in rings] == [("50", "0.4")]
    (said,) = root.iter(f"{SVG}text")
    assert said.text == "0.1 in"


def test_the_ring_stays_in_the_picture() -> None:
    """Of a place 120 mm wide, in a window of 40: the ring's radius is 18 mm at most."""
    picture, _ = at_place(
        STRIP,
        (),
        (50.0, 0.4),
        size_mm=120.0,
        severity="note",
        side_mm=20.0,
        units="metric",
        alt="a strip",
    )
    radii = [float(found) for found in re.findall(r'<circle [^>]* r="([0-9.]+)"', picture.svg)]
    assert radii == pytest.approx([18.0, 18.0])
