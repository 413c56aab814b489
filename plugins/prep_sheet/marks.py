"""Rings and letters on a picture: where the findings sit. Black only, so that any printer shows them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from prep.findings import SEVERITIES, Severity
from prep.labels import Label, place_labels
from prep.pictures import Canvas

RING_MM = 2.4
"""Radius of a ring on paper: found at a glance however fine the place is."""
SMALL_RING_MM = 1.0
"""Radius of a ring at a further place of the same finding."""
_LETTER_MM = 3.6
_TOGETHER_MM = 2.0
_LINE_MM: dict[Severity, float] = {"will fail": 0.8, "at risk": 0.5, "note": 0.25}
_LETTER_WIDE, _GAP_MM = 0.8, 0.5
_BETWEEN_MM = 2.5
"""Between letters of one ring and of another on a line: two thirds of their height. Our choice."""
MOST_LABELS = 24
"""Rings with letters on one picture; more are a thicket. Our choice."""
_MOST_LETTERS = 3
"""Letters at one ring."""


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


def draw(canvas: Canvas, spots: Sequence[Spot], paper_scale: float) -> int:
    """Draw a ring and letters for each spot, as far as there is room for letters.

    A thick full ring will fail, a dashed one is at risk, a thin one is a note. Letters stand where
    they cover no ring and no other letters; a line leads to those that stand farther off. A spot that
    finds no room, and what comes after the first ones, has neither ring nor letters.

    :param spots: worst first
    :return: how many letters are not on the picture
    """
    unit = 1.0 / paper_scale
    ring = RING_MM * unit
    shown = spots[:MOST_LABELS]
    texts = [_text_of(spot) for spot in shown]
    labels = [
        Label(spot.at_mm, _LETTER_WIDE * _LETTER_MM * len(text) * unit, _LETTER_MM * unit)
        for spot, text in zip(shown, texts, strict=True)
    ]
    found = place_labels(
        labels,
        ring_mm=ring,
        gap_mm=_GAP_MM * unit,
        between_mm=_BETWEEN_MM * unit,
        bounds=canvas.bounds,
    )
    drawn = [
        (spot, text, there)
        for spot, text, there in zip(shown, texts, found, strict=True)
        if there is not None
    ]
    for _, _, there in drawn:
        if there.leader is not None:
            canvas.line(there.leader, stroke="#ffffff", stroke_mm=0.9 * unit)
            canvas.line(there.leader, stroke_mm=0.3 * unit)
    for spot, _, _ in reversed(drawn):
        wide = _LINE_MM[spot.severity] * unit
        dash = (1.6 * unit, 1.1 * unit) if spot.severity == "at risk" else ()
        canvas.circle(spot.at_mm, ring, stroke="#ffffff", stroke_mm=wide + 0.7 * unit)
        canvas.circle(spot.at_mm, ring, stroke="#000000", stroke_mm=wide, dash_mm=dash)
    for _, text, there in drawn:
        x, y = there.middle_mm
        canvas.text(
            text,
            (x, y + 0.36 * _LETTER_MM * unit),
            height_mm=_LETTER_MM * unit,
            halo="#ffffff",
            anchor="middle",
            bold=True,
        )
    named = sum(min(len(spot.letters.split()), _MOST_LETTERS) for spot, _, _ in drawn)
    return sum(len(spot.letters.split()) for spot in spots) - named


def _text_of(spot: Spot) -> str:
    """Write the letters of a spot; of many the first few."""
    letters = spot.letters.split()
    if len(letters) <= _MOST_LETTERS:
        return ", ".join(letters)
    return f"{', '.join(letters[:_MOST_LETTERS])} …"


def draw_small(
    canvas: Canvas, places: Sequence[tuple[tuple[float, float], Severity]], paper_scale: float
) -> None:
    """Draw a small ring at each place, in the look of its severity."""
    unit = 1.0 / paper_scale
    for at, severity in places:
        wide = 0.6 * _LINE_MM[severity] * unit
        dash = (0.8 * unit, 0.6 * unit) if severity == "at risk" else ()
        canvas.circle(at, SMALL_RING_MM * unit, stroke="#000000", stroke_mm=wide, dash_mm=dash)
