"""What the sheet says of fine details: a summary, a page part for each screen, the limits used."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from prep.findings import SEVERITIES, Finding
from prep.job import Ask, Job
from prep.measures import Place
from prep.screens import Screen
from prep.sections import Block, Drawing, Figures, Paragraph, Section, Table
from prep_fill_in import wording
from prep_fill_in.details import meshes_of
from prep_fill_in.judge import Rule, judge
from prep_fill_in.limits import Bound
from prep_fill_in.overlay import ENLARGED, close_ups, letter, overlay
from prep_fill_in.remedy import Resolution, enlarged_mm, why_too_large
from prep_fill_in.trouble import OnScreen, Trouble, remedies_of, troubles_of

_CLOSE_UPS = 3


def sections_of(job: Job, findings: Sequence[Finding], ask: Ask) -> Iterator[Section]:
    """Give the summary for the job page, a section for each screen and the table of limits.

    Letters count through all findings of the job as they come, so that they are the same wherever
    findings are lettered in that order.

    :param findings: of the whole job; those of this plugin are counted, the marks' too
    """
    screens = tuple(troubles_of(job, meshes_of(job, ask)))
    own = [f for f in findings if f.kind.removeprefix("mark: ") in wording.OWN_KINDS]
    letters = {replace(f, by=""): letter(i) for i, f in enumerate(findings)}
    yield Section("job", "Details at risk", _summary(job, own, screens), rank=25)
    for found in screens:
        screen = found.judgement.screen
        if screen is not None:
            blocks = _of_screen(job, screen, found, letters)
            yield Section("screen", "Fine details", blocks, rank=25, screen=screen.key)
    yield Section("closing", "Limits the details are judged by", (_limits(screens),), rank=90)


def _summary(job: Job, own: Sequence[Finding], screens: Sequence[OnScreen]) -> tuple[Block, ...]:
    if not any(f.severity != "note" for f in own):
        said: tuple[Block, ...] = (Paragraph("No detail will fail, and none is at risk."),)
    else:
        said = (Paragraph(_larger(job, screens)),)
    names = {screen.key: f"{screen.number} {screen.ink}" for screen in job.screens}
    counts: dict[tuple[int, str, str], tuple[int, float | None]] = {}
    for finding in own:
        where = names.get(finding.screen or "", "marks" if "mark: " in finding.kind else "all")
        key = (SEVERITIES.index(finding.severity), where, finding.kind)
        count, narrowest = counts.get(key, (0, None))
        sizes = [size for size in (narrowest, finding.size_mm) if size is not None]
        counts[key] = (count + finding.count, min(sizes, default=None))
    if not counts:
        return said
    rows = tuple(
        (SEVERITIES[severity], where, kind, str(count), "" if size is None else wording.mm(size))
        for (severity, where, kind), (count, size) in sorted(counts.items(), key=lambda c: c[0])
    )
    head = ("Severity", "Screen", "Kind", "Places", "Narrowest")
    return (*said, Table(head, rows, "lllrr"))


def _larger(job: Job, screens: Sequence[OnScreen]) -> str:
    """Say from which print width on nothing fails, and from which everything passes."""
    judged = [d.judged for found in screens for d in found.judgement.details]
    passes = max((float(j.grow_to_pass.max()) for j in judged), default=1.0)
    survives = max((float(j.grow_to_survive.max()) for j in judged), default=1.0)
    by = remedies_of(job)

    def said(times: float) -> str:
        problem = why_too_large(by.extent_mm[0] * times, by.extent_mm[1] * times, by.room)
        width = f"{enlarged_mm(by.width_mm, times):.1f} mm"
        return f"{width} (which {problem})" if problem else width

    parts = []
    if survives > 1.0:
        parts.append(f"no narrow place fails from a print width of {said(survives)} on")
    if passes > survives:
        parts.append(f"every narrow place passes from {said(passes)} on")
    if not parts:
        return "A larger print cures none of these."
    text = "; ".join(parts)
    return f"Printed larger, {text}. It is {by.width_mm:.1f} mm wide now."


def _of_screen(
    job: Job, screen: Screen, found: OnScreen, letters: Mapping[Finding, str]
) -> tuple[Block, ...]:
    judgement, measures = found.judgement, screen.measures
    opening = max(judgement.bounds["weeding"], judgement.bounds["stroke"], key=_most)
    strip = max(judgement.bounds["strip"], judgement.bounds["gap"], key=_most)
    figures = Figures(
        (
            (
                "Finest opening",
                *_verdict(measures.finest_opening, opening, measures.searched_to_mm),
            ),
            ("Finest film strip", *_verdict(measures.finest_gap, strip, measures.searched_to_mm)),
        )
    )
    blocks: list[Block] = [figures]
    lettered = tuple((letters.get(t.finding, ""), t) for t in found.troubles)
    if lettered:
        head = ("", "Severity", "Detail", "mm", "x, y mm", "Limits it misses")
        rows = tuple(_row(name, trouble) for name, trouble in lettered)
        blocks.append(Table(head, rows, "lllrrl", "Places are from the artwork's top left."))
    placed = tuple((name, t) for name, t in lettered if t.finding.at_mm is not None)
    if any(len(trouble.places_mm) > 1 for _, trouble in placed):  # else one ring says it all
        art = job.artwork.width_mm, job.artwork.height_mm
        picture, left_out = overlay(screen.region, placed, art)
        more = f" {left_out} further places like these have no ring." if left_out else ""
        caption = (
            "Every one of them: a full ring will fail, a dashed ring is at risk, a thin ring is a"
            f" note; small rings are more of the same.{more}"
        )
        blocks.append(Drawing(picture, caption))
    worst = tuple((n, t) for n, t in placed if t.finding.severity != "note")[:_CLOSE_UPS]
    if worst:
        caption = f"The worst, {ENLARGED:g} times their size; grey is open."
        blocks.append(Drawing(close_ups(screen.region, worst), caption, scale=ENLARGED))
    return tuple(blocks)


def _row(name: str, trouble: Trouble) -> tuple[str, ...]:
    finding = trouble.finding
    times = f", {finding.count} places" if finding.count > 1 else ""
    at = "" if finding.at_mm is None else f"{finding.at_mm[0]:.1f}, {finding.at_mm[1]:.1f}"
    return (
        name,
        finding.severity,
        f"{finding.kind[:1].upper()}{finding.kind[1:]}{times}",
        "" if finding.size_mm is None else f"{finding.size_mm:.2f}",
        at,
        wording.limits_missed(trouble.causes) if trouble.causes else finding.what,
    )


def _most(bound: Bound) -> float:
    return bound.at_risk_below


def _verdict(place: Place | None, bound: Bound, searched_to_mm: float) -> tuple[str, str]:
    limits = f"passes from {bound.at_risk_below:g} mm, fails under {bound.fails_below:g} mm"
    if place is None:
        return f"none under {searched_to_mm:g} mm", limits
    rule = Rule("finest", "width", bound.at_risk_below, bound.fails_below)
    level = int(judge({"width": np.array([place.width_mm])}, [rule]).level[0])
    verdict = ("passes", "at risk", "will fail")[level]
    at = wording.place((float(place.at_mm[0]), float(place.at_mm[1])))
    return f"{wording.mm(place.width_mm)} at {at}: {verdict}", limits


def _limits(screens: Sequence[OnScreen]) -> Table:
    rows: dict[tuple[str, ...], None] = {}
    for found in screens:
        for bound in found.judgement.bounds.values():
            rows[_limit(bound, found.judgement.mesh)] = None
    head = ("Limit", "At risk below", "Fails below", "Range", "Status", "Source")
    return Table(head, tuple(rows), "lrrrll")


def _limit(bound: Bound, mesh: Resolution | None) -> tuple[str, ...]:
    limit = bound.limit
    unit = {"": "", "mm2": " mm²"}.get(limit.unit, f" {limit.unit}")
    what = f"{limit.what} ({limit.variant})" if limit.variant else limit.what
    at_risk, fails = f"{bound.at_risk_below:.3g}{unit}", f"{bound.fails_below:.3g}{unit}"
    span = f"{limit.low:g} to {limit.high:g}{unit}"
    if limit.topic == "mesh" and mesh is not None:
        what = f"{what}, mesh {mesh.name}"
        at_risk = wording.mm(mesh.resolves_mm(bound.at_risk_below))
        fails = wording.mm(mesh.fails_below_mm())
    if limit.low == limit.high:  # the release rules, which rank risk and never condemn
        fails, span = "never by this", "one figure"
    status = "measured here" if bound.own else limit.status
    return what, at_risk, fails, span, status, "the shop's own" if bound.own else limit.source
