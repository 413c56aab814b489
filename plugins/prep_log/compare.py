"""Which of the log's figures were both predicted and measured, put side by side."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from prep_log import entries
from prep_log.agreement import Pair
from prep_log.posterior import Belief
from prep_log.store import Store


def pairs_of(store: Store) -> tuple[Pair, ...]:
    """Give the ink that each run used up of each ink, predicted and weighed, oldest run first.

    Used up is what was mixed less what was left. A run whose ink was weighed in neither way, or of which
    less than nothing is gone, gives none.
    """
    predicted = store.figures(entries.USED_UP)
    measured = store.figures(entries.MIXED, entries.LEFT)
    weighed: dict[tuple[str, str], dict[str, float]] = defaultdict(dict)
    for heading in store.headings("seen"):
        for figure in measured.get(heading.id, []):
            if heading.run is not None:
                weighed[heading.run, figure.ink][figure.quantity] = figure.value
    firsts = {heading.number: heading.uid for heading in store.headings("run", all_of_them=True)
              if heading.corrects is None}  # fmt: skip
    runs = sorted(store.headings("run"), key=lambda heading: (heading.day, heading.number))
    return tuple(
        pair
        for run in runs
        for figure in predicted.get(run.id, [])
        for pair in _pair(
            f"{run.name}, {run.day.isoformat()}: {figure.ink}",
            (figure.low, figure.value, figure.high),
            weighed.get((firsts[run.number], figure.ink), {}),
        )
    )


def _pair(
    name: str, predicted: tuple[float | None, float, float | None], weighed: dict[str, float]
) -> Iterator[Pair]:
    low, value, high = predicted
    if low is None or high is None or low <= 0.0 or set(weighed) != {entries.MIXED, entries.LEFT}:
        return
    used = weighed[entries.MIXED] - weighed[entries.LEFT]
    if used > 0.0:
        yield Pair(name, Belief(low, value, high), used)
