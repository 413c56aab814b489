"""How much strokes that miss each other take from a gap. Nothing of prep."""

from __future__ import annotations

from functools import cache

import numpy as np

DRAWS = 1 << 14
"""Prints drawn at random."""


def taken_from_gap_mm(
    passes: int, strokes: int, scatter_mm: float, between_strokes: float
) -> tuple[float, float]:
    """Give by how much the edges of a gap come nearer, on one print in two and on one in ten.

    Each edge lies where the stroke that strayed farthest into the gap left it, so what is lost is the
    span from the leftmost to the rightmost of all strokes. Each pass, dried before the next, strays by
    itself; its strokes stray from it by a share of that. Both are taken as normal. For passes of one
    stroke the span is that of as many normal draws: 1.128 times the scatter on average for two, 1.693
    for three (the d2 of control charts, from memory).

    :param passes: times printed, dried between
    :param strokes: each time, without drying between
    :param scatter_mm: one sigma of a pass, across the gap
    :param between_strokes: that of a stroke about its pass, as a share of it
    :raises ValueError: fewer than one pass or stroke, a scatter or share below zero
    """
    if passes < 1 or strokes < 1:
        raise ValueError(f"{passes} passes of {strokes} strokes print nothing")
    if scatter_mm < 0.0 or between_strokes < 0.0:
        raise ValueError(f"a scatter of {scatter_mm} mm, {between_strokes} of it between strokes")
    usual, seldom = _spans(passes, strokes, between_strokes)
    return usual * scatter_mm, seldom * scatter_mm


@cache
def _spans(passes: int, strokes: int, share: float) -> tuple[float, float]:
    """Give the median of the span and what one in ten exceeds, in scatters."""
    random = np.random.default_rng(1)
    of_pass = random.standard_normal((DRAWS, passes, 1))
    at = of_pass + share * random.standard_normal((DRAWS, passes, strokes))
    if strokes == 1:
        at = of_pass  # the one stroke of a pass strays with it
    span = np.ptp(at.reshape(DRAWS, -1), axis=1)
    usual, seldom = np.quantile(span, [0.5, 0.9]).tolist()
    return usual, seldom
