"""What the sheet says about where a print goes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from prep.errors import Unanswered
from prep.job import Ask, Job
from prep.screens import Mark
from prep.sections import Block, Caution, Drawing, Figures, Section, Table
from prep_placing.answers import Laying
from prep_placing.rules import HOOD_MM, POUCH_MM, SHOULDER_MM
from prep_placing.settings import PlacingShop
from prep_placing.sketch import sketch_of
from prep_placing.spots import Bounds, Guide, Spotted, guide_of, insides_of, laid_mm
from prep_placing.strokes import cut_bounds, platen_bounds
from prep_placing.words import edge, short, spread

_CORDS = (
    "Hood and cords that hang near a flash dryer or a heat press scorch and can catch fire: tuck them away"
    " before the garment goes under heat."
)
_CHILDREN = (
    "Cords at hood and neck can strangle a child; many places forbid or limit them on children's garments,"
    " and have rules of their own for prints on these. Local rules decide."
)
_READS = {
    "upright": ("upright", "its top towards the shoulder, as worn with the arm hanging"),
    "down the arm": ("down the arm", "from shoulder to hem; the print's left lies at the shoulder"),
    "up the arm": ("up the arm", "from hem to shoulder; the print's left lies at the hem"),
}


def sections_of(job: Job, marks: tuple[Mark, ...], ask: Ask) -> Iterator[Section]:
    """Give the placing guide of a set-up, on its job page."""
    guide = guide_of(job)
    if guide is None:
        return
    picture, scale = sketch_of(job, guide)
    shown = f"1 to {1.0 / scale:.0f}"
    blocks: list[Block] = [
        Drawing(
            picture,
            f"{shown}: print and distances to scale, garments as sketches. At true size: paper-master.",
            scale=scale,
        ),
        Figures(tuple(_figures(job, guide, marks, ask))),
        _table(job, guide),
    ]
    if any(spot.style == "hoodie" for spot in guide.spots):
        blocks.append(Caution(_CORDS))
        if any(spot.build != "adult" for spot in guide.spots):
            blocks.append(Caution(_CHILDREN))
    yield Section("job", "Where it goes", tuple(blocks), rank=34)
    yield Section("customer", "On the garment", tuple(_for_customer(job, guide)), 20, step="judge")


def laying_of(job: Job) -> Laying:
    """Answer how garments are laid on the board.

    :raises Unanswered: nothing is printed
    """
    guide = guide_of(job)
    if guide is None:
        raise Unanswered("nothing is printed, so nothing is laid on the board")
    units = job.shop.units
    told: dict[str, dict[str, None]] = {}
    for spot in guide.spots:
        if guide.place == "sleeve":
            said = f"the sleeve's {spot.sleeve_ends} {short(spot.away_mm, units)} below the print"
        else:
            said = f"the seam of its collar {short(spot.away_mm, units)} above the print"
        if guide.place == "chest":
            said += f" and its centre line {short(spot.aside_mm, units)} beside the print's"
        told.setdefault(said, {}).update(dict.fromkeys(spot.sizes))
    if len(told) == 1:
        return Laying(tuple(told))
    return Laying(tuple(f"{said} ({', '.join(sizes)})" for said, sizes in told.items()))


def _for_customer(job: Job, guide: Guide) -> Iterator[Block]:
    """Give the print on each build of garment, for the page the customer signs."""
    picture, _ = sketch_of(job, guide)
    units = job.shop.units
    ends = "/".join(sorted({spot.sleeve_ends for spot in guide.spots}, reverse=True))
    edge = f"above the {ends}" if guide.place == "sleeve" else "below the collar"
    said = "Print, place and garment in true proportion to each other; the garments are sketches."
    yield Drawing(picture, said)
    rows = tuple(
        (spot.garment, f"{short(spot.away_mm, units)} {edge}", ", ".join(spot.sizes))
        for spot in guide.spots
    )
    yield Figures(rows)


def _table(job: Job, guide: Guide) -> Table:
    units = job.shop.units
    ends = "/".join(sorted({spot.sleeve_ends for spot in guide.spots}, reverse=True))
    edge = f"above {ends}" if guide.place == "sleeve" else "below collar"
    rows = tuple(
        (
            spot.garment,
            ", ".join(spot.sizes),
            short(spot.away_mm, units),
            _rests(spot, units),
            _wide(spot, units),
        )
        for spot in guide.spots
    )
    return Table(
        ("garment", "sizes", edge, "rests on", "usual width"),
        rows,
        "llrll",
        caption="From the seam of collar, hem or cuff to the print. Common practice: of the trade, no"
        " source. The shop can set its own, by build or size.",
    )


def _rests(spot: Spotted, units: str) -> str:
    if spot.range_mm is None:
        return spot.status
    return f"{spread(*spot.range_mm, units)}; {spot.status}"


def _wide(spot: Spotted, units: str) -> str:
    if spot.wide_status == "yours":
        return f"{short(spot.widest_mm, units)} at most; yours"
    return f"{spread(*spot.wide_mm, units)}; {spot.wide_status}"


def _figures(
    job: Job, guide: Guide, marks: tuple[Mark, ...], ask: Ask
) -> Iterator[tuple[str, str, str]]:
    units = job.shop.units
    wide, high = laid_mm(guide)
    yield "Print", f"{short(wide, units)} × {short(high, units)}", "as it lies on the garment"
    yield from _centre(guide, units)
    for name, inside_wide, inside_high in insides_of(ask):
        beside = (inside_wide - guide.width_mm) / 2.0
        above = (inside_high - guide.height_mm) / 2.0
        yield (
            "Frame's inside",
            f"{edge(beside, units, 'beside')}, {edge(above, units, 'above and below')}",
            f"to the print, which lies in the middle of frame {name}",
        )
    yield from _platens(job, guide, marks)
    if guide.place == "sleeve":
        yield "Platen", "a sleeve board", "the other half of the sleeve, and its seam, lie below it"
        tallest = (
            f"to {short(SHOULDER_MM, units)} below the shoulder's seam; measure it on a garment"
        )
        yield "Along sleeve", "; ".join(_tallest(guide.spots, units)), tallest
    yield from _hoodies(guide, units)


def _centre(guide: Guide, units: str) -> Iterator[tuple[str, str, str]]:
    if guide.place == "sleeve":
        value, rests = _READS[guide.reads or "upright"]
        yield "Centre", "on the sleeve's upper fold", "opposite the seam under the arm"
        yield "Reads", value, rests
    elif guide.place == "chest":
        asides: dict[str, dict[str, None]] = {}
        for spot in guide.spots:
            asides.setdefault(short(spot.aside_mm, units), {}).update(dict.fromkeys(spot.sizes))
        told = "; ".join(f"{aside} ({', '.join(sizes)})" for aside, sizes in asides.items())
        yield (
            "Centre",
            f"{told} from the garment's centre line",
            f"on the wearer's {guide.side}, at your {'right' if guide.side == 'left' else 'left'} when the"
            " front lies up",
        )
    else:
        yield "Centre", "on the garment's centre line", "fold it lengthwise, shoulder on shoulder"


def _platens(job: Job, guide: Guide, marks: tuple[Mark, ...]) -> Iterator[tuple[str, str, str]]:
    """Give how far the print lies from the platen's edges, for each build where they differ."""
    cut, told = cut_bounds(guide, marks), dict[str, dict[str, None]]()
    for spot in guide.spots:
        platen = platen_bounds(job, guide, cut, spot)
        if platen is not None:
            value = _to_platen(guide, platen, job.shop.units)
            told.setdefault(value, {}).update(dict.fromkeys(spot.sizes))
    for value, sizes in told.items():
        on = f"on {', '.join(sizes)}, " if len(told) > 1 else ""
        yield "Platen's edge", value, f"{on}{_platen_rests(job)}"


def _to_platen(guide: Guide, platen: Bounds, units: str) -> str:
    x0, y0, x1, y1 = guide.print_mm
    left, right = x0 - platen[0], platen[2] - x1
    beside = (
        edge(left, units, "beside")
        if abs(left - right) < 0.5
        else f"{edge(left, units, 'left')}, {edge(right, units, 'right')}"
    )
    top, end = y0 - platen[1], platen[3] - y1
    ends = edge(top, units, "at the collar's end"), edge(end, units, "at the other")
    return f"{beside}, {', '.join(ends)}"


def _platen_rests(job: Job) -> str:
    chosen, units = job.settings(PlacingShop), job.shop.units
    advised, least = short(chosen.platen_edge_mm, units), short(chosen.least_platen_edge_mm, units)
    return f"to the print; {advised} advised, {least} at least (a supplier)"


def _hoodies(guide: Guide, units: str) -> Iterator[tuple[str, str, str]]:
    hoodies = [spot for spot in guide.spots if spot.style == "hoodie"]
    if not hoodies or guide.place == "sleeve":
        return
    if guide.place == "back":
        yield (
            "Hood",
            "off the platen's end",
            f"worn, it hangs over some {short(HOOD_MM, units)} below the collar (guess): start lower if"
            " that must show",
        )
        return
    yield (
        "Hood, cords",
        "off the platen's end",
        "cords tucked into the hood, no knot or eyelet under it",
    )
    if guide.place != "front":
        return
    yield (
        "Tallest",
        "; ".join(_tallest(hoodies, units)),
        "measure from collar to pouch on a garment",
    )
    yield (
        "Pouch's seam",
        f"{spread(*POUCH_MM, units)} clear",
        "of the print, and off the platen if it can be; common practice, no source",
    )


def _tallest(spots: Sequence[Spotted], units: str) -> Iterator[str]:
    """Say how tall a print is at most on each build."""
    said: dict[tuple[float, str], dict[str, None]] = {}
    makes = len({spot.garment for spot in spots}) > 1
    for spot in spots:
        if spot.tallest_mm is not None:
            sizes = said.setdefault((spot.tallest_mm, spot.tall_status), {})
            named = (f"{spot.garment} {size}" if makes else size for size in spot.sizes)
            sizes.update(dict.fromkeys(named))
    for (tallest, status), sizes in said.items():
        yield f"{short(tallest, units)} on {', '.join(sizes)} ({status})"
