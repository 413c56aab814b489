"""What the films add to the job page's table of screens."""

from __future__ import annotations

import dataclasses

from shapely import box

from prep.testing import make_ask, make_job
from prep_stencils import prep_sections

BLUE, RED = "#1f3a5f", "#cc2222"


def test_the_size_of_each_film() -> None:
    """A print of 100 by 80 mm with 50 mm around; of two screens through one film one names the other."""
    job = make_job({BLUE: box(0, 0, 40, 80), RED: box(50, 0, 100, 80)}, size_mm=(100.0, 80.0))
    own, *_ = prep_sections(job, (), make_ask({}))
    (column,) = own.columns
    assert column.head == "Film"
    assert [text for _, text in column.cells] == ["200 × 180 mm", "200 × 180 mm"]
    shared = dataclasses.replace(
        job, screens=tuple(dataclasses.replace(s, film="shared") for s in job.screens)
    )
    one, *_ = prep_sections(shared, (), make_ask({}))
    assert [text for _, text in one.columns[0].cells] == ["200 × 180 mm", "with screen 1"]
