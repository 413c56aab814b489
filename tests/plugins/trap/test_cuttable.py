"""What traps leave can be cut: smooth edges, no crumbs of opening or film that the design hasn't."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from shapely import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

import prep_trap
from prep.artwork import Artwork, PrintSize
from prep.borders import outline_of, shared_border
from prep.cracks import without_cracks
from prep.errors import SettingsError
from prep.measures import measure
from prep.separations import separate
from prep.svg import read_svg
from prep.testing import make_job
from prep_trap.bands import SLOPE
from prep_trap.settings import Trap, TrapOrder
from prep_trap.spreading import spread
from tests.strategies import artworks

FINCHES = Path(__file__).parents[3] / "artwork" / "two-finches" / "design.svg"
NEAR_MM = 0.05
SPECK_MM2 = 0.05  # less than a quarter of a millimetre square
TIP_MM2 = 0.25  # half a millimetre square: the tip of a sharp corner of film that stays


def opened(
    regions: dict[str, MultiPolygon], width_mm: float
) -> list[tuple[MultiPolygon, MultiPolygon, BaseGeometry, Trap]]:
    """Give of each screen that is spread: the design, what it prints, what lies over it later."""
    job = make_job(
        regions,
        tables=[TrapOrder.model_validate({"width": f"{width_mm} mm"})],
        size_mm=(400.0, 400.0),
    )
    number = {screen.colour: screen.number for screen in job.screens}
    added: dict[str, list[MultiPolygon]] = {}
    for delta in prep_trap.prep_deltas(job):
        added.setdefault(delta.screen, []).append(delta.add)
    found = []
    for key, parts in added.items():
        whole = shapely.union_all([regions[key], *parts])
        over = [region for colour, region in regions.items() if number[colour] > number[key]]
        found.append(
            (
                regions[key],
                without_cracks(MultiPolygon(list(shapely.get_parts(whole)))),
                shapely.union_all(over),
                job.settings(Trap),
            )
        )
    return found


def fine_film_under_later_ink(
    design: MultiPolygon, prints: MultiPolygon, later: BaseGeometry, strip_mm: float
) -> float:
    """Give the largest area that no disc of the limit reaches, all of it under later ink, beside traps."""
    near = shapely.box(*shapely.bounds(prints)).buffer(3.0 * strip_mm)
    film = shapely.difference(near, prints)
    half = strip_mm / 2.0
    kept = film.buffer(-half, quad_segs=32).buffer(half * 1.01, join_style="mitre", mitre_limit=2.0)
    parts = shapely.get_parts(shapely.difference(film, kept))
    # what is thinner is but rounding of the outline
    traps = shapely.difference(prints, design).buffer(-1e-3).buffer(1e-3)
    beside = shapely.dwithin(parts, traps, 5e-3)
    covered = shapely.area(shapely.intersection(parts, later)) > 0.999 * shapely.area(parts)
    return float(shapely.area(parts[beside & covered]).max(initial=0.0))


def slivers(design: MultiPolygon, prints: MultiPolygon, least_mm: float) -> list[float]:
    """Give the widths of openings finer than a limit that the design hasn't near by."""
    made, drawn = measure(prints).openings, measure(design).openings
    found = []
    for place in made.strips().narrower_than(least_mm):
        away = np.hypot(*(drawn.at_mm - place.at_mm).T)
        if not ((away < 2.0) & (drawn.width_mm <= place.width_mm + NEAR_MM)).any():
            found.append(place.width_mm)
    return found


def test_the_finches_get_no_film_or_opening_too_fine() -> None:
    """As printed: no film under later ink finer than film_strip, no opening finer than a sliver."""
    art = read_svg(FINCHES.read_bytes(), name="finches", size=PrintSize(width_mm=280.0))
    regions = {s.colour: s.region for s in separate(art)}
    for design, prints, later, chosen in opened(regions, 0.7):
        assert fine_film_under_later_ink(design, prints, later, chosen.film_strip_mm) < SPECK_MM2
        assert slivers(design, prints, chosen.sliver * 0.7) == []


@settings(max_examples=9, deadline=None)
@given(drawn=artworks())
def test_no_film_under_later_ink_is_left_too_fine(drawn: Artwork) -> None:
    """Whatever is drawn: film beside traps, all under later ink, holds a disc of film_strip, but tips."""
    regions = {s.colour: s.region for s in separate(drawn) if not s.region.is_empty}
    if not regions:
        return
    try:
        screens = opened(regions, 0.4)
    except SettingsError:  # the width is stated, and whole nowhere
        return
    for design, prints, later, chosen in screens:
        assert fine_film_under_later_ink(design, prints, later, chosen.film_strip_mm) < TIP_MM2


def test_in_a_wedge_the_edge_is_one_straight_line() -> None:
    """A wedge of 5° beside bare shirt: half of its width, a line at 2.5°, until the width is reached."""
    angle = np.radians(5.0)
    wedge = Polygon([(0, 0), (30, 0), (30, 30 * np.tan(angle))])
    below = box(0, -10, 30, 0)
    trap = spread(wedge, shared_border(outline_of(below), outline_of(wedge)), 0.7)
    at = shapely.get_coordinates(trap)
    top = at[(at[:, 1] > 1e-9) & (at[:, 0] > 3.0) & (at[:, 0] < 15.0)]
    assert len(top) >= 1
    assert (top[:, 1] <= top[:, 0] * np.tan(angle / 2.0) + 1e-6).all()
    line = shapely.LineString([(x, x * np.tan(angle / 2.0)) for x in (3.0, 15.0)])
    assert shapely.hausdorff_distance(
        line, shapely.intersection(trap.boundary, box(3, 0.01, 15, 1))
    ) == pytest.approx(0.0, abs=0.01)


def test_the_width_comes_down_by_a_slope() -> None:
    """A neighbour 10 mm wide that steps down to 0.8 mm: 0.7 mm of trap go down to 0.4 mm by a slope."""
    later = shapely.union(box(0, 0, 10, 10), box(10, 0, 20, 0.8))
    below = box(0, -10, 20, 0)
    trap = spread(later, shared_border(outline_of(below), outline_of(later)), 0.7)
    assert trap.bounds == pytest.approx((0, 0, 20, 0.7))
    narrow = shapely.intersection(trap, box(10, -1, 21, 2))
    assert narrow.bounds[3] <= 0.4 + 1e-6
    edge = shapely.get_coordinates(trap.geoms[0].exterior)
    top = edge[(edge[:, 1] > 1e-9) & (edge[:, 0] > 1e-9) & (edge[:, 0] < 20 - 1e-9)]
    rise = np.abs(np.diff(top[:, 1])) / np.maximum(np.abs(np.diff(top[:, 0])), 1e-9)
    assert rise.max() == pytest.approx(SLOPE, rel=0.01)
