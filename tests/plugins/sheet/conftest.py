"""A made-up report: three screens, findings, marks, and sections of plugins nobody knows."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import Any

import pytest
from shapely import MultiPolygon, Point, box

from prep.findings import Finding, worst_first
from prep.job import Report
from prep.pictures import Canvas
from prep.screens import Mark
from prep.sections import (
    Caution,
    CheckList,
    Drawing,
    Figures,
    Paragraph,
    Section,
    Table,
)
from prep.testing import make_job

BLUE, YELLOW = "#1f3a5f", "#e0a526"


def stranger_sections() -> tuple[Section, ...]:
    """Every kind of block, in every chapter, by a plugin the sheet has never heard of."""
    sketch = Canvas((0, 0, 40, 20)).rectangle((1, 1, 39, 19), stroke="#000000", stroke_mm=0.3)
    picture = sketch.picture("sketch of a frame")
    return (
        Section(
            "job",
            "Strange table",
            (
                Table(
                    ("Number", "What"),
                    tuple((str(n), f"row {n} of a long table") for n in range(60)),
                    "rl",
                    caption="A table of sixty rows",
                ),
            ),
            rank=40,
            by="stranger",
        ),
        Section(
            "screen",
            "Strange steps",
            (
                CheckList(("First this is done", "Then that is done")),
                Caution("Mind the strange blade"),
                Drawing(picture, "At true size", scale=1.0),
            ),
            rank=20,
            screen=BLUE,
            by="stranger",
        ),
        Section(
            "closing",
            "Strange figures",
            (Paragraph("A strange paragraph"), Figures((("Weight", "12 g", "weighed here"),))),
            rank=90,
            by="stranger",
        ),
    )


FINDINGS = (
    Finding(
        "note",
        "tips",
        "Four tips are blunt.",
        "Knives are round.",
        "Leave them.",
        YELLOW,
        YELLOW,
        (70.0, 40.0),
        count=4,
    ),
    Finding(
        "will fail",
        "narrow opening",
        "An opening is 0.40 mm wide.",
        "It tears.",
        "Widen it.",
        BLUE,
        BLUE,
        (10.0, 60.0),
        0.4,
    ),
    Finding("at risk", "frame", "The print nearly fills the frame.", "No room.", "Mind it."),
)


@pytest.fixture
def make_report() -> Callable[..., Report]:
    """Make a report; arguments of make_job, and job=, artwork= and report= changed afterwards."""

    def make(
        *,
        job: dict[str, Any] | None = None,
        artwork: dict[str, Any] | None = None,
        report: dict[str, Any] | None = None,
        **given: Any,
    ) -> Report:
        ring = Point(40, 40).buffer(20).difference(Point(40, 40).buffer(8))
        made = make_job(
            {
                BLUE: MultiPolygon([*(box(9.8, 60, 10.2, 75),), ring]),
                YELLOW: box(62, 20, 95, 60),
            },
            **{
                "inks": {BLUE: "deep blue", YELLOW: "marigold"},
                "size_mm": (100.0, 80.0),
                "shirts": 48,
                "garment": "#f2efe6",
                **given,
            },
        )
        made = dataclasses.replace(
            made, artwork=dataclasses.replace(made.artwork, **(artwork or {})), **(job or {})
        )
        mark = Mark("target", MultiPolygon([box(-10, 38, -6, 42)]), True, "lining up")
        found = Report(made, (mark,), worst_first(FINDINGS), stranger_sections())
        return dataclasses.replace(found, **(report or {}))

    return make
