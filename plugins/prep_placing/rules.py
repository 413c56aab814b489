"""Where prints go on garments, by place and by whom the garment is for. Imports nothing of prep.

Distances and sizes are common practice of the trade, without a source, but where they say otherwise.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

Place = Literal["front", "back", "chest", "sleeve"]
Side = Literal["left", "right"]
SIDES: tuple[Side, ...] = ("left", "right")
Build = Literal["adult", "youth M and up", "youth XS-S", "toddler"]
Status = Literal["common practice", "from memory", "guess", "yours"]

PLATEN_EDGE_MM = 25.0
"""Print to platen's edge, as advised; a supplier's advice."""
LEAST_PLATEN_EDGE_MM = 6.0
"""Print to platen's edge, at least; a supplier's advice."""
POUCH_MM = (25.0, 40.0)
"""Clear of a hoodie's pouch seam, from, to. Common practice, no source."""
HOOD_MM = 200.0
"""How far a hood hangs down the back. Guess."""


@dataclass(frozen=True, slots=True)
class Usual:
    """Where a print usually goes, in mm.

    :param away_mm: from the collar's seam down to the print; on a sleeve from the hem up to it
    :param least_mm: the same, from ``least_mm`` to ``most_mm``
    :param wide_mm: how wide prints usually are, from and to
    :param status: what the distance rests on
    :param wide_status: what the widths rest on
    :param aside_mm: from the garment's centre line to the print's own
    """

    away_mm: float
    least_mm: float
    most_mm: float
    wide_mm: tuple[float, float]
    status: Status = "common practice"
    wide_status: Status = "common practice"
    aside_mm: float = 0.0


_BODY: dict[Build, Usual] = {
    "adult": Usual(75.0, 60.0, 90.0, (280.0, 300.0)),
    "youth M and up": Usual(58.0, 50.0, 65.0, (230.0, 250.0)),
    "youth XS-S": Usual(55.0, 50.0, 65.0, (180.0, 200.0)),
    "toddler": Usual(45.0, 40.0, 50.0, (130.0, 150.0), wide_status="guess"),
}
_CHEST: dict[Build, Usual] = {
    "adult": Usual(90.0, 75.0, 100.0, (75.0, 100.0), "from memory", "from memory", 95.0),
    "youth M and up": Usual(65.0, 55.0, 75.0, (60.0, 80.0), "guess", "guess", 75.0),
    "youth XS-S": Usual(60.0, 50.0, 70.0, (50.0, 70.0), "guess", "guess", 60.0),
    "toddler": Usual(45.0, 40.0, 55.0, (40.0, 60.0), "guess", "guess", 50.0),
}
_SLEEVE: dict[Build, Usual] = {
    "adult": Usual(30.0, 20.0, 50.0, (60.0, 90.0), status="guess"),
    "youth M and up": Usual(25.0, 20.0, 40.0, (50.0, 75.0), "guess", "guess"),
    "youth XS-S": Usual(20.0, 15.0, 30.0, (40.0, 60.0), "guess", "guess"),
    "toddler": Usual(20.0, 15.0, 25.0, (30.0, 50.0), "guess", "guess"),
}
USUAL: dict[Place, dict[Build, Usual]] = {
    "front": _BODY,
    "back": _BODY,
    "chest": _CHEST,
    "sleeve": _SLEEVE,
}
HOODIE_TALLEST_MM: dict[Build, tuple[float, Status]] = {
    "adult": (250.0, "common practice"),
    "youth M and up": (180.0, "common practice"),
    "youth XS-S": (180.0, "common practice"),
    "toddler": (140.0, "guess"),
}
"""How tall a print on a hoodie's front is at most, so that it stays clear of the pouch."""

SHORT_SLEEVE_MM: dict[Build, float] = {
    "adult": 210.0,
    "youth M and up": 170.0,
    "youth XS-S": 145.0,
    "toddler": 115.0,
}
"""Length of a tee's sleeve along its upper fold, from the hem to the shoulder's seam. Guess."""
LONG_SLEEVE_MM: dict[Build, float] = {
    "adult": 570.0,
    "youth M and up": 450.0,
    "youth XS-S": 370.0,
    "toddler": 260.0,
}
"""The same of a sweatshirt's or a hoodie's, from the cuff's seam. Guess."""
SHOULDER_MM = 25.0
"""Clear of the shoulder's seam, which lifts the screen off the cloth. Guess."""

BODY_MM: dict[Build, tuple[float, float]] = {
    "adult": (520.0, 720.0),
    "youth M and up": (430.0, 570.0),
    "youth XS-S": (370.0, 480.0),
    "toddler": (300.0, 380.0),
}
"""(width, length) of the bodies that sketches show. Guess; nothing is judged by them."""


def place_of(words: str) -> Place | None:
    """Tell which place an order's words mean; ``None`` where they aren't known.

    >>> [place_of(words) for words in ("front", "Left sleeve", "full back", "left chest", "hem")]
    ['front', 'sleeve', 'back', 'chest', None]
    """
    said = words.lower()
    known: tuple[tuple[str, Place], ...] = (
        ("sleeve", "sleeve"),
        ("back", "back"),
        ("chest", "chest"),
        ("breast", "chest"),
        ("pocket", "chest"),
        ("front", "front"),
        ("centre", "front"),
        ("center", "front"),
    )
    return next((place for word, place in known if word in said), None)


def sides_of(words: str) -> tuple[Side, ...]:
    """Tell which sides of the wearer an order's words name.

    >>> [sides_of(words) for words in ("Right chest", "bright chest", "left and right")]
    [('right',), (), ('left', 'right')]
    """
    named = re.findall(r"\w+", words.lower())
    return tuple(side for side in SIDES if side in named)
