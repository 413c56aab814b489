"""Pictures of a measurement: read back as SVG, and looked at through a renderer."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Callable

import numpy as np
import pytest
import resvg_py
import shapely
from coloraide import Color
from lxml import etree
from PIL import Image
from shapely import MultiPolygon, Point, Polygon, box
from shapely.affinity import translate

from prep.measure_pictures import close_up, histogram, width_map
from prep.measure_pictures.close_up import across
from prep.measure_pictures.paper import View, outline_data, text_width
from prep.measure_pictures.styles import MOST_CLASSES, styles_for
from prep.measures import Place, measure
from prep.measures.classes import in_classes
from prep.pictures import Picture
from tests.specimens import comb, hourglass, multi, wedge

SVG = "{http://www.w3.org/2000/svg}"
HREF = "{http://www.w3.org/1999/xlink}href"

# bars 0.2, 0.4, 0.8 and 6 mm wide and 10 long; the classes of the usual limits but 1 to 2 mm
BARS = multi(box(0, 0, 10, 0.2), box(0, 3, 10, 3.4), box(0, 6, 10, 6.8), box(0, 9, 10, 15))
FRAME = (-1.0, -1.0, 11.0, 16.0)


def read(picture: Picture) -> etree._Element:
    """Parse a picture."""
    return etree.fromstring(picture.svg.encode())


def points_of(data: str) -> list[list[tuple[float, float]]]:
    """Read the outlines of path data as this package writes it: M, relative l, z."""
    rings = []
    for ring in re.findall(r"M([^z]*)z", data):
        numbers = [float(n) for n in re.findall(r"-?(?:\d+\.?\d*|\.\d+)", ring)]
        rings.append(list(map(tuple, np.cumsum(np.reshape(numbers, (-1, 2)), axis=0).tolist())))
    return rings


def drawn(root: etree._Element, kind: str) -> list[list[tuple[float, float]]]:
    """Give the outlines drawn for something."""
    (element,) = root.findall(f".//*[@class='{kind}']")
    if element.tag == f"{SVG}use":
        (element,) = root.findall(f".//*[@id='{element.attrib[HREF][1:]}']")
    return points_of(element.attrib["d"])


def texts(root: etree._Element) -> list[str]:
    """Give all words of a picture."""
    return [element.text or "" for element in root.iter(f"{SVG}text")]


def pixels(picture: Picture, per_mm: float = 10.0) -> np.ndarray:
    """Render a picture: shape (height, width, 3)."""
    png = resvg_py.svg_to_bytes(svg_string=picture.svg, dpi=round(per_mm * 25.4))
    return np.asarray(Image.open(io.BytesIO(bytes(png))).convert("RGB"))


def rgb(colour: str) -> tuple[int, int, int]:
    """Give a colour's numbers."""
    red, green, blue = bytes.fromhex(colour[1:])
    return red, green, blue


def share_of(colour: str, part: np.ndarray, within: int = 6) -> float:
    """Give the share of pixels that have about a colour."""
    return float((np.abs(part.astype(int) - rgb(colour)).max(axis=2) <= within).mean())


def a_map(scale: float = 5.0) -> Picture:
    """Draw the bars, 5 times their size."""
    return width_map(BARS, title="bars", frame=FRAME, largest_scale=scale, size_mm=(180, 200))


def a_histogram() -> Picture:
    return histogram(measure(BARS).by_width, title="bars")


def a_close_up() -> Picture:
    measures = measure(hourglass(0.25))
    assert measures.finest_opening is not None
    return close_up(
        translate(hourglass(0.25), 30, 20),
        Place(0.25, (30.0, 20.0), 0.2, "strip", 0),
        side="openings", title="waist", artboard_mm=(60, 40),
    )  # fmt: skip


ALL = pytest.mark.parametrize("make", [a_map, a_histogram, a_close_up])


@ALL
def test_a_picture_says_what_it_is_and_is_the_same_each_time(make: Callable[[], Picture]) -> None:
    """Title and description come first; sizes are in mm; twice the same text."""
    picture = make()
    root = read(picture)
    assert [child.tag for child in root[:2]] == [f"{SVG}title", f"{SVG}desc"]
    assert root[0].text
    assert root[1].text
    assert root.attrib["role"] == "img"
    assert root.attrib["width"].endswith("mm")
    assert root.attrib["viewBox"].split()[2:] == [
        root.attrib[side].removesuffix("mm") for side in ("width", "height")
    ]
    assert make().svg == picture.svg


@ALL
def test_all_words_lie_on_the_page(make: Callable[[], Picture]) -> None:
    """By the width of letters of a wide typeface; every family ends in a generic one."""
    picture = make()
    for element in read(picture).iter(f"{SVG}text"):
        assert element.attrib["font-family"].endswith("sans-serif")
        long = text_width(element.text or "", float(element.attrib["font-size"]))
        x = float(element.attrib["x"])
        left = x - {"start": 0.0, "middle": long / 2, "end": long}[element.attrib["text-anchor"]]
        assert left >= -0.01, element.text
        assert left + long <= picture.width_mm + 0.01, element.text
        assert 0 < float(element.attrib["y"]) < picture.height_mm


@ALL
def test_words_do_not_cover_each_other(make: Callable[[], Picture]) -> None:
    """Boxes around lines of text don't meet."""
    boxes = []
    for element in read(make()).iter(f"{SVG}text"):
        if element.attrib.get("aria-hidden"):
            continue  # the white under a label
        high = float(element.attrib["font-size"])
        long = 0.9 * text_width(element.text or "", high)
        x, y = float(element.attrib["x"]), float(element.attrib["y"])
        x -= {"start": 0.0, "middle": long / 2, "end": long}[element.attrib["text-anchor"]]
        boxes.append(box(x, y - 0.75 * high, x + long, y))
    meets = shapely.STRtree(boxes).query(boxes, predicate="intersects")
    assert (meets[0] == meets[1]).all()


def test_the_map_shows_each_bar_in_its_class_at_its_place() -> None:
    """Outlines read back in mm of the artwork lie on the bars."""
    picture = a_map()
    root = read(picture)
    # the frame's corner lies 4 mm from the left, and the frame is 12 mm wide: the scale is 5
    (frame,) = [r for r in root.iter(f"{SVG}rect") if r.attrib["width"] == "60"]
    left, top = float(frame.attrib["x"]), float(frame.attrib["y"])
    for number, (y0, y1) in enumerate([(0, 0.2), (3, 3.4), (6, 6.8)]):
        rings = drawn(root, f"class-{number}")
        xs, ys = np.concatenate([np.asarray(r) for r in rings]).T
        xs, ys = (xs - left) / 5 - 1, (ys - top) / 5 - 1
        assert [ys.min(), ys.max()] == pytest.approx([y0, y1], abs=0.015)
        assert xs.min() == pytest.approx(0, abs=0.35)
        assert xs.max() == pytest.approx(10, abs=0.35)
    assert not root.findall(".//*[@class='class-3']")
    assert len(drawn(root, "class-4")) == 4


def test_areas_in_the_legend_sum_to_the_whole() -> None:
    """2 + 4 + 8 + 60 mm², each in its class; the shares too."""
    said = [t for t in texts(read(a_map())) if "%" in t and ": " in t]
    areas = [float(t.split(": ")[1].split()[0]) for t in said]
    shares = [float(t.split(", ")[-1].removesuffix(" %")) for t in said]
    assert sum(areas) == pytest.approx(BARS.area, abs=0.03)
    assert sum(shares) == pytest.approx(100, abs=0.25)
    assert areas[:3] == pytest.approx([2, 4, 8], rel=0.07)
    assert any(t == "1 to 2 mm: none" for t in texts(read(a_map())))


def test_rendered_tones_and_hatches_are_where_they_should_be() -> None:
    """On each bar its tone and, where it has one, the lines of its hatch; white beside it."""
    picture = a_map()
    seen = pixels(picture)
    (frame,) = [r for r in read(picture).iter(f"{SVG}rect") if r.attrib["width"] == "60"]
    left, top = float(frame.attrib["x"]), float(frame.attrib["y"])

    def part(x0: float, y0: float, x1: float, y1: float) -> np.ndarray:
        """Give what is seen of a part of the artwork."""
        c0, c1 = (round(10 * (left + 5 * (x + 1))) for x in (x0, x1))
        r0, r1 = (round(10 * (top + 5 * (y + 1))) for y in (y0, y1))
        return seen[r0:r1, c0:c1]

    styles = styles_for(5)
    for number, (y0, y1) in enumerate([(0.02, 0.18), (3.02, 3.38), (6.02, 6.78)]):
        inside = part(2, y0, 8, y1)
        assert share_of(styles[number].tone, inside) > 0.35
        assert share_of(styles[number].ink, inside, within=60) > 0.02
    assert share_of(styles[4].tone, part(1, 10, 9, 14)) == 1.0
    assert share_of("#ffffff", part(1, 4, 9, 5.5)) == 1.0


def test_fine_places_are_seen_at_any_scale() -> None:
    """A bar of 0.2 mm at a tenth of its size is 0.02 mm on paper, drawn 0.2 mm thick."""
    region = multi(box(0, 0, 1000, 0.2), box(0, 100, 1000, 300))
    picture = width_map(region, title="far", frame=(-10, -10, 1010, 310), size_mm=(150, 150))
    seen = pixels(picture)
    dark = np.abs(seen.astype(int) - rgb(styles_for(5)[0].tone)).max(axis=2) < 60
    assert dark[:, 500:1000].any(axis=0).mean() > 0.9


def test_film_is_mapped_around_the_openings() -> None:
    """The teeth of a comb are plain grey; the gaps between are in the class of 0.5 to 1 mm."""
    region = comb(10, 0.4, 0.6, 5)
    film = box(-4, -7, 14, 9).difference(region)
    root = read(width_map(film, around=region, title="comb", largest_scale=5.0))
    gaps = drawn(root, "class-2")
    assert len(gaps) >= 9
    assert drawn(root, "around")


def test_touches_and_tips_are_marked_and_counted() -> None:
    """A cross where two squares kiss, a triangle at a needle's end, each in the legend too."""
    kissing = [box(0, 0, 10, 10), box(10, 10, 20, 20), Polygon([(30, 0), (60, 2), (30, 4)])]
    region = MultiPolygon(kissing)
    measures = measure(region)
    picture = width_map(region, title="marks", places=measures.openings, frame=(-5, -5, 65, 25))
    root = read(picture)
    tip, touch = (root.findall(f".//{SVG}polyline[@class='{kind}']") for kind in ("tip", "touch"))
    # each line once in white below, and in the legend again
    assert (len(tip), len(touch)) == (2 * 2, 2 * 2 * 2)
    at = [tuple(map(float, point.split(","))) for point in touch[0].get("points", "").split()]
    scale = 2.0
    middle = np.mean(at, axis=0)
    apex = [tuple(map(float, point.split(","))) for point in tip[0].get("points", "").split()]
    assert np.mean(apex[:3], axis=0)[0] - middle[0] == pytest.approx(scale * 50, abs=0.1)
    said = texts(root)
    assert "touch, edges meet with nothing between: 1" in said
    assert "tip of a corner sharper than 60°: 1" in said


def test_only_the_tips_that_lose_most_are_marked_and_that_is_said() -> None:
    needles = [Polygon([(0, y), (30, y + 1.0), (0, y + 2.0)]) for y in range(0, 300, 5)]
    region = MultiPolygon(needles)
    picture = width_map(region, title="many", places=measure(region).openings)
    root = read(picture)
    assert len(root.findall(f".//{SVG}polyline[@class='tip']")) == 2 * (40 + 1)
    assert "tip of a corner sharper than 60°: 60; marked: the 40 that lose most" in texts(root)


def test_areas_are_those_measured_where_given() -> None:
    """The legend of a bar says what was measured of it, to the last digit."""
    region = MultiPolygon([box(0, 0, 40, 0.4)])
    measured = measure(region).by_width
    said = texts(read(width_map(region, title="bar", measured=measured)))
    area = measured.narrower_than(0.5)
    assert f"0.25 to 0.5 mm: {area:.2f} mm², {100 * area / 16:.1f} %" in said


def test_a_layer_of_many_vertices_stays_small() -> None:
    """400 wavy discs of 100 vertices with ragged edges on 280 mm: under 300 kB."""
    random = np.random.default_rng(5)
    angle = np.arange(100) * 2 * math.pi / 100
    reach = 3.2 + 0.5 * np.sin(7 * angle) + random.uniform(-0.15, 0.15, (400, 100))
    x, y = (np.arange(400) % 28) * 10.0, (np.arange(400) // 28) * 10.0
    rings = np.stack(
        [x[:, None] + reach * np.cos(angle), y[:, None] + reach * np.sin(angle)], axis=2
    )
    region = MultiPolygon(list(shapely.polygons(rings)))
    assert shapely.get_num_coordinates(region) > 40_000
    picture = width_map(region, title="discs")
    assert len(picture.svg.encode()) < 300_000
    (said,) = [text for text in texts(read(picture)) if "Outlines within" in text]
    assert 0.06 < float(said.split()[-2]) <= 0.48


def test_outlines_stray_no_farther_than_said() -> None:
    """Read back, a flattened circle lies within tolerance and rounding of itself, with its hole."""
    ring = (
        Point(50, 60).buffer(40, quad_segs=300).difference(Point(50, 60).buffer(20, quad_segs=300))
    )
    view = View(0.5, (3.0, 4.0))
    rings = points_of(outline_data(ring, view, within_mm=0.05))
    assert len(rings) == 2
    back = [shapely.Polygon((np.asarray(r) - (3.0, 4.0)) / 0.5) for r in rings]
    assert back[0].difference(back[1]).hausdorff_distance(ring) <= (0.05 + 0.01) / 0.5
    assert len(rings[0]) < 150


def test_what_is_finer_than_the_tolerance_does_not_vanish() -> None:
    """A hair and a dot far below the tolerance keep an outline."""
    tiny = multi(box(0, 0, 30, 0.01), Point(5, 5).buffer(0.005), box(10, 10, 20, 20))
    assert outline_data(tiny, View(0.5, (0.0, 0.0)), within_mm=0.1).count("z") == 3


def test_bars_of_the_histogram_have_the_heights_of_the_distribution() -> None:
    """Areas of the drawn bars, by class, are in the ratio of the areas booked."""
    by_width = measure(BARS).by_width
    root = read(a_histogram())
    heights = []
    for number in range(5):
        uses = root.findall(f".//*[@class='bars-{number}']")
        bars = []
        for use in uses:
            data = use.attrib.get("d")
            if data is None:
                (path,) = root.findall(f".//*[@id='{use.attrib[HREF][1:]}']")
                data = path.attrib["d"]
            each = re.findall(r"M[\d.]+ ([\d.]+)H[\d.]+V([\d.]+)", data)
            bars.append(sum(float(base) - float(top) for base, top in each))
        heights.append(bars[0] if bars else 0.0)
    area = in_classes(by_width, by_width.area_mm2, (0.25, 0.5, 1.0, 2.0))
    assert np.asarray(heights[:3]) / heights[1] == pytest.approx(area[:3] / area[1], rel=0.02)
    beyond = by_width.area_mm2[by_width.widths_mm[:-1] >= 4 - 0.01 - 1e-9].sum()
    assert any(f"4 mm and wider, not drawn: {beyond:.2f} mm²" in text for text in texts(root))


def test_the_close_up_is_at_its_scale_with_the_width_across() -> None:
    """The dimension across a waist of 0.25 mm is 2.5 mm long at 10:1, in the middle of the frame."""
    root = read(a_close_up())
    (line,) = root.findall(".//*[@class='dimension']")
    (x0, y0), (x1, y1) = (map(float, p.split(",")) for p in line.attrib["points"].split())
    assert math.hypot(x1 - x0, y1 - y0) == pytest.approx(2.5, abs=0.02)
    (frame,) = [
        r for r in root.iter(f"{SVG}rect") if r.attrib["width"] == r.attrib["height"] == "90"
    ]
    middle = [float(frame.attrib[k]) + 45 for k in ("x", "y")]
    assert [(x0 + x1) / 2, (y0 + y1) / 2] == pytest.approx(middle, abs=0.02)
    assert abs(y1 - y0) < 0.02
    words = texts(root)
    assert "0.25 mm" in words
    assert any("30.0 mm from the left" in word for word in words)
    assert any("10:1" in word for word in words)
    # the waist's corners lie 0.125 mm beside the middle, on the printed outline
    corners = np.concatenate([np.asarray(r) for r in drawn(root, "printed")]) - middle
    for x in (-1.25, 1.25):
        assert np.hypot(*(corners - (x, 0.0)).T).min() < 0.03


def test_the_close_up_locates_the_place_on_the_artboard() -> None:
    """At half of both sides of the artboard the cross hairs lie in its middle."""
    root = read(a_close_up())
    small = [r for r in root.iter(f"{SVG}rect") if r.attrib.get("x") == "98"]
    board = next(r for r in small if float(r.attrib["width"]) > 40)
    middle = [
        float(board.attrib[a]) + float(board.attrib[b]) / 2
        for a, b in (("x", "width"), ("y", "height"))
    ]
    marks = [r for r in root.iter(f"{SVG}rect") if r.attrib.get("stroke-width") == "0.35"]
    (mark,) = marks
    centre = [
        float(mark.attrib[a]) + float(mark.attrib[b]) / 2
        for a, b in (("x", "width"), ("y", "height"))
    ]
    assert centre == pytest.approx(middle, abs=0.02)


def test_what_is_printed_is_filled_and_the_place_is_outlined() -> None:
    """Rendered: grey above and below the waist, paper beside it, the place's tone in it."""
    region = multi(box(0, 0, 20, 0.3), box(-5, -5, 0, 5), box(20, -5, 25, 5))
    place = Place(0.3, (10.0, 0.15), 20.0, "strip", 0)
    picture = close_up(region, place, side="openings", title="bar", artboard_mm=(30, 30))
    seen = pixels(picture)
    (frame,) = [
        r for r in read(picture).iter(f"{SVG}rect")
        if r.attrib["width"] == r.attrib["height"] == "90"
    ]  # fmt: skip
    x, y = (10 * (float(frame.attrib[k]) + 45) for k in ("x", "y"))
    bar = seen[round(y) - 10 : round(y) + 10, round(x) + 150 : round(x) + 400]
    assert share_of(styles_for(5)[1].tone, bar) > 0.4
    beside = seen[round(y) + 40 : round(y) + 300, round(x) + 150 : round(x) + 400]
    assert share_of("#ffffff", beside) == 1.0


@pytest.mark.parametrize(("angle"), [0.0, 30.0, 90.0, 117.0])
def test_the_direction_across_a_strip(angle: float) -> None:
    """Square to a bar turned by any angle."""
    bar = shapely.affinity.rotate(box(-5, -0.2, 5, 0.2), angle, origin=(0, 0))
    dx, dy = across(bar, Place(0.4, (0.0, 0.0), 10.0, "strip", 0))
    turned = math.degrees(math.atan2(dy, dx)) % 180
    assert turned == pytest.approx((angle + 90) % 180, abs=0.5)


@pytest.mark.parametrize("kind", ["tip", "touch"])
def test_tips_and_touches_have_close_ups_too(kind: str) -> None:
    """They have no width to draw; they are ringed and said."""
    region = wedge(20, 0.15) if kind == "tip" else multi(box(0, 0, 2, 2), box(2, 2, 4, 4))
    place = (
        Place(0.0, (0.0, 0.0), 3.0, "tip", 0, 20.0, 0.95, 0.1)
        if kind == "tip"
        else Place(0.0, (2.0, 2.0), 0.0, "touch", 0)
    )
    picture = close_up(region, place, side="openings", title=kind, artboard_mm=(9, 9))
    said = " ".join(texts(read(picture)))
    assert ("20° tip" if kind == "tip" else "nothing between") in said


def test_a_place_wider_than_all_limits_is_outlined_too() -> None:
    """The finest place of bold artwork."""
    place = Place(2.5, (5.0, 1.25), 10.0, "strip", 0)
    picture = close_up(
        multi(box(0, 0, 10, 2.5)), place, side="openings", title="x", artboard_mm=(9, 9)
    )
    assert "narrower than 2.75 mm" in texts(read(picture))


def test_any_title_stays_text() -> None:
    """Letters that mean something in XML, and a title longer than the page."""
    picture = width_map(BARS, title='<script>&"' + "long " * 80 + "\x00", frame=FRAME)
    root = read(picture)
    assert not root.findall(f".//{SVG}script")
    assert texts(root)[0].endswith("…")


@pytest.mark.parametrize("classes", range(2, MOST_CLASSES + 1))
def test_classes_are_told_apart_in_grey_and_by_the_colour_blind(classes: int) -> None:
    """Lightness rises by at least 7 L* from class to class, also as people without one kind of cone
    see it (coloraide's simulation); and neighbours never share a hatch."""
    styles = styles_for(classes)
    for see in (None, "protan", "deutan", "tritan"):
        lights = [
            (Color(s.tone).filter(see) if see else Color(s.tone)).convert("lab-d65")["lightness"]
            for s in styles
        ]
        assert np.diff(lights).min() >= 7, see
    assert len({style.pattern for style in styles}) == classes


def test_what_can_not_be_drawn_is_refused() -> None:
    """Nothing at all, limits without order, more classes than hatches, scales of nothing."""
    place = Place(0.4, (0.0, 0.0), 1.0, "strip", 0)
    with pytest.raises(ValueError, match="nothing to draw"):
        width_map(MultiPolygon(), title="x")
    with pytest.raises(ValueError, match="must be positive and rise"):
        width_map(BARS, title="x", limits_mm=(2.0, 1.0))
    with pytest.raises(ValueError, match="more than .* of height"):
        width_map(BARS, title="x", size_mm=(180, 20))
    with pytest.raises(ValueError, match="told apart"):
        histogram(measure(BARS).by_width, title="x", limits_mm=tuple(range(1, MOST_CLASSES + 2)))
    with pytest.raises(ValueError, match="larger than 0"):
        close_up(BARS, place, side="film", title="x", artboard_mm=(0, 9))
