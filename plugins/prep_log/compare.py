"""Which of the log's figures were both predicted and measured, put side by side."""

from __future__ import annotations

from prep_log import entries
from prep_log.agreement import Pair
from prep_log.posterior import Belief
from prep_log.store import Store


def pairs_of(store: Store) -> tuple[Pair, ...]:
    """Give the ink that each run used up of each ink, predicted and weighed, oldest run first.

    Used up is what was mixed less what was left. A run whose ink was weighed in neither way, or of which
    less than nothing is gone, gives none.
    """
    found: list[Pair] = []
    inks: set[str] = set()
    before, number = None, 0
    for one in store.held_against(entries.USED_UP, entries.MIXED, entries.LEFT):
        # a run has each ink once: one that comes again is of another run of that name and day
        if (one.run, one.day) != before or one.ink in inks:
            before, number, inks = (one.run, one.day), number + 1, set()
        inks.add(one.ink)
        low, value, high = one.predicted
        if 0.0 < low <= value <= high and one.measured > 0.0:
            name = f"{one.run}, {one.day}: {one.ink}"
            found.append(Pair(name, Belief(*one.predicted), one.measured, str(number)))
    return tuple(found)
