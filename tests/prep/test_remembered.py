"""Results kept by what they were made from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from prep.remembered import forget, remembered


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


def test_all_can_be_forgotten() -> None:
    asked: list[int] = []

    @remembered(kept=8)
    def noted(number: int) -> int:
        asked.append(number)
        return number

    noted(1)
    forget()
    noted(1)
    assert asked == [1, 1]


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


def test_nobody_can_write_to_what_is_kept() -> None:
    @dataclass(frozen=True)
    class Found:
        at_mm: NDArray[np.float64]

    @remembered(kept=1)
    def found() -> tuple[Found, dict[str, NDArray[np.float64]]]:
        return Found(np.zeros(2)), {"more": np.zeros(2)}

    one, more = found()
    for array in (one.at_mm, more["more"]):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 1.0
