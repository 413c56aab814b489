"""Rings and letters on pictures."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import combinations

import pytest
from coloraide import Color

from prep.job import Report
from prep.pictures import Canvas
from prep_sheet.images import all_places, at_finding, screen_prints
from prep_sheet.job_page import lettered_of
from prep_sheet.marks import MOST_LABELS, RING_MM, Spot, draw, gather


def test_places_that_share_a_ring_share_it() -> None:
    """Two places 1 mm apart on paper get one ring with both letters, in the worse one's look."""
    spots = gather(
        [
            ((10.0, 10.0), "A", "at risk"),
            ((12.0, 10.0), "B", "will fail"),
            ((50.0, 10.0), "C", "note"),
        ],
        0.5,
    )
    assert spots == (
        Spot((10.0, 10.0), "A B", "will fail"),
        Spot((50.0, 10.0), "C", "note"),
    )


def test_a_ring_has_its_size_on_paper() -> None:
    """At a quarter of the size, rings are four times as large in the artwork."""
    canvas = Canvas((0, 0, 400, 400))
    draw(canvas, (Spot((100.0, 100.0), "A", "will fail"),), 0.25)
    assert f'r="{4 * RING_MM:g}"' in canvas.picture("x").svg


def test_looks_differ_without_colour() -> None:
    """Thick, dashed, thin; everything is black or white."""
    looks = {}
    for severity in ("will fail", "at risk", "note"):
        canvas = Canvas((0, 0, 100, 100))
        draw(canvas, (Spot((50.0, 50.0), "A", severity),), 1.0)  # type: ignore[arg-type]  # of a loop
        svg = canvas.picture("x").svg
        assert set(re.findall(r"#[0-9a-f]{6}", svg)) == {"#000000", "#ffffff"}
        (ring,) = re.findall(r'<circle[^>]*stroke="#000000"[^>]*>', svg)
        (wide,) = re.findall(r'stroke-width="([0-9.]+)"', ring)
        looks[severity] = (float(wide), "dasharray" in ring)
    assert looks["will fail"][0] > looks["at risk"][0] > looks["note"][0]
    assert [looks[s][1] for s in ("will fail", "at risk", "note")] == [False, True, False]


def test_letters_keep_clear_of_each_other() -> None:
    """Five places side by side: no letter lies on another or on a ring, none leaves the picture."""
    canvas = Canvas((0, 0, 60, 40))
    spots = tuple(Spot((3.0 + 6 * n, 3.0), "ABCDE"[n], "will fail") for n in range(5))
    draw(canvas, spots, 1.0)
    found = re.findall(r'<text x="([0-9.-]+)" y="([0-9.-]+)"', canvas.picture("x").svg)
    middles = [(float(x), float(y) - 0.36 * 3.6) for x, y in found]
    assert len(middles) == 5
    for number, (x, y) in enumerate(middles):
        assert 0 < x < 60
        assert 0 < y < 40
        for spot in spots:
            assert max(abs(x - spot.at_mm[0]), abs(y - spot.at_mm[1])) > RING_MM
        for other in middles[:number]:
            assert abs(x - other[0]) > 2.8 or abs(y - other[1]) > 3.5


def test_letters_of_several_rings_are_not_read_as_a_word() -> None:
    """On a line, the letters of one ring stand two thirds of their height from those of another."""
    canvas = Canvas((0, 0, 40, 40))
    spots = tuple(Spot((16.0 + 2.1 * n, 20.0), "BCEFGH"[n], "will fail") for n in range(6))
    assert draw(canvas, spots, 1.0) == 0
    found = re.findall(r'<text x="([0-9.-]+)" y="([0-9.-]+)"', canvas.picture("x").svg)
    places = [(float(x), float(y)) for x, y in found]
    assert len(places) == 6
    wide = 0.8 * 3.6
    for one, other in combinations(places, 2):
        on_a_line = abs(one[1] - other[1]) < 3.6
        assert not on_a_line or abs(one[0] - other[0]) >= wide + 0.66 * 3.6


def test_a_crowd_is_cut_short_and_counted() -> None:
    """Forty places: no more than the limit have letters; the others are counted, none is lost."""
    canvas = Canvas((0, 0, 180, 120))
    spots = tuple(
        Spot((8.0 + 18 * (n % 10), 10 + 30 * (n // 10)), f"L{n}", "note") for n in range(40)
    )
    left = draw(canvas, spots, 1.0)
    written = len(re.findall("<text", canvas.picture("x").svg))
    assert written <= MOST_LABELS
    assert left == 40 - written


def test_many_letters_at_one_ring_are_cut_short() -> None:
    canvas = Canvas((0, 0, 180, 120))
    left = draw(canvas, (Spot((90.0, 60.0), "A B C D E", "note"),), 1.0)
    assert re.findall(r"<text[^>]*>([^<]*)<", canvas.picture("x").svg) == ["A, B, C …"]
    assert left == 2


@pytest.mark.parametrize("deficiency", [None, "protan", "deutan", "tritan"])
def test_rings_are_seen_with_any_colour_vision(
    make_report: Callable[..., Report], deficiency: str | None
) -> None:
    """What marks findings is black on grey: CIEDE2000 of 53 or more from all that lies below it."""

    def seen(colour: str) -> Color:
        return Color(colour) if deficiency is None else Color(colour).filter(deficiency).clip()

    report = make_report()
    lettered = lettered_of(report)
    (found,) = (finding for name, finding in lettered if name == "A")
    shown = [all_places(report, lettered[:1], (80.0, 60.0)), at_finding(report, found)]
    shown.append(screen_prints(report, report.job.screens[0], lettered[:1], (80.0, 60.0)))
    for image in shown:
        assert image is not None
        rings = set(re.findall(r'<circle [^>]*stroke="(#\w{6})"', image.svg))
        assert rings == {"#ffffff", "#000000"}
        for fill in re.findall(r'<path [^>]*fill="(#\w{6})"', image.svg):
            assert seen("#000000").delta_e(seen(fill), method="2000") >= 53
