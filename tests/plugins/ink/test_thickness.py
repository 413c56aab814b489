"""Where wet ink lies thick and thin: borders of the classes, their areas, the picture and its words."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, box
from shapely.affinity import rotate, translate

import prep_ink
from prep.measures import measure
from prep.plugins import Plugin, Plugins
from prep.sections import Drawing, Figures, Paragraph
from prep.session import Session
from prep.shop import Film, Shop
from prep.testing import as_multipolygon, make_job
from prep_ink.answers import InkOnScreens
from prep_ink.settings import ShopInk
from prep_ink.thickness import (
    Profile,
    drawn_in,
    in_classes,
    most_rim,
    percents,
    round_limits_um,
)
from prep_ink.thickness_pages import thickness_sections
from prep_ink.thickness_picture import (
    CLOSE_WIDE_MM,
    ENLARGED,
    HIGH_MM,
    legend,
    ranges,
    thick_and_thin,
    tones,
)

# 60 µm in the open field, 140 µm at the edge, and half of what the edge adds is gone at 0.35 ln 2 mm
PROFILE = Profile(60.0, 140.0, 0.35)
LIMITS = (80.0, 100.0, 120.0)
# exp(-x / 0.35) = 1/4, 1/2, 3/4
BORDERS = tuple(0.35 * math.log(q) for q in (4.0, 2.0, 4.0 / 3.0))
BLUE, GOLD = "#1f3a5f", "#f2c14e"


def classes_of(region, profile=PROFILE, limits=LIMITS):
    measures = measure(region)
    return in_classes(region, measures.insets_mm, measures.inset_areas_mm2, profile, limits)


def many_parts():
    """Solids, fine lines, dots, holes and a star: 26 parts, some thinner than the classes' borders."""
    star = Point(20, 60).buffer(4, quad_segs=2).union(rotate(box(10, 59.8, 30, 60.2), 30, (20, 60)))
    parts = [
        box(0, 0, 30, 20).difference(box(5, 5, 8, 9)).difference(Point(20, 10).buffer(3)),
        star,
        *(rotate(box(x, 30, x + 0.15 * (1 + x / 4), 50), 3 * x, (x, 40)) for x in range(0, 30, 6)),
        *(
            Point(40 + 5 * (k % 5), 5 + 5 * (k // 5)).buffer(0.1 * (1 + k), quad_segs=32)
            for k in range(20)
        ),
    ]
    return as_multipolygon(shapely.union_all(parts))


def sections_of(job):
    ask = Session(Plugins([Plugin("ink", prep_ink, "firstpull")])).ask_for(job)
    return ask, list(thickness_sections(job, ask))


def test_a_deposit_is_reached_at_one_distance_from_the_edge():
    """By hand: h = 60 + 80 exp(-x / 0.35), so that 80, 100, 120 lie at 0.35 ln 4, ln 2 and ln 4/3."""
    assert [PROFILE.distance_mm(h) for h in LIMITS] == pytest.approx(BORDERS)
    assert [PROFILE.deposit_um(x) for x in BORDERS] == pytest.approx(LIMITS)
    assert PROFILE.deposit_um(0.0) == 140.0
    assert PROFILE.distance_mm(140.0) == 0.0


@pytest.mark.parametrize("deposit", [60.0, 59.0, 140.1])
def test_a_deposit_that_is_reached_nowhere_has_no_distance(deposit):
    """The open field itself is reached only infinitely far from the edge."""
    with pytest.raises(ValueError, match="is not between 60"):
        PROFILE.distance_mm(deposit)


@pytest.mark.parametrize("figures", [(0, 1, 1), (2, 1, 1), (1, 2, 0), (1, math.inf, 1)])
def test_a_profile_falls_from_the_edge(figures):
    """Less ink at the edge, nothing at all or no reach make no profile."""
    with pytest.raises(ValueError, match="no such profile"):
        Profile(*figures)


@given(st.floats(1, 900), st.floats(4, 900))
def test_limits_are_round_even_and_clear_of_the_ends(low, span):
    """Two to four whole µm in even steps, each a multiple of the step, none within 5 % of an end."""
    limits = round_limits_um(low, low + span)
    assert 2 <= len(limits) <= 4
    steps = np.diff(limits)
    assert np.ptp(steps) == pytest.approx(0)
    digits = str(round(steps[0])).rstrip("0")
    assert digits in {"1", "2", "4", "5", "25"}
    assert all(limit % steps[0] == 0 for limit in limits)
    assert limits[0] >= low + 0.05 * span - 1e-6
    assert limits[-1] <= low + 0.95 * span + 1e-6


@pytest.mark.parametrize(("low", "high"), [(70, 70), (70, 70.4), (70.2, 71.9), (70, 60)])
def test_deposits_that_hardly_differ_have_no_limits(low, high):
    """Where under 2 whole µm lie between, nobody could tell classes apart."""
    assert round_limits_um(low, high) == ()


def test_classes_of_a_square_by_hand():
    """A square of 10 mm drawn in by x leaves (10 - 2 x)²."""
    classes = classes_of(as_multipolygon(box(0, 0, 10, 10)))
    inner = [(10 - 2 * x) ** 2 for x in BORDERS]
    by_hand = [inner[0], inner[1] - inner[0], inner[2] - inner[1], 100 - inner[2]]
    assert classes.areas_mm2 == pytest.approx(by_hand, rel=1e-4)  # straight between insets
    assert sum(classes.shares()) == pytest.approx(1)


def test_shares_are_those_of_what_is_drawn():
    """The picture's offsets and the measured areas inside the edge agree, over a region of 26 parts."""
    region = many_parts()
    assert len(region.geoms) == 26
    measures = measure(region)
    classes = classes_of(region)
    drawn = [inner.area for inner in drawn_in(region, classes.borders_mm)]
    assert drawn == pytest.approx(
        np.interp(BORDERS, measures.insets_mm, measures.inset_areas_mm2), rel=1e-3
    )
    assert np.cumsum(classes.areas_mm2) == pytest.approx([*drawn, region.area], rel=1e-3)


def test_shares_are_those_of_points_by_their_distance():
    """Points counted, one at random in each cell of a fine grid.

    Only cells that a border crosses err, each by half a point at most: some 4,000 of them by about
    sqrt(4,000) / 2 points, three times which are under 0.4 % of all.
    """
    region = many_parts()
    rng = np.random.default_rng(5)
    x0, y0, x1, y1 = region.bounds
    cells = 400
    grid = (np.mgrid[0:cells, 0:cells].reshape(2, -1).T + rng.random((cells**2, 2))) / cells
    points = shapely.points(grid * [x1 - x0, y1 - y0] + [x0, y0])
    shapely.prepare(region)
    inside = points[shapely.contains(region, points)]
    distance = shapely.distance(inside, region.boundary)
    deposit = 60 + 80 * np.exp(-distance / 0.35)
    counted = np.histogram(deposit, (0, *LIMITS, 200))[0] / len(inside)
    assert len(inside) > 30_000
    assert classes_of(region).shares() == pytest.approx(counted, abs=4e-3)


def test_parts_are_drawn_in_each_by_itself():
    """Two parts that share a corner stay two, with their rims between them."""
    region = MultiPolygon([box(0, 0, 2, 2), box(2, 2, 4, 4)])
    (inner,) = drawn_in(region, (0.5,))
    assert [part.bounds for part in inner.geoms] == [(0.5, 0.5, 1.5, 1.5), (2.5, 2.5, 3.5, 3.5)]


def test_what_lies_deeper_than_was_measured_is_drawn_in():
    """A reach of 5 mm puts a border at 5 ln 4 = 6.93 mm, beyond a table that ends at 2 mm."""
    profile = Profile(60.0, 140.0, 5.0)
    insets = np.array([0.0, 1.0, 2.0])
    classes = in_classes(
        as_multipolygon(box(0, 0, 30, 30)), insets, (30 - 2 * insets) ** 2, profile, (80.0,)
    )
    inner = (30 - 10 * math.log(4)) ** 2
    assert classes.areas_mm2 == pytest.approx((inner, 900 - inner))


def test_nothing_open_has_no_classes():
    """An empty region is refused, not drawn blank."""
    with pytest.raises(ValueError, match="nothing is open"):
        in_classes(MultiPolygon(), np.zeros(1), np.zeros(1), PROFILE, LIMITS)
    with pytest.raises(ValueError, match="without edges"):
        most_rim(MultiPolygon(), 4.0, 3.0, 0.1)


@given(st.lists(st.floats(0, 1), min_size=1, max_size=5).filter(lambda shares: sum(shares) > 0.01))
def test_percents_add_up_and_round_to_the_next(shares):
    """Whole percents sum to 100, each less than one off."""
    shares = np.array(shares) / sum(shares)
    whole = percents(shares)
    assert sum(whole) == 100
    assert np.abs(100 * shares - whole).max() < 1 + 1e-6


def test_the_window_lies_where_most_rim_is():
    """A comb of fine lines, far from a large solid, is where edges lie closest."""
    comb = [box(80 + k, 10, 80.5 + k, 14) for k in range(6)]
    region = as_multipolygon(shapely.union_all([box(0, 0, 50, 50), *comb]))
    x, y = most_rim(region, 5.0, 3.0, 0.1)
    assert 82 <= x <= 84
    assert 10.5 <= y <= 13.5
    # the same wherever it lies
    moved = most_rim(translate(region, -200, 33), 5.0, 3.0, 0.1)
    assert moved == pytest.approx((x - 200, y + 33))


def test_the_window_looks_at_the_ink_and_not_at_the_film():
    """At a hole nearly as large as the window it shows the rim, not what the rim encloses."""
    region = as_multipolygon(box(0, 0, 40, 40).difference(box(18.1, 18.1, 21.9, 20.9)))
    x, y = most_rim(region, 4.0, 3.0, 0.4)
    window = box(x - 2, y - 1.5, x + 2, y + 1.5)
    assert window.intersection(region).area > 0.25 * window.area


def test_greys_fall_evenly_from_light_to_dark():
    """Thin ink is light and thick ink dark; neighbours are at least 40 of 255 apart, and no colour."""
    for number in range(2, 6):
        levels = [{int(grey[i : i + 2], 16) for i in (1, 3, 5)} for grey in tones(number)]
        assert all(len(level) == 1 for level in levels)
        assert (np.diff([level.pop() for level in levels]) <= -40).all()
    with pytest.raises(ValueError, match="can't be told apart"):
        tones(6)


def test_legend_tells_ranges_and_shares_that_sum_to_all():
    """Classes in words, thinnest first; one that is there but under a percent says so."""
    classes = classes_of(as_multipolygon(box(0, 0, 10, 10)))
    said = legend(classes)
    assert [text.split(":")[0] for text in said] == [
        "under 80 µm",
        "80 to 100 µm",
        "100 to 120 µm",
        "over 120 µm",
    ]
    assert sum(int(re.search(r": (\d+) %", text)[1]) for text in said) == 100
    large = legend(classes_of(as_multipolygon(box(0, 0, 120, 120))))
    assert large[-1] == "over 120 µm: under 1 %"
    assert large[0] == "under 80 µm: 98 %"  # (120 - 2 x 0.485)² of 120²


def test_the_picture_shows_every_class_in_the_whole_and_enlarged():
    """Each grey is drawn twice and stands in the legend; the bar is as long as 1 mm enlarged."""
    region = many_parts()
    classes = classes_of(region)
    picture = thick_and_thin(region, classes, "deep blue")
    for grey in tones(4):
        assert len(re.findall(f'<path [^>]*fill="{grey}"', picture.svg)) == 2
        assert len(re.findall(f'<rect [^>]*fill="{grey}"', picture.svg)) == 1
    assert picture.height_mm == HIGH_MM
    (bar,) = set(
        re.findall(r'<polyline points="([\d.]+),([\d.]+) ([\d.]+),\2"[^>]*"0.5"', picture.svg)
    )
    assert float(bar[2]) - float(bar[0]) == pytest.approx(ENLARGED)
    assert f"{ENLARGED:g} times" in picture.svg
    assert ">1 mm</text>" in picture.svg
    inch = thick_and_thin(region, classes, "deep blue", "inch")
    (bar,) = set(
        re.findall(r'<polyline points="([\d.]+),([\d.]+) ([\d.]+),\2"[^>]*"0.5"', inch.svg)
    )
    assert float(bar[2]) - float(bar[0]) == pytest.approx(ENLARGED * 1.27)
    assert ">0.05 in</text>" in inch.svg
    for part in ("deep blue", "thick dark", *legend(classes)):
        assert part in picture.alt


def test_dots_too_small_for_their_outline_are_drawn():
    """Dots of 0.3 mm beside a print of 300 mm are 0.02 mm on paper: none is left out."""
    dots = [Point(310, 10 * k).buffer(0.15) for k in range(1, 9)]
    region = as_multipolygon(shapely.union_all([box(0, 0, 300, 100), *dots]))
    picture = thick_and_thin(region, classes_of(region), "blue")
    whole = re.findall(r'<path d="([^"]*)"[^>]*stroke-width="0.05"', picture.svg)
    assert sum(path.count("M") for path in whole) == 9


def test_the_frame_of_the_close_up_is_no_edge():
    """A rim runs along the film only: at the end of a strip, thin ink goes on up to the frame."""
    region = as_multipolygon(box(0, 0, 60, 2))
    picture = thick_and_thin(region, classes_of(region), "blue")
    ((left, wide),) = re.findall(
        r'<rect x="([\d.]+)" y="0" width="([\d.]+)"[^>]*"0.4"', picture.svg
    )
    assert float(wide) == CLOSE_WIDE_MM
    thin = re.findall(f'<path d="([^"]*)"[^>]*fill="{tones(4)[0]}"', picture.svg)[1]
    points = np.array(re.findall(r"([\d.]+),([\d.]+)", thin), dtype=float)
    assert points[:, 0].max() == pytest.approx(float(left) + CLOSE_WIDE_MM, abs=0.01)
    # and across, what is left of 2 mm between two rims
    assert np.ptp(points[:, 1]) == pytest.approx(ENLARGED * (2 - 2 * BORDERS[0]), abs=0.01)


def test_each_screen_shows_where_its_ink_is_thick():
    """A picture at its own size; mean with its range, thinnest and thickest by the model."""
    job = make_job({BLUE: box(0, 0, 60, 30), GOLD: box(0, 40, 60, 40.6)})
    ask, sections = sections_of(job)
    assert [s.screen for s in sections] == [BLUE, GOLD]
    assert {s.rank for s in sections} == {75}
    assert all("thick" in s.title and "nearest edge" in s.title for s in sections)
    for section, deepest in zip(sections, (15.0, 0.3), strict=True):
        ink = ask(InkOnScreens)[section.screen]
        picture, figures = section.blocks
        assert isinstance(picture, Drawing)
        assert picture.scale == 1.0
        assert isinstance(figures, Figures)
        mean, rims = figures.rows
        assert mean[1].startswith(f"{ink.mean_deposit_um.value:.0f} µm (")
        field, edge = ink.open_field_um.value, ink.at_edge_um.value
        thinnest = field + (edge - field) * math.exp(-deepest / 0.35)
        assert mean[2] == f"thinnest {thinnest:.0f}, at edges {edge:.0f} µm"
        assert "fine lines" in rims[2]
    assert "under the next screen" in sections[0].blocks[1].rows[1][2]
    assert "under the next screen" not in sections[1].blocks[1].rows[1][2]


def test_the_reach_of_the_shop_counts():
    """Twice the reach makes the rims twice as wide."""
    shares = []
    for reach in ("0.3 mm", "0.6 mm"):
        job = make_job({BLUE: box(0, 0, 60, 30)}, tables=(ShopInk(edge_reach=reach),))
        alt = sections_of(job)[1][0].blocks[0].picture.alt
        shares.append(sum(map(int, re.findall(r"(\d+) %", alt)[:-1])))
    assert shares[1] == pytest.approx(2 * shares[0], abs=1)


def test_film_on_the_squeegee_side_is_said_in_words():
    """It has no edge term, so that there is nothing to draw."""
    shop = Shop(film=Film(side="squeegee"))
    _, (section,) = sections_of(make_job({BLUE: box(0, 0, 60, 30)}, shop=shop))
    (said,) = section.blocks
    assert isinstance(said, Paragraph)
    assert "equally thick up to the edges" in said.text
    assert re.search(r"\d+ µm \(\d+ to \d+\)", said.text)


def test_a_print_of_one_class_is_said_in_words():
    """A solid whose rims are under half a percent, and lines all finer than the rims."""
    wide = make_job({BLUE: box(0, 0, 400, 400)}, tables=(ShopInk(edge_reach="0.2 mm"),))
    fine = make_job({BLUE: shapely.union_all([box(0, 2 * k, 60, 2 * k + 0.05) for k in range(9)])})
    for job, edge in ((wide, "only thin rims lie thicker"), (fine, "all of it lies near edges")):
        _, (section,) = sections_of(job)
        (said,) = section.blocks
        assert isinstance(said, Paragraph)
        assert edge in said.text
    assert ranges((100, 150))[-1] == "over 150 µm"


def test_rims_that_hardly_stand_are_said_in_words():
    """Film that stands a thousandth above the fabric adds nothing worth a picture."""
    job = make_job({BLUE: box(0, 0, 60, 30)}, tables=(ShopInk(film_stands=0.001),))
    _, (section,) = sections_of(job)
    (said,) = section.blocks
    assert said.text.startswith("Nowhere by much")
