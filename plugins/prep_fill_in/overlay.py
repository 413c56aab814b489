"""Pictures: a ring and a letter at each fine place, and the worst ones enlarged."""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely
from shapely import MultiPolygon, affinity

from prep.findings import Severity
from prep.pictures import Bounds, Canvas, Picture, simplified
from prep_fill_in.trouble import Trouble

SHOWN_WIDE_MM = 160.0
"""Width a picture has on paper, about."""
RING_MM = 3.0
"""Least radius of a ring on paper, so that it is found at a glance."""
MOST_RINGS = 300
"""Rings drawn of one screen; a picture of more is a grey cloud."""
ENLARGED = 8.0
WINDOW_MM = 6.0
"""Side of the square a close-up shows, in the artwork."""

_OPENING, _INK = "#c8c8c8", "#000000"
_COLOUR: dict[Severity, str] = {"will fail": "#a63603", "at risk": "#e69f00", "note": "#0072b2"}


def letter(number: int) -> str:
    """Give A, B, ... Z, AA, AB ... for 0, 1, ..."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def overlay(
    region: MultiPolygon, lettered: tuple[tuple[str, Trouble], ...], size_mm: tuple[float, float]
) -> tuple[Picture, int]:
    """Draw a screen's openings with a ring around each fine place.

    A full ring will fail, a dashed one is at risk, a thin one is a note; the worst place of each
    line of the table carries its letter, the others like it a smaller ring.

    :param lettered: troubles that have a place, each with its letter
    :param size_mm: of the artboard
    :return: the picture, and how many places have no ring for want of room
    """
    scale = max(size_mm) / SHOWN_WIDE_MM
    ring, margin = RING_MM * scale, 2.0 * RING_MM * scale
    canvas = Canvas((-margin, -margin, size_mm[0] + margin, size_mm[1] + margin))
    canvas.rectangle((0.0, 0.0, *size_mm), stroke="#808080", stroke_mm=0.2 * scale)
    canvas.region(simplified(region, 0.05 * max(scale, 1.0)), fill=_OPENING)
    left_out, drawn = 0, 0
    for _, trouble in reversed(lettered):
        rest = [(float(x), float(y)) for x, y in trouble.places_mm]
        rest = [at for at in rest if at != trouble.finding.at_mm]
        room = max(0, MOST_RINGS - drawn)
        for at in rest[:room]:
            _ring(canvas, at, 0.4 * ring, trouble.finding.severity, 0.5 * scale)
        drawn += min(room, len(rest))
        left_out += max(0, len(rest) - room)
    for _, trouble in reversed(lettered):  # the worst is drawn last, over all others
        at = trouble.finding.at_mm or (0.0, 0.0)
        _ring(canvas, at, ring, trouble.finding.severity, scale)
    places = [trouble.finding.at_mm or (0.0, 0.0) for _, trouble in lettered]
    for (name, _), at in zip(lettered, _label_places(places, ring, canvas.bounds), strict=True):
        canvas.text(name, at, height_mm=1.4 * ring, fill=_INK, halo="#ffffff", anchor="middle")
    said = ", ".join(f"{name} {t.finding.kind}" for name, t in lettered)
    return canvas.picture(f"Fine places of the screen: {said}", background="#ffffff"), left_out


def _label_places(
    places: Sequence[tuple[float, float]], ring_mm: float, bounds: Bounds
) -> list[tuple[float, float]]:
    """Give a baseline place for each letter beside its ring, clear of letters set before it.

    Eight places around the ring are tried, then a wider circle; the first stands if none is clear.
    """
    taken: list[tuple[float, float]] = []
    for x, y in places:
        tries = [
            (x + far * ring_mm * math.cos(turn), y + ring_mm * (0.5 + far * math.sin(turn)))
            for far in (1.9, 3.2)
            for turn in (math.pi / 4.0 * step for step in (-1, 1, 0, -3, 3, 4, -2, 2))
        ]
        inside = [
            (tx, ty)
            for tx, ty in tries
            if bounds[0] + ring_mm < tx < bounds[2] - ring_mm
            and bounds[1] + 1.5 * ring_mm < ty < bounds[3] - 0.2 * ring_mm
        ]
        clear = [
            (tx, ty)
            for tx, ty in inside
            if all(max(abs(tx - ox) / 1.4, abs(ty - oy) / 1.5) > ring_mm for ox, oy in taken)
        ]
        taken.append((clear or inside or tries)[0])
    return taken


def close_ups(region: MultiPolygon, lettered: tuple[tuple[str, Trouble], ...]) -> Picture:
    """Draw some places side by side, to be shown 8 times their size, each with a bar of 1 mm."""
    gap = 0.4
    step = WINDOW_MM + gap
    canvas = Canvas((0.0, 0.0, step * len(lettered) - gap, WINDOW_MM))
    parts = shapely.get_parts(region)
    tree = shapely.STRtree(parts)
    for number, (name, trouble) in enumerate(lettered):
        x, y = trouble.finding.at_mm or (0.0, 0.0)
        half = WINDOW_MM / 2.0
        window = shapely.box(x - half, y - half, x + half, y + half)
        seen = shapely.intersection(parts[tree.query(window, predicate="intersects")], window)
        shift_x, shift_y = number * step - (x - half), -(y - half)
        for part in seen:
            canvas.region(affinity.translate(part, shift_x, shift_y), fill=_OPENING)
        left = number * step
        canvas.rectangle((left, 0.0, left + WINDOW_MM, WINDOW_MM), stroke=_INK, stroke_mm=0.03)
        reach = max(0.5, 1.2 * (trouble.finding.size_mm or 0.0) / 2.0)
        _ring(canvas, (left + half, half), min(reach, 2.6), trouble.finding.severity, 0.15)
        canvas.text(name, (left + 0.2, 0.8), height_mm=0.7, fill=_INK, halo="#ffffff")
        bar = WINDOW_MM - 0.25
        canvas.line(((left + bar - 1.0, bar), (left + bar, bar)), stroke=_INK, stroke_mm=0.08)
        canvas.text(
            "1 mm",
            (left + bar - 0.5, bar - 0.15),
            height_mm=0.4,
            fill=_INK,
            halo="#ffffff",
            anchor="middle",
        )
    said = ", ".join(f"{name}: {t.finding.what}" for name, t in lettered)
    return canvas.picture(f"Close-ups, openings grey. {said}", background="#ffffff")


def _ring(
    canvas: Canvas, at: tuple[float, float], radius_mm: float, severity: Severity, scale: float
) -> None:
    wide = {"will fail": 0.9, "at risk": 0.6, "note": 0.3}[severity] * scale
    dash = (2.0 * scale, 1.2 * scale) if severity == "at risk" else ()
    canvas.circle(at, radius_mm, stroke="#ffffff", stroke_mm=wide + 0.7 * scale)
    canvas.circle(at, radius_mm, stroke=_COLOUR[severity], stroke_mm=wide, dash_mm=dash)
