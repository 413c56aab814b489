"""Measures in words and as JSON: what is said of areas by width that aren't sure."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from shapely import box

from prep.job import Job
from prep.records import measures_document
from prep.testing import make_job
from prep.words import measures_in_words


def _job(**by_width: float) -> Job:
    """Make a job of a square of 400 mm² whose areas by width are off as given."""
    job = make_job({"#102030": box(0, 0, 20, 20)})
    (screen,), (design,) = job.screens, job.design
    by_width_now = screen.measures.by_width
    if "unsure_mm2" in by_width:
        unsure = np.zeros(len(by_width_now.area_mm2))
        unsure[0] = by_width.pop("unsure_mm2")
        by_width_now = dataclasses.replace(by_width_now, unsure_mm2=unsure)
    off = dataclasses.replace(by_width_now, **by_width)
    measures = dataclasses.replace(screen.measures, by_width=off)
    return dataclasses.replace(
        job,
        screens=(dataclasses.replace(screen, measures=measures),),
        design=(dataclasses.replace(design, measures=measures),),
    )


@pytest.mark.parametrize(
    ("off", "says"),
    [
        ({"error_mm2": 3.9, "unsure_mm2": 3.9}, ""),
        ({"error_mm2": 3.9, "unsure_mm2": 4.1}, "may belong to the class beside"),
        ({"error_mm2": 4.1, "unsure_mm2": 0.0}, "Don't rely on this table"),
    ],
)
def test_more_than_a_hundredth_is_told(
    off: dict[str, float], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Of 400 mm², 3.9 mm² are passed over and 4.1 mm² are told."""
    measures_in_words(_job(**off))
    said = " ".join(capsys.readouterr().out.split())
    told = [text for text in ("may belong", "Don't rely") if text in said]
    assert told == ([says[: len("may belong")]] if says else [])


def test_the_record_holds_both() -> None:
    """As they are, for whoever reads the JSON."""
    made = measures_document(_job(error_mm2=1.5, unsure_mm2=2.5))
    by_width = made["colours"][0]["by_width"]
    assert (by_width["error_mm2"], by_width["unsure_mm2"]) == (1.5, 2.5)
