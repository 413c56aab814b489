"""How films' sizes, minutes and lasting are worked out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from typing import TYPE_CHECKING

from prep.worked import Given, Standing, Worked, length_given, parameter_given, section_of, standing
from prep_stencils.holding import LASTS, STROKES
from prep_stencils.life import island_limits
from prep_stencils.settings import Stencils
from prep_stencils.texts import area_text, long_text, minutes_text, size_text
from prep_stencils.times import ISLAND_S, LIFT_S, LIFTED, PIECE_S

if TYPE_CHECKING:
    from prep.job import Job
    from prep.sections import Section
    from prep_stencils.film import Film
    from prep_stencils.life import Run
    from prep_stencils.told import Told

_CUT: tuple[Standing, str] = "worked out", "along all that is cut, as told here"
_TIMES = "a guess to plan by; weed a film of yours by the clock"
_mm = partial(length_given, units="metric")


def why_section(job: Job, film: Film, films: Sequence[Told], run: Run) -> Section:
    """Give how each figure of the films is worked out."""
    return section_of("How films are worked out", worked_of(job, film, films, run))


def worked_of(job: Job, film: Film, films: Sequence[Told], run: Run) -> Iterator[Worked]:
    """Give the figures of all films, then those of each; lengths in mm, to which films are rounded."""
    yield from _sizes(job, film)
    yield from _packed(job, film)
    for told in films:
        if told.cut.parts:
            yield from _of_film(job, told, run)


def _sizes(job: Job, film: Film) -> Iterator[Worked]:
    """Tell how large the sheets are, all alike."""
    sheet, bounds = film.sheet, film.all_bounds_mm
    margin = standing(
        job.shop.film, "margin_mm", "film.margin in shop.toml", "common practice", "no source"
    )
    said = size_text(sheet.width_mm, sheet.height_mm, job.shop.units)
    for name, low, value in (("wide", 0, sheet.width_mm), ("high", 1, sheet.height_mm)):
        reach = bounds[low + 2] - bounds[low]
        given = {
            "reach": _mm(
                f"openings and marks of all screens, {name}", reach, status="from the artwork"
            ),
            "margin": _mm(
                "margin on each side", film.margin_mm, status=margin[0], source=margin[1]
            ),
        }
        formula = "rounded up ({reach} + 2 × {margin})"
        holds = "All films alike, in whole mm; before what the film stretches in the cutter."
        yield Worked(f"Film, {name}", formula, given, value, "mm", said, holds, "geometry")


def _packed(job: Job, film: Film) -> Iterator[Worked]:
    """Tell what the films take off the roll, or of sheets."""
    packing, chosen = film.packing, job.settings(Stencils)
    if packing is None:
        return
    stated = standing(job.shop.film, "width_mm", "film.width in shop.toml", "usual", "")
    wide = _mm("width of the film", job.shop.film.width_mm, status=stated[0], source=stated[1])
    rows = (
        "films lie in rows across the film of {wide}, longest first, each in the first row with room for"
        " it; the rows' lengths added"
    )
    if chosen.sheet_length_mm is None:
        said = long_text(packing.length_mm, job.shop.units)
        yield Worked(
            "Off the roll", rows, {"wide": wide}, packing.length_mm, "mm", said, counted=True
        )
    sizes = [(part.sheet.across_mm, part.sheet.along_mm) for part in film.parts]
    area = sum(across * along for across, along in sizes)
    given = {
        "area": Given("area of all films", area, "mm²", "worked out", "as they are cut"),
        "long": _mm("length taken", packing.length_mm, status="worked out", source="rows of films"),
        "wide": wide,
    }
    waste = 100.0 * packing.waste
    formula = "100 × (1 − {area} ÷ ({long} × {wide}))"
    yield Worked("Left over", formula, given, waste, "%", f"{waste:.0f} %", "", "geometry")


def _of_film(job: Job, told: Told, run: Run) -> Iterator[Worked]:
    units, chosen, of = job.shop.units, job.settings(Stencils), told.cut.numbers
    said = long_text(told.cut_mm, units)
    counted = (
        "all outlines, weeding lines and the sheet's edge, as the cutter's file has them, added"
    )
    yield Worked(
        "Cut length", counted, {}, told.cut_mm, "mm", said, source="counted", of=of, counted=True
    )
    marks = sum(len(part.marks.geoms) for part in told.cut.parts)
    given = {
        "waste": Given(
            "pieces of openings, weeding lines parting the large ones",
            float(told.pieces.weeded - marks),
            "",
            "from the artwork",
        ),
        "marks": Given(
            "openings of marks", float(marks), "", "worked out", "targets and other marks"
        ),
    }
    weeded = float(told.pieces.weeded)
    yield Worked("Pieces to weed", "{waste} + {marks}", given, weeded, "", source="counted", of=of)
    if told.pieces.islands:
        islands = "pieces of film with openings all around them, not held by any other film"
        number = float(told.pieces.islands)
        yield Worked(
            "Islands to place", islands, {}, number, "", source="counted", of=of, counted=True
        )
    yield from _minutes(job, told)
    if told.sharp:
        corner = f"{chosen.sharpest_corner_deg:g}°"
        given = {"offset": _set(job, "blade_offset_mm", "blade's tip behind its axis", "guess", "")}
        formula = f"corners under {corner}, from {{offset}} before each to as far behind it"
        number = float(told.sharp)
        yield Worked(
            "Sharp corners", formula, given, number, "", source="counted", of=of, counted=True
        )
    yield from _stencils(job, told)
    weak = sum(told.lasting.weak)
    if weak:
        across, area = island_limits(job, told.cut, run)
        said = f"{weak} ringed"
        formula = (
            f"islands under {area_text(area, units)}, or in which no disc of {{across}} has room"
        )
        status: tuple[Standing, str] = "common practice", "no source; more in runs over 25 prints"
        if any(screen.key in run.islands for screen in told.cut.screens):
            status = "worked out", "by the limits that details are judged by"
        disc = {"across": length_given("as wide as an island must be", across, units, *status)}
        name = "Islands that may come off"
        yield Worked(
            name, formula, disc, float(weak), "", said, source="counted", of=of, counted=True
        )


def _set(job: Job, field: str, words: str, usual: Standing, source: str) -> Given:
    chosen = job.settings(Stencils)
    where = f"stencils.{field.removesuffix('_mm')} in shop.toml"
    return length_given(
        words,
        getattr(chosen, field),
        job.shop.units,
        *standing(chosen, field, where, usual, source),
    )


def _minutes(job: Job, told: Told) -> Iterator[Worked]:
    """Tell the minutes of cutting, weeding and placing."""
    chosen, of = job.settings(Stencils), told.cut.numbers
    speed = standing(
        chosen, "speed_m_per_s", "stencils.speed in shop.toml", "guess", "set your cutter's"
    )
    cutting = {
        "cut": _mm("way of the blade in the film", told.cut_mm, status=_CUT[0], source=_CUT[1]),
        "speed": Given("speed of the blade", 1000.0 * chosen.speed_m_per_s, "mm/s", *speed),
        "travel": _mm(
            "way of the lifted blade",
            told.travel_mm,
            status="worked out",
            source="by the order of cutting",
        ),
        "faster": parameter_given("times that speed, lifted", LIFTED),
        "lifts": Given(
            "times it is lifted", float(told.lifts), "", "worked out", "by the order of cutting"
        ),
        "lift": parameter_given("each time it is lifted", LIFT_S),
    }
    cut = "({cut} ÷ {speed} + {travel} ÷ ({speed} × {faster}) + {lifts} × {lift}) ÷ 60"
    pieces = Given("pieces to weed", float(told.pieces.weeded), "", "worked out", "as told here")
    islands = Given(
        "islands to place", float(told.pieces.islands), "", "worked out", "as told here"
    )
    weeding = {"pieces": pieces, "each": parameter_given("each piece", PIECE_S)}
    placing = {"islands": islands, "each": parameter_given("each island", ISLAND_S)}
    times = told.times
    for name, word, time, formula, given in (
        ("Time to cut", "cut", times.cut, cut, cutting),
        ("Time to weed", "weed", times.weed, "{pieces} × {each} ÷ 60", weeding),
        ("Time to place islands", "islands", times.place, "{islands} × {each} ÷ 60", placing),
    ):
        if time.value > 0.0:
            said = f"{word} {minutes_text(time.low, time.high)}"
            yield Worked(name, formula, given, time.value, "min", said, "", _TIMES, of)


def _stencils(job: Job, told: Told) -> Iterator[Worked]:
    """Tell how many stencils are cut of a film, where one doesn't last."""
    worn, chosen = told.lasting.wear, job.settings(Stencils)
    if worn.stencils < 2:
        return
    adhesive = job.shop.film.adhesive
    prints = worn.strokes / STROKES
    usual = (
        "guess",
        f"{adhesive} film: {LASTS[adhesive][0]} strokes, {LASTS[adhesive][1] / 3600.0:g} h wet",
    )
    told_of = [
        ("stated", f"stencils.{key} in shop.toml") if own else usual
        for key, own in (("holds_pulls", chosen.holds_pulls), ("holds", chosen.holds_s))
    ]
    (pulls, pulls_source), (wet, wet_source) = told_of
    given = {
        "each": Given("strokes of a print", float(STROKES), "", "common practice", "no source"),
        "prints": Given(
            "prints through it, test pulls and spoilt ones too", prints, "", "from the order"
        ),
        "strokes": Given(
            "strokes it lasts", float(worn.lasts_strokes), "", _word(pulls), pulls_source
        ),
        "wet": Given("time it lies wet", worn.wet_s, "s", "worked out", "as the run is followed"),
        "lasts": Given("time it lasts wet", worn.lasts_s, "s", _word(wet), wet_source),
    }
    formula = (
        "larger of (1; rounded up (larger of ({each} × {prints} ÷ {strokes}; {wet} ÷ {lasts})))"
    )
    number = float(worn.stencils)
    yield Worked(
        "Stencils",
        formula,
        given,
        number,
        "",
        "",
        "",
        "a guess: no measurement was found",
        told.cut.numbers,
    )


def _word(status: str) -> Standing:
    return "stated" if status == "stated" else "guess"
