"""Rings and letters on a picture: where the findings sit. Black only, so that any printer shows them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from prep.findings import SEVERITIES, Severity
from prep.pictures import Bounds, Canvas

RING_MM = 2.4
"""Radius of a ring on paper: found at a glance however fine the place is."""
SMALL_RING_MM = 1.0
"""Radius of a ring at a further place of the same finding."""
_LETTER_MM = 3.6
_TOGETHER_MM = 2.0
_LINE_MM: dict[Severity, float] = {"will fail": 0.8, "at risk": 0.5, "note": 0.25}
_ABOUT = ((1, -1), (1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1))


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on a picture, in mm of the artwork, with the letters that belong to it."""

    at_mm: tuple[float, float]
    letters: str
    severity: Severity


def gather(
    places: Sequence[tuple[tuple[float, float], str, Severity]], paper_scale: float
) -> tuple[Spot, ...]:
    """Put places together that would share a ring on paper; the worst gives the ring its look.

    :param places: (place, letter, severity), worst first
    :param paper_scale: mm on paper for a mm of the artwork
    """
    spots: list[Spot] = []
    for at, name, severity in places:
        for number, spot in enumerate(spots):
            if math.dist(at, spot.at_mm) * paper_scale <= _TOGETHER_MM:
                worse = min(severity, spot.severity, key=SEVERITIES.index)
                spots[number] = Spot(spot.at_mm, f"{spot.letters} {name}", worse)
                break
        else:
            spots.append(Spot(at, name, severity))
    return tuple(spots)


def draw(canvas: Canvas, spots: Sequence[Spot], paper_scale: float) -> None:
    """Draw a ring and letters for each spot.

    A thick full ring will fail, a dashed one is at risk, a thin one is a note. Letters stand where
    they cover no ring and no other letters; a line leads to those that stand farther off.
    """
    unit = 1.0 / paper_scale
    ring = RING_MM * unit
    taken = [_around(spot.at_mm, ring, ring) for spot in spots]
    labels: list[tuple[Spot, tuple[float, float], bool]] = []
    for spot in spots:
        wide, high = 0.8 * _LETTER_MM * len(spot.letters) * unit, _LETTER_MM * unit
        middle, far = _free_place(spot.at_mm, ring, wide, high, taken, canvas.bounds)
        taken.append(_around(middle, wide / 2.0, high / 2.0))
        labels.append((spot, middle, far))
    for spot, middle, far in labels:
        if far:
            canvas.line((spot.at_mm, middle), stroke="#ffffff", stroke_mm=0.9 * unit)
            canvas.line((_rim(spot.at_mm, middle, ring), middle), stroke_mm=0.3 * unit)
    for spot, _, _ in reversed(labels):
        wide = _LINE_MM[spot.severity] * unit
        dash = (1.6 * unit, 1.1 * unit) if spot.severity == "at risk" else ()
        canvas.circle(spot.at_mm, ring, stroke="#ffffff", stroke_mm=wide + 0.7 * unit)
        canvas.circle(spot.at_mm, ring, stroke="#000000", stroke_mm=wide, dash_mm=dash)
    for spot, middle, _ in labels:
        canvas.text(
            spot.letters,
            (middle[0], middle[1] + 0.36 * _LETTER_MM * unit),
            height_mm=_LETTER_MM * unit,
            halo="#ffffff",
            anchor="middle",
            bold=True,
        )


def draw_small(
    canvas: Canvas, places: Sequence[tuple[tuple[float, float], Severity]], paper_scale: float
) -> None:
    """Draw a small ring at each place, in the look of its severity."""
    unit = 1.0 / paper_scale
    for at, severity in places:
        wide = 0.6 * _LINE_MM[severity] * unit
        dash = (0.8 * unit, 0.6 * unit) if severity == "at risk" else ()
        canvas.circle(at, SMALL_RING_MM * unit, stroke="#000000", stroke_mm=wide, dash_mm=dash)


def _around(at: tuple[float, float], half_wide: float, half_high: float) -> Bounds:
    return at[0] - half_wide, at[1] - half_high, at[0] + half_wide, at[1] + half_high


def _rim(
    centre: tuple[float, float], towards: tuple[float, float], ring: float
) -> tuple[float, float]:
    away = math.dist(centre, towards) or 1.0
    return (
        centre[0] + (towards[0] - centre[0]) * ring / away,
        centre[1] + (towards[1] - centre[1]) * ring / away,
    )


def _free_place(
    at: tuple[float, float],
    ring: float,
    wide: float,
    high: float,
    taken: Sequence[Bounds],
    inside: Bounds,
) -> tuple[tuple[float, float], bool]:
    """Give the middle of the letters, and whether it is far enough away for a line to lead there."""
    best = ((at[0] + ring + wide / 2.0, at[1]), False)
    least = math.inf
    for step, (x, y) in _candidates(at, ring, wide, high):
        box = _around((x, y), wide / 2.0, high / 2.0)
        out = sum((box[0] < inside[0], box[1] < inside[1], box[2] > inside[2], box[3] > inside[3]))
        cost = 4.0 * out + sum(_overlap(box, other) for other in taken) / (wide * high)
        if cost < least - 1e-9:
            best, least = ((x, y), step > 0), cost
        if cost <= 0.0:
            break
    return best


def _candidates(
    at: tuple[float, float], ring: float, wide: float, high: float
) -> Iterator[tuple[int, tuple[float, float]]]:
    for step in range(4):
        away = ring * (1.2 + 1.5 * step)
        for dx, dy in _ABOUT:
            yield step, (at[0] + dx * (away + wide / 2.0), at[1] + dy * (away + high / 2.0))


def _overlap(one: Bounds, other: Bounds) -> float:
    wide = min(one[2], other[2]) - max(one[0], other[0])
    high = min(one[3], other[3]) - max(one[1], other[1])
    return wide * high if wide > 0.0 and high > 0.0 else 0.0
