"""From chances to widths: what a detail adds to the chance of a wide opening, near its edges too."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, box
from shapely.geometry.base import BaseGeometry

from prep.findings import Finding
from prep.testing import make_ask, make_job
from prep_drying.answers import Help, Helps
from prep_fill_in import wording
from prep_fill_in.drying import LEAST_ADDED, WIDEST_MM, dries_on
from prep_fill_in.settings import FillIn
from tests.plugins.fill_in.asking import prep_findings
from tests.plugins.fill_in.dried import Drying, dries, falling

INK = "#1f3a5f"
LISTED_MM = 2.0


def _of(wide: float) -> Callable[[float], float]:
    """Give a chance that falls from 1 at nothing to that of wide openings at 1 mm."""
    return lambda width: wide + (1.0 - wide) * falling(width)


@pytest.mark.parametrize(
    ("wide", "at_risk_mm", "fails_mm"),
    [
        (0.0, 0.9, 0.5),
        (0.4, 0.9, 0.5),
        (0.8, 0.9, 0.5),
        (0.9, 0.8, 0.5),  # 0.02 of the 0.1 that is left
        (0.97, 1 / 3, 1 / 3),  # 0.02 of 0.03
        (0.98, 0.0, 0.0),  # no width adds more than 0.02 less something
        (1 - 1 / 512, 0.0, 0.0),
        (1 - 2e-16, 0.0, 0.0),
        (1.0, 0.0, 0.0),
    ],
)
def test_what_a_width_adds_is_held_against_what_is_left(
    wide: float, at_risk_mm: float, fails_mm: float
) -> None:
    """10 % and 50 % of the runs in which a wide opening stays open, and never less than 2 % of all."""
    on = dries_on(_of(wide), 0.1, 0.5, LISTED_MM)
    assert (on.at_risk_below_mm, on.fails_below_mm) == pytest.approx(
        (at_risk_mm, fails_mm), abs=2e-3
    )
    assert on.risk == max(0.1 * (1 - wide), LEAST_ADDED)
    assert (on.run_at_risk_mm, on.run_fails_mm) == (0.0, 0.0)


@given(st.floats(0.0, 1.0), st.floats(-1.0, 1.0))
def test_one_draw_more_or_less_changes_little_however_much_the_run_dries(
    wide: float, turn: float
) -> None:
    """A chance off by a draw of 512 moves the widths by no more than that over the least slope there is."""

    def shaken(width: float) -> float:
        return min(max(_of(wide)(width) + turn / 512 * (width < 1.0), 0.0), 1.0)

    one, other = (dries_on(lost, 0.1, 0.5, LISTED_MM) for lost in (_of(wide), shaken))
    most = 1 / 512 / max(1.0 - wide, LEAST_ADDED) + 0.02
    assert (
        abs(one.fails_below_mm - other.fails_below_mm) <= most or one.fail >= 1.0 - wide - 1 / 512
    )


def _slow(width: float) -> float:
    """Give a chance that falls over the logarithm of the width from 1 at 0.02 to 0 at 40 mm."""
    return float(1.0 - np.log(width / 0.02) / np.log(WIDEST_MM / 0.02))


def test_where_wide_openings_dry_too_details_are_held_against_the_widest_of_them() -> None:
    """40 × 2000^-0.1 = 18.7 mm has 10 %, 0.894 mm has 50 %; at 2 mm 39.4 % are left to the run."""
    on = dries_on(_slow, 0.1, 0.5, LISTED_MM)
    assert on.run_at_risk_mm == pytest.approx(40 * 2000**-0.1, rel=1e-2)
    assert on.run_fails_mm == 0.0
    assert (on.wide_mm, on.wide) == pytest.approx((2.0, _slow(2.0)))
    left = 1 - _slow(2.0)
    assert on.at_risk_below_mm == pytest.approx(2 * 2000 ** (-0.1 * left), rel=1e-2)
    assert on.at_risk_below_mm < LISTED_MM


def _found(region: BaseGeometry, lost: Callable[[float], float]) -> list[Finding]:
    own = FillIn.model_validate({"confirm_width": False})
    job = make_job({INK: region}, shirts=12, size_mm=(120.0, 120.0), tables=[own])
    ask = make_ask({Drying: dries(job, lost)})
    return [f for f in prep_findings(job=job, marks=(), ask=ask) if f.kind != wording.MESH_UNKNOWN]


def test_a_run_that_dries_wide_openings_is_told_as_the_runs_trouble() -> None:
    """A dot of 8 mm is no detail to be drawn 18.7 mm wide; a field of 100 mm is no opening of that sort."""
    (found,) = _found(Point(50, 50).buffer(4), _slow)
    assert (found.severity, found.kind) == ("at risk", wording.DRIES_WIDE)
    assert found.what == (
        "Not only fine details dry shut in this run: openings up to 18.7 mm wide may, one of 2 mm with a"
        " chance of 39 %."
    )
    assert "on the sheet, or prep plan" in found.do
    assert "not judged" not in found.what
    dot = _found(Point(50, 50).buffer(0.4), _slow)  # a detail, which is told by itself
    assert [f.severity for f in dot if f.kind == wording.DRIES_WIDE] == ["note"]
    (note,) = _found(box(10, 10, 110, 110), _slow)
    assert (note.severity, note.kind) == ("note", wording.DRIES_WIDE)
    told = _found(Point(50, 50).buffer(4), lambda w: 0.1 + 0.9 * _slow(w))
    assert told == []  # the run is told of by the plugin that works out drying
    (worse,) = _found(Point(50, 50).buffer(4), lambda w: 0.9 if w < 9.0 else 0.0)
    assert worse.severity == "will fail"


def test_a_detail_in_such_a_run_is_told_a_width_that_helps_it() -> None:
    """It is drawn as wide as details may be at most, never as wide as the run would ask for."""
    region = shapely.union_all([box(10, 10, 60, 11.2), box(10, 30, 110, 110)])
    found = _found(region, _slow)
    (detail,) = (f for f in found if f.kind == "opening that dries shut")
    assert "one of 2 mm with 39 %" in detail.why
    assert "Draw it 1.26 mm wide or more." in detail.do
    cured = shapely.union_all([box(10, 10, 60, 11.3), box(10, 30, 110, 110)])
    assert {f.kind for f in _found(cured, _slow)} == {wording.DRIES_WIDE}


def test_a_width_solved_for_drying_is_to_be_checked_again() -> None:
    """0.8 mm needs 0.9 mm for drying and 1 mm for weeding: at 150 mm the ink dries otherwise."""
    (slot,) = (f for f in _found(box(10, 10, 60, 10.8), falling) if f.severity != "note")
    assert "print 150.0 mm wide instead of 120.0 mm; a larger print dries otherwise" in slot.do
    (wet,) = (f for f in _found(box(10, 10, 60, 10.8), lambda _: 0.0) if f.severity != "note")
    assert "print 150.0 mm wide instead of 120.0 mm." in wet.do


@pytest.mark.parametrize("shut", [True, False])
def test_the_print_width_told_for_drying_is_no_cure_until_checked_again(shut: bool) -> None:
    job = make_job({INK: box(10, 10, 60, 10.8)}, shirts=12, size_mm=(120.0, 120.0))
    ask = make_ask({Drying: dries(job, falling if shut else lambda _: 0.0)})
    found = prep_findings(job=job, marks=(), ask=ask)
    (said,) = (f for f in found if f.kind == wording.LARGER)
    assert said.what.startswith("Every narrow place passes from a print width of 150.0 mm on.")
    assert ("no cure for drying until it was checked again" in said.what) == shut


def test_a_larger_print_that_leaves_it_at_risk_is_to_be_checked_again_too() -> None:
    """0.4 mm fails below 0.5 mm and passes from 1 mm on: at 150 mm it is at risk, at 300 it would pass."""
    region = shapely.union_all([box(10, 10, 60, 10.4), box(10, 30, 60, 60)])
    (slot,) = (f for f in _found(region, falling) if f.severity == "will fail")
    assert "print 150.0 mm wide instead of 120.0 mm: it is only at risk then" in slot.do
    assert "A larger print dries otherwise, so check again at that width." in slot.do


def test_what_keeps_the_ink_open_is_named_with_what_it_gains() -> None:
    """The three that help most, and none that adds less than a twentieth; else the plan alone."""
    named = [("mist it", 0.9), ("work colour by colour", 0.8), ("retarder", 0.7), ("wipe", 0.65)]
    helps = Helps(0.6, 60.0, tuple(Help(w, f, f - 0.6, 60.0, 0.0, "") for w, f in named))
    few = replace(helps, helps=(Help("wipe", 0.64, 0.04, 60.0, 0.0, ""),))
    job = make_job(
        {INK: box(10, 10, 60, 10.8)},
        shirts=12,
        size_mm=(120.0, 120.0),
        tables=[FillIn(confirm_width=False)],
    )
    for lost, answer, told in (
        (
            falling,
            helps,
            "mist it (90 % of runs then fit, 60 % as it is); work colour by colour (80 %",
        ),
        (falling, few, 'Or keep the ink open as "Now and then" says (on the sheet, or prep plan).'),
        (lambda _: 0.0, helps, ""),
    ):
        ask = make_ask({Drying: dries(job, lost), Helps: answer})
        (slot,) = (f for f in prep_findings(job=job, marks=(), ask=ask) if f.severity != "note")
        assert told in slot.do
        assert ("retarder (70 %" in slot.do) == (answer is helps and bool(told))
        assert "wipe" not in slot.do
        assert ("keep the ink open" in slot.do) == bool(told)
