"""What the sheet says of fine details."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
import shapely
from lxml import etree
from shapely import Point, affinity, box
from shapely.geometry.base import BaseGeometry

from prep.findings import Finding
from prep.sections import Drawing, Figures, Paragraph, Section, Table
from prep.testing import make_ask, make_job
from prep_fill_in import prep_findings, prep_sections
from prep_fill_in.overlay import ENLARGED, MOST_RINGS, WINDOW_MM, letter
from prep_fill_in.settings import FillIn
from prep_ink.answers import MeshOnScreens
from prep_ink.mesh import figures

SLOTS = shapely.union_all(
    [box(10, 10 + 8 * i, 90, 10 + 8 * i + w) for i, w in enumerate((0.3, 0.6, 0.8))]
)
PAIRS = shapely.union_all([SLOTS, affinity.translate(SLOTS, yoff=40)])
ISLAND = Point(50, 60).buffer(14).difference(Point(50, 60).buffer(0.9))


def _sections(region: BaseGeometry, **more: object) -> list[Section]:
    job = make_job({"#1f3a5f": region}, size_mm=(100.0, 100.0), **more)  # type: ignore[arg-type]  # as given
    ask = make_ask({MeshOnScreens: MeshOnScreens({"#1f3a5f": figures("43-80", 43, 80)})})
    found = tuple(prep_findings(job=job, marks=(), ask=ask))
    return list(prep_sections(job=job, findings=found, ask=ask))


def _of(section: Section, kind: type) -> list:
    return [block for block in section.blocks if isinstance(block, kind)]


def _rings(screen: Section) -> list[etree._Element]:
    overlay = _of(screen, Drawing)[0]
    drawn = etree.fromstring(overlay.picture.svg.encode())
    return [c for c in drawn.iter("{*}circle") if c.get("stroke") != "#ffffff"]


def test_letters_count_through_the_findings_of_all_plugins() -> None:
    """Another plugin's finding stands first: this one's begin with B."""
    job = make_job({"#1f3a5f": SLOTS}, size_mm=(100.0, 100.0))
    ask = make_ask({MeshOnScreens: MeshOnScreens({"#1f3a5f": figures("43-80", 43, 80)})})
    other = Finding("will fail", "other", "a", "b", "c", by="other")
    own = (replace(f, by="fill_in") for f in prep_findings(job=job, marks=(), ask=ask))
    _, screen, _ = prep_sections(job=job, findings=(other, *own), ask=ask)
    (table,) = _of(screen, Table)
    assert [row[0] for row in table.rows] == ["B", "C", "D"]


def test_letters_go_on_after_z() -> None:
    assert [letter(n) for n in (0, 25, 26, 51, 52, 701, 702)] == [
        "A",
        "Z",
        "AA",
        "AZ",
        "BA",
        "ZZ",
        "AAA",
    ]


def test_the_summary_counts_by_severity_and_kind() -> None:
    """0.3 mm fails, 0.6 and 0.8 are at risk; the island of 1.8 mm is at risk in a short run."""
    job, _, closing = _sections(SLOTS.union(ISLAND))
    (table,) = _of(job, Table)
    assert [row[0] for row in table.rows] == ["will fail", "at risk", "at risk"]
    assert [row[2:] for row in table.rows if "weed" in row[2]] == [
        ("opening too narrow to weed", "1", "0.30 mm"),
        ("opening too narrow to weed", "2", "0.60 mm"),
    ]
    (said,) = _of(job, Paragraph)
    assert "no narrow place fails from a print width of 166.7 mm" in said.text
    assert "every narrow place passes from 333.4 mm" in said.text
    assert (job.chapter, closing.chapter) == ("job", "closing")


def test_bold_artwork_gets_a_plain_word_and_no_picture() -> None:
    job, screen, _ = _sections(box(10, 10, 90, 90))
    assert _of(job, Paragraph) == [Paragraph("No detail will fail, and none is at risk.")]
    assert _of(screen, Drawing) == []
    (verdicts,) = _of(screen, Figures)
    assert [value for _, value, _ in verdicts.rows] == ["none under 3 mm"] * 2


def test_the_finest_are_judged_against_their_limits() -> None:
    _, screen, _ = _sections(SLOTS)
    (verdicts,) = _of(screen, Figures)
    assert verdicts.rows[0][1].startswith("0.30 mm at x ")
    assert verdicts.rows[0][1].endswith("will fail")
    assert verdicts.rows[0][2] == "passes from 1 mm, fails under 0.5 mm"


def test_places_are_lettered_worst_first_and_the_picture_has_the_same_letters() -> None:
    _, screen, _ = _sections(PAIRS)
    (table,) = _of(screen, Table)
    assert [row[0] for row in table.rows] == ["A", "B", "C"]
    assert [row[3] for row in table.rows] == ["0.30", "0.60", "0.80"]
    overlay, _ = _of(screen, Drawing)
    drawn = etree.fromstring(overlay.picture.svg.encode())
    assert [text.text for text in drawn.iter("{*}text")] == ["A", "B", "C"]


def test_rings_tell_severity_without_colour() -> None:
    """A ring that will fail is whole and thick, one at risk is dashed."""
    _, screen, _ = _sections(PAIRS)
    dashed = [ring.get("stroke-dasharray") is not None for ring in _rings(screen)]
    assert sorted(dashed) == [False] * 2 + [True] * 4


def test_one_place_a_line_needs_no_further_picture() -> None:
    """Only the close-ups are drawn where no line stands for several places."""
    _, screen, _ = _sections(SLOTS)
    assert [drawing.scale for drawing in _of(screen, Drawing)] == [ENLARGED]


def test_close_ups_are_true_to_scale() -> None:
    """Each window shows 6 mm at 8 times its size, with a bar of 1 mm."""
    _, screen, _ = _sections(SLOTS)
    close = _of(screen, Drawing)[-1]
    assert close.scale == ENLARGED == 8.0
    assert close.picture.height_mm == WINDOW_MM == 6.0
    drawn = etree.fromstring(close.picture.svg.encode())
    for bar in drawn.iter("{*}polyline"):
        (x0, y0), (x1, y1) = (map(float, point.split(",")) for point in bar.get("points").split())
        assert (x1 - x0, y1 - y0) == pytest.approx((1.0, 0.0))
    assert [t.text for t in drawn.iter("{*}text") if t.text != "1 mm"] == ["A", "B", "C"]


def test_the_slot_stands_in_the_middle_of_its_close_up() -> None:
    """The path of the first window holds a band of 0.3 mm about its middle, y = 3."""
    _, screen, _ = _sections(SLOTS)
    drawn = etree.fromstring(_of(screen, Drawing)[-1].picture.svg.encode())
    first = next(drawn.iter("{*}path")).get("d")
    heights = sorted({float(y) for y in re.findall(r",([\d.]+)", first)})
    assert heights == pytest.approx([2.85, 3.15])


def test_rings_that_are_left_out_are_counted() -> None:
    """400 dots alike: one line, one lettered ring, 300 small ones, the rest said."""
    dots = shapely.union_all(
        [Point(5 + 4.5 * (i % 20), 5 + 4.5 * (i // 20)).buffer(0.3) for i in range(400)]
    )
    _, screen, _ = _sections(dots)
    (table,) = _of(screen, Table)
    assert len(table.rows) == 1
    overlay = _of(screen, Drawing)[0]
    assert f"{399 - MOST_RINGS} further places like these have no ring" in overlay.caption


def test_the_line_for_the_rest_has_no_ring() -> None:
    _, screen, _ = _sections(PAIRS, tables=[FillIn(most_listed=1)])
    (table,) = _of(screen, Table)
    assert [row[0] for row in table.rows] == ["A", "B"]
    assert len(_rings(screen)) == 2


def test_the_limits_in_force_are_listed_with_source_and_status() -> None:
    """The shop's own figure is marked as measured here, the release rule never condemns."""
    own = FillIn.model_validate({"weeding": "0.8 mm"})
    *_, closing = _sections(SLOTS, tables=[own])
    (table,) = _of(closing, Table)
    rows = {row[0]: row for row in table.rows}
    weeding = next(row for what, row in rows.items() if "lifted out" in what)
    assert weeding[1:3] == ("0.8 mm", "0.4 mm")
    assert weeding[4] == "measured here"
    mesh = next(row for what, row in rows.items() if "mesh 43-80" in what)
    assert mesh[1:3] == ("0.47 mm", "0.31 mm")
    release = next(row for what, row in rows.items() if "area of its walls" in what)
    assert release[2] == "never by this"
    assert all(row[4] and row[5] for row in table.rows)
