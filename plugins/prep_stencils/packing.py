"""How films lie on the roll or on sheets. Imports nothing of prep.

Films lie in rows across the film, each where the first row with room for it is, longest films first. They
aren't turned against each other: what the film stretches, it then stretches alike in every colour.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

HAIR_MM = 1e-3
"""A length may miss a whole millimetre or a film's edge by so much: offsets of curves leave nanometres."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where one film lies.

    :param sheet: number of the sheet, from 0; always 0 on a roll
    :param across_mm: of its first edge from the film's
    :param along_mm: of its first edge from the roll's or sheet's beginning
    """

    sheet: int
    across_mm: float
    along_mm: float


@dataclass(frozen=True, slots=True)
class Packing:
    """How films lie.

    :param places: one for each film, in the order asked
    :param sheets: of the film that are taken; 1 on a roll
    :param length_mm: of the roll that is taken, or of all sheets together
    :param waste: share of what is taken that no film covers
    """

    places: tuple[Place, ...]
    sheets: int
    length_mm: float
    waste: float


@dataclass
class _Row:
    sheet: int
    along_mm: float
    high_mm: float
    used_mm: float


def packed(
    sizes_mm: Sequence[tuple[float, float]], film_mm: float, sheet_mm: float = math.inf
) -> Packing:
    """Pack films in rows: first fit by decreasing length, films alike staying in the order given.

    :param sizes_mm: (across, along) of each film
    :param film_mm: width of the roll or sheet
    :param sheet_mm: length of a sheet; none on a roll
    :raises ValueError: a film is larger than roll or sheet
    """
    if any(w > film_mm + HAIR_MM or h > sheet_mm + HAIR_MM for w, h in sizes_mm):
        raise ValueError("a film is larger than what it is cut from")
    rows: list[_Row] = []
    ends = [0.0]  # of each sheet's last row
    places: dict[int, Place] = {}
    for number in sorted(range(len(sizes_mm)), key=lambda k: -sizes_mm[k][1]):
        wide, high = sizes_mm[number]
        row = next((r for r in rows if r.used_mm + wide <= film_mm + HAIR_MM), None)
        if row is None:
            sheet = next((s for s, e in enumerate(ends) if e + high <= sheet_mm + HAIR_MM), None)
            if sheet is None:
                sheet = len(ends)
                ends.append(0.0)
            row = _Row(sheet, ends[sheet], high, 0.0)
            ends[sheet] += high
            rows.append(row)
        places[number] = Place(row.sheet, row.used_mm, row.along_mm)
        row.used_mm += wide
    on_roll = math.isinf(sheet_mm)
    length = ends[0] if on_roll else len(ends) * sheet_mm
    covered = sum(wide * high for wide, high in sizes_mm)
    waste = 1.0 - covered / (length * film_mm) if length else 0.0
    return Packing(tuple(places[k] for k in range(len(sizes_mm))), len(ends), length, waste)
