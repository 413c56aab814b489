"""Cut files read by programs that know nothing of ours: two SVG readers and two DXF readers."""

from __future__ import annotations

import io
from collections.abc import Iterable
from pathlib import Path

import ezdxf.document
import ezdxf.recover
import klayout.db
import numpy as np
import pdfplumber
import pytest
import shapely
import svgelements
import svgpathtools
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, Polygon, affinity, box
from shapely.geometry.base import BaseGeometry

from prep.job import Job, Report
from prep.shop import Film, Shop
from prep.testing import as_multipolygon, make_ask, make_job
from prep_registration import prep_marks
from prep_stencils import prep_documents
from prep_stencils.settings import Stencils

RING = Point(30, 30).buffer(25, 32).difference(Point(28, 33).buffer(9, 32))
BLOB = affinity.scale(Point(75, 25).buffer(12, 24), 1.3, 0.7).union(box(60, 24, 64, 26))
Groups = dict[str, list[np.ndarray]]


def _job(stretch: float = 1.0, **film: object) -> Job:
    ring, blob = (affinity.scale(r, stretch, 1.0, origin=(0, 0)) for r in (RING, BLOB))
    return make_job(
        {"#1f3a5f": ring, "#cc2222": blob.difference(ring)},
        inks={"#1f3a5f": "deep blue"},
        shop=Shop(film=Film.model_validate(film)),
    )


def _files(job: Job, ending: str) -> list[bytes]:
    return [data for strips in _strips(job, ending) for data in strips]


def _strips(job: Job, ending: str) -> list[list[bytes]]:
    """Give each film's files: one, or one for each strip."""
    report = Report(job, tuple(prep_marks(job, make_ask({}))), (), ())
    films: dict[str, list[bytes]] = {}
    for document in prep_documents(report, make_ask({})):
        name = document.name.removeprefix("stencils/")
        if name.endswith(f"side{ending}"):
            films.setdefault(name[:2], []).append(document.data)
    return list(films.values())


def _evenodd(rings: Iterable[np.ndarray]) -> BaseGeometry:
    """Put outlines together the way a knife does: what lies inside an odd number of them is out."""
    whole: BaseGeometry = MultiPolygon()
    for ring in rings:
        whole = whole.symmetric_difference(Polygon(ring))
    return whole


def _by_svgelements(data: bytes) -> tuple[tuple[float, float], Groups]:
    svg = svgelements.SVG.parse(io.BytesIO(data), ppi=25.4, reify=True)
    groups = {
        group.id: [np.array([(p.x, p.y) for p in path.as_points()]) for path in group]
        for group in svg.select(lambda e: type(e) is svgelements.Group)
    }
    return (float(svg.width), float(svg.height)), groups


def _by_svgpathtools(data: bytes, folder: Path) -> Groups:
    """Read with svgpathtools; the groups' names are their ids, in the tree of the file."""
    path = folder / "film.svg"
    path.write_bytes(data)
    document = svgpathtools.Document(str(path))
    return {
        group.get("id"): [
            np.array([(step.start.real, step.start.imag) for step in outline])
            for outline in document.paths_from_group([group.get("id")])
        ]
        for group in document.root.iterfind("{http://www.w3.org/2000/svg}g")
    }


def _by_ezdxf(data: bytes, folder: Path) -> tuple[ezdxf.document.Drawing, Groups]:
    path = folder / "film.dxf"
    path.write_bytes(data)
    document, auditor = ezdxf.recover.readfile(path)
    assert (auditor.errors, auditor.fixes) == ([], [])
    groups: Groups = {"OPENINGS": [], "MARKS": [], "SHEET_EDGE": []}
    for outline in document.modelspace().query("POLYLINE"):
        assert outline.is_closed
        groups[outline.dxf.layer].append(
            np.array([tuple(vertex.dxf.location.vec2) for vertex in outline.vertices])
        )
    return document, groups


def _areas(rings: Iterable[np.ndarray]) -> list[float]:
    return [Polygon(ring).area for ring in rings]


def test_svgelements_reads_true_size_and_areas() -> None:
    """At 25.4 units to the inch: sheet size within 1e-6, areas of openings and marks within 2e-6.

    svgelements takes a millimetre for 0.0393701 in, 5.4e-7 off in lengths and twice that in areas.
    """
    job = _job()
    for screen, data in zip(job.screens, _files(job, ".svg"), strict=True):
        size, groups = _by_svgelements(data)
        assert size == pytest.approx((186.0, 206.0), rel=1e-6)
        edge = np.vstack(groups["sheet-edge"])
        assert tuple(np.ptp(edge, axis=0)) == pytest.approx((186.0, 206.0), rel=1e-6)
        assert _evenodd(groups["openings"]).area == pytest.approx(screen.region.area, rel=2e-6)
        assert _evenodd(groups["marks"]).area == pytest.approx(124.0, rel=2e-6)


def test_svgpathtools_reads_the_same_outlines(tmp_path: Path) -> None:
    """In the viewBox's units, which are millimetres: number of outlines, and every area within 1e-6."""
    job = _job()
    for screen, data in zip(job.screens, _files(job, ".svg"), strict=True):
        groups = _by_svgpathtools(data, tmp_path)
        rings = shapely.get_rings(screen.region.geoms)
        wanted = shapely.area(shapely.polygons(rings))
        np.testing.assert_allclose(sorted(_areas(groups["openings"])), sorted(wanted), rtol=1e-6)
        np.testing.assert_allclose(sorted(_areas(groups["marks"])), [4.0, 60.0, 60.0], rtol=1e-9)


def test_ezdxf_finds_nothing_to_mend(tmp_path: Path) -> None:
    """0 errors, 0 fixes; R12, millimetres, metric; closed outlines on three layers, same areas."""
    job = _job()
    for screen, data in zip(job.screens, _files(job, ".dxf"), strict=True):
        document, groups = _by_ezdxf(data, tmp_path)
        assert document.dxfversion == "AC1009"
        assert document.header["$INSUNITS"] == 4
        assert document.header["$MEASUREMENT"] == 1
        assert sum(map(len, groups.values())) == len(document.modelspace())
        rings = shapely.get_rings(screen.region.geoms)
        wanted = shapely.area(shapely.polygons(rings))
        np.testing.assert_allclose(sorted(_areas(groups["OPENINGS"])), sorted(wanted), rtol=1e-6)
        edge = np.vstack(groups["SHEET_EDGE"])
        assert edge.min(axis=0).tolist() == [0.0, 0.0]
        assert edge.max(axis=0).tolist() == [186.0, 206.0]


def test_klayout_imports_the_same_areas(tmp_path: Path) -> None:
    """Read with 1000 µm to the unit, since it ignores $INSUNITS: every layer's area within 1e-6."""
    job = _job()
    options = klayout.db.LoadLayoutOptions()
    options.dxf_unit = 1000.0
    options.dxf_dbu = 0.01  # the files' last decimal, in µm
    options.dxf_polyline_mode = 2  # closed outlines become polygons
    for screen, data in zip(job.screens, _files(job, ".dxf"), strict=True):
        path = tmp_path / "film.dxf"
        path.write_bytes(data)
        layout = klayout.db.Layout()
        layout.read(str(path), options)
        areas = {}
        for info in layout.layer_infos():
            shapes = layout.top_cell().shapes(layout.find_layer(info))
            whole = klayout.db.Region()
            for shape in shapes.each():
                whole ^= klayout.db.Region(shape.polygon)
            areas[info.name] = whole.area() * (layout.dbu / 1000.0) ** 2
        edge_mm2 = 186.0 * 206.0 - 12.0**2 / 2.0 - 4 * 4.8 * 4.0 / 2.0
        assert areas["OPENINGS"] == pytest.approx(screen.region.area, rel=1e-6)
        assert areas["MARKS"] == pytest.approx(124.0, rel=1e-6)
        assert areas["SHEET_EDGE"] == pytest.approx(edge_mm2, rel=1e-6)


def _laid(
    cut: BaseGeometry, edge: BaseGeometry, like: Job, *, mirrored: bool, turned: bool
) -> tuple[BaseGeometry, BaseGeometry]:
    """Lay a film over the print as a person would: turn it back, turn it over, put its edges in place."""
    film = shapely.GeometryCollection([cut, edge])
    if turned:
        # y runs downwards here, so this turns anticlockwise as seen
        film = affinity.rotate(film, -90, origin=(0, 0))
    if mirrored:
        film = affinity.scale(film, -1, 1, origin=(0, 0))
    parts = [s.region for s in like.screens] + [m.region for m in prep_marks(like, make_ask({}))]
    asked, has = shapely.total_bounds(parts), film.bounds
    middle = ((asked[0] + asked[2]) / 2, (asked[1] + asked[3]) / 2)
    film = affinity.translate(
        film, middle[0] - (has[0] + has[2]) / 2, middle[1] - (has[1] + has[3]) / 2
    )
    return film.geoms[0], film.geoms[1]


@pytest.mark.parametrize(
    ("stretch", "film", "mirrored", "turned"),
    [
        (1.0, {}, True, False),
        (1.0, {"side": "squeegee"}, False, False),
        (1.0, {"cut_face_up": False}, False, False),
        (1.0, {"side": "squeegee", "cut_face_up": False}, True, False),
        (2.0, {"width": "250 mm"}, True, True),
        (2.0, {"width": "250 mm", "side": "squeegee"}, False, True),
    ],
)
def test_what_is_cut_is_the_screen_with_its_marks(
    stretch: float, film: dict[str, object], mirrored: bool, turned: bool, tmp_path: Path
) -> None:
    """Laid on the mesh, the film leaves open the screen and its marks and nothing else.

    Read by svgpathtools from the SVG and by ezdxf from the DXF; XOR under 1e-3 mm2 (5e-6 mm of
    rounding along some 500 mm of outline makes 2.5e-3 at the very worst). Upper right is snipped.
    """
    job = _job(stretch, **film)
    marks = [mark.region for mark in prep_marks(job, make_ask({}))]
    svgs, dxfs = _files(job, ".svg"), _files(job, ".dxf")
    for screen, svg, dxf in zip(job.screens, svgs, dxfs, strict=True):
        asked = shapely.union_all([screen.region, *marks])
        in_svg = _by_svgpathtools(svg, tmp_path)
        _, in_dxf = _by_ezdxf(dxf, tmp_path)
        high = max(point[1] for point in in_dxf["SHEET_EDGE"][0])
        upright = {n: [r * (1, -1) + (0, high) for r in rings] for n, rings in in_dxf.items()}
        for groups, names in (
            (in_svg, ("openings", "marks", "sheet-edge")),
            (upright, ("OPENINGS", "MARKS", "SHEET_EDGE")),
        ):
            cut = _evenodd([*groups[names[0]], *groups[names[1]]])
            edge = Polygon(groups[names[2]][0])
            laid, sheet = _laid(cut, edge, job, mirrored=mirrored, turned=turned)
            assert laid.symmetric_difference(asked).area < 1e-3
            x0, y0, x1, y1 = sheet.bounds
            corners = [Point(x0, y0), Point(x1, y0), Point(x1, y1), Point(x0, y1)]
            assert [sheet.distance(c) > 5.0 for c in corners] == [False, True, False, False]


@st.composite
def _regions(draw: st.DrawFn) -> MultiPolygon:
    """Draw a few discs and bars, some as openings and some as film within them."""
    place = st.floats(0.0, 120.0)
    region: BaseGeometry = box(0, 0, draw(st.floats(1.0, 60.0)), draw(st.floats(1.0, 60.0)))
    for _ in range(draw(st.integers(1, 8))):
        x, y = draw(place), draw(place)
        shape = draw(
            st.one_of(
                st.floats(0.05, 30.0).map(lambda r, x=x, y=y: Point(x, y).buffer(r, 6)),
                st.tuples(st.floats(0.05, 40.0), st.floats(0.05, 40.0)).map(
                    lambda s, x=x, y=y: affinity.rotate(box(x, y, x + s[0], y + s[1]), 7 * s[0])
                ),
            )
        )
        region = region.union(shape) if draw(st.booleans()) else region.difference(shape)
    return as_multipolygon(region)


@settings(max_examples=8)
@given(
    one=_regions(),
    two=_regions(),
    side=st.sampled_from(["shirt", "squeegee"]),
    face_up=st.booleans(),
    film_mm=st.floats(60.0, 400.0),
)
def test_random_screens_come_back(
    one: MultiPolygon, two: MultiPolygon, side: str, face_up: bool, film_mm: float
) -> None:
    """Whatever the screens and the film: openings and marks read from the SVG are the screen's."""
    regions = {c: r for c, r in (("#111111", one), ("#cc2222", two)) if r.area > 0.0}
    if not regions:
        return
    shop = Shop(
        film=Film.model_validate({"side": side, "cut_face_up": face_up, "width": f"{film_mm} mm"})
    )
    job = make_job(regions, shop=shop)
    films = _strips(job, ".svg")
    marks = [m.region for m in prep_marks(job, make_ask({}))]
    whole = shapely.total_bounds([s.region for s in job.screens] + marks)
    high = np.ceil(whole[3] - whole[1] + 100.0 - 1e-6)
    for screen, strips in zip(job.screens, films, strict=bool(films)):
        read = [_by_svgelements(data) for data in strips]
        asked = shapely.union_all([screen.region, *marks])
        laid = _stacked(
            read, whole, mirrored=(side == "shirt") is face_up, upright=round(read[0][0][1]) == high
        )
        assert laid.symmetric_difference(asked).area < 1e-4 + 1e-5 * asked.length


def _stacked(
    strips: list[tuple[tuple[float, float], Groups]],
    whole: np.ndarray,
    *,
    mirrored: bool,
    upright: bool,
) -> BaseGeometry:
    """Lay strips beside or below each other, each 10 mm over the one before, around the whole's middle."""
    laid: list[BaseGeometry] = []
    begins = 0.0
    for (across, along), groups in strips:
        cut = _evenodd([*groups["openings"], *groups["marks"]])
        sheet: BaseGeometry = shapely.GeometryCollection([cut, box(0, 0, across, along)])
        sheet = affinity.scale(sheet, *(2 * [1 / (25.4 * 0.0393701)]), origin=(0, 0))
        if not upright:
            sheet = affinity.rotate(sheet, -90, origin=(0, 0))
        if mirrored:
            sheet = affinity.scale(sheet, -1, 1, origin=(0, 0))
        x0, y0, x1, y1 = sheet.bounds
        to = (begins - x0, -y0) if upright else (-x0, begins - y0)
        sheet = affinity.translate(sheet, *to)
        begins += (x1 - x0 if upright else y1 - y0) - 10.0
        laid.append(sheet)
    every = shapely.GeometryCollection(laid)
    has = every.bounds
    dx = (whole[0] + whole[2] - has[0] - has[2]) / 2
    dy = (whole[1] + whole[3] - has[1] - has[3]) / 2
    return shapely.union_all([affinity.translate(one.geoms[0], dx, dy) for one in laid])


def test_weeding_lines_and_overcut_read_by_others(tmp_path: Path) -> None:
    """A plate of 200 × 150 mm in pieces of 120: one line each way; outlines go on by 2 mm.

    ezdxf mends nothing, and finds the same strokes as svgpathtools: the outline of 700 mm is 702 mm long.
    """
    table = Stencils.model_validate({"overcut": "2 mm", "test_along": "100.4 mm"})
    job = make_job({"#1f3a5f": box(0, 0, 200, 150)}, tables=[table])
    (svg,), (dxf,) = _files(job, ".svg"), _files(job, ".dxf")
    path = tmp_path / "film.dxf"
    path.write_bytes(dxf)
    document, auditor = ezdxf.recover.readfile(path)
    assert (auditor.errors, auditor.fixes) == ([], [])
    strokes: dict[str, list[tuple[bool, float]]] = {}
    for stroke in document.modelspace().query("POLYLINE"):
        points = np.array([tuple(v.dxf.location.vec2) for v in stroke.vertices]) * (1.0, 1.004)
        way = np.hypot(*np.diff(points, axis=0).T).sum()
        strokes.setdefault(stroke.dxf.layer, []).append((stroke.is_closed, float(way)))
    assert sorted(length for _, length in strokes["WEEDING"]) == pytest.approx(
        [149.4, 199.4], abs=1e-4
    )
    ((closed, length),) = strokes["OPENINGS"]
    assert not closed
    # two millimetres of the file, which are up to 0.4 % more on the film
    assert 702.0 - 1e-3 <= length <= 702.0 + 0.008 + 1e-3
    edges = _by_svgpathtools(svg, tmp_path)["weeding"]
    assert len(edges) == 2


def test_the_film_as_pdf_is_at_true_scale(tmp_path: Path) -> None:
    """By pdfplumber: the page is the film and 16 mm of foot, an opening of 100 mm measures 100 mm."""
    job = make_job({"#1f3a5f": box(0, 0, 100, 40)})
    (data,) = _files(job, ".pdf")
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        (page,) = pdf.pages
        mm = 25.4 / 72.0
        assert (page.width * mm, page.height * mm) == pytest.approx((200.0, 156.0), abs=0.01)
        shapes = [*page.rects, *page.curves, *page.lines]
        widths = sorted(round((s["x1"] - s["x0"]) * mm, 2) for s in shapes)
        assert 100.0 in widths
        assert 50.0 in widths  # the bar to check the scale by
        assert "50 mm: if it measures otherwise" in page.extract_text()
