"""What other plugins may ask of registration."""

from __future__ import annotations

from dataclasses import dataclass

Bounds = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Target:
    """One registration target.

    :param name: ``top target``, ``bottom target``, ``left target`` or ``right target``
    :param at_mm: centre of its cross, in mm of the artwork
    :param bounds_mm: (min x, min y, max x, max y) of what is cut
    """

    name: str
    at_mm: tuple[float, float]
    bounds_mm: Bounds


@dataclass(frozen=True, slots=True)
class Targets:
    """The targets of a job, at the same place on every screen.

    :param targets: top or left one first, which bears the square; empty when none are cut
    :param why_none: a sentence when there are none, else empty
    """

    targets: tuple[Target, ...]
    why_none: str = ""
