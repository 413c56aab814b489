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
    return tuple(
        Pair(f"{one.run}, {one.day}: {one.ink}", Belief(*one.predicted), one.measured)
        for one in store.held_against(entries.USED_UP, entries.MIXED, entries.LEFT)
        if one.predicted[0] > 0.0 and one.measured > 0.0
    )
