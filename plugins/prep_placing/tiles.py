"""A large drawing in tiles of paper that overlap. Plain floats; imports nothing of prep."""

from __future__ import annotations

import math
from dataclasses import dataclass

Bounds = tuple[float, float, float, float]
_HAIR_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Tile:
    """What of the drawing one sheet of paper shows.

    :param row: 0 = uppermost
    :param column: 0 = leftmost
    :param window_mm: (min x, min y, max x, max y) in the drawing's millimetres
    """

    row: int
    column: int
    window_mm: Bounds

    @property
    def name(self) -> str:
        """Column as a letter and row as a number: ``B2``.

        >>> Tile(1, 1, (0, 0, 1, 1)).name, Tile(0, 27, (0, 0, 1, 1)).name
        ('B2', 'AB1')
        """
        return f"{_letters(self.column)}{self.row + 1}"


@dataclass(frozen=True, slots=True)
class Join:
    """A cross that two tiles show at the same place of the drawing.

    :param tiles: names of both
    :param letter: tells the crosses of the same two apart
    """

    tiles: tuple[str, str]
    letter: str
    at_mm: tuple[float, float]

    @property
    def name(self) -> str:
        """Like ``A1-B1 a``."""
        return f"{self.tiles[0]}-{self.tiles[1]} {self.letter}"


@dataclass(frozen=True, slots=True)
class Tiling:
    """All tiles, row by row, and the crosses they are joined by."""

    tiles: tuple[Tile, ...]
    joins: tuple[Join, ...]
    rows: int
    columns: int


def tiled(bounds_mm: Bounds, room_mm: tuple[float, float], overlap_mm: float) -> Tiling:
    """Cover bounds with windows of one size; neighbours share a strip ``overlap_mm`` wide.

    n windows of width w with overlap o cover n w - (n - 1) o; the least n that covers the bounds is
    taken, and what is too much lies evenly around them.

    :param room_mm: (width, height) of a window
    :raises ValueError: the overlap leaves nothing of a window
    """
    (x0, columns), (y0, rows) = (
        _along(bounds_mm[i], bounds_mm[i + 2], room_mm[i], overlap_mm) for i in (0, 1)
    )
    wide, high = room_mm
    step_x, step_y = wide - overlap_mm, high - overlap_mm
    tiles = tuple(
        Tile(
            row,
            column,
            (
                x0 + column * step_x,
                y0 + row * step_y,
                x0 + column * step_x + wide,
                y0 + row * step_y + high,
            ),
        )
        for row in range(rows)
        for column in range(columns)
    )
    named = {(tile.row, tile.column): tile for tile in tiles}
    joins: list[Join] = []
    for tile in tiles:
        for down, right in ((0, 1), (1, 0)):
            other = named.get((tile.row + down, tile.column + right))
            if other is not None:
                joins += _joins(tile, other, beside=bool(right))
    return Tiling(tiles, tuple(joins), rows, columns)


def _along(low: float, high: float, room: float, overlap: float) -> tuple[float, int]:
    """Give where the first window begins and how many there are."""
    if overlap >= room:
        raise ValueError(f"an overlap of {overlap:g} mm leaves nothing of {room:g} mm of paper")
    count = max(1, math.ceil((high - low - overlap - _HAIR_MM) / (room - overlap)))
    covered = count * room - (count - 1) * overlap
    return (low + high - covered) / 2.0, count


def _joins(tile: Tile, other: Tile, *, beside: bool) -> list[Join]:
    """Give two crosses in the middle of the strip that two tiles share, a quarter from its ends."""
    x0, y0 = other.window_mm[0], other.window_mm[1]
    x1, y1 = tile.window_mm[2], tile.window_mm[3]
    names = tile.name, other.name
    if beside:
        low, high, x = tile.window_mm[1], tile.window_mm[3], (x0 + x1) / 2.0
        return [
            Join(names, letter, (x, low + share * (high - low)))
            for letter, share in (("a", 0.25), ("b", 0.75))
        ]
    low, high, y = tile.window_mm[0], tile.window_mm[2], (y0 + y1) / 2.0
    return [
        Join(names, letter, (low + share * (high - low), y))
        for letter, share in (("a", 0.25), ("b", 0.75))
    ]


def _letters(number: int) -> str:
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("A") + rest) + text
    return text
