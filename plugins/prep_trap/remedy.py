"""What would bring gaps between two colours down to what is allowed, tried by draws before it is said."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from shapely import MultiPolygon

from prep.borders import reach_along
from prep.cracks import CRACK_MM
from prep.errors import SettingsError
from prep.job import Job
from prep.misses import SAMPLING, chance, edges_of
from prep.phrases import length
from prep.uniting import united
from prep_trap.planning import STEP_MM, Pair, Plan, added_to, draws_between
from prep_trap.settings import MOST_ASKED_MM
from prep_trap.through import enclosed

_RUNS_ON = 2.0
"""A screen that goes on right under the next is looked along so many times the trap that is needed."""
STEP = {"metric": 0.1, "inch": 0.254}
"""Widths are told in steps of this, mm: 0.1 mm or 0.01 in."""


@dataclass(frozen=True, slots=True)
class Remedy:
    """What can be written into order.toml for a pair.

    :param keys: the entry, in words
    :param width_mm: of the trap; ``None``: the earlier colour is printed right through
    :param print_any: share of prints that show a gap with it
    """

    keys: str
    width_mm: float | None
    print_any: float


def remedy_of(job: Job, pair: Pair) -> Remedy | None:
    """Give what lets no more prints show a gap than wanted.

    A trap as wide as needed, where there is room; the earlier colour right through under the later one
    where that lies wholly within it.

    :return: ``None`` where the later colour is too narrow
    """
    press = job.shop.press
    pieces = pair.border.split(STEP_MM)
    centre = np.array([job.artwork.width_mm / 2.0, job.artwork.height_mm / 2.0])
    draws = draws_between(job, pair.earlier, pair.later)
    for says, width, added in _tried(job, pair):
        below = united([pair.first.region, pair.earlier.region, *added], CRACK_MM)
        along = _RUNS_ON * (width or pair.needed_mm)
        trap_mm = reach_along(below, pieces.middle, pieces.normal, along, steps=64)
        if width is not None and trap_mm.max() < width:
            continue  # it is whole nowhere
        edges = edges_of(pieces.middle, pieces.normal, trap_mm, centre)
        found = chance(edges, draws, press.visible_gap_mm)
        if found.print_any <= press.gap_share + SAMPLING:
            one, other = pair.first.colour, pair.second.colour
            keys = f'[[trap.pair]] with under = "{one}", over = "{other}", {says} in order.toml'
            return Remedy(keys, width, found.print_any)
    return None


def _tried(job: Job, pair: Pair) -> Iterator[tuple[str, float | None, list[MultiPolygon]]]:
    """Give what may help: its key and value, its width, and what is added to the screen."""
    if pair.do != "overprint":
        within = enclosed(pair.second.region, pair.around)
        if len(within.geoms) == len(pair.second.region.geoms):
            yield 'do = "overprint"', None, [within]
    step = STEP[job.shop.units]
    width = math.ceil(round(pair.needed_mm / step, 6)) * step
    if width > MOST_ASKED_MM:
        return
    do = "spread" if pair.do == "butt" else pair.do
    wider = dataclasses.replace(pair, width_mm=width, do=do, stated=False)
    try:
        made = added_to(job, Plan((wider,), ())).get(pair.earlier.key)
    except SettingsError:
        return  # wider than the later colour can take
    if made is not None:
        said = f'width = "{length(width, job.shop.units)}"'
        yield said, width, [made.closed, *(trap for _, trap in made.traps)]
