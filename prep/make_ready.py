"""From the design to screens in print order: the stages in which plugins change what is made.

Within a stage every plugin sees the same frozen snapshot, and what it yields is a region, never an
operation; so the order of the plugins can't matter.
"""

from __future__ import annotations

import dataclasses
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from itertools import combinations
from typing import Protocol, TypeVar

import shapely
from shapely import MultiPolygon

from prep.cracks import CRACK_MM, without_cracks
from prep.errors import PluginFailed, SettingsError
from prep.job import Job, ReadSettings
from prep.measures import Measures
from prep.order import SetUp
from prep.palette import ink_names
from prep.plugins import Plugins
from prep.remembered import remembered
from prep.screens import AddScreen, Delta, DesignEdit, DesignRegion, PrintOrder, Screen
from prep.separations import Separation
from prep.session import Session
from prep.shop import Shop
from prep.uniting import united

T = TypeVar("T")

MeasureAll = Callable[[Sequence[MultiPolygon]], Sequence[Measures]]
"""Measures regions; remembers those it has measured before."""


class Gather(Protocol):
    """How all plugins are asked what they make of a job: (plugin's name, values) for each."""

    def __call__(self, hook: str, kind: type[T], *, job: Job) -> Iterable[tuple[str, Sequence[T]]]:
        """Ask; see :meth:`prep.plugins.Plugins.gather`."""
        ...


_SAME_PLACE_MM2 = 1e-6


def design_of(
    separations: Sequence[Separation],
    plugins: Plugins,
    settings: ReadSettings,
    measure_all: MeasureAll,
    setup: SetUp,
    shop: Shop,
) -> tuple[tuple[DesignRegion, ...], tuple[DesignRegion, ...], tuple[str, ...]]:
    """Measure the separations and let plugins edit the design.

    :param separations: those that get a screen
    :return: the design as drawn, as edited, and what was changed in it, as sentences
    :raises PluginFailed: two edits of one colour, or an edit of a colour that isn't there
    """
    measured = measure_all([s.region for s in separations])
    design = tuple(
        DesignRegion(s.colour, s.region, s.painted, m)
        for s, m in zip(separations, measured, strict=True)
    )
    edits: dict[str, DesignEdit] = {}
    told = {"design": design, "settings": settings, "setup": setup, "shop": shop}
    for name, values in plugins.gather("prep_design", DesignEdit, **told):
        for edit in values:
            if edit.colour in edits:
                raise PluginFailed(
                    name, f"edits {edit.colour}, and so does {edits[edit.colour].by}"
                )
            if edit.colour not in {d.colour for d in design}:
                raise PluginFailed(name, f"edits {edit.colour}, which the artwork doesn't have")
            edits[edit.colour] = edit
    if not edits:
        return design, design, ()
    regions = {d.colour: edits[d.colour].region if d.colour in edits else d.region for d in design}
    kept = [d for d in design if not regions[d.colour].is_empty]
    measured = measure_all([regions[d.colour] for d in kept])
    edited = tuple(
        DesignRegion(d.colour, regions[d.colour], d.painted, m)
        for d, m in zip(kept, measured, strict=True)
    )
    return design, edited, tuple(f"{e.colour}: {e.reason}" for e in edits.values())


def colour_screens(design: Sequence[DesignRegion], setup: SetUp, shop: Shop) -> tuple[Screen, ...]:
    """Give one screen for each colour of the design, in paint order."""
    choices = {choice.colour: choice for choice in setup.colours}
    inks = ink_names((d.colour for d in design), setup, shop)
    screens = []
    for number, region in enumerate(sorted(design, key=lambda d: d.painted), start=1):
        choice = choices.get(region.colour)
        screens.append(
            Screen(
                key=region.colour,
                ink=inks[region.colour],
                mesh=choice.mesh if choice and choice.mesh else shop.mesh[0].name,
                colour=region.colour,
                does="colour",
                passes=(choice.passes if choice else None) or 1,
                number=number,
                region=region.region,
                measures=region.measures,
            )
        )
    return tuple(screens)


def make_ready(
    draft: Job, plugins: Plugins, measure_all: MeasureAll, gather: Gather | None = None
) -> Job:
    """Add screens, put them in order, and apply what plugins add and take away.

    :param draft: the job with one screen for each colour
    :param gather: asks plugins for screens and changes; default: that of a new session
    :return: the job with its final screens, measured
    :raises PluginFailed: plugins contradict each other
    :raises SettingsError: more films than the press can ever take
    """
    gather = gather or Session(plugins).gather
    job = _with_added(draft, gather, measure_all)
    _check_press(job)
    job = _in_order(job, plugins)
    return _with_deltas(job, gather, measure_all)


def _check_press(job: Job) -> None:
    """Refuse more films than the press holds where it can't be set up again.

    :raises SettingsError: there are more
    """
    press, films = job.shop.press, len(job.films)
    if press.set_up_again or press.holds is None or films <= press.holds:
        return
    held = "1 frame" if press.holds == 1 else f"{press.holds} frames"
    raise SettingsError(
        f"press.set_up_again: {job.setup.name} takes {films} films, and the press holds {held} and can't"
        " be set up again",
        where=job.chosen.origins.get("shop.press.set_up_again", "shop.toml"),
        do="print colours from one screen (print_as), leave some out (printed = false), or say"
        " set_up_again = true",
    )


def _with_added(job: Job, gather: Gather, measure_all: MeasureAll) -> Job:
    added: dict[str, AddScreen] = {}
    replaced: dict[str, str] = {}
    own = {screen.key for screen in job.screens}
    for name, values in gather("prep_screens", AddScreen, job=job):
        for screen in values:
            if screen.key in added or (screen.key in own and screen.key not in screen.replaces):
                raise PluginFailed(name, f"adds a screen {screen.key!r}, which is there already")
            for key in screen.replaces:
                if key not in own:
                    raise PluginFailed(name, f"replaces a screen {key!r} that isn't there")
                if key in replaced:
                    raise PluginFailed(
                        name, f"replaces the screen {key!r}, and so does {replaced[key]}"
                    )
                replaced[key] = name
            added[screen.key] = screen
    if not added:
        return job
    ordered = [added[key] for key in sorted(added)]
    measured = measure_all([a.region for a in ordered])
    made = tuple(as_screen(a, job.shop, m) for a, m in zip(ordered, measured, strict=True))
    place = {screen.key: screen.number for screen in job.screens}
    first = {a.key: min((place[key] for key in a.replaces), default=0) for a in ordered}
    kept = [screen for screen in job.screens if screen.key not in replaced]
    screens = sorted((*made, *kept), key=lambda s: first.get(s.key, place.get(s.key, 0)))
    return dataclasses.replace(job, screens=_numbered(screens))


def as_screen(added: AddScreen, shop: Shop, measures: Measures) -> Screen:
    """Give an added screen as it is made; it has no number yet."""
    return Screen(
        key=added.key,
        ink=added.ink,
        mesh=added.mesh or shop.mesh[0].name,
        colour=added.colour,
        does=added.does,
        passes=added.passes,
        number=0,
        region=added.region,
        measures=measures,
        changes=(added.reason,),
        film=added.film or added.key,
        kind=added.kind,
    )


def put_in_order(screens: Sequence[Screen], order: PrintOrder) -> tuple[Screen, ...]:
    """Give screens as an order of printing that names each of them wants them, numbered."""
    by_key = {screen.key: screen for screen in screens}
    return _numbered(
        [
            dataclasses.replace(
                by_key[key],
                placed=order.reasons.get(key, ""),
                passes=order.passes.get(key, by_key[key].passes),
            )
            for key in order.keys
        ]
    )


def _in_order(job: Job, plugins: Plugins) -> Job:
    answers = plugins.each("prep_order", PrintOrder, job=job)
    if len(answers) > 1:
        names = " and ".join(name for name, _ in answers)
        raise PluginFailed(answers[1][0], f"{names} both give an order of printing")
    by_key = {screen.key: screen for screen in job.screens}
    if answers:
        name, order = answers[0]
        if sorted(order.keys) != sorted(by_key):
            raise PluginFailed(
                name, f"its order of printing {order.keys} leaves out or repeats screens"
            )
        screens = put_in_order(job.screens, order)
        reason = order.reason
    else:
        first = sorted(job.screens, key=lambda s: s.does == "colour")
        screens = _numbered([_placed(screen) for screen in first])
        reason = "Printed in the order the colours are painted, the lowest first."
        if any(screen.does != "colour" for screen in screens):
            reason = (
                "The base is printed first, then the colours in the order they are painted, the"
                " lowest first."
            )
    notes = (*job.notes, reason) if len(screens) > 1 else job.notes
    return dataclasses.replace(job, screens=screens, notes=notes)


def _placed(screen: Screen) -> Screen:
    if screen.does == "colour":
        return screen
    return dataclasses.replace(screen, placed="It lies under the colours, so it is printed first.")


def _with_deltas(job: Job, gather: Gather, measure_all: MeasureAll) -> Job:
    deltas: dict[str, list[Delta]] = defaultdict(list)
    keys = {screen.key for screen in job.screens}
    for name, values in gather("prep_deltas", Delta, job=job):
        for delta in values:
            if delta.screen not in keys:
                raise PluginFailed(name, f"changes a screen {delta.screen!r} that isn't there")
            deltas[delta.screen].append(delta)
    if not deltas:
        return job
    # a screen that nobody changes keeps its region, so that it needn't be measured again
    regions = {
        screen.key: _changed(screen.region, deltas[screen.key])
        if screen.key in deltas
        else without_cracks(screen.region)
        for screen in job.screens
    }
    measured = measure_all([regions[screen.key] for screen in job.screens])
    screens = tuple(
        dataclasses.replace(
            screen,
            region=regions[screen.key],
            measures=m,
            changes=(*screen.changes, *sorted({d.reason for d in deltas.get(screen.key, ())})),
        )
        for screen, m in zip(job.screens, measured, strict=True)
    )
    return dataclasses.replace(job, screens=screens)


def apply_deltas(region: MultiPolygon, deltas: Sequence[Delta]) -> MultiPolygon:
    """Give (region with all that is added) without all that is taken away.

    The result is the same for every order of ``deltas``.

    :raises PluginFailed: one plugin adds and another takes away the same place
    """
    for one, other in combinations(deltas, 2):
        if one.by == other.by:
            continue
        for adds, removes in ((one, other), (other, one)):
            both = shapely.intersection(adds.add, removes.remove)
            if both.area > _SAME_PLACE_MM2:
                at = both.representative_point()
                raise PluginFailed(
                    removes.by,
                    f"takes away at ({at.x:.1f}, {at.y:.1f}) mm of screen {one.screen}"
                    f" what {adds.by} adds there",
                )
    # on a grid: without one, outlines that coincide but for rounding may cost whole parts
    left = united([region, *(d.add for d in _sorted(deltas))], CRACK_MM)
    removed = shapely.union_all([d.remove for d in _sorted(deltas)])
    if not removed.is_empty:
        left = shapely.difference(left, removed, grid_size=CRACK_MM)
    parts = [p for p in shapely.get_parts(left) if isinstance(p, shapely.Polygon)]
    return without_cracks(MultiPolygon(parts))


_changed = remembered(kept=32)(apply_deltas)


def _sorted(deltas: Sequence[Delta]) -> list[Delta]:
    """Sort by what they do, not by who gave them, so that even rounding can't depend on names."""
    return sorted(deltas, key=lambda d: (shapely.to_wkb(d.add), shapely.to_wkb(d.remove)))


def _numbered(screens: Sequence[Screen]) -> tuple[Screen, ...]:
    return tuple(
        dataclasses.replace(screen, number=number) for number, screen in enumerate(screens, start=1)
    )
