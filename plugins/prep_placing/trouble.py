"""Where a print is larger than usual, off the platen, or on garments nobody knows the size of."""

from __future__ import annotations

from collections.abc import Iterator

from prep.findings import Finding
from prep.job import Job
from prep.phrases import at_least, at_most, several
from prep.screens import Mark
from prep_placing.rules import POUCH_MM, SHOULDER_MM, sides_of
from prep_placing.settings import PlacingShop
from prep_placing.spots import Guide, Spotted, guide_of, laid_mm
from prep_placing.strokes import aside_of, cut_bounds, platen_bounds
from prep_placing.words import short, spread

_HAIR_MM = 0.5
"""What a print may be over a limit before it is told."""
_LEAST_TOLD_MM = 2.54
"""The least width that is told as one to print: what isn't 0 in tenths of an inch."""


def findings_of(job: Job, marks: tuple[Mark, ...]) -> Iterator[Finding]:
    """Say what of the print's size and place is unusual, and what can't be."""
    guide = guide_of(job)
    if guide is None:
        return
    yield from _unknown(job, guide)
    yield from _too_wide(job, guide)
    yield from _too_tall(job, guide)
    yield from _off_platen(job, guide, marks)


def _unknown(job: Job, guide: Guide) -> Iterator[Finding]:
    if not guide.known:
        yield Finding(
            "note",
            "place not known",
            f'The place "{job.setup.place}" isn\'t one that distances are known for.',
            "It is placed like a print on the front.",
            'Call it "front", "back", "chest" or "sleeve" in the order, or measure the place on a garment.',
        )
    if guide.place == "chest" and len(sides_of(job.setup.place)) > 1:
        yield Finding(
            "note",
            "side not known",
            f'The place "{job.setup.place}" names both sides.',
            "A print lies on one of them; distances are told for the wearer's left.",
            'Write a print for each in the order, "left chest" and "right chest".',
        )
    sizes = dict.fromkeys(size for spot in guide.spots for size in spot.unknown)
    if sizes:
        one = len(sizes) == 1
        yield Finding(
            "note",
            "size not known",
            f"{'Size' if one else 'Sizes'} {several(sizes)} {'is' if one else 'are'} taken as"
            " adults'.",
            "The word says neither for whom nor how large, and distances hang on that.",
            "Write it like M, 2XL, youth S, 5-6 years, 2T or 116; or state its own distance in shop.toml,"
            f' like [placing.{guide.place}.by_size."{next(iter(sizes))}"] away = "70 mm".',
        )


def _too_wide(job: Job, guide: Guide) -> Iterator[Finding]:
    width, units = laid_mm(guide)[0], job.shop.units
    wide = [spot for spot in guide.spots if width > spot.widest_mm + _HAIR_MM]
    if not wide:
        return
    yield Finding(
        "note",
        "wider than usual",
        f"The print is {short(width, units)} wide; {_each(wide, units)}.",
        "It may run into seams or under the arms, and onto the edge of the platen.",
        "Hold the paper master to a garment of the smallest size, or print that size smaller"
        " (width_by_size in the order).",
        size_mm=width,
    )


def _each(spots: list[Spotted], units: str) -> str:
    said: dict[str, list[str]] = {}
    for spot in spots:
        usual = (
            f"{short(spot.widest_mm, units)} at most"
            if spot.wide_status == "yours"
            else f"usually {spread(*spot.wide_mm, units)}"
        )
        said.setdefault(f"{usual} ({spot.wide_status})", []).extend(spot.sizes)
    return "; ".join(f"{usual} on {several(dict.fromkeys(sizes))}" for usual, sizes in said.items())


def _too_tall(job: Job, guide: Guide) -> Iterator[Finding]:
    height, units = laid_mm(guide)[1], job.shop.units
    tall = [
        spot
        for spot in guide.spots
        if spot.tallest_mm is not None and height > spot.tallest_mm + _HAIR_MM
    ]
    if not tall:
        return
    if guide.place == "sleeve":
        yield from _up_the_sleeve(job, height, [s for s in tall if s.tall_status != "yours"])
        tall = [spot for spot in tall if spot.tall_status == "yours"]
    if not tall:
        return
    limit = min(spot.tallest_mm or height for spot in tall)
    hoodie = any(spot.style == "hoodie" for spot in tall) and guide.place == "front"
    status = next(spot.tall_status for spot in tall if spot.tallest_mm == limit)
    sizes = several(dict.fromkeys(size for spot in tall for size in spot.sizes))
    why = (
        f"It must end {spread(*POUCH_MM, units)} above the pouch's seam, which lifts the screen off the"
        " cloth (common practice, no source)."
        if hoodie
        else "It goes farther than you want it to."
    )
    yield Finding(
        "at risk",
        "reaches the pouch" if hoodie else "taller than you want",
        f"The print is {short(height, units)} tall; on {sizes} {short(limit, units)} is the most"
        f" ({status}).",
        why,
        "Measure from collar to pouch on a garment; print it smaller or nearer to the collar, or state what"
        f" your garments allow (tallest under [placing.{guide.place}] in shop.toml).",
        size_mm=height,
    )


def _up_the_sleeve(job: Job, height: float, tall: list[Spotted]) -> Iterator[Finding]:
    """Say on which sleeves a print has no room, or goes up to the seam at the shoulder."""
    units = job.shop.units
    longer = [spot for spot in tall if height > spot.sleeve_mm + _HAIR_MM]
    reaching = [spot for spot in tall if spot not in longer]
    for spots, fails in ((longer, True), (reaching, False)):
        if spots:
            yield Finding(
                "will fail" if fails else "at risk",
                "longer than the sleeve" if fails else "reaches the shoulder",
                f"The print goes {short(height, units)} along the sleeve; {_sleeves(spots, units)}.",
                f"It must end {short(SHOULDER_MM, units)} below the shoulder's seam, which lifts the screen"
                " off the cloth; a sleeve's length is a guess for its build, no source.",
                f"Measure a sleeve along its upper fold; {_along(job, height, spots)}, or state what your"
                " garments allow (tallest under [placing.sleeve] in shop.toml).",
                size_mm=height,
                fits_up_to_mm=_sleeves_hold_mm(job, height, spots),
            )


def _along(job: Job, height: float, spots: list[Spotted]) -> str:
    """Say the width at which a print has room on all of these sleeves."""
    most = _sleeves_hold_mm(job, height, spots)
    if most is None:
        return "print it elsewhere"
    typed = at_most(most, job.shop.units)
    return (
        f'print at most {typed} wide (--width "{typed}"; width_by_size in the order for some sizes)'
    )


def _sleeves_hold_mm(job: Job, height: float, spots: list[Spotted]) -> float | None:
    room = min(spot.tallest_mm or 0.0 for spot in spots)
    most = room / height * job.artwork.width_mm
    return None if most < _LEAST_TOLD_MM else most


def _sleeves(spots: list[Spotted], units: str) -> str:
    """Say for garments alike how long their sleeve is, and how much of it can be printed."""
    said: dict[str, list[str]] = {}
    makes = len({spot.garment for spot in spots}) > 1
    for spot in spots:
        room = (
            f"{short(spot.sleeve_mm, units)} long (guess), of which {short(spot.tallest_mm or 0.0, units)}"
            f" can be printed, from {short(spot.away_mm, units)} above the {spot.sleeve_ends} on"
        )
        sizes = (f"{spot.garment} {size}" if makes else size for size in spot.sizes)
        said.setdefault(room, []).extend(sizes)
    each = (f"on {several(dict.fromkeys(sizes))} it is {room}" for room, sizes in said.items())
    return "; ".join(each)


def _off_platen(job: Job, guide: Guide, marks: tuple[Mark, ...]) -> Iterator[Finding]:
    cut, x0, y0, x1, y1 = cut_bounds(guide, marks), *guide.print_mm
    found = [
        (min(x0 - platen[0], y0 - platen[1], platen[2] - x1, platen[3] - y1), platen, spot)
        for spot in guide.spots
        if (platen := platen_bounds(job, guide, cut, spot)) is not None
    ]
    if not found:
        return
    room, platen, spot = min(found, key=lambda one: one[0])
    chosen, units, aside = job.settings(PlacingShop), job.shop.units, abs(aside_of(guide, spot))
    wide, high = platen[2] - platen[0], platen[3] - platen[1]
    if room >= chosen.platen_edge_mm - 1e-6:
        return
    fails = room < chosen.least_platen_edge_mm - 1e-6
    need = chosen.least_platen_edge_mm if fails else chosen.platen_edge_mm
    most = _platen_holds_mm(job, guide, wide - 2.0 * aside, high, need)
    size = f"{short(wide, units)} × {short(high, units)}"
    yield Finding(
        "will fail" if fails else "at risk",
        "print off the platen" if fails else "print near the platen's edge",
        f"The print of {short(guide.width_mm, units)} × {short(guide.height_mm, units)}"
        f"{_beside(aside, spot, units)} {_leaves(room, units)} of a platen of {size};"
        f" {short(need, units)} inside it is"
        f" {'the least' if fails else 'advised'} (a supplier).",
        "At the edge the cloth sags and the squeegee tips, so that the print smears or stays thin.",
        f"Take a platen of {at_least(guide.width_mm + 2.0 * (aside + need), units)} ×"
        f" {at_least(guide.height_mm + 2.0 * need, units)} or more"
        f"{_smaller(job, most)}{_nearer(aside)};"
        " change platen_width and platen_height under [press] if they aren't right.",
        size_mm=max(0.0, room),
        fits_up_to_mm=most,
    )


def _beside(aside_mm: float, spot: Spotted, units: str) -> str:
    if not aside_mm:
        return ""
    sizes = several(dict.fromkeys(spot.sizes))
    return f", {short(aside_mm, units)} beside the garment's centre line on {sizes},"


def _nearer(aside_mm: float) -> str:
    if not aside_mm:
        return ""
    return ", or nearer to the garment's centre line (aside under [placing.chest])"


def _leaves(room_mm: float, units: str) -> str:
    """Say how far inside a platen's edge a print ends, or how far over it."""
    if room_mm < 0.0:
        return f"reaches {short(-room_mm, units)} over the edge"
    return f"leaves {short(room_mm, units)} to the edge"


def _smaller(job: Job, most: float | None) -> str:
    if most is None:
        return ""
    typed = at_most(most, job.shop.units)
    return f', or print at most {typed} wide (--width "{typed}")'


def _platen_holds_mm(job: Job, guide: Guide, wide: float, high: float, need: float) -> float | None:
    """Give the largest width of the artwork that a platen holds, where one does."""
    scale = min((wide - 2.0 * need) / guide.width_mm, (high - 2.0 * need) / guide.height_mm)
    most = scale * job.artwork.width_mm
    return None if most < _LEAST_TOLD_MM else most
