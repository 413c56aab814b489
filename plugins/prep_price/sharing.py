"""More shirts shared out over an order's garments and sizes. Imports nothing of prep."""

from __future__ import annotations

from collections.abc import Sequence


def in_proportion(counts: Sequence[int], more: int) -> tuple[int, ...]:
    """Raise counts by so many in all, each in proportion to what it is.

    What is left over by rounding down goes to the largest remainders, at equal ones to those that stand
    first.

    :param counts: each above zero
    :param more: zero or above
    :raises ValueError: a count that isn't above zero, or fewer shirts

    >>> in_proportion((8, 16, 16, 8), 50), in_proportion((10, 5), 1), in_proportion((24,), 50)
    ((16, 33, 33, 16), (11, 5), (74,))
    """
    if not counts or min(counts) < 1 or more < 0:
        raise ValueError(f"can't share {more} more over {list(counts)}")
    whole = sum(counts)
    added = [more * count // whole for count in counts]
    left = more - sum(added)
    by_remainder = sorted(range(len(counts)), key=lambda i: -(more * counts[i] % whole))
    for i in by_remainder[:left]:
        added[i] += 1
    return tuple(count + plus for count, plus in zip(counts, added, strict=True))
