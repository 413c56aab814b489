"""What register tests put in place of the press's usual error."""

from __future__ import annotations

from datetime import date

import pytest

from prep_log.learnt import Told, figures
from prep_log.usual import usual


def _test(runs: int, screens: int, prints: int) -> Told:
    rows = [
        {
            "run": str(run),
            "screen": str(screen),
            "left": [0.1 * screen + 0.05 * (-1) ** number, 0.2 * run],
            "right": [0.1 * screen + 0.05 * (-1) ** number, 0.2 * run],
            "apart_mm": 200.0,
        }
        for run in range(runs)
        for screen in range(2, screens + 1)
        for number in range(prints)
    ]
    return Told(date(2026, 3, 4), "register test", {"laid_again": False, "rows": rows})


@pytest.mark.parametrize(
    ("runs", "screens", "learnt"), [(1, 4, False), (2, 6, False), (3, 2, True)]
)
def test_a_set_up_error_needs_runs_not_screens(runs: int, screens: int, learnt: bool) -> None:
    """However many screens a run has, they are all read against one first screen."""
    press = figures([_test(runs, screens, 7)], usual())["press"]
    assert ("set_up_error" in press) is learnt
    assert "scatter" in press
    if learnt:
        assert press["set_up_error"]["n"] == runs
