"""What the printer reads: kinds, causes and remedies in sentences."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from prep.findings import Finding
from prep.measures.result import AS_WIDE_MM as _REACHED_MM
from prep.phrases import percent
from prep_fill_in.details import ROUND, Details, Judgement, Sort
from prep_fill_in.drying import WIDEST_MM, Dries, chances
from prep_fill_in.judge import Floats, Ints, Rule
from prep_fill_in.larger import Confirmed
from prep_fill_in.leftovers import Leftovers
from prep_fill_in.limits import row
from prep_fill_in.remedy import (
    MOST_ENLARGED,
    Resolution,
    Room,
    enlarged_mm,
    largest,
    mesh_for,
    why_too_large,
)

Units = Literal["metric", "inch"]

KINDS: Mapping[tuple[Sort, str], str] = {
    ("opening", "cutting"): "opening too narrow to cut",
    ("opening", "weeding"): "opening too narrow to weed",
    ("opening", "stroke"): "line too fine for the fabric",
    ("opening", "mesh"): "opening too fine for the mesh",
    ("opening", "drying"): "opening that dries shut",
    ("opening", "release_aspect"): "opening too narrow to let go of the ink",
    ("opening", "release_area"): "opening too small to let go of the ink",
    ("small opening", "cutting"): "opening too small to cut",
    ("small opening", "weeding"): "opening too small to weed",
    ("small opening", "stroke"): "dot too small for the fabric",
    ("small opening", "mesh"): "opening too fine for the mesh",
    ("small opening", "drying"): "small opening that dries shut",
    ("small opening", "release_area"): "opening too small to let go of the ink",
    ("film strip", "cutting"): "film strip too narrow to cut",
    ("film strip", "strip"): "film strip too narrow to stay down",
    ("film strip", "gap"): "gap that closes on the fabric",
    ("film strip", "mesh"): "film strip too fine for the mesh",
    ("island", "cutting"): "film island too narrow to cut",
    ("island", "island"): "film island too small to stay down",
    ("island", "island_area"): "film island too small to stay down",
    ("island", "gap"): "island that closes on the fabric",
    ("island", "mesh"): "film island too fine for the mesh",
}
TIPS, TOUCHES = "sharp tips lost", "touch that looks like a drawing slip"
UNSEEN = "film that other inks hide"
LARGER = "print width that cures"
LEFTOVERS = "hairlines left of a covered shape"
MESH_UNKNOWN, DRYING_UNKNOWN = "not judged: mesh", "not judged: drying"
THICKENED, UNTHICKENED = "thickened as asked for", "left as drawn, not thickened"
DRIES_WIDE = "run that dries wide openings too"
TOO_WIDE, MORE = "not judged: wide details", "more like these"
OWN_KINDS = frozenset(KINDS.values()) | {
    TIPS, TOUCHES, UNSEEN, LEFTOVERS, LARGER, MESH_UNKNOWN, DRYING_UNKNOWN, DRIES_WIDE,
    TOO_WIDE, MORE, THICKENED, UNTHICKENED,
}  # fmt: skip

_SAID_IN_FULL = 2
"""Causes said in a sentence with their limit; further ones are named."""
_TOLD_CHANCE = 0.005
_NAMED = 3
"""Colours of covering shapes that are named."""
_MM_PER_IN = 25.4
_NOISE_MM = 1e-9

_PLURAL: Mapping[Sort, tuple[str, str]] = {
    "opening": ("narrow place of an opening", "narrow places of openings"),
    "small opening": ("small opening", "small openings"),
    "film strip": ("narrow film strip", "narrow film strips"),
    "island": ("film island", "film islands"),
}
_SHORT: Mapping[str, str] = {
    "cutting": "the knife",
    "weeding": "weeding",
    "stroke": "the fabric",
    "mesh": "the mesh",
    "drying": "the run's drying",
    "release_aspect": "letting go of ink",
    "release_area": "letting go of ink",
    "strip": "staying down",
    "island": "staying down",
    "island_area": "staying down",
    "gap": "the spread of ink",
}
_FILM: frozenset[Sort] = frozenset({"film strip", "island"})


@dataclass(frozen=True, slots=True)
class Remedies:
    """What the job offers to cure a detail by.

    :param width_mm: of the print now
    :param extent_mm: width and height of all that prints, now
    :param stock: meshes in stock
    :param thicken_mm: how far edges may move by thickening; 0 where it was asked for already
    """

    width_mm: float
    extent_mm: tuple[float, float]
    room: Room
    stock: Sequence[Resolution]
    units: Units = "metric"
    thicken_mm: float = 0.0

    def sensible(self, times: float) -> bool:
        """Tell whether a print so many times as large is the same order still, and can be made."""
        width, height = self.extent_mm
        return (
            times <= MOST_ENLARGED
            and why_too_large(width * times, height * times, self.room) is None
        )

    @property
    def most(self) -> float:
        """How many times as large the print may get at most; 1 where it fills film or frame already."""
        return max(largest(*self.extent_mm, self.room), 1.0)

    def no_print(self, does: str) -> str:
        """Say that no larger print does what is wanted, up to the largest there can be.

        :param does: ``makes it pass``
        """
        hold = "film and frames in stock hold" if self.room.frames else "film in stock holds"
        widest_mm = math.floor(self.width_mm * self.most * 10.0 + 1e-6) / 10.0
        if widest_mm <= self.width_mm:
            return f"{hold} no larger print"
        reason = "" if self.most >= MOST_ENLARGED else f" and the most {hold}"
        widest = print_width(widest_mm, self.units)
        return f"no print up to {widest} wide, {self.most:.3g} times this one{reason}, {does}"

    def times_at(self, times: float) -> float:
        """Give how many times as large the print is once its width is rounded up."""
        return enlarged_mm(self.width_mm, times) / self.width_mm

    def width_at(self, times: float) -> str:
        """Write the width of a print so many times as large."""
        return print_width(enlarged_mm(self.width_mm, times), self.units)


@dataclass(frozen=True, slots=True, eq=False)
class Beside:
    """What lies beside some details.

    :param width_mm: (N,) straight across, on the narrower side; infinite where it is wide
    :param limit_mm: how wide it must stay
    """

    width_mm: Floats
    limit_mm: float


def fine(width_mm: float, units: Units) -> str:
    """Write a fine width: ``0.47 mm``, or ``0.019 in``; never as nothing."""
    if units == "inch":
        width_in = width_mm / _MM_PER_IN
        return f"{width_in:.3f} in" if width_in >= 5e-4 else "under 0.001 in"
    return f"{width_mm:.2f} mm" if width_mm >= 5e-3 else "under 0.01 mm"


def limit(width_mm: float, units: Units) -> str:
    """Write a limit, to 0.01 mm where it follows from others: ``1.5 mm``, or ``0.059 in``."""
    return (
        fine(width_mm, units)
        if units == "inch"
        else f"{max(width_mm, 0.01):.2f}".rstrip("0").rstrip(".") + " mm"
    )


def print_width(width_mm: float, units: Units) -> str:
    """Write the width of a print, rounded up: ``250.0 mm``, or ``9.85 in``."""
    if units == "inch":
        return f"{math.ceil(width_mm / _MM_PER_IN * 100.0 - 1e-6) / 100.0:.2f} in"
    return f"{width_mm:.1f} mm"


def area(area_mm2: float, units: Units) -> str:
    """Write a small area: ``2.0 mm²``, or ``0.0031 in²``; never as nothing."""
    if units == "inch":
        if area_mm2 >= _MM_PER_IN**2:
            return large_area(area_mm2, units)
        area_in2 = area_mm2 / _MM_PER_IN**2
        return f"{area_in2:.4f} in²" if area_in2 >= 5e-5 else "under 0.0001 in²"
    return f"{area_mm2:.1f} mm²" if area_mm2 >= 0.05 else "under 0.1 mm²"


def large_area(area_mm2: float, units: Units) -> str:
    """Write an area of any size: ``51.2 mm²``, ``1.34 in²``; never as nothing."""
    if units == "inch":
        area_in2 = area_mm2 / _MM_PER_IN**2
        return f"{area_in2:.2f} in²" if area_in2 >= 0.005 else "under 0.01 in²"
    return area(area_mm2, units)


def sized(value: float, unit: str, units: Units) -> str:
    """Write a limit with its unit as the table of limits has it: ``1.5 mm``, ``4 mm²``, ``0.66``."""
    if units == "inch" and unit == "mm":
        return limit(value, units)
    if units == "inch" and unit == "mm2":
        return area(value, units)
    return f"{value:.3g} {unit.replace('mm2', 'mm²')}".strip()


def place(at_mm: tuple[float, float], units: Units) -> str:
    """Write a place: ``x 12.3, y 45.6 mm`` from the artwork's top left."""
    if units == "inch":
        return f"x {at_mm[0] / _MM_PER_IN:.2f}, y {at_mm[1] / _MM_PER_IN:.2f} in"
    return f"x {at_mm[0]:.1f}, y {at_mm[1]:.1f} mm"


def span(least_mm: float, most_mm: float, units: Units) -> str:
    """Write from which fine width to which: ``0.40 to 0.47 mm``, or one where they are written alike."""
    least, most = fine(least_mm, units), fine(most_mm, units)
    return least if least == most else f"{_bare(least)} to {most}"


def what(details: Details, which: Ints, at_mm: tuple[float, float], units: Units) -> str:
    """Say what it is: how many, how wide, where the worst is."""
    one, many = _PLURAL[details.sort]
    narrowest, widest = (float(f(details.width_mm[which])) for f in (np.min, np.max))
    wide = span(narrowest, widest, units)
    island = ""
    if details.sort == "island":
        areas = details.area_mm2[which]
        least, most = (area(float(size), units) for size in (areas.min(), areas.max()))
        alike = least.removeprefix(_bare(least)) == most.removeprefix(_bare(most))
        lowest = _bare(least) if alike else least
        island = f" and {least if least == most else f'{lowest} to {most}'} in area"
    size = f"{wide} {'across' if details.sort in ROUND else 'wide'}{island}"
    if len(which) == 1:
        return f"A {one}, {size}, at {place(at_mm, units)}."
    first = "the first" if fine(widest, units) == fine(narrowest, units) else "the narrowest"
    return f"{len(which)} {many}, {size}, {first} at {place(at_mm, units)}."


def _bare(size: str) -> str:
    """Give a size without its unit."""
    return size.rsplit(" ", 1)[0]


def leftovers(colour: str, left: Leftovers, at_mm: tuple[float, float], units: Units) -> str:
    """Say how many leftovers there are, how wide, and where the widest is."""
    widest = fine(float(left.width_mm[0]), units)
    if len(left.at_mm) == 1:
        return (
            f"A hairline of {colour} peeks out beside a shape that covers it, {widest} wide,"
            f" at {place(at_mm, units)}."
        )
    return (
        f"{len(left.at_mm)} hairlines of {colour} peek out beside shapes that cover it, up to {widest}"
        f" wide, the widest at {place(at_mm, units)}."
    )


def why_leftovers(left: Leftovers) -> str:
    """Say where leftovers come from."""
    under = f" ({_some(left.covers)})" if left.covers else ""
    text = (
        f"A shape lies under another{under} of nearly the same outline, which doesn't quite cover it."
        " So fine a line can't be cut or printed, and hardly anyone drew it."
    )
    if left.everything:
        text += " Nothing else is on this screen."
    return text


def do_leftovers(colour: str, left: Leftovers) -> str:
    """Say how to be rid of leftovers; never by drawing them wider."""
    draw = "remove the lower shapes in the drawing, or let the upper ones reach over their edges"
    if not left.everything:
        return (
            f"{draw[:1].upper()}{draw[1:]}. Other shapes are printed in {colour} too, so keep the"
            " colour."
        )
    out = f"leave the colour out, the shirt stays bare there: --set 'colour.{colour}.printed=false'"
    if len(left.covers) == 1:
        out = (
            "print it with what covers it, from one screen:"
            f" --set 'colour.{colour}.print_as={left.covers[0]}'; or {out}"
        )
    return f"{out[:1].upper()}{out[1:]}; or {draw}."


def _some(colours: Sequence[str]) -> str:
    """Name the first few colours."""
    if len(colours) <= _NAMED:
        return " or ".join(colours)
    return f"{', '.join(colours[:_NAMED])} and {len(colours) - _NAMED} more colours"


def why(
    judgement: Judgement, details: Details, which: Ints, causes: Sequence[Rule], units: Units
) -> str:
    """Say the cause that decides and the next one with their limits; name the others.

    What follows in ``causes`` the one that decides stands by the growth it asks for.
    """
    narrowest = float(details.width_mm[which].min())
    said = [
        _cause(judgement, details.sort, rule, narrowest, units) for rule in causes[:_SAID_IN_FULL]
    ]
    text = "; ".join(said)
    text = f"{text[:1].upper()}{text[1:]}."
    told = {_SHORT[rule.cause] for rule in causes[:_SAID_IN_FULL]}
    rest = [
        name
        for name in dict.fromkeys(_SHORT[rule.cause] for rule in causes[_SAID_IN_FULL:])
        if name not in told
    ]
    if rest:
        listed = rest[0] if len(rest) == 1 else f"{', '.join(rest[:-1])} and {rest[-1]}"
        text += f" Also too fine for: {listed}."
    return text


def _cause(judgement: Judgement, sort: Sort, rule: Rule, narrowest_mm: float, units: Units) -> str:
    run = judgement.conditions.run_words
    said = limit(rule.at_risk_below, units)
    if rule.cause == "cutting":
        return f"two knife cuts nearer than {said} tear or drag the film between them"
    if rule.cause == "weeding":
        return f"film lifts out cleanly from {said}, not under {limit(rule.fails_below, units)}"
    if rule.cause == "stroke":
        return f"a printed line stays whole on {judgement.conditions.fabric} fabric from {said}"
    if rule.cause == "strip":
        return f"a film strip stays down for {run} from {said}"
    if rule.cause == "island":
        return f"wet ink creeps under an island narrower than {said} in {run}"
    if rule.cause == "island_area":
        return f"an island needs {area(rule.at_risk_below, units)} to hold for {run}"
    if rule.cause == "gap":
        return _closing(judgement, rule, units)
    if rule.cause == "drying" and judgement.held_by.dries is not None:
        return _drying(judgement.held_by.dries, narrowest_mm, units)
    if rule.cause == "mesh":
        name = judgement.mesh.name if judgement.mesh else ""
        held = "holds film" if sort in _FILM else "prints lines"
        return f"mesh {name} {held} from {fine(rule.at_risk_below, units)}"
    depth = f"{fine(judgement.depth_mm, units)} of film{' and mesh' if judgement.mesh else ''}"
    if rule.cause == "release_aspect":
        return (
            f"ink lets go of slots from {fine(rule.at_risk_below, units)} through {depth} (a hint)"
        )
    return f"it is so small that its walls, {depth} deep, hold on to the ink (a hint)"


def _closing(judgement: Judgement, rule: Rule, units: Units) -> str:
    bounds = judgement.bounds
    text = f"ink spreads some {limit(bounds['gain'].at_risk_below, units)} from each edge"
    if "shift" in bounds:
        usual = fine(bounds["shift"].fails_below, units)
        text += f", strokes that miss each other take {usual} on every other print"
    return f"{text}, and a gap stays open from {limit(round(rule.at_risk_below, 2), units)}"


def _drying(dries: Dries, narrowest_mm: float, units: Units) -> str:
    chance = float(chances(dries.lost, np.array([narrowest_mm]))[0])
    text = (
        f"an opening of {fine(narrowest_mm, units)} dries shut in the run with a chance of"
        f" {percent(chance)}"
    )
    if dries.wide >= _TOLD_CHANCE:
        held = "any width" if dries.wide_mm >= WIDEST_MM else limit(dries.wide_mm, units)
        text += f", one of {held} with {percent(dries.wide)}"
    enough = fine(dries.at_risk_below_mm, units)
    return f"{text}, and from {enough} on its width adds no more than {percent(dries.risk)}"


def dries_wide(dries: Dries, units: Units) -> tuple[str, str, str]:
    """Say that openings wider than any detail dry shut, why, and what to do."""
    chance = float(chances(dries.lost, np.array([dries.wide_mm]))[0])
    widest = limit(round(dries.run_at_risk_mm, 1), units)
    return (
        f"Not only fine details dry shut in this run: openings up to {widest} wide may, one of"
        f" {limit(dries.wide_mm, units)} with a chance of {percent(chance)}.",
        "The ink stands too long on the screen in this air: that is the run's trouble, and no drawing cures"
        " it. Narrow places are judged by what they add to that chance.",
        'Keep the ink open as "Now and then" says; "What helps most here" ranks the ways (both'
        " on the sheet, or prep plan).",
    )


def do(
    details: Details,
    which: Ints,
    causes: Sequence[Rule],
    by: Remedies,
    beside: Beside,
    helps: Sequence[str] = (),
) -> str:
    """Say what cures all of these details, with figures.

    :param helps: what keeps the ink open best
    """
    named = {rule.cause: rule for rule in causes}
    steps = [
        _redraw(details.sort, causes, by.units),
        _room(details, which, causes, beside, by),
    ]
    if {"island", "island_area"} & named.keys():
        steps.append(
            "Or tie it to the film beside it by a bridge, or leave it out and dab brush-on filler in its"
            " place."
        )
    steps.append(_enlarge(details, which, by, dried="drying" in named))
    if "drying" in named:
        steps.append(_kept_open(helps))
    if "mesh" in named:
        steps.append(_finer(details, which, named, by))
    return " ".join(step for step in steps if step)


def _kept_open(helps: Sequence[str]) -> str:
    if not helps:
        return 'Or keep the ink open as "Now and then" says (on the sheet, or prep plan).'
    return (
        f'Or keep the ink open, one of: {"; ".join(helps)}. "What helps most here" ranks them all (on the'
        " sheet, or prep plan)."
    )


def do_for_mark(details: Details, causes: Sequence[Rule], units: Units) -> str:
    """Say what cures a mark; it does not grow with the print."""
    return f"Make the mark coarser. {_redraw(details.sort, causes, units)}"


def _redraw(sort: Sort, causes: Sequence[Rule], units: Units) -> str:
    widths = [r.at_risk_below for r in causes if r.size == "width"]
    areas = [r.at_risk_below for r in causes if r.size == "area"]
    asked = [f"{fine(max(widths), units)} wide"] if widths else []
    asked += [f"{area(max(areas), units)} in area"] if areas else []
    if not asked:
        return "Draw it larger." if sort in _FILM else "Draw it wider or longer."
    thing = "the film left there" if sort in _FILM else "it"
    return f"Draw {thing} {' and '.join(asked)} or more."


def _room(
    details: Details, which: Ints, causes: Sequence[Rule], beside: Beside, by: Remedies
) -> str:
    """Say what each edge must move by, and whether that closes what lies beside."""
    units = by.units
    widths = [rule.at_risk_below for rule in causes if rule.size == "width"]
    if not widths:
        return ""
    edge = np.maximum((max(widths) - details.width_mm[which]) / 2.0, 0.0)
    if not edge.any():
        return ""
    left = np.maximum(beside.width_mm - edge, 0.0)
    moved = span(float(edge.min()), float(edge.max()), units)
    other = "openings" if details.sort in _FILM else "film"
    bound = limit(round(beside.limit_mm, 2), units)
    tight = int((left < beside.limit_mm - _REACHED_MM).sum())
    text = f"That moves each edge by {moved}"
    if not tight:
        thing, stays = ("the openings", "stay") if details.sort in _FILM else ("the film", "stays")
        text = f"{text}, and {thing} beside it {stays} {bound} wide or more."
        done = not {"drying", "release_aspect", "release_area"} & {rule.cause for rule in causes}
        if done and float(edge.max()) <= by.thicken_mm + _NOISE_MM:
            text += (
                " The order can ask for that, where no other colour is in the way: thicken = true under"
                " [fill_in]."
            )
        return text
    narrowest = fine(float(left.min()), units)
    if len(which) == 1:
        return f"{text} and leaves {narrowest} of {other} beside it, under {bound}."
    where = "everywhere" if tight == len(which) else f"at {tight} of {len(which)}"
    return f"{text} and leaves {other} beside it under {bound} {where}, {narrowest} where it is tightest."


def larger(
    by: Remedies,
    passes: float,
    survives: float,
    found: Confirmed | None,
    *,
    dried: bool = False,
    shut: bool = False,
) -> Finding:
    """Say from which print width on nothing fails, or everything passes.

    :param passes: times the print must grow by the places found for every one to pass
    :param survives: for none to fail
    :param found: what measuring and judging again at one size gave; ``None`` where it wasn't done
    :param dried: drying is among what was judged
    :param shut: it is among what makes details fail or puts them at risk
    """
    what = _larger(by, passes, survives, found)
    if shut and passes > 1.0 and (by.sensible(passes) or by.sensible(survives)):
        what += (
            " That takes drying as it is now; a larger print is worked and dries otherwise, so that width"
            " is no cure for drying until it was checked again."
        )
    now = f"It is {by.width_at(1.0)} wide now."
    if found is None:
        why, do = now, "Redraw what fails, or see each detail for what else cures it."
        if passes > 1.0 and (by.sensible(passes) or (survives > 1.0 and by.sensible(survives))):
            why = f"{now} Solved from the places found, not confirmed."
            do = "Say confirm_width = true under [fill_in] in shop.toml to have it confirmed."
    else:
        why = f"{now} {_run(by, passes, survives, found, dried=dried)}"
        do = (
            f"Print it {by.width_at(found.times)} wide if garments and customer allow, and check again at"
            " that width."
        )
        if not found.holds:
            do = "Redraw what stays."
    return Finding("note", LARGER, what, why, do)


def _run(by: Remedies, passes: float, survives: float, found: Confirmed, *, dried: bool) -> str:
    """Say which width was run and which was not, and what was kept as it is."""
    last = by.width_at(found.times)
    text = f"At {last} every screen was measured and judged again"
    if found.runs > 1:
        text += f", the last of {found.runs} widths tried"
    if found.passes and 1.0 < survives < passes:
        text += f"; {by.width_at(survives)} is solved from the places found and was not run"
    kept = "bases, traps and drying" if dried else "bases and traps"
    return f"{text}. There {kept} are as reckoned for the present size."


def _larger(by: Remedies, passes: float, survives: float, found: Confirmed | None) -> str:
    if passes <= 1.0:
        return "A larger print cures none of these."
    aim = by.sensible(passes)
    if not aim and not by.sensible(survives):
        return (
            "A larger print doesn't cure the details, redraw what fails:"
            f" {by.no_print('keeps every narrow place from failing')}."
        )
    last = 1.0 if found is None else found.times
    if found is not None and not found.holds:
        stays = f"{found.fails} will fail and {found.at_risk} are at risk"
        return f"At a print width of {by.width_at(last)} some details stay: {stays}."
    parts = []
    if survives > 1.0:
        times = survives if aim else max(survives, last)
        parts.append(f"no narrow place fails from a print width of {by.width_at(times)} on")
    if passes > survives and aim:
        of = "" if parts else "a print width of "
        times = max(passes, last)
        parts.append(f"every narrow place passes from {of}{by.width_at(times)} on")
    elif aim:
        parts = [
            f"every narrow place passes from a print width of {by.width_at(max(passes, last))} on"
        ]
    else:
        parts.append(by.no_print("lets every narrow place pass"))
    if found is not None and found.touches:
        parts.append("touches stay at any width, cure them in the drawing")
    text = "; ".join(parts)
    return f"{text[:1].upper()}{text[1:]}."


def _enlarge(details: Details, which: Ints, by: Remedies, *, dried: bool) -> str:
    """Say from which print width on they pass; nothing where no print passes.

    :param dried: drying is among the causes; it is reckoned for the present size alone
    """
    grow = float(details.judged.grow_to_pass[which].max())
    least = float(details.judged.grow_to_survive[which].max())
    if by.sensible(grow):
        text = f"Or print {by.width_at(grow)} wide instead of {by.width_at(1.0)}"
        text += "; a larger print dries otherwise, so check again at that width." if dried else "."
        if 1.0 < least < grow:
            text += f" From {by.width_at(least)} on it is only at risk."
        return text
    if 1.0 < least < grow and by.sensible(least):
        return (
            f"Or print {by.width_at(least)} wide instead of {by.width_at(1.0)}: it is only at risk"
            f" then; {by.no_print('makes it pass')}."
            + (" A larger print dries otherwise, so check again at that width." if dried else "")
        )
    return ""  # told once of the whole print, not of each detail


def _finer(details: Details, which: Ints, named: Mapping[str, Rule], by: Remedies) -> str:
    narrowest = float(details.width_mm[which].min())
    finer = mesh_for(narrowest, by.stock, row("mesh").default)
    if finer is None:
        return "No mesh in stock is fine enough for it."
    rest = len(named) - 1
    only = " That cures the mesh alone, not the rest." if rest else ""
    return f"Mesh {finer.name} in stock is fine enough.{only}"
