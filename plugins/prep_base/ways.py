"""The possible ways to print a set-up, ranked by what they cost in hours."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from prep.borders import Outline, shared_border
from prep.job import Job
from prep.misses import Edges, Gap, chance_among, draws_among, miss_of, trap_needed_mm
from prep.phrases import length, several
from prep.press_error import press_error
from prep.screens import AddScreen
from prep_base.answers import FellAway, Way, WayName
from prep_base.childrens import childrens
from prep_base.choking import offset, polygons
from prep_base.counting import counted, with_counts
from prep_base.members import Member, Members, refused
from prep_base.planning import (
    STEP_MM,
    Plan,
    Rim,
    edge_of,
    edges_at,
    pair_draws,
)
from prep_base.settings import Base
from prep_base.sharing import sharing_of

DRAWS = 1024
BASE = "base"
"""Key of a base's screen that prints no colour of the design."""
TAKES_DISCHARGE = ("cotton", "viscose", "linen", "hemp", "modal", "lyocell")
"""Fibres whose dyes discharge can take away, if they are of a kind that it can. Common practice."""
HEAT = "A flash dryer burns, and can set fire to cloth and tack: never leave it over a shirt."
DISCHARGE = (
    "Discharge gives off fumes that harm: never without moving air that takes them outside, nor on"
    " children's wear. Gloves and goggles; the supplier's data sheet and local rules come first."
)


@dataclass(frozen=True, slots=True, eq=False)
class Made:
    """A way with the screens it is made of, first printed first.

    :param screens: all screens of the set-up
    """

    way: Way
    screens: tuple[AddScreen, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Draft:
    """A way before it is judged.

    :param together: screens printed at one stroke share a number; None: none do
    :param rims: (place of the base among the screens, its region) where a base can show or fall short
    :param wash: times an ink is washed out of a screen
    """

    name: WayName
    screens: tuple[AddScreen, ...]
    as_drawn: bool
    what: str
    why: str
    asks: str
    cautions: tuple[str, ...] = ()
    together: tuple[int, ...] | None = None
    rim: BaseGeometry | None = None
    outline: bool = False
    washes: int = 0


def ways_of(
    job: Job, members: Members, plan: Plan | None, outlines: Mapping[str, Outline]
) -> tuple[tuple[Made, ...], tuple[FellAway, ...]]:
    """Give the possible ways, the best first, and those that the press can't take.

    Ways that show the drawing without a trial come before those that change it or need one; within
    these the hours count, with what prints that show a miss cost; at the same hours, fewer films.

    :param plan: of the base; ``None`` where no colour needs one
    :param outlines: colour -> its outline
    """
    drafts, fell_away = _that_the_press_takes(job, list(_drafts(job, members, plan)))
    borders = _meetings(job, members, outlines)
    made = [Made(_judged(job, draft, plan, borders), draft.screens) for draft in drafts]
    ranked = sorted(
        made,
        key=lambda m: (not m.way.as_drawn, round(m.way.cost_hours, 2), m.way.films, m.way.name),
    )
    return tuple(ranked), fell_away


def _that_the_press_takes(
    job: Job, drafts: list[_Draft]
) -> tuple[list[_Draft], tuple[FellAway, ...]]:
    """Leave out ways of more films than the press can ever take; all stay where it takes none."""
    press = job.shop.press
    if press.set_up_again or press.holds is None:
        return drafts, ()
    films = [len({s.film or s.key for s in draft.screens}) for draft in drafts]
    fit = [d for d, count in zip(drafts, films, strict=True) if count <= press.holds]
    if not fit:
        return drafts, ()
    fell = (FellAway(d.name, n) for d, n in zip(drafts, films, strict=True) if n > press.holds)
    return fit, tuple(fell)


def _drafts(job: Job, members: Members, plan: Plan | None) -> Iterator[_Draft]:
    plain = tuple(_top(member) for member in members.every)
    if plan is None:
        yield _Draft(
            "plain",
            plain,
            True,
            "one screen for each colour",
            "No colour needs a base.",
            "Nothing beyond lining up.",
        )
        yield from _side_by_side(job, plain, "")
        return
    yield _plain(plain)
    under = _under(job, plan)
    tops = tuple(s for s, m in zip(plain, members.every, strict=True) if m is not members.white)
    shared = members.white is not None
    what = "base and visible white in one screen" if shared else "a base under the colours"
    if not plan.region.is_empty:  # else nothing is wide enough for one
        yield _Draft(
            "base",
            (under, *tops),
            True,
            what,
            "The colours show as drawn; white shows beside them where a print strays farther than the"
            " choke.",
            "Print the base first, flash it dry to the touch, let it cool, then the colours.",
            (HEAT,),
            rim=plan.region,
        )
        yield from _side_by_side(job, tops, what, under, plan)
    yield from _one_film(job, members, plan)
    yield from _two_hits(plan, plain)
    yield from _discharge(job, plan, plain)
    yield from _white_outline(job, plan, under, tops)


def _top(member: Member) -> AddScreen:
    screen = member.screen
    return AddScreen(
        screen.key,
        screen.ink,
        screen.colour,
        screen.region,
        "colour",
        "as drawn",
        mesh=screen.mesh,
        passes=screen.passes,
        replaces=(screen.key,),
    )


def _plain(plain: tuple[AddScreen, ...]) -> _Draft:
    return _Draft(
        "plain",
        plain,
        False,
        "one screen for each colour, no base",
        "Water-based ink lets a dark shirt show through: colours turn dull or vanish.",
        "Print on scrap of the same cloth first, and show it to the customer.",
    )


def _under(job: Job, plan: Plan) -> AddScreen:
    """Give the screen of the base, which prints the visible white too where there is one."""
    chosen, white = job.settings(Base), plan.members.white
    below = f"under {several([m.screen.ink for m in plan.on_base])}, printed first"
    if white is not None:
        own = white.screen
        stated = {c.colour: c.passes for c in job.setup.colours}.get(own.colour)
        return AddScreen(
            own.key,
            own.ink,
            own.colour,
            plan.region,
            "base and colour",
            f"white {below}",
            mesh=own.mesh,
            passes=stated or chosen.passes,
            replaces=(own.key,),
        )
    _in_stock(job, chosen)
    listed = [ink for ink in job.shop.inks if job.shop.kind_of(ink) == "opaque white"]
    named = chosen.ink or (listed[0].name if listed else "white")
    colour = next((i.colour for i in job.shop.inks if i.name == named and i.colour), "#ffffff")
    return AddScreen(
        BASE,
        named,
        colour,
        plan.region,
        "base",
        below,
        mesh=chosen.mesh,
        passes=chosen.passes,
    )


def _in_stock(job: Job, chosen: Base) -> None:
    """Refuse an ink or mesh for the base that the shop doesn't list.

    :raises SettingsError: it isn't there
    """
    for key, named, there, table in (
        ("ink", chosen.ink, [ink.name for ink in job.shop.inks], "inks"),
        ("mesh", chosen.mesh, [mesh.name for mesh in job.shop.mesh], "mesh"),
    ):
        if named is not None and named not in there:
            do = f"add it to [[{table}]], or name one of: {', '.join(there) or 'none is listed'}"
            problem = f'"{named}" is no {key} in the shop\'s list'
            raise refused(job, key, problem, do, file="shop.toml")


def _side_by_side(
    job: Job,
    tops: tuple[AddScreen, ...],
    base: str,
    under: AddScreen | None = None,
    plan: Plan | None = None,
) -> Iterator[_Draft]:
    """Let colours share screens that two short squeegees can print."""
    apart, sharing = job.settings(Base).apart_mm, sharing_of(job, tops)
    if not sharing:
        return
    films: dict[int, str] = {}
    for group in sharing:
        films |= dict.fromkeys(group, " and ".join(tops[k].key for k in group))
    named = [several([tops[k].ink for k in group]) for group in sharing]
    reason = "side by side on one screen"
    screens = tuple(
        replace(top, film=films[k], reason=reason) if k in films else top
        for k, top in enumerate(tops)
    )
    first = () if under is None else (under,)
    strokes = {film: k for k, film in enumerate(dict.fromkeys(s.film or s.key for s in screens))}
    together = tuple(strokes[s.film or s.key] + len(first) for s in screens)
    yield _Draft(
        "side by side",
        (*first, *screens),
        True,
        f"{'; '.join(named)} on one screen{f', {base}' if base else ''}",
        f"They stand more than {length(apart, job.shop.units)} apart, so that two inks have room on one"
        " screen.",
        "Two short squeegees, one for each ink, on either side of the straight lane between them; or one"
        " ink taped off while the other is printed, which lays every shirt again and isn't in the hours.",
        (HEAT,) if first else (),
        together=(*range(len(first)), *together),
        rim=plan.region if plan is not None else None,
    )


def _one_film(job: Job, members: Members, plan: Plan) -> Iterator[_Draft]:
    """Print base and top through one film that isn't moved: where there is one colour only."""
    if len(members.every) != 1:
        return
    (member,) = members.every
    chosen = job.settings(Base)
    base = replace(
        _under(job, plan),
        region=member.screen.region,
        film=member.screen.key,
        reason=f"under {member.screen.ink}, through the same film",
    )
    loads = math.ceil(job.setup.shirts / chosen.platens)
    shirts = "one shirt" if chosen.platens == 1 else f"{chosen.platens} shirts"
    top = replace(_top(member), reason="through the film of its base", film=member.screen.key)
    yield _Draft(
        "one film",
        (base, top),
        True,
        "base and colour through one film that stays where it is",
        "No set-up differs between the two, but nothing is choked either.",
        f"Shirts stay put, {shirts} at a time: print white, flash, wash, re-ink, print, wash.",
        (HEAT,),
        rim=member.screen.region,
        washes=2 * loads - 1,
    )


def _two_hits(plan: Plan, plain: tuple[AddScreen, ...]) -> Iterator[_Draft]:
    """Print opaque colours twice instead of a base."""
    on = {member.colour: member for member in plan.on_base}
    if not all(member.kind == "opaque colour" for member in on.values()):
        return
    screens = tuple(
        replace(s, passes=max(2, s.passes), reason="two hits, flash between, no base below")
        if s.key in on
        else s
        for s in plain
    )
    yield _Draft(
        "two hits",
        screens,
        False,
        "opaque inks in two hits, no base",
        "Nothing can peek out, but opaque colours on a dark shirt stay duller than on white.",
        "Flash between the hits; print on scrap of the same cloth first.",
        (HEAT,),
    )


def _discharge(job: Job, plan: Plan, plain: tuple[AddScreen, ...]) -> Iterator[_Draft]:
    """Take discharge inks instead of a base, where every shirt is of fibres that take it.

    A shop that lists its inks prints with these alone: it needs a discharge ink for each such colour.
    """
    if not all(takes_discharge(batch.fibre) for batch in job.setup.batches):
        return
    on = {member.colour for member in plan.on_base}
    shop = job.shop
    listed = {ink.colour: ink.name for ink in shop.inks if shop.kind_of(ink) == "discharge"}
    if without_discharge_ink(job, plan):
        return
    young = childrens(job.setup)
    screens = tuple(
        replace(
            s,
            ink=listed.get(s.colour) or f"{s.ink} (discharge)",
            kind="discharge",
            passes=1,
            reason="discharge ink, no base below",
        )
        if s.key in on
        else s
        for s in plain
    )
    yield _Draft(
        "discharge",
        screens,
        False,
        "discharge inks in place of a base",
        "Soft, and nothing can peek out; but not every dye gives way, and the cured colour must be tried."
        + (f" It is not for children's wear, as {several(young)} seems to be." if young else ""),
        "Ask the maker of the shirts whether their dye discharges, try a shirt, cure and wash it; mix no"
        " more than is used up within hours.",
        (DISCHARGE,),
    )


def without_discharge_ink(job: Job, plan: Plan) -> tuple[str, ...]:
    """Give the colours that need a base and have no discharge ink where the shop lists its inks."""
    shop = job.shop
    listed = {ink.colour for ink in shop.inks if shop.kind_of(ink) == "discharge"}
    colours = dict.fromkeys(member.colour for member in plan.on_base)
    return tuple(colour for colour in colours if job.shop.inks and colour not in listed)


def takes_discharge(fibre: str) -> bool:
    """Tell whether a fibre as written, like ``100 % cotton``, is of cellulose throughout."""
    words = re.findall(r"[a-z]+", fibre.lower())
    said = [word for word in words if word not in _NO_FIBRE]
    return bool(said) and all(word in TAKES_DISCHARGE for word in said)


_NO_FIBRE = frozenset(
    ("organic", "combed", "ringspun", "ring", "spun", "carded", "and", "pure", "recycled", "bci")
)


def _white_outline(
    job: Job, plan: Plan, under: AddScreen, tops: tuple[AddScreen, ...]
) -> Iterator[_Draft]:
    """Let the base reach beyond the colours on purpose; not over colours that have none.

    What the artwork itself has white stays as drawn.
    """
    outline = job.settings(Base).outline_mm
    wide = length(outline, job.shop.units)
    others = [m.design.region for m in plan.members.every if m.role == "none"]
    region = polygons(shapely.union(offset(plan.on, outline), plan.white))
    if others:
        region = polygons(shapely.difference(region, shapely.union_all(others)))
    screen = replace(
        under, region=region, does="base and colour", reason=f"{wide} beyond the colours"
    )
    yield _Draft(
        "white outline",
        (screen, *tops),
        False,
        f"a white outline of {wide} around the colours, on purpose",
        "Small coloured lettering keeps its whole base, and a miss only makes the outline uneven;"
        " but the drawing changes.",
        "Ask the customer first; small bare places close.",
        (HEAT,),
        rim=region,
        outline=True,
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Meeting:
    """Two colours that meet, with a trap as wide as their border needs or as makes sense."""

    one: str
    other: str
    edges: Edges


def _meetings(job: Job, members: Members, outlines: Mapping[str, Outline]) -> tuple[_Meeting, ...]:
    press, met = job.shop.press, []
    draws = pair_draws(job, members.films, DRAWS)
    for one, other in combinations((m.colour for m in members.every), 2):
        border = shared_border(outlines[one], outlines[other])
        if border.length_mm.sum() < STEP_MM:
            continue
        bare = edges_at(job, border.split(STEP_MM), None)
        needed = trap_needed_mm(bare, draws, press.visible_gap_mm, press.gap_share)
        trap = np.full_like(bare.trap_mm, min(needed, job.settings(Base).most_mm))
        met.append(_Meeting(one, other, Edges(bare.arms, trap, bare.number)))
    return tuple(met)


def _judged(
    job: Job,
    draft: _Draft,
    plan: Plan | None,
    borders: Sequence[_Meeting],
) -> Way:
    names = tuple(dict.fromkeys(s.film or s.key for s in draft.screens))
    way = Way(
        name=draft.name,
        films=len(names),
        passes=0,
        flashes=0,
        rounds=0,
        washes=draft.washes,
        miss=_miss(job, draft, plan, borders, names),
        hours=0.0,
        cost_hours=0.0,
        as_drawn=draft.as_drawn,
        what=draft.what,
        why=draft.why,
        asks=draft.asks,
        cautions=draft.cautions,
    )
    inks = len({screen.ink for screen in draft.screens})
    return with_counts(job, way, counted(job, draft.screens), inks)


def _miss(
    job: Job,
    draft: _Draft,
    plan: Plan | None,
    borders: Sequence[_Meeting],
    names: Sequence[str],
) -> float:
    """Say how many prints show a gap between colours or the base beside one, by joint draws."""
    at = {s.key: k for k, s in enumerate(draft.screens) if s.does != "base"}
    films = [names.index(s.film or s.key) for s in draft.screens]
    miss = miss_of(press_error(job.shop.press, len(names)))
    draws = draws_among(miss, films, DRAWS, together=draft.together)
    gaps = []
    for met in borders:
        one, other = at[met.one], at[met.other]
        below = any(draft.screens[k].does != "colour" for k in (one, other))
        if not below and films[one] != films[other]:  # else white goes on below, or nothing moves
            gaps.append(Gap(one, other, met.edges))
    if draft.rim is not None and plan is not None:
        gaps += _rims(job, draft, edge_of(draft.rim), plan, at)
    return chance_among(gaps, draws, job.shop.press.visible_gap_mm)


def _rims(job: Job, draft: _Draft, rim: Rim, plan: Plan, at: dict[str, int]) -> Iterator[Gap]:
    base = next(k for k, s in enumerate(draft.screens) if s.does != "colour")
    for member in plan.on_base:
        edges = edges_at(job, plan.borders[member.colour], rim)
        top = at[member.colour]
        # an outline falls short where the colour moves out over it
        yield Gap(base, top, edges) if draft.outline else Gap(top, base, edges)
