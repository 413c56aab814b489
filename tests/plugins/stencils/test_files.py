"""Cut files as we write them, our own reading back, and the proof that tells a wrong film."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely

from prep_stencils.dxffile import layer_name, read_dxf, write_dxf
from prep_stencils.outlines import (
    Layer,
    cut_outlines,
    open_rings,
    ring_areas,
    ring_boxes,
    ring_lengths,
    rounded_ring,
    with_overcut,
    without_overcut,
)
from prep_stencils.proof import disagreements
from prep_stencils.sheet import Sheet
from prep_stencils.strokes import Wanted, strokes_of
from prep_stencils.svgfile import read_svg, write_svg

SHEET = Sheet(-10.0, -10.0, 60.0, 40.0, (20.0, 10.0), 10.0, mirrored=True, turned=False)
RING: Any = shapely.box(0, 0, 12, 12).difference(shapely.box(3, 3, 9, 9))  # 144 - 36 mm2
BLOCK = shapely.box(30, 2, 37, 20)
REGION = shapely.MultiPolygon([RING, BLOCK])
SIZE: dict[str, Any] = {"across_mm": 60.0, "along_mm": 40.0}
WORDS: dict[str, Any] = {
    "title": "Screen 1, <deep & blue>\x07: mirrored",
    "about": "Schnittmaß 深い",
}
NO_LINES = np.empty((0, 2, 2))
WANTED = strokes_of(NO_LINES, [], open_rings(REGION), SHEET).wanted


def _layers(sheet: Sheet = SHEET) -> tuple[Layer, ...]:
    return strokes_of(NO_LINES, [], open_rings(REGION), sheet).layers


def test_figures_of_rings_worked_by_hand() -> None:
    """A frame of 12 and 6 mm squares and a block of 7 × 18."""
    rings = open_rings(REGION)
    assert ring_areas(rings).tolist() == [144.0, 36.0, 126.0]
    assert ring_lengths(rings).tolist() == [48.0, 24.0, 50.0]
    assert ring_boxes(rings)[1].tolist() == [3.0, 3.0, 9.0, 9.0]
    assert open_rings(shapely.MultiPolygon()) == []


def test_rings_thinner_than_the_last_decimal_are_left_out_and_others_kept() -> None:
    """A crack of 0.000001 mm encloses nothing to cut; one of 0.001 mm does and keeps an area."""
    crack, hair = shapely.box(0, 0, 10, 1e-6), shapely.box(0, 5, 10, 5.001)
    rings = open_rings(shapely.MultiPolygon([crack, hair]))
    assert [ring[:, 1].max() for ring in rings] == [5.001]
    assert ring_areas([rounded_ring(SHEET.to_film(rings[0]))])[0] == pytest.approx(0.01)


def test_svg_is_plain_and_in_millimetres() -> None:
    """Size in mm equals the viewBox, no transforms, one closed path for each outline, stroke only."""
    data = write_svg(_layers(), **SIZE, **WORDS)
    root = ET.fromstring(data)
    ns = {"s": "http://www.w3.org/2000/svg"}
    assert (root.get("width"), root.get("height")) == ("60.00000mm", "40.00000mm")
    assert root.get("viewBox") == "0 0 60.00000 40.00000"
    assert root.findtext("s:title", "", ns) == "Screen 1, <deep & blue> : mirrored"
    assert root.findtext("s:desc", "", ns) == "Schnittmaß 深い"
    groups = root.findall("s:g", ns)
    assert [group.get("id") for group in groups] == ["marks", "openings", "sheet-edge"]
    assert [len(group) for group in groups] == [0, 3, 1]
    assert {group.get("fill") for group in groups} == {"none"}
    assert b"transform" not in data
    assert b"style" not in data
    for path in root.iterfind(".//s:path", ns):
        steps = r"-?\d+\.\d{5},-?\d+\.\d{5}"
        assert re.fullmatch(rf"M{steps}( {steps})+Z", path.get("d", ""))


def test_dxf_is_r12_with_header_units_and_plain_layers() -> None:
    """AC1009, millimetres, metric, ASCII, layer names that R12 allows."""
    text = write_dxf(_layers(), **SIZE, **WORDS).decode("ascii")
    assert "9\n$ACADVER\n1\nAC1009\n9\n$INSUNITS\n70\n4\n9\n$MEASUREMENT\n70\n1\n" in text
    assert text.startswith(
        "999\nScreen 1, <deep & blue> : mirrored\n999\nSchnittma\\U+00DF \\U+6DF1"
    )
    assert set(re.findall(r"0\nPOLYLINE\n8\n(.*)\n", text)) == {"OPENINGS", "SHEET_EDGE"}
    assert text.count("0\nPOLYLINE\n") == text.count("0\nSEQEND\n") == 4
    assert text.endswith("0\nENDSEC\n0\nEOF\n")


def test_a_line_break_in_an_ink_name_cannot_add_lines_to_the_dxf() -> None:
    """Control characters would shift every group code after them."""
    data = write_dxf(_layers(), **SIZE, title="red\n0\nEOF\n", about="x" * 600)
    assert disagreements(_named(layer_name), *read_dxf(data), SHEET) == []
    assert max(map(len, data.split(b"\n"))) <= 250


def _named(rename: Callable[[str], str] = str) -> list[Wanted]:
    return [replace(one, name=rename(one.name)) for one in WANTED]


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("overcut_mm", [0.0, 0.7])
def test_both_files_read_back_as_the_film(mirrored: bool, turned: bool, overcut_mm: float) -> None:
    """All four ways a sheet can lie, stretched, with weeding lines and with and without overcut."""
    sheet = Sheet(-10.0, -10.0, 60.0, 40.0, (20.0, 10.0), 10.0, mirrored, turned, (1.002, 0.995))
    size: dict[str, Any] = {"across_mm": sheet.file_mm[0], "along_mm": sheet.file_mm[1]}
    lines = np.array([[(1.0, 1.0), (1.0, 11.0)], [(31.0, 4.0), (36.0, 4.0)]])
    strokes = strokes_of(lines, [], open_rings(REGION), sheet, overcut_mm)
    svg = read_svg(write_svg(strokes.layers, **size, **WORDS))
    dxf = read_dxf(write_dxf(strokes.layers, **size, **WORDS))
    assert disagreements(strokes.wanted, *svg, sheet) == []
    in_dxf = [replace(one, name=layer_name(one.name)) for one in strokes.wanted]
    assert disagreements(in_dxf, *dxf, sheet) == []
    assert [one.closed for one in svg[1]] == [False, True, overcut_mm == 0.0, True]
    for one, two in zip(svg[1], dxf[1], strict=True):
        for left, right in zip(one.strokes, two.strokes, strict=True):
            np.testing.assert_allclose(left, right, atol=1e-9)


def _spoilt(how: str) -> tuple[tuple[float, float], list[Layer]]:
    size, layers = read_svg(write_svg(_layers(), **SIZE, **WORDS))
    marks, first, *rest = layers
    rings = [ring.copy() for ring in first.strokes]
    match how:
        case "not mirrored":
            flipped = Sheet(-10.0, -10.0, 60.0, 40.0, (20.0, 10.0), 10.0, False, False)
            return size, list(_layers(flipped))
        case "an outline cut twice":
            rings.append(rings[0].copy())
        case "an outline lost":
            rings.pop()
        case "an outline 0.00002 mm off":
            rings[2] += 2e-5
        case "a corner bitten off":
            rings[2] = np.array([*rings[2][:-1], rings[2][:2].mean(axis=0)])
        case "inches":
            size = (size[0] * 25.4, size[1] * 25.4)
        case "a layer lost":
            rest.pop()
    return size, [marks, Layer(first.name, tuple(rings)), *rest]


@pytest.mark.parametrize(
    ("how", "says"),
    [
        ("not mirrored", "an outline lies"),
        ("an outline lost", "2 strokes read, 3 wanted"),
        ("an outline cut twice", "4 strokes read, 3 wanted"),
        ("an outline 0.00002 mm off", "0.000020 mm off"),
        ("a corner bitten off", "area is"),
        ("inches", "the sheet reads as 1524 × 1016 mm"),
        ("a layer lost", "the layers read as marks, openings"),
    ],
)
def test_proof_tells_a_wrong_film(how: str, says: str) -> None:
    """Each way a file could be wrong is told; the untouched file passes."""
    assert disagreements(WANTED, *_spoilt("not at all"), SHEET) == []
    assert any(says in line for line in disagreements(WANTED, *_spoilt(how), SHEET))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b'width="60.00000mm"', b'width="60.00000"'),
        (b'viewBox="0 0 60.00000', b'viewBox="0 0 226.77165'),
        (b'Z"/>', b'"/>'),
    ],
)
def test_svg_reader_refuses_what_we_do_not_write(old: bytes, new: bytes) -> None:
    """No unit, a viewBox of other units, an open outline."""
    data = write_svg(_layers(), **SIZE, **WORDS)
    with pytest.raises(ValueError, match="millimetre|outline"):
        read_svg(data.replace(old, new, 1))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b"$INSUNITS\n70\n4", b"$INSUNITS\n70\n1"),
        (b"66\n1\n70\n1\n", b"66\n1\n70\n0\n"),
        (b"0\nSEQEND\n8\nSHEET_EDGE\n", b""),
        (b"0\nPOLYLINE\n8\nOPENINGS", b"0\nPOLYLINE\n8\nOTHERS"),
    ],
)
def test_dxf_reader_refuses_what_we_do_not_write(old: bytes, new: bytes) -> None:
    """Inches, an open outline, an outline without end, a layer that isn't declared."""
    data = write_dxf(_layers(), **SIZE, **WORDS)
    assert old in data
    with pytest.raises(ValueError, match=r"millimetres|closed|never ends|declared"):
        read_dxf(data.replace(old, new, 1))


def test_a_stretch_that_is_cut_twice_is_told() -> None:
    """Two openings that share an edge would drive the blade along it twice."""
    rings = open_rings(shapely.MultiPolygon([shapely.box(0, 0, 5, 5)]))
    rings += open_rings(shapely.MultiPolygon([shapely.box(5, 0, 9, 5)]))
    strokes = strokes_of(NO_LINES, [], rings, SHEET)
    read = read_svg(write_svg(strokes.layers, **SIZE, **WORDS))
    assert disagreements(strokes.wanted, *read, SHEET) == ["cut twice: 1 of the blade's stretches"]


@pytest.mark.parametrize("overcut_mm", [0.4, 4.0, 5.0, 11.0])
def test_overcut_goes_on_along_the_outline(overcut_mm: float) -> None:
    """A square of 4 mm: the stroke is as much longer, and the outline is found in it again."""
    ring = np.array([(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)])
    stroke = with_overcut(ring, overcut_mm)
    way = float(np.hypot(*np.diff(stroke, axis=0).T).sum())
    assert way == pytest.approx(16.0 + min(overcut_mm, 8.0), abs=1e-9)
    np.testing.assert_array_equal(without_overcut(stroke), ring)


def test_a_stroke_that_never_closes_is_no_outline() -> None:
    """Nor is one that leaves the outline beyond its beginning."""
    open_one = np.array([(0.0, 0.0), (4.0, 0.0), (4.0, 4.0)])
    with pytest.raises(ValueError, match="come back"):
        without_overcut(open_one)
    strays = np.array([(0, 0), (4, 0), (4, 4), (0, 0), (9, 9), (4, 4.0)], dtype=float)
    with pytest.raises(ValueError, match="leaves"):
        without_overcut(strays)


F = shapely.union_all(
    [shapely.box(10, 5, 14, 25), shapely.box(14, 5, 30, 9), shapely.box(14, 13, 24, 17)]
)


@pytest.mark.parametrize("how", ["flipped", "turned round", "not numbers"])
def test_a_film_the_wrong_way_round_is_told_though_its_box_is_right(how: str) -> None:
    """An F in the middle of its sheet: boxes and areas agree however it lies."""
    around = shapely.transform(F, lambda points: points + np.array((0.0, -5.0)))
    rings = open_rings(shapely.MultiPolygon([around]))
    strokes = strokes_of(NO_LINES, [], rings, SHEET)
    size, (marks, opened, edge) = read_svg(write_svg(strokes.layers, **SIZE, **WORDS))
    (ring,) = opened.strokes
    assert disagreements(strokes.wanted, size, [marks, opened, edge], SHEET) == []
    box = ring.min(axis=0) + ring.max(axis=0)
    match how:
        case "flipped":
            ring = np.column_stack((box[0] - ring[:, 0], ring[:, 1]))[::-1]
        case "turned round":
            ring = box - ring
        case "not numbers":
            ring = np.full_like(ring, np.nan)
    spoilt = Layer(opened.name, (ring,))
    assert disagreements(strokes.wanted, size, [marks, spoilt, edge], SHEET) != []


def test_a_stroke_that_ends_off_its_outline_is_told() -> None:
    """With overcut the last point lies somewhere along the outline; elsewhere the blade would cut film."""
    square = np.array([(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)])
    stroke = with_overcut(square, 1.0)
    stroke[-1] = (1.0, 2.0)
    with pytest.raises(ValueError, match="leaves the outline"):
        without_overcut(stroke)


SPIKE = shapely.Polygon(
    [(0, 0), (10, 0), (10, 10), (5.000002, 10), (5.000001, 20), (5, 10), (0, 10)]
)
CRACK = shapely.Polygon(
    [(0, 0), (10, 0), (10, 10), (5.000002, 10), (5.000001, 3), (5, 10), (0, 10)]
)
TWO = shapely.MultiPolygon([shapely.box(0, 0, 10, 10), shapely.box(10.000003, 0, 20, 10)])


@pytest.mark.parametrize(("region", "area"), [(SPIKE, 100.0), (CRACK, 100.0), (TWO, 200.0)])
def test_what_is_finer_than_the_file_is_not_cut(region: Any, area: float) -> None:
    """A spike, a crack and a gap of a few millionths: the blade would go to and fro on one line."""
    rings = cut_outlines(region, SHEET.to_film)
    strokes = strokes_of(NO_LINES, [], rings, SHEET)
    read = read_svg(write_svg(strokes.layers, **SIZE, **WORDS))
    assert disagreements(strokes.wanted, *read, SHEET) == []
    assert sum(ring_areas(rings)) == pytest.approx(area, abs=1e-3)


def test_the_dxf_of_any_height_reads_back() -> None:
    """A height that ends in half of the last decimal is rounded before y is turned over."""
    sheet = replace(SHEET, stretch=(1.0, 100.0 / 102.4), height_mm=290.0)
    for high in range(180, 200):
        turn = np.linspace(0, 2 * np.pi, 300, endpoint=False)
        ring = np.column_stack([20 + 15 * np.cos(turn), high / 2 * (1 + np.sin(turn))])
        strokes = strokes_of(NO_LINES, [], [ring], sheet)
        size = {"across_mm": sheet.file_mm[0], "along_mm": sheet.file_mm[1]}
        in_dxf = [replace(one, name=layer_name(one.name)) for one in strokes.wanted]
        read = read_dxf(write_dxf(strokes.layers, **size, **WORDS))
        assert disagreements(in_dxf, *read, sheet) == []
