"""Small areas in words."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from prep_fill_in import wording
from prep_fill_in.details import Details, Judged
from prep_stencils.texts import area_text


@pytest.mark.parametrize(
    ("area_mm2", "metric", "inch"),
    [
        (8.0, "8.0 mm²", "0.0124 in²"),  # 8 / 25.4²
        (0.01, "under 0.1 mm²", "under 0.0001 in²"),
        (0.1, "0.1 mm²", "0.0002 in²"),
        (866.0, "866.0 mm²", "1.34 in²"),
    ],
)
def test_an_area(area_mm2: float, metric: str, inch: str) -> None:
    assert wording.area(area_mm2, "metric") == metric
    assert wording.area(area_mm2, "inch") == inch


def test_an_area_that_is_lost_is_told_as_an_area() -> None:
    """Of many pieces together; two digits are enough."""
    assert wording.large_area(55.1, "inch") == "0.09 in²"
    assert wording.large_area(0.6, "inch") == "under 0.01 in²"
    assert wording.large_area(55.1, "metric") == "55.1 mm²"


def test_of_a_range_the_unit_stands_once_where_it_is_one() -> None:
    """0.5 and 2 mm², 0.0008 and 0.0031 in²; what is too small to be told has its words."""
    wide, at = np.ones(3), np.zeros((3, 2))
    judged = Judged(*(np.zeros((3, 1)) for _ in dataclasses.fields(Judged)))
    islands = Details("island", wide, at, np.array([0.5, 2.0, 1290.32]), (), judged)
    metric = wording.what(islands, np.array([0, 1]), (1.0, 2.0), "metric")
    assert "0.5 to 2.0 mm² in area" in metric
    inch = [
        wording.what(islands, np.array(which), (1.0, 2.0), "inch") for which in ([0, 1], [0, 2])
    ]
    assert "0.0008 to 0.0031 in² in area" in inch[0]
    assert "0.0008 to 2.00 in² in area" in inch[1]


def test_films_have_the_same_words() -> None:
    assert area_text(8.0, "inch") == "0.0124 in²"
    assert area_text(0.0001, "inch") == "under 0.0001 in²"
    assert area_text(645.16, "inch") == "1.00 in²"
