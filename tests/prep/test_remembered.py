"""Results kept by what they were made from."""

from __future__ import annotations

import pytest
import shapely

from prep.remembered import remembered


def test_equal_arguments_are_worked_out_once_and_the_latest_results_are_kept() -> None:
    asked: list[float] = []

    @remembered(kept=2)
    def half_of(shape: shapely.Polygon) -> float:
        asked.append(shape.area)
        return float(shape.area / 2.0)

    def square(side: float) -> shapely.Polygon:
        return shapely.box(0.0, 0.0, side, side)

    assert [half_of(square(side)) for side in (2.0, 4.0, 2.0)] == [2.0, 8.0, 2.0]
    assert asked == [4.0, 16.0]
    half_of(square(6.0))  # takes the place of what was asked for longest ago
    assert [half_of(square(side)) for side in (2.0, 4.0)] == [2.0, 8.0]
    assert asked == [4.0, 16.0, 36.0, 16.0]


def test_the_type_of_an_argument_and_its_name_count() -> None:
    @remembered(kept=8)
    def said(value: object = None, *, other: object = None) -> str:
        return f"{value!r} {other!r}"

    assert [said(1), said(1.0), said(True), said(other=1)] == [
        "1 None",
        "1.0 None",
        "True None",
        "None 1",
    ]


def test_what_is_raised_is_raised_again() -> None:
    asked: list[int] = []

    @remembered(kept=1)
    def refused(number: int) -> int:
        asked.append(number)
        raise ValueError(f"not {number}")

    for _ in range(2):
        with pytest.raises(ValueError, match="not 3"):
            refused(3)
    assert asked == [3, 3]
