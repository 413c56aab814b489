"""Pictures of the worst places, enlarged."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import shapely
from shapely import MultiPolygon, affinity

from prep.at_place import bar_of
from prep.findings import Severity
from prep.labels import Label, place_labels
from prep.pictures import Canvas, Picture, simplified
from prep_fill_in.trouble import Trouble

ENLARGED = 6.0
LOST_ENLARGED = 3.0
WINDOW_MM = 6.0
"""Side of the square a close-up shows, in the artwork."""

_BAR_MM = 1.3
"""No scale bar is longer: 1 mm, or 0.05 in."""
Units = Literal["metric", "inch"]
_OPENING, _INK = "#c8c8c8", "#000000"


def letter(number: int) -> str:
    """Give A, B, ... Z, AA, AB ... for 0, 1, ..."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def close_ups(
    region: MultiPolygon, lettered: tuple[tuple[str, Trouble], ...], units: Units
) -> Picture:
    """Draw some places side by side, to be shown 6 times their size, each with a scale bar."""
    long, said_long = bar_of(_BAR_MM, units)
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
        canvas.line(((left + bar - long, bar), (left + bar, bar)), stroke=_INK, stroke_mm=0.08)
        canvas.text(
            said_long,
            (left + bar - long / 2.0, bar - 0.15),
            height_mm=0.4,
            fill=_INK,
            halo="#ffffff",
            anchor="middle",
        )
    said = ", ".join(f"{name}: {t.finding.what}" for name, t in lettered)
    return canvas.picture(f"Close-ups, openings grey. {said}", background="#ffffff")


def two_ways(
    pairs: Sequence[tuple[str, tuple[float, float]]],
    before: MultiPolygon,
    after: MultiPolygon,
    called: tuple[str, str],
    units: Units,
) -> Picture:
    """Draw places twice each, one above the other, before and after, each with a scale bar.

    :param pairs: (letter or number, place)
    :param before: openings
    :param after: openings
    :param called: what to write under the two
    """
    step, foot = WINDOW_MM + 0.4, 1.2
    long, said_long = bar_of(_BAR_MM, units)
    canvas = Canvas((0.0, 0.0, step * len(pairs) - 0.4, 2.0 * (WINDOW_MM + foot)))
    for row, (region, word) in enumerate(zip((before, after), called, strict=True)):
        parts = shapely.get_parts(region)
        tree = shapely.STRtree(parts)
        top = row * (WINDOW_MM + foot)
        for number, (name, (x, y)) in enumerate(pairs):
            half = WINDOW_MM / 2.0
            window = shapely.box(x - half, y - half, x + half, y + half)
            seen = shapely.intersection(parts[tree.query(window, predicate="intersects")], window)
            left = number * step
            for part in seen:
                moved = affinity.translate(part, left - (x - half), top - (y - half))
                canvas.region(moved, fill=_OPENING, stroke=_INK, stroke_mm=0.02)
            edge = (left, top, left + WINDOW_MM, top + WINDOW_MM)
            canvas.rectangle(edge, stroke=_INK, stroke_mm=0.05)
            low = top + WINDOW_MM
            canvas.text(f"{name} {word}".strip(), (left, low + 0.9), height_mm=0.8, fill=_INK)
            right = left + WINDOW_MM
            bar = low - 0.25
            canvas.line(((right - 0.25 - long, bar), (right - 0.25, bar)), stroke_mm=0.08)
            canvas.text(
                said_long,
                (right - 0.25 - long / 2.0, bar - 0.15),
                height_mm=0.5,
                halo="#ffffff",
                anchor="middle",
            )
    places = ", ".join(f"{name} at x {x:.1f}, y {y:.1f} mm" for name, (x, y) in pairs)
    return canvas.picture(
        f"Above {called[0]}, below {called[1]}, openings grey: {places}", background="#ffffff"
    )


def all_changes(
    region: MultiPolygon, changes: Sequence[tuple[tuple[float, float], bool]], numbered: int
) -> Picture:
    """Draw a whole screen with every place that was to be thickened: a ring, or a cross where it wasn't.

    :param region: openings
    :param changes: (place, whether it was thickened), in the order of their numbers, from 1
    :param numbered: so many bear their number
    """
    places = [at for at, _ in changes]
    x0, y0, x1, y1 = shapely.total_bounds([region, shapely.MultiPoint(places)])
    size = max(x1 - x0, y1 - y0) / 90.0
    edge = 4.0 * size
    bounds = (float(x0 - edge), float(y0 - edge), float(x1 + edge), float(y1 + edge))
    canvas = Canvas(bounds)
    canvas.region(simplified(region), fill=_OPENING)
    for (x, y), is_done in changes:
        marks: list[tuple[tuple[float, float], ...]] = [
            ((x - size, y - size), (x + size, y + size)),
            ((x - size, y + size), (x + size, y - size)),
        ]
        for wide, stroke in ((0.55, "#ffffff"), (0.25, _INK)):
            if is_done:
                canvas.circle((x, y), size, stroke=stroke, stroke_mm=wide * size)
            else:
                for mark in marks:
                    canvas.line(mark, stroke=stroke, stroke_mm=wide * size)
    high = 2.2 * size
    labels = [
        Label(at, 0.7 * high * len(str(number)), high)
        for number, (at, _) in enumerate(changes[:numbered], start=1)
    ]
    spots = place_labels(
        labels, ring_mm=size, gap_mm=0.3 * size, bounds=bounds, between_mm=0.8 * high
    )
    for number, spot in enumerate(spots, start=1):
        if spot is None:
            continue
        if spot.leader is not None:
            canvas.line(spot.leader, stroke=_INK, stroke_mm=0.15 * size)
        x, y = spot.middle_mm
        at = (x, y + 0.36 * high)
        canvas.text(str(number), at, height_mm=high, halo="#ffffff", anchor="middle")
    done = sum(one for _, one in changes)
    return canvas.picture(
        f"All {len(changes)} places to be thickened on the whole screen, openings grey: {done} thickened,"
        f" each a ring; {len(changes) - done} left as drawn, each a cross",
        background="#ffffff",
    )


def _ring(
    canvas: Canvas, at: tuple[float, float], radius_mm: float, severity: Severity, scale: float
) -> None:
    wide = {"will fail": 0.9, "at risk": 0.6, "note": 0.3}[severity] * scale
    dash = (2.0 * scale, 1.2 * scale) if severity == "at risk" else ()
    canvas.circle(at, radius_mm, stroke="#ffffff", stroke_mm=wide + 0.7 * scale)
    canvas.circle(at, radius_mm, stroke=_INK, stroke_mm=wide, dash_mm=dash)
