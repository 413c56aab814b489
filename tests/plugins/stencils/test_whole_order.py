"""The film of all set-ups together, told from answers made by hand."""

from __future__ import annotations

import pytest
from shapely import MultiPolygon, box

from prep.job import Ask, Job
from prep.sections import Table
from prep.shop import Shop
from prep.testing import make_ask, make_job
from prep_stencils.answers import FilmSheet, FilmSheets
from prep_stencils.settings import Stencils
from prep_stencils.whole_order import film_section


def _job(units: str = "metric", sheet_length: str | None = None) -> Job:
    shop = Shop.model_validate({"units": units, "film": {"name": "film", "width": "600 mm"}})
    stencils = Stencils.model_validate({"sheet_length": sheet_length} if sheet_length else {})
    region = MultiPolygon([box(0, 0, 10, 10)])
    return make_job({"#000000": region}, shop=shop, tables=[stencils])


def _sheets(*sizes_mm: tuple[float, float], length_mm: float) -> FilmSheets:
    sheets = tuple(FilmSheet("k", *size, False, False, "stem") for size in sizes_mm)
    return FilmSheets(sheets, 0.0, 0.0, length_mm)


def _rows(job: Job, *answers: FilmSheets) -> tuple[tuple[str, ...], ...]:
    jobs = [_job() if n else job for n in range(len(answers))]
    asks: dict[int, Ask] = {
        id(one): make_ask({FilmSheets: answer}) for one, answer in zip(jobs, answers, strict=True)
    }
    section = film_section(jobs, lambda one: asks[id(one)])
    (table,) = section.blocks
    assert isinstance(table, Table)
    return table.rows


def test_lengths_off_the_roll_add_up() -> None:
    """1.47 m and 0.40 m are 1.87 m; sizes alike are told once, others with their number."""
    first = _sheets((466.0, 367.0), (466.0, 367.0), length_mm=1470.0)
    second = _sheets((300.0, 200.0), (300.0, 200.0), (100.0, 80.0), length_mm=400.0)
    assert _rows(_job(), first, second) == (
        ("1", "2", "466 × 367 mm", "1.47 m"),
        ("2", "3", "2 of 300 × 200 mm and 1 of 100 × 80 mm", "0.40 m"),
        ("all", "5", "film, 600 mm wide", "1.87 m"),
    )


def test_sheets_are_counted_and_a_film_that_fits_none_is_named() -> None:
    """1200 mm of sheets 400 mm long are three."""
    first = _sheets((300.0, 200.0), length_mm=1200.0)
    assert _rows(_job(sheet_length="400 mm"), first, _sheets(length_mm=0.0)) == (
        ("1", "1", "300 × 200 mm", "3 sheets"),
        ("2", "none", "none fits", "0 sheets"),
        ("all", "1", "film, 600 mm wide and 400 mm long", "3 sheets"),
    )


def test_in_inches() -> None:
    """10 × 5 in, and 2 ft of a roll 23.62 in wide."""
    first = _sheets((254.0, 127.0), length_mm=609.6)
    assert _rows(_job("inch"), first) == (
        ("1", "1", "10.00 × 5.00 in", "2.0 ft"),
        ("all", "1", "film, 23.62 in wide", "2.0 ft"),
    )


def test_no_set_ups() -> None:
    with pytest.raises(ValueError, match="takes no film"):
        film_section((), lambda job: make_ask({}))
