"""How the targets' distances are worked out."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from prep.worked import Given, Worked, in_units, length_given, section_of, standing
from prep_registration.placing import chosen, print_bounds
from prep_registration.settings import Registration
from prep_registration.wording import length_text

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.sections import Section


def why_sections(job: Job, ask: Ask) -> Iterator[Section]:
    """Give how each distance is worked out; nothing where no targets are cut."""
    worked = tuple(worked_of(job, ask))
    if worked:
        yield section_of("How the targets' places are worked out", worked)


def worked_of(job: Job, ask: Ask) -> Iterator[Worked]:
    """Give the distances that screens are lined up by."""
    targets, bounds = chosen(job, ask).targets, print_bounds(job)
    if not targets or bounds is None:
        return
    units, table = job.shop.units, job.settings(Registration)
    mm = partial(length_given, units=units)
    one, other = (target.at_mm for target in targets)
    upright = one[0] == other[0]
    side, where = (1, "height") if upright else (0, "width")
    given: dict[str, Given] = {
        "distance": _set(job, "distance_mm", "clear film between target and print"),
        "size": _set(job, "size_mm", "a target, across"),
    }
    away = table.distance_mm + table.size_mm / 2.0
    yield Worked(
        "Target to print",
        "{distance} + {size} ÷ 2",
        given,
        *in_units(away, units),
        length_text(away, units),
        "From the target's centre to the nearest edge of the print as a whole.",
        "geometry",
    )
    extent = bounds[side + 2] - bounds[side]
    between = math.dist(one, other)
    yield Worked(
        "Between targets",
        "{print} + 2 × ({distance} + {size} ÷ 2)",
        {
            "print": mm(f"{where} of all screens' openings", extent, status="from the artwork"),
            **given,
        },
        *in_units(between, units),
        length_text(between, units),
        "Centres; on the film as it is cut and on a pull, the mesh not stretched.",
        "geometry",
    )


def _set(job: Job, field: str, words: str) -> Given:
    table = job.settings(Registration)
    where = f"registration.{field.removesuffix('_mm')} in shop.toml"
    told = standing(table, field, where, "usual", "no source")
    return length_given(words, getattr(table, field), job.shop.units, *told)
