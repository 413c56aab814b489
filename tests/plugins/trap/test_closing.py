"""Film beside traps: what is opened, and what is left alone."""

from __future__ import annotations

import math

import pytest
import shapely
from shapely import MultiPolygon, Point, Polygon, box

import prep_trap
from prep.testing import make_ask, make_job
from prep_trap.answers import GapChances
from prep_trap.closing import closing
from prep_trap.forecast import gap_chances
from prep_trap.settings import TrapOrder
from prep_trap.trouble import findings_of

LEFT, RIGHT = box(0, 0, 10, 20), box(14, 0, 24, 20)
BETWEEN = box(10, 0, 14, 20)


def spreads(width_mm: float) -> MultiPolygon:
    """Both sides spread under what lies between them."""
    return MultiPolygon([box(10, 0, 10 + width_mm, 20), box(14 - width_mm, 0, 14, 20)])


def closed(traps: MultiPolygon, hidden: shapely.Geometry, strip_mm: float = 1.5) -> MultiPolygon:
    opened = shapely.union_all([LEFT, RIGHT, traps])
    return closing(opened, traps, hidden, strip_mm, 3.0)


def test_a_strip_is_opened_up_to_the_limit() -> None:
    """Spreads of 1.3 mm leave 1.4 mm of film, which is opened whole; 1.2 mm leave 1.6 mm, which stays."""
    radius = 0.75 * 1.01**2  # film that stays ends round, at either mouth of the strip
    across = 2.0 * math.asin(0.7 / radius)
    mouth = radius**2 / 2.0 * (across - math.sin(across))
    assert closed(spreads(1.3), BETWEEN).area == pytest.approx(1.4 * 20 - 2 * mouth, rel=0.003)
    assert closed(spreads(1.2), BETWEEN).is_empty


def test_film_not_all_under_later_ink_stays() -> None:
    """Half of the strip's width is bare shirt: opening it would print there, or leave less film."""
    assert closed(spreads(1.3), box(10, 0, 12, 20)).is_empty


def test_film_away_from_traps_stays() -> None:
    """A slot of 1 mm drawn as such, 5 mm from the trap."""
    opened = box(0, 0, 20, 20).difference(box(15, 2, 16, 18))
    trap = box(20, 0, 20.5, 20)
    hidden = shapely.union(box(20, 0, 30, 20), box(15, 2, 16, 18))
    found = closing(shapely.union(opened, trap), MultiPolygon([trap]), hidden, 1.5, 3.0)
    assert found.is_empty


def test_notches_of_a_ragged_trap_are_opened_and_corners_stay() -> None:
    """A notch 0.3 by 0.4 mm into a trap 0.7 mm wide; the film's corner of 60° beside it keeps its tip."""
    notch = box(10.3, 8, 10.7, 8.3)
    trap = box(10, 0, 10.7, 20).difference(notch)
    tip = Polygon([(10.7, 20), (10.7 + 20 * math.tan(math.radians(60)), 20), (10.7, 0)])
    hidden = shapely.union(box(10, 0, 10.7, 20), tip)
    opened = shapely.union_all(
        [LEFT, trap, box(0, 0, 60, 20).difference(box(0, 0, 10.7, 20)) - tip]
    )
    found = closing(opened, MultiPolygon([trap]), hidden, 1.5, 3.0)
    assert found.area == pytest.approx(notch.area, rel=0.05)  # its mouth stays round


@pytest.mark.parametrize(("radius_mm", "opened"), [(1.45, True), (1.55, False)])
def test_an_island_is_opened_up_to_the_limit(radius_mm: float, opened: bool) -> None:
    """A disc of the later colour, spread under by 1 mm: the island left is 2.9 or 3.1 mm across."""
    disc = Point(20, 20).buffer(radius_mm + 1.0, quad_segs=64)
    island = Point(20, 20).buffer(radius_mm, quad_segs=64)
    trap = disc.difference(island)
    found = closing(box(0, 0, 40, 40).difference(island), trap, disc, 1.5, 3.0)
    assert found.area == pytest.approx(math.pi * radius_mm**2 if opened else 0.0, rel=1e-3)


def test_the_sheet_says_what_was_opened() -> None:
    """A line 2 mm wide between two halves, traps of 0.7 mm: 0.6 mm of film is opened, and said."""
    red, teal = "#d94030", "#308090"
    line = box(20, 0, 22, 40)
    job = make_job(
        {red: box(0, 0, 40, 40).difference(line), teal: line},
        tables=[TrapOrder.model_validate({"width": "0.7 mm"})],
        size_mm=(40.0, 40.0),
    )
    reasons = [delta.reason for delta in prep_trap.prep_deltas(job)]
    assert reasons == [
        f"spread 0.70 mm under {teal}",
        "opened under later inks where the film would be too fine",
    ]
    added = shapely.union_all([delta.add for delta in prep_trap.prep_deltas(job)])
    assert added.area == pytest.approx(line.area, rel=0.02)
    found = findings_of(job, make_ask({GapChances: gap_chances(job)}))
    (note,) = [one for one in found if one.kind == "film opened under later inks"]
    assert (note.severity, note.count) == ("note", 1)
