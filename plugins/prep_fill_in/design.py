"""Thickening on request: which colours, to which limits, and what is said of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import shapely
from shapely import MultiPolygon

from prep.digest import digest_of
from prep.job import Job, ReadSettings
from prep.measures import measure
from prep.order import SetUp
from prep.phrases import several
from prep.screens import DesignEdit, DesignRegion
from prep.shop import Shop
from prep_fill_in import wording
from prep_fill_in.asked import counted
from prep_fill_in.details import conditions_for, stock_of
from prep_fill_in.limits import in_force
from prep_fill_in.narrow import polygons
from prep_fill_in.rules import island_rules, opening_rules, strip_rules
from prep_fill_in.settings import FillIn, FillInColour, FillInOrder
from prep_fill_in.thicken import WHY_LEFT, Side, Thickened, Wanted, thicken

CALLED: Mapping[Side, tuple[str, str]] = {
    "opening": ("narrow opening", "narrow openings"),
    "film": ("narrow film strip", "narrow film strips"),
    "island": ("small film island", "small film islands"),
}


_KEPT = 16
"""Of so many set-ups what was made of their colours is remembered, those asked for last."""


@dataclass(frozen=True, slots=True, eq=False)
class ThickenedColours:
    """What was thickened on request.

    :param drawn: colour -> its region before
    :param made: colour -> what came of it; colours that weren't to be thickened aren't there
    """

    drawn: Mapping[str, MultiPolygon]
    made: Mapping[str, Thickened]


def edits_of(
    design: Sequence[DesignRegion], settings: ReadSettings, setup: SetUp, shop: Shop
) -> Iterator[DesignEdit]:
    """Thicken the colours that the order asks for."""
    for colour, made in _thickened(design, settings, setup, shop).items():
        if made.changes:
            yield DesignEdit(colour, made.region, said(made, shop.units))


def thickened_in(job: Job) -> ThickenedColours:
    """Give what was thickened in a job, from what was drawn."""
    if not asked_for(job):
        return ThickenedColours({}, {})
    made = _thickened(job.drawn, job.settings, job.setup, job.shop)
    return ThickenedColours({one.colour: one.region for one in job.drawn}, made)


def asked_for(job: Job) -> bool:
    """Tell whether any colour is to be thickened."""
    return any(_asked(job.settings, d.colour) for d in job.drawn)


def _asked(settings: ReadSettings, colour: str) -> bool:
    own = settings(FillInColour, colour).thicken
    return settings(FillInOrder).thicken if own is None else own


@dataclass(frozen=True, slots=True)
class _Task:
    """A design to thicken; known by its digest.

    :param design: all its colours
    :param wanted: (colour, its limits) for those to be thickened
    """

    digest: str
    design: tuple[DesignRegion, ...] = field(compare=False)
    wanted: tuple[tuple[str, Wanted], ...] = field(compare=False)


def _thickened(
    design: Sequence[DesignRegion], settings: ReadSettings, setup: SetUp, shop: Shop
) -> Mapping[str, Thickened]:
    """Thicken the colours asked for, or give again what came of it: design and sheet ask for the same."""
    colours = [one.colour for one in design if _asked(settings, one.colour)]
    wanted = tuple((colour, wanted_for(settings, setup, shop, colour)) for colour in colours)
    drawn = tuple((one.colour, one.region) for one in design)
    return _made(_Task(digest_of((drawn, wanted)), tuple(design), wanted))


@lru_cache(maxsize=_KEPT)
def _made(task: _Task) -> Mapping[str, Thickened]:
    """Thicken colours: what would meet what another grew is left, whichever comes first.

    At first each as if the others stayed as drawn; where two would grow into each other, neither does.
    """
    design = {one.colour: one for one in task.design}

    def made_beside(shown: Mapping[str, MultiPolygon]) -> dict[str, Thickened]:
        return {
            colour: thicken(
                design[colour].region,
                design[colour].measures,
                shapely.union_all([shown[other] for other in design if other != colour]),
                wanted,
                measure,
            )
            for colour, wanted in task.wanted
        }

    drawn = {colour: one.region for colour, one in design.items()}
    alone = made_beside(drawn)
    if len(task.wanted) < 2:
        return alone
    grown = {
        colour: MultiPolygon(polygons(shapely.union(drawn[colour], made.region)).tolist())
        for colour, made in alone.items()
    }
    return made_beside({**drawn, **grown})


def wanted_for(settings: ReadSettings, setup: SetUp, shop: Shop, colour: str) -> Wanted:
    """Give the limits in force for a colour: the widest that any cause asks for.

    Drying and the hours that screens lie wet are left out: they are reckoned once there are screens.
    """
    choice = next((c for c in setup.colours if c.colour == colour), None)
    hits = (choice.passes if choice else None) or 1
    prints = counted(settings, setup)
    bounds = in_force(settings(FillIn).own(), conditions_for(settings, setup, shop, hits, prints))
    named = choice.mesh if choice and choice.mesh else shop.mesh[0].name
    mesh = {one.name: one for one in stock_of(shop)}[named]
    depth_mm = shop.film.thickness_um / 1000.0
    rules = opening_rules(bounds, mesh, depth_mm, long=False)
    opening = [rule.at_risk_below for rule in rules if rule.size == "width"]
    film = [r.at_risk_below for r in strip_rules(bounds, mesh)]
    island = [r.at_risk_below for r in island_rules(bounds, mesh) if r.size == "width"]
    return Wanted(
        opening_mm=max(opening),
        film_mm=max(film),
        most_mm=settings(FillInOrder).thicken_most_mm,
        island_mm=max(island),
        island_mm2=bounds["island_area"].at_risk_below,
    )


def said(made: Thickened, units: wording.Units) -> str:
    """Say what was thickened and what was left, in a sentence."""
    done = [change for change in made.changes if change.done]
    parts = []
    for side, (one, many) in CALLED.items():
        to = [change.to_mm for change in done if change.side == side]
        if to:
            size = wording.span(min(to), max(to), units)
            parts.append(f"{len(to)} {one if len(to) == 1 else many} thickened to {size}")
    text = several(parts) if parts else "nothing thickened"
    if done:
        most = wording.fine(max(change.edge_mm for change in done), units)
        text += f" as asked for, no edge moved by more than {most}"
    left = reasons(made)
    if left:
        listed = ", ".join(f"{count} ({why})" for why, count in left.items())
        text += f"; left as drawn: {listed}"
    return text


def reasons(made: Thickened) -> Mapping[str, int]:
    """Count what was left as drawn, by reason."""
    return Counter(WHY_LEFT[change.left] for change in made.changes if not change.done)
