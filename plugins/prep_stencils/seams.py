"""Where a sheet too wide for the film is parted: through solid film alone. Imports nothing of prep."""

from __future__ import annotations

from collections.abc import Sequence

Spans = Sequence[tuple[float, float]]
LEAST_STRIP_MM = 30.0
"""Of a strip beside its overlaps, at least, so that it can be handled and bears its notches. Our choice."""


def seams(
    low_mm: float,
    high_mm: float,
    openings: Spans,
    film_mm: float,
    overlap_mm: float,
    clear_mm: float,
) -> tuple[float, ...] | None:
    """Part a sheet into the fewest strips that fit the film.

    A seam is the middle of an overlap: the strips on both sides reach half of it beyond. Neither an
    opening nor what lies within ``clear_mm`` of one is overlapped.

    :param low_mm: edge of the sheet
    :param high_mm: its other edge
    :param openings: (low, high) each, in the same direction
    :param film_mm: width of the film
    :return: places of the seams, rising; ``None`` where none can be
    """
    half = overlap_mm / 2.0
    # a seam may lie where no opening, widened by the overlap and what stays clear, lies over it
    closed = merged([(a - half - clear_mm, b + half + clear_mm) for a, b in openings])
    made: list[float] = []
    begins = low_mm
    while high_mm - begins > film_mm + 1e-9:
        at = min(begins + film_mm - half, high_mm - LEAST_STRIP_MM)
        for a, b in reversed(closed):
            if a < at < b:
                at = a
        if at - half < begins + LEAST_STRIP_MM:
            return None
        made.append(at)
        begins = at - half
    return tuple(made)


def merged(spans: Spans) -> list[tuple[float, float]]:
    """Join spans that overlap; the result rises."""
    joined: list[tuple[float, float]] = []
    for low, high in sorted(spans):
        if joined and low < joined[-1][1]:
            joined[-1] = joined[-1][0], max(joined[-1][1], high)
        else:
            joined.append((low, high))
    return joined
