"""What the walk carries down the tree and brings up from it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from shapely import MultiPolygon

from prep.svg.curves import evaluate, pieces_of, steps_of, transformed
from prep.svg.fills import as_region
from prep.svg.notation import Box, Matrix, inverse, largest_scale, multiply
from prep.svg.paths import Floats, Path
from prep.svg.styles import Style


@dataclass(frozen=True, slots=True, eq=False)
class Painted:
    """A region painted with one colour.

    :param region: in mm
    :param alpha: below 1 it lets through what lies below
    :param tint: element that made it transparent, for the message
    """

    region: MultiPolygon
    colour: str
    source: str
    alpha: float = 1.0
    tint: str = ""


@dataclass(slots=True, eq=False)
class Content:
    """What an element and its children paint.

    :param painted: bottom first
    :param outlines: paths with their matrices to mm, for the bounding box
    :param lettered: whether there is text in it, whose bounding box viewers tell differently
    """

    painted: list[Painted] = field(default_factory=list)
    outlines: list[tuple[Path, Matrix]] = field(default_factory=list)
    lettered: bool = False

    def add(self, other: Content) -> None:
        """Put another content on top."""
        self.painted += other.painted
        self.outlines += other.outlines
        self.lettered = self.lettered or other.lettered

    def cut(self, region: MultiPolygon) -> list[str]:
        """Keep only what lies within a region, and give the sources of which nothing is left."""
        if not self.painted:
            return []
        before = dict.fromkeys(one.source for one in self.painted)
        if region.is_empty:
            self.painted = []
            return list(before)
        shapely.prepare(region)
        regions = np.array([one.region for one in self.painted], dtype=object)
        across = ~shapely.covers(region, regions)
        regions[across] = shapely.intersection(regions[across], region)
        made = zip(self.painted, regions, strict=True)
        self.painted = [
            replace(one, region=kept) for one, cut in made if not (kept := as_region(cut)).is_empty
        ]
        left = {one.source for one in self.painted}
        return [source for source in before if source not in left]

    def box(self, matrix: Matrix, tolerance: float) -> Box | None:
        """Give the bounding box of the outlines in the user space of a matrix; None if there are none.

        Strokes don't count (SVG 2, 8.10: object bounding box).
        """
        back = inverse(matrix)
        corners = [
            points
            for path, own in self.outlines
            if len(points := _points(path, multiply(back, own), tolerance / largest_scale(matrix)))
        ]
        if not corners:
            return None
        every = np.concatenate(corners)
        x, y = every.min(axis=0)
        right, bottom = every.max(axis=0)
        return Box(float(x), float(y), float(right - x), float(bottom - y))


def _points(path: Path, matrix: Matrix, tolerance: float) -> Floats:
    control = transformed(path.control, matrix)
    segment, t = steps_of(pieces_of(control, path.straight, tolerance))
    return np.concatenate(
        [evaluate(control[segment], t), control[:, 3], transformed(path.lone, matrix)]
    )


@dataclass(frozen=True, slots=True)
class Painter:
    """The element that ``context-fill`` and ``context-stroke`` mean: a use, or a shape with markers.

    :param outer: what these words mean on that element itself
    """

    style: Style
    outer: Painter | None


@dataclass(frozen=True, slots=True)
class Context:
    """What an element finds around it.

    :param matrix: from user units to mm
    :param style: of the parent
    :param viewport: width and height of the nearest viewport in user units
    :param chain: elements this one is shown through, outermost first
    :param painter: see there; None where nothing is meant
    """

    matrix: Matrix
    style: Style
    viewport: tuple[float, float]
    chain: tuple[object, ...] = ()
    painter: Painter | None = None

    @property
    def diagonal(self) -> float:
        """What percentages of lengths without direction are of (SVG 2, 8.9)."""
        width, height = self.viewport
        return float(np.hypot(width, height)) / 2**0.5
