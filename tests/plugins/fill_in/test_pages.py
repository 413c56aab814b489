"""What the sheet says of fine details."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
import shapely
from lxml import etree
from shapely import Point, affinity, box
from shapely.geometry.base import BaseGeometry

from prep.cloth import figures
from prep.findings import Finding
from prep.sections import Drawing, Figures, Paragraph, Section, Table
from prep.shop import Shop
from prep.testing import make_ask, make_job
from prep_fill_in.overlay import ENLARGED, WINDOW_MM, letter
from prep_fill_in.settings import FillIn
from prep_ink.answers import MeshOnScreens
from tests.plugins.fill_in.asking import prep_findings, prep_sections
from tests.plugins.fill_in.dried import Drying, stays_open

SLOTS = shapely.union_all(
    [box(10, 10 + 8 * i, 90, 10 + 8 * i + w) for i, w in enumerate((0.3, 0.6, 0.8))]
)
PAIRS = shapely.union_all([SLOTS, affinity.translate(SLOTS, yoff=40)])
ISLAND = Point(50, 60).buffer(14).difference(Point(50, 60).buffer(0.9))


def _sections(region: BaseGeometry, **more: object) -> list[Section]:
    job = make_job({"#1f3a5f": region}, size_mm=(100.0, 100.0), **more)  # type: ignore[arg-type]  # as given
    ask = make_ask(
        {
            MeshOnScreens: MeshOnScreens({"#1f3a5f": figures("43-80", 43, 80)}),
            Drying: stays_open(job),
        }
    )
    found = tuple(prep_findings(job=job, marks=(), ask=ask))
    return [one for one in prep_sections(job=job, findings=found, ask=ask) if one.chapter != "why"]


def _of(section: Section, kind: type) -> list:
    return [block for block in section.blocks if isinstance(block, kind)]


def _windows(screen: Section) -> list[str]:
    """Give the letters of the close-ups."""
    close = _of(screen, Drawing)[0]
    drawn = etree.fromstring(close.picture.svg.encode())
    return [text.text for text in drawn.iter("{*}text") if text.text != "1 mm"]


def test_letters_count_through_the_findings_of_all_plugins() -> None:
    """Another plugin's finding stands first: this one's begin with B."""
    job = make_job({"#1f3a5f": SLOTS}, size_mm=(100.0, 100.0))
    ask = make_ask(
        {
            MeshOnScreens: MeshOnScreens({"#1f3a5f": figures("43-80", 43, 80)}),
            Drying: stays_open(job),
        }
    )
    other = Finding("will fail", "other", "a", "b", "c", by="other")
    own = (replace(f, by="fill_in") for f in prep_findings(job=job, marks=(), ask=ask))
    _, screen, *_ = prep_sections(job=job, findings=(other, *own), ask=ask)
    assert _windows(screen) == ["B", "C", "D"]


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


def test_a_print_size_that_helps_is_named() -> None:
    """0.8 mm passes at 1.0: a print of 125 mm instead of 100, told in the shop's units."""
    job, *_ = _sections(box(10, 10, 90, 10.8))
    (said,) = _of(job, Paragraph)
    assert said.text == (
        "Every narrow place passes from a print width of 125.0 mm on. It is 100.0 mm wide now. At 125.0 mm"
        " every screen was measured and judged again. There bases, traps and drying are as reckoned for the"
        " present size."
    )
    job, *_ = _sections(box(10, 10, 90, 10.8), shop=Shop(units="inch"))
    (said,) = _of(job, Paragraph)
    # 125 / 25.4 = 4.921, rounded up
    assert "from a print width of 4.93 in on. It is 3.94 in wide now." in said.text


def test_a_print_many_times_as_large_is_no_cure() -> None:
    """0.3 mm fails until the print is 1.67 times as large: redraw it, and no width is told."""
    job, _, closing = _sections(SLOTS.union(ISLAND))
    (said,) = _of(job, Paragraph)
    assert said.text == (
        "A larger print doesn't cure the details, redraw what fails: no print up to 150.0 mm wide, 1.5"
        " times this one, keeps every narrow place from failing. It is 100.0 mm wide now."
    )
    assert (job.chapter, closing.chapter) == ("job", "closing")
    # 0.45 mm survives from 111.2 mm on, and passes only from 222 mm
    job, *_ = _sections(box(10, 10, 90, 10.45))
    (said,) = _of(job, Paragraph)
    assert "No narrow place fails from a print width of 111.2 mm on" in said.text
    assert (
        "; no print up to 150.0 mm wide, 1.5 times this one, lets every narrow place pass."
        in said.text
    )
    assert "222" not in said.text


def test_bold_artwork_has_verdicts_and_no_picture() -> None:
    """Nothing to say on the job page; the screen's finest places are told as passing."""
    screen, closing = _sections(box(10, 10, 90, 90))
    assert (screen.chapter, closing.chapter) == ("screen", "closing")
    (verdicts,) = screen.blocks
    assert [row[1] for row in verdicts.rows] == ["none under 3 mm"] * 2  # type: ignore[union-attr]  # figures


def test_the_finest_are_judged_against_their_limits() -> None:
    """The verdict stands beside the width, its place and limits in small."""
    _, screen, _ = _sections(SLOTS)
    verdicts, *_ = _of(screen, Figures)
    assert verdicts.rows[0][:2] == ("Finest opening", "0.30 mm: will fail")
    assert re.fullmatch(
        r"at x [\d.]+, y 10\.2 mm; passes from 1 mm, fails under 0\.5 mm", verdicts.rows[0][2]
    )


def test_an_inch_shop_reads_inches() -> None:
    """No millimetre in verdicts, limits or findings of a shop that works in inches."""
    shop = Shop(units="inch")
    job, screen, closing = _sections(PAIRS.union(ISLAND), shop=shop)
    verdicts, *_ = _of(screen, Figures)
    assert verdicts.rows[0][1] == "0.012 in: will fail"
    (limits,) = _of(closing, Table)
    said = [cell for row in limits.rows for cell in row[1:4]]
    said += [text for row in verdicts.rows for text in row]
    made = make_job({"#1f3a5f": PAIRS.union(ISLAND)}, size_mm=(100.0, 100.0), shop=shop)
    ask = make_ask(
        {
            MeshOnScreens: MeshOnScreens({"#1f3a5f": figures("43-80", 43, 80)}),
            Drying: stays_open(made),
        }
    )
    for finding in prep_findings(job=made, marks=(), ask=ask):
        said += [finding.what, finding.why, finding.do]
    said += [block.text for block in _of(job, Paragraph)]
    assert any(" in" in text for text in said)
    assert not any(re.search(r"\bmm", text) for text in said)


def test_findings_know_all_their_places() -> None:
    """Two slots alike are one finding, with the place of the other."""
    made = make_job({"#1f3a5f": PAIRS}, size_mm=(100.0, 100.0))
    for finding in prep_findings(job=made, marks=(), ask=make_ask({Drying: stays_open(made)})):
        if finding.severity != "note":
            assert finding.count == 1 + len(finding.also_at_mm) == 2
            (other,) = finding.also_at_mm
            assert finding.at_mm is not None
            assert abs(other[1] - finding.at_mm[1]) == pytest.approx(40.0, abs=0.01)


def test_close_ups_are_true_to_scale() -> None:
    """Each window shows 6 mm at 6 times its size, with a bar of 1 mm."""
    _, screen, _ = _sections(SLOTS)
    close = _of(screen, Drawing)[0]
    assert close.scale == ENLARGED == 6.0
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


def test_the_line_for_the_rest_has_no_close_up() -> None:
    """It is nowhere in particular; the one listed has its window."""
    _, screen, _ = _sections(PAIRS, tables=[FillIn(most_listed=1)])
    assert _windows(screen) == ["A"]


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
