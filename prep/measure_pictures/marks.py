"""Marks on a map where something has no width of its own: touches, and tips of sharp corners."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from prep.measure_pictures.paper import INK, Paper, Point, View
from prep.measures import Places

_MOST_TIPS = 40  # more would hide the map
_SIZE_MM = 0.9  # half of what a mark takes on paper


@dataclass(frozen=True, slots=True)
class Marks:
    """Places of one kind.

    :param kind: touches or tips
    :param at_mm: where those marked lie
    :param of: how many there are
    """

    kind: Literal["touch", "tip"]
    at_mm: tuple[Point, ...]
    of: int

    def __str__(self) -> str:
        """Say what the marks stand for, with their count."""
        if self.kind == "touch":
            return f"touch, edges meet with nothing between: {self.of}"
        said = f"tip of a corner sharper than 60°: {self.of}"
        return (
            said
            if len(self.at_mm) == self.of
            else f"{said}; marked: the {_MOST_TIPS} that lose most"
        )


def marks_of(places: Places) -> tuple[Marks, ...]:
    """Give what is to be marked, kinds without a place left out."""
    touches, tips = places.touches(), places.tips()
    most = np.argsort(-np.nan_to_num(tips.tip_lost_area_mm2), kind="stable")[:_MOST_TIPS]
    every = (
        Marks("touch", _points(touches), len(touches)),
        Marks("tip", _points(tips.take(most)), len(tips)),
    )
    return tuple(marks for marks in every if marks.of)


def _points(places: Places) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in places.at_mm)


def draw_marks(paper: Paper, view: View, marks: Sequence[Marks]) -> None:
    """Draw all marks, tips under touches."""
    for some in reversed(marks):
        for at in some.at_mm:
            _mark(paper, view.at(at), some.kind)


def marks_legend(paper: Paper, at: Point, marks: Sequence[Marks]) -> float:
    """Say under a map what its marks stand for; give the height taken."""
    for row, some in enumerate(marks):
        x, y = at[0], at[1] + 5.6 * row
        _mark(paper, (x + 3.75, y + 2.1), some.kind)
        paper.text(str(some), (x + 9.5, y + 3.1))
    return 5.6 * len(marks)


def _mark(paper: Paper, at: Point, kind: str) -> None:
    """Draw a cross for a touch, an open triangle for a tip, both on white."""
    x, y = at
    r = _SIZE_MM
    lines = (
        (((x - r, y - r), (x + r, y + r)), ((x - r, y + r), (x + r, y - r)))
        if kind == "touch"
        else (((x, y - r), (x + r, y + r), (x - r, y + r), (x, y - r)),)
    )
    for stroke, thick in (("#ffffff", 0.9), (INK, 0.35)):
        for line in lines:
            paper.line(*line, stroke=stroke, stroke_mm=thick, kind=kind)
