"""How the press's error is worked out, held against the error itself."""

from __future__ import annotations

import math
from typing import Any

import pytest

from prep.press_error import press_error
from prep.press_worked import pair_worked, scatter_worked, set_up_worked
from prep.shop import Press
from prep.testing import reckoned

PRESSES: tuple[dict[str, Any], ...] = (
    {},
    {"kind": "simple press", "stations": 1},
    {"kind": "plain table", "stations": 2},
    {"kind": "hinged frame", "stations": 2, "scatter": "2 mm"},
    {"kind": "hinged frame", "stations": 1, "scatter": "0.3 mm"},
    {"set_up_error": "0.3 mm", "scatter": "0.4 mm", "scatter_laid_again": "1 mm"},
)


@pytest.mark.parametrize("given", PRESSES)
@pytest.mark.parametrize("units", ["metric", "inch"])
def test_errors_are_worked_again(given: dict[str, Any], units: str) -> None:
    press, scale = Press.model_validate(given), 25.4 if units == "inch" else 1.0
    error = press_error(press, 3)
    told = {
        error.set_up_mm: set_up_worked(press, units),
        error.scatter_mm: scatter_worked(press, 3, units),
        error.pair_mm: pair_worked(press, 3, units),
    }
    for mm, worked in told.items():
        if worked is not None:
            assert reckoned(worked) * scale == pytest.approx(mm, rel=2e-4)
            assert worked.value * scale == pytest.approx(mm)
    lacking = {"scatter", "scatter_laid_again"} & set(error.lacking)
    assert (told[error.scatter_mm] is None) is (not lacking)


def test_a_pair_worked_by_hand() -> None:
    """Set up 0.3, scatter 0.4: 0.5 each, √2 of that between two."""
    press = Press.model_validate({"set_up_error": "0.3 mm", "scatter": "0.4 mm"})
    worked = pair_worked(press, 1, "metric")
    assert worked.value == pytest.approx(0.5 * math.sqrt(2))
    assert {given.status for given in worked.given.values()} == {"stated"}
    assert worked.with_values.startswith("√(2) × √(0.3 mm × 0.3 mm + 0.4 mm × 0.4 mm) = 0.70711 mm")


def test_figures_measured_here_say_when() -> None:
    press = Press.model_validate({
        "set_up_error": "0.3 mm", "scatter": "0.4 mm",
        "measured": {"scatter": {"measured_on": "2026-03-04", "n": 12}},
    })  # fmt: skip
    given = pair_worked(press, 1, "metric").given
    assert given["set_up"].status == "stated"
    scatter = given["scatter"]
    assert (scatter.status, scatter.source) == (
        "measured here",
        "measured here on 2026-03-04, n = 12",
    )
    assert press.measured_here == (
        "The press's error was measured here: scatter on 2026-03-04, n = 12."
    )


def test_only_figures_of_the_error_can_be_named() -> None:
    with pytest.raises(ValueError, match="measured names platen"):
        Press.model_validate({"measured": {"platen": {"n": 2}}})
