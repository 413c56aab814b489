"""The film that all set-ups of an order take together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from prep.phrases import several
from prep.sections import Section, Table
from prep_stencils.answers import FilmSheets
from prep_stencils.settings import Stencils
from prep_stencils.texts import long_text, many, short_text, size_text

if TYPE_CHECKING:
    from prep.job import Ask, Job


def film_section(jobs: Sequence[Job], ask: Callable[[Job], Ask]) -> Section:
    """Give what is taken off the roll, or of sheets, for each set-up and in all.

    :raises ValueError: no set-ups
    """
    if not jobs:
        raise ValueError("an order without set-ups takes no film")
    first, units = jobs[0], jobs[0].shop.units
    film, sheet_mm = first.shop.film, first.settings(Stencils).sheet_length_mm

    def taken(length_mm: float) -> str:
        if sheet_mm is None:
            return long_text(length_mm, units)
        return many(round(length_mm / sheet_mm), "sheet")

    answers = [ask(job)(FilmSheets) for job in jobs]
    rows = [
        (str(number), *_films(sheets, units), taken(sheets.film_length_mm))
        for number, sheets in enumerate(answers, start=1)
    ]
    cut = sum(len(sheets.sheets) for sheets in answers)
    wide = f"{film.name}, {short_text(film.width_mm, units)} wide"
    if sheet_mm is not None:
        wide += f" and {short_text(sheet_mm, units)} long"
    rows.append(("all", str(cut), wide, taken(sum(sheets.film_length_mm for sheets in answers))))
    return Section(
        "job",
        "Film for the whole order",
        (
            Table(
                ("Set-up", "Films", "Size", "Off the roll" if sheet_mm is None else "Taken"),
                tuple(rows),
                "lrlr",
                "The films of a set-up lie on the film by themselves, all the same way. A film that is cut"
                " or laid wrong is cut once more: have some to spare.",
            ),
        ),
        rank=45,
    )


def _films(sheets: FilmSheets, units: str) -> tuple[str, str]:
    """Give how many films are cut, and their sizes."""
    sizes = Counter(size_text(sheet.across_mm, sheet.along_mm, units) for sheet in sheets.sheets)
    if not sizes:
        return "none", "none fits"
    alone = len(sizes) == 1
    said = [size if alone else f"{number} of {size}" for size, number in sizes.items()]
    return str(len(sheets.sheets)), several(said)
