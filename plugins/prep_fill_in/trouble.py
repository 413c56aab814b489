"""From judged details to findings: alike details as one, worst first, the rest counted."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from prep.findings import Finding, Severity, worst_first
from prep.job import Ask, Job
from prep.measures import measure_narrow
from prep.screens import Mark
from prep_fill_in import thickened_findings, wording
from prep_fill_in.asked import Asked
from prep_fill_in.beside import beside_mm
from prep_fill_in.design import asked_for
from prep_fill_in.details import (
    ROUND,
    Details,
    Judgement,
    Sort,
    across_mm,
    judge_marks,
    judge_screen,
    stock_of,
)
from prep_fill_in.drying import WIDEST_MM
from prep_fill_in.judge import PASSES, Floats, Ints, Rule, group
from prep_fill_in.larger import confirmed, needed
from prep_fill_in.remedy import FrameSize, Room
from prep_fill_in.settings import FillIn, FillInOrder
from prep_fill_in.wording import Units

TOUCH_MM = 0.01
"""Below it measuring tells no width: kissing corners, hairline cracks."""

_RUN_TOLD = 0.1
"""Chance that openings of any width dry shut from which the run is told of by who works out drying."""
_SPANS = (1.15, 1.5, 2.5, math.inf)
"""How far the widths of one group may lie apart; the first that keeps the list short is taken."""

_SEVERITY: tuple[Severity, ...] = ("note", "at risk", "will fail")


@dataclass(frozen=True, slots=True, eq=False)
class Trouble:
    """A finding with every place it stands for.

    :param places_mm: (N, 2); empty when it is nowhere in particular
    :param causes: rules it breaks, the one that decides first; empty for what has no width
    """

    finding: Finding
    places_mm: Floats
    causes: tuple[Rule, ...] = ()


_MEANT = Finding(
    "note",
    "details meant to fail",
    what="None of the fine details is told as trouble: this artwork is made to find out which fail.",
    why="The order says so.",
    do="Look at them on film and shirt, and enter what was read; redraw nothing.",
)


@dataclass(frozen=True, slots=True, eq=False)
class OnScreen:
    """A screen's judgement with its troubles, worst first, capped."""

    judgement: Judgement
    troubles: tuple[Trouble, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Judged:
    """Every screen, judged; in print order."""

    screens: tuple[OnScreen, ...]


def judged(job: Job, asked: Asked) -> Judged:
    """Judge every screen by what others answered."""
    return Judged(tuple(troubles_of(job, asked)))


def findings_of(job: Job, marks: Sequence[Mark], ask: Ask) -> Iterator[Finding]:
    """Say which details of which screen fail, are at risk, or are worth knowing."""
    yield from findings_by(job, marks, ask(Asked), ask(Judged))
    yield from thickened_findings.findings_on(job, ask)


def findings_by(job: Job, marks: Sequence[Mark], asked: Asked, judged: Judged) -> Iterator[Finding]:
    """Give the findings by what others answered and what was judged by that."""
    screens = judged.screens
    if job.settings(FillInOrder).meant_to_fail:
        yield _MEANT
    for found in screens:
        yield from (trouble.finding for trouble in found.troubles)
    told = [trouble.finding for found in screens for trouble in found.troubles]
    if any(f.severity != "note" and f.kind != wording.DRIES_WIDE for f in told):
        yield _larger(job, [found.judgement for found in screens])
    on_marks = judge_marks(job, marks, asked)
    if on_marks is not None:
        most = job.settings(FillIn).most_listed
        troubles = capped(_grouped(on_marks, None, most, job.shop.units), most)
        yield from (trouble.finding for trouble in troubles)
    unknown = [screen.key for screen in job.screens if screen.key not in asked.meshes]
    if unknown:
        yield _mesh_unknown(job, unknown, asked.no_meshes)
    unknown = [screen.key for screen in job.screens if screen.key not in asked.dries]
    if unknown:
        yield _drying_unknown(job, unknown, asked.no_drying)


def troubles_of(job: Job, asked: Asked) -> Iterator[OnScreen]:
    """Judge every screen, in print order."""
    remedies, most = remedies_of(job), job.settings(FillIn).most_listed
    meant = job.settings(FillInOrder).meant_to_fail
    for screen in job.screens:
        judgement = judge_screen(job, screen, asked)
        troubles = () if meant else _grouped(judgement, remedies, most, job.shop.units)
        yield OnScreen(judgement, capped(troubles, most))


def _grouped(
    judgement: Judgement, remedies: wording.Remedies | None, most: int, units: Units
) -> tuple[Trouble, ...]:
    """Group alike details, the more loosely the more there are, so that each kind has its line."""
    troubles: tuple[Trouble, ...] = ()
    beside = {} if remedies is None else {d.sort: _beside(judgement, d) for d in judgement.details}
    for span in _SPANS:
        troubles = tuple(_troubles(judgement, remedies, beside, span, units))
        if len(troubles) <= most:
            break
    return troubles


def _beside(judgement: Judgement, details: Details) -> Floats:
    """Give how wide what lies beside each detail that doesn't pass is, (N,); nan for the others."""
    found = np.full(len(details.width_mm), np.nan)
    which = np.flatnonzero(details.judged.level > PASSES)
    if judgement.screen is not None:
        found[which] = beside_mm(
            judgement.screen.region,
            details.at_mm[which],
            details.width_mm[which],
            round_=details.sort in ROUND,
        )
    return found


def remedies_of(job: Job) -> wording.Remedies:
    """Give what cures may draw on: the print's size, film and frames, meshes in stock."""
    extent = shapely.total_bounds([screen.region for screen in job.screens])
    width, height = (0.0, 0.0) if np.isnan(extent).any() else extent[2:] - extent[:2]
    film = job.shop.film
    frames = tuple(
        FrameSize(frame.name, frame.inside_width_mm, frame.inside_height_mm)
        for frame in job.shop.frame
    )
    return wording.Remedies(
        width_mm=job.artwork.width_mm,
        extent_mm=(float(width), float(height)),
        room=Room(film.width_mm, film.margin_mm, frames),
        stock=stock_of(job.shop),
        units=job.shop.units,
        thicken_mm=0.0 if asked_for(job) else job.settings(FillInOrder).thicken_most_mm,
    )


def groups_of(details: Details, span: float) -> list[Ints]:
    """Give the details that don't pass, alike ones together, worst group first.

    :param span: how many times its narrowest a group may be wide; without end, those of one level
        that the same rule decides are together, whatever else they suffer from
    """
    flagged = np.flatnonzero(details.judged.level > PASSES)
    alike = details.signature() if math.isfinite(span) else details.judged.decides
    found = group(
        details.judged.level[flagged], alike[flagged], details.width_mm[flagged], span=span
    )
    return [flagged[members] for members in found]


def _troubles(
    judgement: Judgement,
    remedies: wording.Remedies | None,
    beside: Mapping[Sort, Floats],
    span: float,
    units: Units,
) -> Iterator[Trouble]:
    """Give a screen's troubles, or those of the marks, whose remedy is another."""
    for details in judgement.details:
        for members in groups_of(details, span):
            causes = details.causes(members)
            if remedies is None:
                do = wording.do_for_mark(details, causes, units)
            else:
                room = wording.Beside(
                    beside[details.sort][members], judgement.beside_limit_mm(details.sort)
                )
                helps = judgement.held_by.helps
                do = wording.do(details, members, causes, remedies, room, helps)
            finding = _finding(judgement, details, members, do, units)
            yield Trouble(finding, details.at_mm[members], causes)
    yield from _leftovers(judgement, units)
    yield from _tips(judgement, units)
    yield from _touches(judgement, units)
    yield from _unseen(judgement, units)
    yield from _dries_wide(judgement, units)
    yield from _not_searched(judgement, units)


def _finding(
    judgement: Judgement, details: Details, members: Ints, do: str, units: Units
) -> Finding:
    causes = details.causes(members)
    first = int(members[0])
    at = _point(details.at_mm[first])
    screen = judgement.screen
    kind = wording.KINDS[details.sort, causes[0].cause]
    said = wording.what(details, members, at, units)
    return Finding(
        severity=_SEVERITY[int(details.judged.level[first])],
        kind=kind if screen else f"mark: {kind}",
        screen=screen.key if screen else None,
        colour=screen.colour if screen else None,
        at_mm=at,
        size_mm=float(details.width_mm[first]),
        what=said if screen else f"Marks: {said[:1].lower()}{said[1:]}",
        why=wording.why(judgement, details, members, causes, units),
        do=do,
        count=len(members),
        also_at_mm=_others(details.at_mm[members], 0),
    )


def _leftovers(judgement: Judgement, units: Units) -> Iterator[Trouble]:
    """Tell all leftovers of a screen at once: none of them is a detail to be cured by itself."""
    screen, left = judgement.screen, judgement.leftovers
    if screen is None or not len(left.at_mm):
        return
    widest, where = float(left.width_mm[0]), _point(left.at_mm[0])
    fails = widest < judgement.bounds["weeding"].fails_below
    finding = Finding(
        severity="will fail" if fails else "at risk",
        kind=wording.LEFTOVERS,
        screen=screen.key,
        colour=screen.colour,
        at_mm=where,
        size_mm=float(left.width_mm[-1]),
        what=wording.leftovers(screen.colour, left, where, units),
        why=wording.why_leftovers(left),
        do=wording.do_leftovers(screen.colour, left),
        count=len(left.at_mm),
        also_at_mm=_others(left.at_mm, 0),
    )
    yield Trouble(finding, left.at_mm)


def _tips(judgement: Judgement, units: Units) -> Iterator[Trouble]:
    screen = judgement.screen
    if screen is None:
        return
    rounded = judgement.bounds["cutting"].at_risk_below
    for side, tips in judgement.tips.items():
        if not len(tips.size_mm):
            continue
        worst = int(np.argmax(tips.size_mm))
        count, total = len(tips.size_mm), float(tips.size_mm.sum())
        where = _point(tips.at_mm[worst])
        owner = "openings" if side == "opening" else "the film"
        one = "A sharp tip" if count == 1 else f"{count} sharp tips"
        loses = "loses" if count == 1 else "lose"
        longest = wording.fine(float(tips.size_mm[worst]), units)
        most = "" if count == 1 else f" in all, up to {longest}"
        finding = Finding(
            severity="note",
            kind=wording.TIPS,
            screen=screen.key,
            colour=screen.colour,
            at_mm=where,
            size_mm=None,
            what=f"{one} of {owner} {loses} {wording.fine(total, units)} of length{most}.",
            why=f"Under {wording.limit(rounded, units)} wide, knife and film round tips off.",
            do="Leave them, or draw them blunt.",
            count=count,
            also_at_mm=_others(tips.at_mm, worst),
        )
        yield Trouble(finding, tips.at_mm)


def _touches(judgement: Judgement, units: Units) -> Iterator[Trouble]:
    screen = judgement.screen
    both = [touches for touches in judgement.touches.values() if len(touches.size_mm)]
    if screen is None or not both:
        return
    at, width = np.concatenate([t.at_mm for t in both]), np.concatenate([t.size_mm for t in both])
    order = np.argsort(width, kind="stable")
    # kissing corners are a touch of the openings and of the film at one place
    _, first = np.unique(np.round(at[order], 1), axis=0, return_index=True)
    kept = order[np.sort(first)]
    count, where = len(kept), _point(at[kept[0]])
    one = "A place" if count == 1 else f"{count} places"
    finding = Finding(
        severity="at risk",
        kind=wording.TOUCHES,
        screen=screen.key,
        colour=screen.colour,
        at_mm=where,
        size_mm=float(width[kept[0]]),
        what=f"{one} where openings meet, or are parted, by less than"
        f" {'0.0004 in' if units == 'inch' else f'{TOUCH_MM:g} mm'}, the first at"
        f" {wording.place(where, units)}: looks like a drawing slip.",
        why="A knife can neither leave nor cut that little: corners that kiss tear, a hairline crack"
        " prints or closes by chance.",
        do="Join the shapes there, or move them clearly apart.",
        count=count,
        also_at_mm=_others(at[kept], 0),
    )
    yield Trouble(finding, at[kept])


def _unseen(judgement: Judgement, units: Units) -> Iterator[Trouble]:
    """Tell of narrow film in a base that other inks hide."""
    screen, unseen = judgement.screen, judgement.unseen
    if screen is None or not len(unseen.size_mm):
        return
    order = np.argsort(unseen.size_mm, kind="stable")
    count, where = len(order), _point(unseen.at_mm[order[0]])
    narrowest = wording.fine(float(unseen.size_mm[order[0]]), units)
    yield Trouble(
        Finding(
            severity="note",
            kind=wording.UNSEEN,
            screen=screen.key,
            colour=screen.colour,
            at_mm=where,
            size_mm=float(unseen.size_mm[order[0]]),
            what=f"{'A narrow strip' if count == 1 else f'{count} narrow strips'} of film in the base"
            f" {'lies' if count == 1 else 'lie'} wholly beneath the inks printed on it, {narrowest} wide,"
            f" the first at {wording.place(where, units)}.",
            why="If such film lifts, ink of the base fills the place, and the ink on it hides that.",
            do="Leave it: weed it along where it doesn't stay down.",
            count=count,
            also_at_mm=_others(unseen.at_mm[order], 0),
        ),
        unseen.at_mm[order],
    )


def _dries_wide(judgement: Judgement, units: Units) -> Iterator[Trouble]:
    """Tell that the run dries openings that are no details, where nobody tells it of any width."""
    screen, dries = judgement.screen, judgement.held_by.dries
    if screen is None or dries is None or not dries.run_at_risk_mm:
        return
    if dries.lost(WIDEST_MM) >= _RUN_TOLD:
        return
    pieces = np.asarray(shapely.get_parts(screen.region), dtype=object)
    across = across_mm(pieces, dries.run_at_risk_mm)
    across = across[across >= dries.wide_mm]  # narrower ones are details
    severity: Severity = "at risk" if (across < dries.run_at_risk_mm).any() else "note"
    if (across < dries.run_fails_mm).any():
        severity = "will fail"
    what, why, do = wording.dries_wide(dries, units)
    finding = Finding(
        severity=severity,
        kind=wording.DRIES_WIDE,
        screen=screen.key,
        colour=screen.colour,
        what=what,
        why=why,
        do=do,
    )
    yield Trouble(finding, np.zeros((0, 2)))


def _not_searched(judgement: Judgement, units: Units) -> Iterator[Trouble]:
    screen = judgement.screen
    topics = ("cutting", "weeding", "stroke", "strip", "gap")
    widest = max(judgement.bounds[topic].at_risk_below for topic in topics)
    if screen is None or widest <= judgement.places_to_mm:
        return
    listed = wording.limit(judgement.places_to_mm, units)
    wanted = wording.limit(widest, units)
    finding = Finding(
        severity="note",
        kind=wording.TOO_WIDE,
        screen=screen.key,
        colour=screen.colour,
        what=f"Places between {listed} and {wanted} were not judged.",
        why=f"A limit of {wanted} holds, and measuring lists places up to {listed}.",
        do="Look on the film for places between these widths yourself, or make the limit lower.",
    )
    yield Trouble(finding, np.zeros((0, 2)))


def _larger(job: Job, judgements: Sequence[Judgement]) -> Finding:
    """Say from which print width on nothing fails, or everything passes, and whether that was confirmed."""
    by = remedies_of(job)
    passes, survives = (needed(judgements, passes=each) for each in (True, False))
    found = None
    aim = by.sensible(passes)
    can = passes > 1.0 and (aim or (survives > 1.0 and by.sensible(survives)))
    if can and job.settings(FillIn).confirm_width:
        found = confirmed(judgements, by.sensible, by.times_at, measure_narrow, passes=aim)
    dried = any(one.held_by.dries is not None for one in judgements)
    shut = any(details.suffers_from("drying") for one in judgements for details in one.details)
    return wording.larger(by, passes, survives, found, dried=dried, shut=shut)


def _drying_unknown(job: Job, screens: Sequence[str], reason: str) -> Finding:
    return Finding(
        severity="note",
        kind=wording.DRYING_UNKNOWN,
        what=(
            f"Whether openings dry shut during the run was not judged on {_which(job, screens)}, and film"
            " was held to its pulls alone, not to the hours it lies wet."
        ),
        why=f"Nobody tells how it dries: {reason or 'no answer for these screens'}. Small openings"
        " dry first.",
        do="Let the plugin that works out drying run; or watch the finest openings, flood between"
        " prints and keep fans and heat off the screens.",
    )


def _which(job: Job, screens: Sequence[str]) -> str:
    return "any screen" if len(screens) == len(job.screens) else ", ".join(screens)


def _mesh_unknown(job: Job, screens: Sequence[str], reason: str) -> Finding:
    return Finding(
        severity="note",
        kind=wording.MESH_UNKNOWN,
        what=f"Whether the mesh is fine enough was not judged on {_which(job, screens)}.",
        why=f"The figures of the mesh are not known: {reason or 'no answer for these screens'}."
        " Release is judged by the film alone.",
        do="Give count and thread of the mesh in shop.toml, and let the plugin that knows meshes"
        " run.",
    )


def capped(troubles: tuple[Trouble, ...], most: int) -> tuple[Trouble, ...]:
    """Keep the worst ones and say in one more finding what is left, never silently.

    The line that stands for the rest carries the worst severity among it.
    """
    by_finding = {id(trouble.finding): trouble for trouble in troubles}
    ordered = [by_finding[id(f)] for f in worst_first(tuple(t.finding for t in troubles))]
    if len(ordered) <= most:
        return tuple(ordered)
    rest = ordered[most:]
    counts: dict[Severity, int] = {}
    for trouble in rest:
        finding = trouble.finding
        counts[finding.severity] = counts.get(finding.severity, 0) + finding.count
    said = ", ".join(
        f"{number} {severity}{'s' if severity == 'note' and number > 1 else ''}"
        for severity, number in counts.items()
    )
    first, total = rest[0].finding, sum(counts.values())
    more = Finding(
        severity=first.severity,
        kind=wording.MORE,
        screen=first.screen,
        colour=first.colour,
        what=f"{total} more details are not listed one by one: {said}.",
        why=f"Only the worst {most} lines are listed for each screen.",
        do="Cure those listed first and check again, or list more: --set fill_in.most_listed=100.",
        count=total,
        also_at_mm=_others(np.concatenate([t.places_mm for t in rest]), -1),
    )
    return (*ordered[:most], Trouble(more, np.concatenate([t.places_mm for t in rest])))


def _others(at: Floats, but: int) -> tuple[tuple[float, float], ...]:
    return tuple(_point(place) for number, place in enumerate(at) if number != but)


def _point(at: Floats) -> tuple[float, float]:
    return float(at[0]), float(at[1])
