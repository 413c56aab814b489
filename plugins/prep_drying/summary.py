"""What a run is told by: bands of its curves and when fresh ink is put on, kept while it is simulated.

Prints times screens times draws would fill the memory for a day's prints; bands are taken from a few prints
at a time, and of top-ups only those that happen are kept.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from prep_drying.answers import Curve, Repeats, TopUp

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from prep_drying.answers import Range

    Floats = NDArray[np.float64]

MOST_LINES = 8
"""Top-ups of a screen up to which each is told; more are told by a rule."""
SELDOM = 0.3
"""Share of the draws that come to a top-up from which it is told."""
_AT_A_TIME = 64  # prints
_POINTS = (0.1, 0.5, 0.9)


class Summary:
    """Watches a run of S screens, D draws after the model at its defaults."""

    def __init__(self) -> None:
        """Begin with nothing seen."""
        self._waiting: list[tuple[Floats, Floats]] = []
        self._bands: list[Floats] = []
        self._topped: list[tuple[int, NDArray[np.int64], NDArray[np.int64], Floats]] = []
        self._prints = 0

    def __call__(self, bead: Floats, well: Floats, topped_g: Floats) -> None:
        """See one print, all (S, 1 + D)."""
        self._prints += 1
        self._waiting.append((bead[:, 1:], well[:, 1:]))
        if len(self._waiting) == _AT_A_TIME:
            self._take_bands()
        screens, draws = np.nonzero(topped_g[:, 1:])
        if screens.size:
            self._topped.append((self._prints, screens, draws, topped_g[screens, draws + 1]))

    def _take_bands(self) -> None:
        if self._waiting:
            # (print, curve, screen, draw) to (point, print, curve, screen)
            self._bands.append(np.quantile(np.array(self._waiting), _POINTS, axis=3))
            self._waiting.clear()

    def bead(self, screen: int) -> Curve:
        """Give the water share of the ink before the blade on a screen."""
        return self._curve(0, screen)

    def well(self, screen: int) -> Curve:
        """Give that of the ink in its narrowest opening, when it is driest."""
        return self._curve(1, screen)

    def _curve(self, which: int, screen: int) -> Curve:
        self._take_bands()
        low, middle, high = np.concatenate(
            [bands[:, :, which, screen] for bands in self._bands], axis=1
        )
        return Curve(tuple(low.tolist()), tuple(middle.tolist()), tuple(high.tolist()))

    def top_ups(self, screen: int, draws: int, tests: int, last_shirt: int) -> tuple[TopUp, ...]:
        """Tell when fresh ink is put on a screen, as often as three draws in ten have it.

        :param tests: prints before the first shirt
        :param last_shirt: that is printed as far as the run is followed
        """
        empty = np.empty(0, dtype=np.int64)
        at, draw, grams = empty, empty, np.empty(0)
        if self._topped:
            number = np.repeat(
                [n for n, s, _, _ in self._topped], [s.size for _, s, _, _ in self._topped]
            )
            on = np.concatenate([s for _, s, _, _ in self._topped]) == screen
            at = number[on]
            draw = np.concatenate([d for _, _, d, _ in self._topped])[on]
            grams = np.concatenate([g for _, _, _, g in self._topped])[on]
        return told_top_ups(_Poured(at, draw, grams, draws), self._prints, tests, last_shirt)


class _Poured:
    """All top-ups of one screen, draw by draw."""

    def __init__(
        self, at: NDArray[np.int64], draw: NDArray[np.int64], grams: Floats, draws: int
    ) -> None:
        order = np.lexsort((at, draw))
        self.at, self.grams, self.draw = at[order], grams[order], draw[order]
        self.count = np.bincount(draw, minlength=draws)
        self.start = np.cumsum(self.count) - self.count

    def nth(self, number: int) -> tuple[NDArray[np.bool_], NDArray[np.int64], Floats]:
        """Give which draws come to a top-up, and before which print and how much in these."""
        has = self.count >= number
        where = self.start[has] + number - 1
        return has, self.at[where], self.grams[where]


def told_top_ups(poured: _Poured, prints: int, tests: int, last_shirt: int) -> tuple[TopUp, ...]:
    """Tell top-ups one by one, or where they are many, all of them by a rule."""
    if np.median(poured.count) <= MOST_LINES:
        most_first = np.sort(poured.count)[::-1]
        told = min(int(most_first[math.ceil(SELDOM * most_first.size) - 1]), MOST_LINES)
        return tuple(_line(poured, n, tests, last_shirt) for n in range(1, told + 1))
    return (_rule(poured, prints, tests, last_shirt),)


def _line(poured: _Poured, number: int, tests: int, last_shirt: int) -> TopUp:
    """Tell one top-up; draws that don't come to it count as the last shirt, so that order is kept."""
    has, at, grams = poured.nth(number)
    shirts = np.full(has.size, float(last_shirt))
    shirts[has] = np.clip(at - tests, 0, last_shirt)
    return TopUp(float(has.mean()), _range(shirts), _range(grams))


def _rule(poured: _Poured, prints: int, tests: int, last_shirt: int) -> TopUp:
    """Tell all top-ups as one amount each so many shirts.

    What is put on from the first on is what the prints from there on take; as much a print is put on, each
    time for as many shirts as half the draws have from one to the next. It begins where a tenth of the
    draws need it.
    """
    has, at, _ = poured.nth(1)
    more = poured.count[has] - 1
    last = poured.at[poured.start[has] + more]
    every = max(1, int(np.median((last - at)[more > 0] / more[more > 0])))
    total = np.bincount(poured.draw, weights=poured.grams, minlength=has.size)[has]
    a_print = total / (prints - at + 1)
    line = _line(poured, 1, tests, last_shirt)
    first, end = max(int(line.shirt[0]), 1), max(last_shirt, 1)
    until = first + (end - first) // every * every
    rest = prints - tests - until + 1
    return TopUp(
        line.chance,
        (float(first),) * 3,
        _range(every * a_print),
        Repeats(every, until, _range(min(rest, every) * a_print), last_is_less=rest <= 0.9 * every),
    )


def _range(values: Floats) -> Range:
    low, middle, high = np.quantile(values, _POINTS)
    return float(low), float(middle), float(high)
