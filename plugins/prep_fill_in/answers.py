"""What other plugins may ask of fine details. Imports no numpy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class IslandLimits:
    """Under which size an island of film may come off in the run, the shop's own limits heeded.

    :param by_screen: key of a screen -> (width in mm, area in mm²)
    """

    by_screen: Mapping[str, tuple[float, float]]
