"""What other plugins may ask of traps. Imports no numpy."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

WHOLE_BORDER = 0.999
"""Share of a border that counts as all of it."""

__all__ = ["Do", "GapChances", "PairChance"]

Do = Literal["spread", "butt", "overprint", "base"]
"""``base``: the screen printed first is a base, which is spread by whoever made it, not by a trap."""


@dataclass(frozen=True, slots=True)
class PairChance:
    """Two colours that meet, and what a miss shows between them.

    :param earlier: key of the screen printed first
    :param later: key of the screen printed after it
    :param why: why this is done, a sentence
    :param width_mm: of the trap, 0 where none is made
    :param stated: the width was asked for
    :param needed_mm: even trap with which the share of prints is as wanted
    :param full: share of the border where the trap has its whole width
    :param run_bad: chance that the set-up alone shows a gap in every print of a run
    :param print_in_good: share of prints that show one in a run that isn't bad
    :param print_any: share of prints that show one, over all runs
    :param worst_gap_mm: widest gap of a print, on average over prints
    :param like: the colour of the two that a gap, showing shirt or base, looks like more of
    :param through: share of the border beside parts of the later colour that lie wholly within the
        earlier, which is printed right through under them
    :param at_mm: where it shows most often; the border's middle where it never does
    """

    earlier: str
    later: str
    do: Do
    why: str
    width_mm: float
    stated: bool
    needed_mm: float
    full: float
    run_bad: float
    print_in_good: float
    print_any: float
    worst_gap_mm: float
    at_mm: tuple[float, float]
    like: str | None = None
    through: float = 0.0

    @property
    def all_through(self) -> bool:
        """Whether the earlier colour is printed right through under all of the later, and has no width."""
        return self.through >= WHOLE_BORDER


@dataclass(frozen=True, slots=True)
class GapChances:
    """Every pair of colours that meet, in print order.

    :param visible_mm: a gap wider than this counts
    :param wanted: share of prints that may show one, of each pair
    :param error_stated: false when the press's error is only what is usual for its kind
    """

    pairs: tuple[PairChance, ...]
    visible_mm: float
    wanted: float
    error_stated: bool
