"""From a job to what is done where its colours meet. Goes by the design, never by changed screens."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from prep.borders import Border, outline_of, reach_along, shared_border
from prep.colour_difference import lab_of
from prep.cracks import CRACK_MM, HAIRLINE_MM
from prep.errors import SettingsError
from prep.findings import Unused
from prep.job import Job
from prep.misses import Draws, between, draws_of, edges_of, miss_of, trap_needed_mm
from prep.phrases import length
from prep.press_error import press_error
from prep.screens import DesignRegion, Screen, ink_kind
from prep.uniting import united
from prep_trap.answers import Do
from prep_trap.closing import closing
from prep_trap.hairlines import hairlines_of, lying_within, without_hairlines
from prep_trap.likeness import Likeness, likeness
from prep_trap.settings import Trap, TrapOrder, TrapPair
from prep_trap.spreading import SHORTEST, spread
from prep_trap.through import enclosed

DRAWS = 4096
STEP_MM = 1.0
"""Edges are looked at in pieces of at most this."""
_WHOLE = 0.98
"""Share of a width asked for that counts as the whole: so finely is looked how wide a trap is."""
SHORT_MM = 1.0
"""Colours whose border is shorter in all only touch at corners. Our choice."""
DARKER_BY = 40.0
"""CIE L* by which a colour must be darker to be printed over another without showing it. Guess."""


@dataclass(frozen=True, slots=True, eq=False)
class Pair:
    """Two colours that meet.

    :param earlier: screen printed first
    :param later: screen printed after it
    :param first: what ``earlier`` covers in the design
    :param second: what ``later`` covers in the design
    :param border: of ``first`` with ``second``, where neither is a hairline
    :param around: the same with what runs along hairlines of ``second``
    :param width_mm: of the trap; 0 where none is made
    :param needed_mm: even trap that the press's error asks for
    :param stated: the width was asked for
    :param like: the colour that a gap looks like more of
    :param through: parts of ``second`` under which ``first`` is printed right through
    """

    earlier: Screen
    later: Screen
    first: DesignRegion
    second: DesignRegion
    border: Border
    around: Border
    do: Do
    why: str
    width_mm: float
    needed_mm: float
    stated: bool
    like: Likeness | None
    through: MultiPolygon


@dataclass(frozen=True, slots=True, eq=False)
class Hairlines:
    """Hairlines of a colour within one that is printed before it, whose film is too fine there to cut.

    :param earlier: screen printed first
    :param later: screen printed after it, which has them
    """

    earlier: Screen
    later: Screen
    parts: MultiPolygon


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """All pairs of a job that meet, in print order.

    :param unused: what the order says of pairs that this set-up doesn't have
    :param hairlines: under which the earlier colour is printed on
    """

    pairs: tuple[Pair, ...]
    unused: tuple[Unused, ...]
    hairlines: tuple[Hairlines, ...] = ()


def plan_of(job: Job) -> Plan:
    """Decide what is done where colours meet.

    :raises SettingsError: the order names a pair that isn't there or is printed the other way round
    """
    chosen = job.settings(TrapOrder)
    screens = {region.colour: screen_of(job, region.colour) for region in job.design}
    outlines = {region.colour: outline_of(region.region) for region in job.design}
    hairlines = {r.colour: hairlines_of(r.region, r.measures) for r in job.design}
    wishes = {frozenset((pair.under, pair.over)): pair for pair in chosen.pair}
    centre = (job.artwork.width_mm / 2.0, job.artwork.height_mm / 2.0)
    pairs, under = [], []
    for one, other in combinations(job.design, 2):
        screen, beside = screens[one.colour], screens[other.colour]
        if screen is None or beside is None or screen.key == beside.key:
            continue
        if screen.number > beside.number:
            one, other, screen, beside = other, one, beside, screen
        shared = shared_border(outlines[one.colour], outlines[other.colour])
        around = without_hairlines(shared, hairlines[one.colour])
        if around.length_mm.sum() < SHORT_MM:
            continue
        border = without_hairlines(around, hairlines[other.colour])
        both = frozenset((one.colour, other.colour))
        wish, butts = wishes.get(both), both in wishes and wishes[both].do == "butt"
        if screen.does == "colour" and not butts:
            within = lying_within(hairlines[other.colour], around)
            if not within.is_empty:
                under.append(Hairlines(screen, beside, within))
        if border.length_mm.sum() < SHORT_MM:
            if butts:
                del wishes[both]
            continue
        wishes.pop(both, None)
        if wish is not None and wish.under != one.colour:
            raise _refused(
                job,
                wish,
                f"{wish.under} is printed after {wish.over}; swap under and over,"
                " or change the order of printing",
            )
        pairs.append(_pair(job, screen, beside, one, other, border, around, wish, centre))
    unused = tuple(_unused(job, wishes.values(), screens))
    pairs.sort(key=lambda pair: (pair.earlier.number, pair.later.number))
    return Plan(tuple(pairs), unused, tuple(under))


@dataclass(frozen=True, slots=True, eq=False)
class Added:
    """What is added to a screen.

    :param traps: (the pair, what is added for it)
    :param closed: film beside the traps and at hairlines, under later colours, too fine to leave
    :param under: inks of these later colours
    """

    traps: tuple[tuple[Pair, MultiPolygon], ...]
    closed: MultiPolygon
    under: tuple[str, ...]


def added_to(job: Job, plan: Plan) -> dict[str, Added]:
    """Give what is added to each screen, by its key.

    :raises SettingsError: a width asked for that fits nowhere along the border
    """
    chosen = job.settings(Trap)
    traps: dict[str, list[tuple[Pair, MultiPolygon]]] = {}
    halved: list[tuple[Pair, float]] = []
    whole = False
    for pair in plan.pairs:
        trap = _spread_of(job, pair)
        if pair.stated and _wish_of(job, pair) is None and _long_enough(pair):
            reach_mm = _reach_mm(pair, trap)
            whole = whole or reach_mm >= _WHOLE * pair.width_mm
            halved.append((pair, reach_mm))
        both = united([trap, pair.through], CRACK_MM) if not pair.through.is_empty else trap
        made = MultiPolygon([p for p in shapely.get_parts(both) if isinstance(p, Polygon)])
        if not made.is_empty:
            traps.setdefault(pair.earlier.key, []).append((pair, made))
    if halved and not whole:
        raise _too_wide(job, *max(halved, key=lambda found: found[1]))
    found = {
        key: Added(tuple(own), _closed(chosen, own), tuple(p.later.ink for p, _ in own))
        for key, own in traps.items()
    }
    for hair in plan.hairlines if chosen.film_strip_mm >= HAIRLINE_MM else ():
        key = hair.earlier.key
        there = found.get(key, Added((), MultiPolygon(), ()))
        closed = united([there.closed, hair.parts], CRACK_MM)
        parts = [p for p in shapely.get_parts(closed) if isinstance(p, Polygon)]
        found[key] = Added(there.traps, MultiPolygon(parts), (*there.under, hair.later.ink))
    return found


def _closed(chosen: Trap, own: list[tuple[Pair, MultiPolygon]]) -> MultiPolygon:
    """Give the film beside the traps of a screen that is too fine to leave."""
    added = [trap for _, trap in own]
    widest = max(pair.width_mm for pair, _ in own)
    return closing(
        united([own[0][0].first.region, *added], CRACK_MM),
        MultiPolygon([part for trap in added for part in trap.geoms]),
        MultiPolygon([part for pair, _ in own for part in pair.second.region.geoms]),
        max(chosen.film_strip_mm, chosen.sliver * widest),
        chosen.film_island_mm,
    )


def _spread_of(job: Job, pair: Pair) -> MultiPolygon:
    """Give the trap of a pair.

    :raises SettingsError: a width asked for that fits nowhere along the border
    """
    if pair.do in ("butt", "base") or pair.width_mm <= 0.0:
        return MultiPolygon()
    beside = pair.second.region
    if not pair.through.is_empty:
        inside = {part.wkb for part in pair.through.geoms}
        beside = MultiPolygon([part for part in beside.geoms if part.wkb not in inside])
    made = spread(
        beside,
        pair.border,
        pair.width_mm,
        narrow=may_be_narrow(pair.second, pair.width_mm),
        least_share=job.settings(Trap).sliver,
    )
    if _wish_of(job, pair) is not None and not beside.is_empty:
        reach_mm = _reach_mm(pair, made)
        if reach_mm < _WHOLE * pair.width_mm:
            raise _too_wide(job, pair, reach_mm)
    return made


def _wish_of(job: Job, pair: Pair) -> TrapPair | None:
    """Give the entry of the order that states the width of a pair alone."""
    both = (pair.first.colour, pair.second.colour)
    wishes = (w for w in job.settings(TrapOrder).pair if w.width_mm is not None)
    return next((wish for wish in wishes if (wish.under, wish.over) == both), None)


def _reach_mm(pair: Pair, trap: MultiPolygon) -> float:
    """Give how wide a trap is where it is widest."""
    pieces = pair.border.split(STEP_MM)
    return float(reach_along(trap, pieces.middle, pieces.normal, pair.width_mm).max(initial=0.0))


def _too_wide(job: Job, pair: Pair, reach_mm: float) -> SettingsError:
    units = job.shop.units
    most = f"{length(reach_mm, units)} at most" if reach_mm > 0.0 else "none so wide"
    return _refused(
        job,
        _wish_of(job, pair),
        f"a trap of {length(pair.width_mm, units)} is wider than any part of {pair.second.colour} along"
        f" its border with {pair.first.colour} can take, {most}; give a smaller width",
    )


def may_be_narrow(later: DesignRegion, width_mm: float) -> bool:
    """Say whether a region may somewhere be narrower than twice a width, sharp tips among it."""
    most, measures = 2.2 * width_mm, later.measures
    widths = measures.openings.width_mm
    return bool(measures.places_to_mm < most or (len(widths) and widths[0] < most))


def draws_between(job: Job, earlier: Screen, later: Screen) -> Draws:
    """Give how two screens of the job miss each other."""
    one = miss_of(press_error(job.shop.press, len(job.films)))
    unmoved = earlier.film == later.film and earlier.region.equals(later.region)
    return draws_of(between(one, unmoved=unmoved), DRAWS)


def screen_of(job: Job, colour: str) -> Screen | None:
    """Give the screen that shows a colour of the design, ``None`` if none does."""
    shown = [s for s in job.screens if s.colour == colour and s.does != "base"]
    named = [s for s in job.screens if s.key == colour]
    return next(iter([*named, *shown]), None)


def _pair(
    job: Job,
    earlier: Screen,
    later: Screen,
    first: DesignRegion,
    second: DesignRegion,
    border: Border,
    around: Border,
    wish: TrapPair | None,
    centre: tuple[float, float],
) -> Pair:
    chosen, order, press = job.settings(Trap), job.settings(TrapOrder), job.shop.press
    pieces = border.split(STEP_MM)
    edges = edges_of(pieces.middle, pieces.normal, np.zeros(len(pieces)), np.array(centre))
    draws = draws_between(job, earlier, later)
    needed = trap_needed_mm(edges, draws, press.visible_gap_mm, press.gap_share)
    asked = order.width_mm if wish is None or wish.width_mm is None else wish.width_mm
    stated = asked is not None
    width = asked if asked is not None else min(max(needed, chosen.least_mm), chosen.most_mm)
    like = likeness(job, first, second, pieces, earlier)
    do: Do
    if earlier.does != "colour":
        do, why, width, stated = (
            "base",
            f"{earlier.ink} is a base and reaches under it.",
            0.0,
            False,
        )
    elif wish is not None and wish.do is not None:
        do, why = wish.do, "The order asks for it."
    elif asked == 0.0:
        do, why = "butt", "The order asks for traps of no width."
    else:
        do, why = _by_rule(job, first, second, later, needed, like, stated=stated)
    through = enclosed(second.region, around) if do == "overprint" else MultiPolygon()
    if (
        wish is not None
        and wish.width_mm is not None
        and len(through.geoms) == len(second.region.geoms)
    ):
        raise _refused(
            job,
            wish,
            f"a width has no effect where {second.colour} lies wholly within {first.colour}, which is"
            ' printed right through under it; take the width out, or say do = "spread"',
        )
    return Pair(
        earlier,
        later,
        first,
        second,
        border,
        around,
        do,
        why,
        0.0 if do in ("butt", "base") else width,
        needed,
        stated and do not in ("butt", "base"),
        like,
        through,
    )


def _by_rule(
    job: Job,
    first: DesignRegion,
    second: DesignRegion,
    later: Screen,
    needed_mm: float,
    like: Likeness | None,
    *,
    stated: bool,
) -> tuple[Do, str]:
    """Choose: no trap where none is needed or a gap can't be told; overprint by dark; else spread."""
    if not stated and needed_mm <= 0.0:
        return "butt", "The press hits so well that no gap shows."
    if not stated and like is not None:
        return (
            "butt",
            f"A gap shows the {like.shows} and looks like more of {like.colour}, which is near in colour.",
        )
    kind, _ = ink_kind(later, job.shop)
    darker = lab_of(first.colour)[0] - lab_of(second.colour)[0]
    if darker >= DARKER_BY and kind.startswith("opaque"):
        return "overprint", f"{later.ink} is much darker and covers it."
    return "spread", "The colour printed first goes on under the next."


def _long_enough(pair: Pair) -> bool:
    return bool((pair.border.run_mm >= SHORTEST * pair.width_mm).any())


def _unused(
    job: Job, wishes: Iterable[TrapPair], screens: dict[str, Screen | None]
) -> Iterator[Unused]:
    """Say which pairs of the order this set-up doesn't have.

    :raises SettingsError: the order has one print alone, so that no other can have them
    """
    listed = ", ".join(colour for colour, screen in screens.items() if screen is not None)
    for wish in wishes:
        missing = [c for c in (wish.under, wish.over) if screens.get(c) is None]
        if missing:
            problem = f"{missing[0]} isn't printed; there are {listed}"
        else:
            problem = f"{wish.under} and {wish.over} don't meet; take the pair out"
        if len(job.order.print) == 1:
            raise _refused(job, wish, problem)
        number = job.settings(TrapOrder).pair.index(wish)
        says = f"trap.pair[{number + 1}] has no use here: {problem.split(';')[0]}."
        yield Unused(says, ("trap", "pair", number))


def _refused(job: Job, wish: TrapPair | None, problem: str) -> SettingsError:
    """Make the one line that names file, key and remedy."""
    order = job.settings(TrapOrder)
    if wish is None:
        key = says = "trap.width"
    else:
        key = f"trap.pair[{order.pair.index(wish) + 1}]"
        says = f"{key}.under"  # every entry has it
    layer = job.chosen.origins.get(says, "order.toml")
    what, _, do = problem.partition("; ")
    return SettingsError(f"{key}: {what}", where=layer, do=do)
