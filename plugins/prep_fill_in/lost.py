"""What would be lost if a screen were cut as it is: openings that won't print, film that won't hold."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from prep.remembered import remembered
from prep.screens import Screen
from prep_fill_in.details import Details, Judgement, Sort
from prep_fill_in.judge import WILL_FAIL, Floats
from prep_fill_in.narrow import Geometries, holding, narrow_parts, polygons

_NONE = np.zeros(0, dtype=object)


@dataclass(frozen=True, slots=True, eq=False)
class Lost:
    """What is lost of one screen by what will fail.

    :param openings: parts of openings that would stay shut
    :param film: parts of film that would come off, so that ink goes where none should
    :param left: the openings that would be left
    """

    openings: MultiPolygon
    film: MultiPolygon
    left: MultiPolygon


@dataclass(frozen=True, slots=True, eq=False)
class LostOnScreens:
    """What is lost of each screen, by its key; screens of which nothing will fail aren't there."""

    by_screen: Mapping[str, Lost]


def lost_on_screens(judgements: Iterable[Judgement]) -> LostOnScreens:
    """Work out what is lost of every screen judged."""
    lost = {
        judgement.screen.key: lost_of(judgement, judgement.screen)
        for judgement in judgements
        if judgement.screen is not None
    }
    return LostOnScreens({key: one for key, one in lost.items() if one is not None})


def lost_of(judgement: Judgement, screen: Screen) -> Lost | None:
    """Work out what is lost; ``None`` where nothing will fail.

    A narrow part is lost as far as it is narrower than the bound that it fails, all of it; a small
    opening or an island as a whole.
    """
    failing = {d.sort: d for d in judgement.details if (d.judged.level == WILL_FAIL).any()}
    if not failing:
        return None
    shut = {sort: _Failing.of(details) for sort, details in failing.items()}
    islands = screen.measures.islands if "island" in shut else ()
    return _lost(screen.region, tuple(island.region for island in islands), shut)


@dataclass(frozen=True, slots=True, eq=False)
class _Failing:
    """What will fail of one sort.

    :param at_mm: (N, 2)
    :param bound_mm: the widest bound that any of it fails by its width
    """

    at_mm: Floats
    bound_mm: float

    @classmethod
    def of(cls, details: Details) -> _Failing:
        bound = max(rule.fails_below for rule in details.rules if rule.size == "width")
        return cls(details.at_mm[details.judged.level == WILL_FAIL], bound)


@remembered(kept=16)
def _lost(
    region: MultiPolygon,
    islands: tuple[MultiPolygon | Polygon, ...],
    failing: Mapping[Sort, _Failing],
) -> Lost:
    pieces = np.asarray(shapely.get_parts(region), dtype=object)
    shut = [
        _narrow(region, failing.get("opening")),
        _whole(pieces, failing.get("small opening")),
    ]
    x0, y0, x1, y1 = region.bounds
    film = shapely.difference(shapely.box(x0 - 9.0, y0 - 9.0, x1 + 9.0, y1 + 9.0), region)
    off = [
        _narrow(film, failing.get("film strip")),
        _whole(np.array(islands, dtype=object), failing.get("island")),
    ]
    openings, strips = _multi(shut), _multi(off)
    kept = shapely.union(shapely.difference(region, openings), strips)
    return Lost(openings, strips, _multi([polygons(kept)]))


def _narrow(whole: BaseGeometry, failing: _Failing | None) -> Geometries:
    if failing is None:
        return _NONE
    parts = narrow_parts(whole, failing.bound_mm)
    within = holding(parts, failing.at_mm)
    return parts[np.unique(within[within >= 0])]


def _whole(shapes: Geometries, failing: _Failing | None) -> Geometries:
    if failing is None or not len(shapes):
        return _NONE
    within = holding(shapes, failing.at_mm)
    return shapes[np.unique(within[within >= 0])]


def _multi(shapes: Sequence[Geometries]) -> MultiPolygon:
    every = np.concatenate([np.asarray(one, dtype=object) for one in shapes])
    return MultiPolygon(polygons(shapely.union_all(every)).tolist())
