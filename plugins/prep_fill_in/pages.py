"""What the sheet says of fine details: verdicts and close-ups of each screen, the limits used."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
from shapely import MultiPolygon

from prep.findings import Finding
from prep.job import Ask, Job
from prep.measures import Place
from prep.phrases import percent
from prep.screens import Screen
from prep.sections import Block, Drawing, Figures, Paragraph, Section, Table
from prep_fill_in import wording
from prep_fill_in.covered import covered
from prep_fill_in.details import Judgement
from prep_fill_in.drying import Dries
from prep_fill_in.judge import Rule, judge
from prep_fill_in.limits import Bound
from prep_fill_in.lost import Lost, LostOnScreens
from prep_fill_in.overlay import ENLARGED, LOST_ENLARGED, close_ups, letter, two_ways
from prep_fill_in.remedy import Resolution
from prep_fill_in.settings import FillIn
from prep_fill_in.thickened_page import sections_on
from prep_fill_in.trouble import Judged, OnScreen, Trouble
from prep_fill_in.why import why_section
from prep_fill_in.wording import Units

_CLOSE_UPS = 3


def sections_of(job: Job, findings: Sequence[Finding], ask: Ask) -> Iterator[Section]:
    """Say whether a larger print helps, give a section for each screen and the table of limits.

    Letters count through all findings of the job as they come, so that they are the same wherever
    findings are lettered in that order.

    :param findings: of the whole job
    """
    screens, lost = ask(Judged).screens, ask(LostOnScreens).by_screen
    letters = {replace(f, by=""): letter(i) for i, f in enumerate(findings)}
    for finding in findings:
        if finding.kind == wording.LARGER and finding.by in ("", "fill_in"):
            said = Paragraph(f"{finding.what} {finding.why}")
            yield Section("job", "Would a larger print help?", (said,), rank=20, step="judge")
    yield from sections_on(job, ask)
    for found in screens:
        screen = found.judgement.screen
        if screen is not None:
            blocks = _of_screen(job, screen, found, lost.get(screen.key), letters)
            yield Section("screen", "Fine details", blocks, rank=11, screen=screen.key)
    yield Section("closing", "Limits the details are judged by", (_limits(job, screens),), rank=90)
    yield why_section(job, screens)


def _of_screen(
    job: Job,
    screen: Screen,
    found: OnScreen,
    lost: Lost | None,
    letters: Mapping[Finding, str],
) -> tuple[Block, ...]:
    judgement, measures, units = found.judgement, screen.measures, job.shop.units
    opening = max(judgement.bounds["weeding"], judgement.bounds["stroke"], key=_most)
    strip = max(judgement.bounds["strip"], judgement.bounds["gap"], key=_most)
    searched = measures.searched_to_mm
    given = searched, judgement.held_by.reached_mm, units
    figures = Figures(
        (
            ("Finest opening", *_verdict(measures.finest_opening, opening, *given)),
            *_gaps(judgement, screen, strip, *given),
        )
    )
    placed = (
        (letters.get(t.finding, ""), t) for t in found.troubles if t.finding.at_mm is not None
    )
    worst = tuple((n, t) for n, t in placed if t.finding.severity != "note")[:_CLOSE_UPS]
    if not worst:
        return (figures,)
    caption = f"The worst, {ENLARGED:g} times their size; grey is open."
    shown = (
        figures,
        Drawing(close_ups(screen.region, worst, units), caption, scale=ENLARGED),
    )
    return shown if lost is None else (*shown, *_lost(screen, lost, worst, units))


def _lost(
    screen: Screen, lost: Lost, worst: Sequence[tuple[str, Trouble]], units: Units
) -> Iterator[Block]:
    """Say and show what is lost if the screen is cut as it is."""
    parts = [
        f"{wording.large_area(region.area, units)} of {name} {does}"
        for region, name, does in (
            (lost.openings, "openings", "stays shut and doesn't print"),
            (lost.film, "film", "comes off, and ink goes there"),
        )
        if not region.is_empty
    ]
    if not parts:
        return
    yield Figures((("Lost if cut as it is", "; ".join(parts), "by what will fail"),))
    pairs = [
        (name, trouble.finding.at_mm)
        for name, trouble in worst
        if trouble.finding.severity == "will fail" and trouble.finding.at_mm is not None
    ]
    if pairs:
        picture = two_ways(pairs, screen.region, lost.left, ("as drawn", "left"), units)
        caption = (
            f"Cut as it is, {LOST_ENLARGED:g} times its size: above as drawn, below what is left."
        )
        yield Drawing(picture, caption, scale=LOST_ENLARGED)


def _most(bound: Bound) -> float:
    return bound.at_risk_below


def _gaps(
    judgement: Judgement,
    screen: Screen,
    bound: Bound,
    searched_to_mm: float,
    reached_mm: float,
    units: Units,
) -> Iterator[tuple[str, str, str]]:
    """Give the finest gap; where inks hide it, so that its film may lift, the finest that shows as well."""
    finest, covers = screen.measures.finest_gap, judgement.covers
    given = searched_to_mm, reached_mm, units
    if finest is None or not _hidden(covers, finest):
        yield ("Finest gap", *_verdict(finest, bound, *given))
        return
    at = wording.place((float(finest.at_mm[0]), float(finest.at_mm[1])), units)
    width = wording.fine(finest.width_mm, units)
    yield "Finest gap", f"{width}: beneath the inks", f"at {at}; leave it, nobody sees it lift"
    gaps = screen.measures.gaps.strips()
    shown = gaps.take(~covered(covers, gaps.at_mm, gaps.width_mm))
    place = None
    if len(shown):
        k = int(shown.width_mm.argmin())
        x_mm, y_mm = shown.at_mm[k].tolist()
        place = replace(finest, width_mm=float(shown.width_mm[k]), at_mm=(x_mm, y_mm))
    yield ("Finest gap that shows", *_verdict(place, bound, *given))


def _hidden(covers: MultiPolygon, place: Place) -> bool:
    return bool(covered(covers, np.array([place.at_mm]), np.array([place.width_mm]))[0])


def _verdict(
    place: Place | None, bound: Bound, searched_to_mm: float, reached_mm: float, units: Units
) -> tuple[str, str]:
    passes, fails = (
        wording.limit(size, units) for size in (bound.at_risk_below, bound.fails_below)
    )
    limits = f"passes from {passes}, fails under {fails}"
    if place is None:
        return f"none under {wording.limit(searched_to_mm, units)}", limits
    rule = Rule("finest", "width", bound.at_risk_below, bound.fails_below)
    level = int(judge({"width": np.array([place.width_mm])}, [rule], reached_mm).level[0])
    verdict = ("passes", "at risk", "will fail")[level]
    at = wording.place((float(place.at_mm[0]), float(place.at_mm[1])), units)
    return f"{wording.fine(place.width_mm, units)}: {verdict}", f"at {at}; {limits}"


def _limits(job: Job, screens: Sequence[OnScreen]) -> Table:
    rows: dict[tuple[str, ...], None] = {}
    sources = job.settings(FillIn).sources()
    for found in screens:
        for bound in found.judgement.bounds.values():
            held = found.judgement.held_by
            rows[_limit(bound, held.mesh, held.depth_mm, job.shop.units, sources)] = None
        if found.judgement.held_by.dries is not None:
            rows[_stays_open(found.judgement.held_by.dries, job.shop.units)] = None
    head = ("Limit", "At risk below", "Fails below", "Range", "Status", "Source")
    return Table(head, tuple(rows), "lrrrll", "Places are told from the artwork's top left.")


def _stays_open(dries: Dries, units: Units) -> tuple[str, ...]:
    at_risk, fails = (
        wording.fine(size, units) if size else "none"
        for size in (dries.at_risk_below_mm, dries.fails_below_mm)
    )
    span = f"adds {percent(dries.risk)} and {percent(dries.fail)} to the chance"
    return "opening that stays open for the run", at_risk, fails, span, "guess", "run as simulated"


def _limit(
    bound: Bound,
    mesh: Resolution | None,
    depth_mm: float,
    units: Units,
    sources: Mapping[str, str],
) -> tuple[str, ...]:
    limit = bound.limit
    what = f"{limit.what} ({limit.variant})" if limit.variant else limit.what
    at_risk, fails, low, high = (
        wording.sized(value, limit.unit, units)
        for value in (bound.at_risk_below, bound.fails_below, limit.low, limit.high)
    )
    span = f"{low.split()[0]} to {high}"
    if limit.topic == "mesh" and mesh is not None:
        what = f"{what}, mesh {mesh.name}"
        at_risk = wording.fine(mesh.resolves_mm(bound.at_risk_below), units)
        fails = wording.fine(mesh.fails_below_mm(), units)
    if limit.topic == "release_aspect":
        at_risk = f"{at_risk}: {wording.fine(bound.at_risk_below * depth_mm, units)}"
    if limit.low == limit.high:  # the release rules, which rank risk and never condemn
        fails, span = "never by this", "one figure"
    if bound.own:
        span = "this shop's own"
    status = "measured here" if bound.own else limit.status
    return what, at_risk, fails, span, status, sources[limit.topic] if bound.own else limit.source
