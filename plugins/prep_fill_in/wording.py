"""What the printer reads: kinds, causes and remedies in sentences."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from prep_fill_in.details import Details, Judgement, Sort
from prep_fill_in.judge import Ints, Rule
from prep_fill_in.limits import row
from prep_fill_in.remedy import Resolution, Room, enlarged_mm, mesh_for, why_too_large

KINDS: Mapping[tuple[Sort, str], str] = {
    ("opening", "cutting"): "opening too narrow to cut",
    ("opening", "weeding"): "opening too narrow to weed",
    ("opening", "stroke"): "line too fine for the fabric",
    ("opening", "mesh"): "opening too fine for the mesh",
    ("opening", "release_aspect"): "opening too narrow to let go of the ink",
    ("opening", "release_area"): "opening too small to let go of the ink",
    ("small opening", "cutting"): "opening too small to cut",
    ("small opening", "weeding"): "opening too small to weed",
    ("small opening", "stroke"): "dot too small for the fabric",
    ("small opening", "mesh"): "opening too fine for the mesh",
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
MESH_UNKNOWN, TOO_WIDE, MORE = "not judged: mesh", "not judged: wide details", "more like these"
OWN_KINDS = frozenset(KINDS.values()) | {TIPS, TOUCHES, MESH_UNKNOWN, TOO_WIDE, MORE}

_PLURAL: Mapping[Sort, tuple[str, str]] = {
    "opening": ("narrow place of an opening", "narrow places of openings"),
    "small opening": ("small opening", "small openings"),
    "film strip": ("narrow film strip", "narrow film strips"),
    "island": ("film island", "film islands"),
}
_SHORT: Mapping[str, str] = {
    "cutting": "knife",
    "weeding": "weeding",
    "stroke": "fabric",
    "mesh": "mesh",
    "release_aspect": "letting go of ink",
    "release_area": "letting go of ink",
    "strip": "staying down",
    "island": "staying down",
    "island_area": "staying down",
    "gap": "spread of ink",
}
_ROUND: frozenset[Sort] = frozenset({"small opening", "island"})
_FILM: frozenset[Sort] = frozenset({"film strip", "island"})


@dataclass(frozen=True, slots=True)
class Remedies:
    """What the job offers to cure a detail by.

    :param width_mm: of the print now
    :param extent_mm: width and height of all that prints, now
    :param stock: meshes in stock
    """

    width_mm: float
    extent_mm: tuple[float, float]
    room: Room
    stock: Sequence[Resolution]


def mm(value: float) -> str:
    """Write a length: ``0.47 mm``."""
    return f"{value:.2f} mm"


def place(at_mm: tuple[float, float]) -> str:
    """Write a place: ``x 12.3, y 45.6 mm``."""
    return f"x {at_mm[0]:.1f}, y {at_mm[1]:.1f} mm"


def what(details: Details, which: Ints, at_mm: tuple[float, float]) -> str:
    """Say what it is: how many, how wide, where the worst is."""
    one, many = _PLURAL[details.sort]
    narrowest, widest = details.width_mm[which].min(), details.width_mm[which].max()
    wide = f"{narrowest:.2f}"
    if f"{widest:.2f}" != wide:
        wide += f" to {widest:.2f}"
    area = ""
    if details.sort == "island":
        area = f" and {details.area_mm2[which].min():.1f} mm² in area"
    size = f"{wide} mm {'across' if details.sort in _ROUND else 'wide'}{area}"
    if len(which) == 1:
        return f"A {one}, {size}, at {place(at_mm)}."
    first = "the first" if f"{widest:.2f}" == f"{narrowest:.2f}" else "the narrowest"
    return f"{len(which)} {many}, {size}, {first} at {place(at_mm)}."


def why(judgement: Judgement, sort: Sort, causes: Iterable[Rule]) -> str:
    """Say every cause, the one that decides first."""
    said = [_cause(judgement, sort, rule) for rule in causes]
    text = "; ".join(said)
    return text[:1].upper() + text[1:] + "."


def _cause(judgement: Judgement, sort: Sort, rule: Rule) -> str:
    bounds, run = judgement.bounds, judgement.conditions.run
    pulls = judgement.conditions.pulls
    limit = mm(rule.at_risk_below)
    if rule.cause == "cutting":
        return f"two knife cuts nearer than {limit} tear or drag the film between them"
    if rule.cause == "weeding":
        return f"film comes cleanly out of openings from {limit}, not under {mm(rule.fails_below)}"
    if rule.cause == "stroke":
        return f"a printed line stays whole on {judgement.conditions.fabric} fabric from {limit}"
    if rule.cause == "strip":
        return f"a film strip stays down for a {run} ({pulls} pulls) from {limit}"
    if rule.cause == "island":
        return f"wet ink creeps under an island narrower than {limit} in a {run} ({pulls} pulls)"
    if rule.cause == "island_area":
        return f"an island needs {rule.at_risk_below:g} mm² to hold for a {run}"
    if rule.cause == "gap":
        gain = bounds["gain"].at_risk_below
        return (
            f"ink spreads some {mm(gain)} from each edge, and a gap stays open on the fabric from"
            f" {limit}"
        )
    if rule.cause == "mesh":
        name = judgement.mesh.name if judgement.mesh else ""
        held = "holds film" if sort in _FILM else "prints lines"
        return f"mesh {name} {held} from {limit}, two threads across"
    depth = f"{judgement.depth_mm:.2f} mm of film{' and mesh' if judgement.mesh else ''}"
    if rule.cause == "release_aspect":
        return (
            f"ink lets go of slots from {limit} through {depth} (by a rule for paste in metal"
            " stencils: a hint only)"
        )
    return (
        f"it is so small that the walls, {depth} deep, hold on to the ink (by a rule for paste in"
        " metal stencils: a hint only)"
    )


def limits_missed(causes: Iterable[Rule]) -> str:
    """Name the limits in short: ``weeding 1.00 mm, mesh 0.47 mm``."""
    said = []
    for rule in causes:
        limit = {
            "width": mm(rule.at_risk_below),
            "area": f"{rule.at_risk_below:g} mm²",
            "ratio": f"ratio {rule.at_risk_below:g}",
        }[rule.size]
        said.append(f"{_SHORT[rule.cause]} {limit}")
    return ", ".join(said)


def do(details: Details, which: Ints, causes: Sequence[Rule], by: Remedies) -> str:
    """Say what cures all of these details, with figures."""
    named = {rule.cause: rule for rule in causes}
    steps = [_redraw(details.sort, causes)]
    steps.append(_enlarge(details, which, by))
    if "mesh" in named:
        steps.append(_finer(details, which, named, by))
    return " ".join(step for step in steps if step)


def do_for_mark(details: Details, causes: Sequence[Rule]) -> str:
    """Say what cures a mark; it does not grow with the print."""
    return f"Make the mark coarser. {_redraw(details.sort, causes)}"


def _redraw(sort: Sort, causes: Sequence[Rule]) -> str:
    widths = [r.at_risk_below for r in causes if r.size == "width"]
    areas = [r.at_risk_below for r in causes if r.size == "area"]
    asked = [f"{mm(max(widths))} wide"] if widths else []
    asked += [f"{max(areas):g} mm² in area"] if areas else []
    if not asked:
        return "Draw it larger." if sort in _FILM else "Draw it wider or longer."
    thing = "the film left there" if sort in _FILM else "it"
    return f"Draw {thing} {' and '.join(asked)} or more."


def _enlarge(details: Details, which: Ints, by: Remedies) -> str:
    grow = float(details.judged.grow_to_pass[which].max())
    passes = enlarged_mm(by.width_mm, grow)
    problem = why_too_large(by.extent_mm[0] * grow, by.extent_mm[1] * grow, by.room)
    if problem is None:
        text = f"Or print {passes:.1f} mm wide instead of {by.width_mm:.1f} mm."
    else:
        text = f"A larger print can't cure it: it passes from {passes:.1f} mm, which {problem}."
    least = float(details.judged.grow_to_survive[which].max())
    if 1.0 < least < grow:
        survives = enlarged_mm(by.width_mm, least)
        if why_too_large(by.extent_mm[0] * least, by.extent_mm[1] * least, by.room) is None:
            text += f" From {survives:.1f} mm on it is only at risk."
    return text


def _finer(details: Details, which: Ints, named: Mapping[str, Rule], by: Remedies) -> str:
    narrowest = float(details.width_mm[which].min())
    finer = mesh_for(narrowest, by.stock, row("mesh").default)
    if finer is None:
        return "No mesh in stock is fine enough for it."
    rest = len(named) - 1
    only = " That cures the mesh alone, not the rest." if rest else ""
    return f"Mesh {finer.name} in stock is fine enough.{only}"
