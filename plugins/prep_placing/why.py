"""How the place of a print on garment, frame and platen is worked out."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from prep.phrases import several
from prep.worked import (
    NO_SOURCE,
    Given,
    Standing,
    Worked,
    in_units,
    length_given,
    section_of,
    standing,
)
from prep_placing.rules import HOOD_MM, POUCH_MM, SHOULDER_MM
from prep_placing.settings import PlacingShop
from prep_placing.spots import guide_of, insides_of, laid_mm
from prep_placing.strokes import aside_of, cut_bounds, platen_bounds
from prep_placing.words import edge, short, spread

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.screens import Mark
    from prep.sections import Section
    from prep_placing.rules import Status
    from prep_placing.spots import Guide, Spotted

_MIDDLE = "The print's middle lies in the frame's middle."
_SAME_MM = 1e-6


def why_sections(job: Job, marks: tuple[Mark, ...], ask: Ask) -> Iterator[Section]:
    """Give how each distance is worked out; nothing where nothing is printed."""
    guide = guide_of(job)
    if guide is not None:
        yield section_of("How the print's place is worked out", worked_of(job, guide, marks, ask))


def worked_of(job: Job, guide: Guide, marks: tuple[Mark, ...], ask: Ask) -> Iterator[Worked]:
    """Give the distances from garment, frame and platen."""
    yield _print(job, guide)
    for spot in guide.spots:
        yield from _on_garment(job, guide, spot)
        yield from _on_platen(job, guide, marks, spot)
    yield from _in_frame(job, guide, ask)
    yield from _hoodies(job, guide)


def _print(job: Job, guide: Guide) -> Worked:
    """Tell the print's size: of what prints, not of the drawing with its margins."""
    units = job.shop.units
    wide, high = laid_mm(guide)
    asked = job.setup.size
    of_order = asked.width_mm is not None or asked.height_mm is not None
    status: Standing = "from the order" if of_order else "from the artwork"
    given = {
        "across": length_given(
            "width of all that prints", guide.width_mm, units, "from the artwork"
        ),
        "down": length_given("its height", guide.height_mm, units, "from the artwork"),
        "board": length_given("width of the drawing", job.artwork.width_mm, units, status),
    }
    formula = (
        "between the outer edges of all that prints, {across} × {down}, where the whole drawing is"
        " {board} wide"
    )
    if abs(wide - guide.width_mm) > _SAME_MM:
        formula += "; turned, as it lies"
    said = f"{short(wide, units)} × {short(high, units)}"
    holds = "Blank margins of the drawing aren't among it."
    value, unit = in_units(wide, units)
    return Worked("Print", formula, given, value, unit, said, holds, "geometry", counted=True)


def _standing(status: Status, where: str) -> tuple[Standing, str]:
    """Give status and source as the guide's table has them."""
    if status == "yours":
        return "stated", f"placing.{where} in shop.toml"
    return status, "no source" if status == "common practice" else ""


def _on_garment(job: Job, guide: Guide, spot: Spotted) -> Iterator[Worked]:
    units, of = job.shop.units, f"{spot.garment}, {several(spot.sizes)}"
    where = f"above the {spot.sleeve_ends}" if guide.place == "sleeve" else "below the collar"
    usual = "the distance of your shop for this build or size, else what is usual for it: {away}"
    standing_of = _standing(spot.status, guide.place)
    away = length_given(f"{where}, seam to print", spot.away_mm, units, *standing_of)
    said = short(spot.away_mm, units)
    holds = "" if spot.range_mm is None else f"usual from {spread(*spot.range_mm, units)}"
    name = "From the seam"
    yield Worked(
        name, usual, {"away": away}, spot.away_mm, "mm", said, holds, _source(standing_of), of, True
    )
    if guide.place == "chest":
        aside = length_given("aside", spot.aside_mm, units, *standing_of)
        formula = (
            "from the garment's centre line to the print's own, your shop's or the usual: {aside}"
        )
        said = short(spot.aside_mm, units)
        source = _source(standing_of)
        yield Worked(
            "Centre", formula, {"aside": aside}, spot.aside_mm, "mm", said, "", source, of, True
        )
    if guide.place == "sleeve" and spot.tallest_mm is not None and spot.tall_status != "yours":
        mm = partial(length_given, units=units)
        given = {
            "sleeve": mm(
                "sleeve along its upper fold",
                spot.sleeve_mm,
                status="guess",
                source="measure a garment",
            ),
            "away": away,
            "shoulder": mm("clear of the shoulder's seam", SHOULDER_MM, status="guess"),
        }
        formula = "larger of (0; {sleeve} − {away} − {shoulder})"
        said = short(spot.tallest_mm, units)
        value = in_units(spot.tallest_mm, units)
        yield Worked("Along sleeve", formula, given, *value, said, "", "geometry", of)


def _source(of: tuple[Standing, str]) -> str:
    status, source = of
    return NO_SOURCE if status == "common practice" else f"{status}: {source}".rstrip(": ")


def _on_platen(job: Job, guide: Guide, marks: tuple[Mark, ...], spot: Spotted) -> Iterator[Worked]:
    """Tell how far the print lies from the platen's edges."""
    cut = cut_bounds(guide, marks)
    platen = platen_bounds(job, guide, cut, spot)
    if platen is None:
        return
    units = job.shop.units
    mm = partial(length_given, units=units)
    of = f"{spot.garment}, {several(spot.sizes)}"
    x0, y0, x1, y1 = guide.print_mm
    board = {
        key: mm(
            f"platen, {words}", size, status="stated", source=f"press.platen_{words} in shop.toml"
        )
        for key, words, size in (
            ("wide", "width", platen[2] - platen[0]),
            ("high", "height", platen[3] - platen[1]),
        )
    }
    shown = mm("width of the print", x1 - x0, status="from the artwork")
    aside = mm(
        "print's middle right of the platen's",
        aside_of(guide, spot),
        status="worked out",
        source="by its place",
    )
    given = {"wide": board["wide"], "print": shown, "aside": aside}
    sides = (("left", x0 - platen[0], "+"), ("right", platen[2] - x1, "−"))
    alike = abs(sides[0][1] - sides[1][1]) < 0.5
    for side, value, sign in sides[:1] if alike else sides:
        said = edge(value, units, "beside" if alike else side)
        formula = f"{{wide}} ÷ 2 − {{print}} ÷ 2 {sign} {{aside}}"
        name = f"Platen's edge, {'beside' if alike else side}"
        yield Worked(name, formula, given, *in_units(value, units), said, "", "geometry", of)
    top, end = y0 - platen[1], platen[3] - y1
    advised = standing(
        job.settings(PlacingShop),
        "platen_edge_mm",
        "placing.platen_edge in shop.toml",
        "usual",
        "a supplier's advice",
    )
    edge_mm = job.settings(PlacingShop).platen_edge_mm
    if abs(top - spot.away_mm) < _SAME_MM:
        given = {
            "away": mm(
                "collar's seam to print", spot.away_mm, status="worked out", source="as told here"
            ),
            "edge": mm(
                "print to platen's edge, as advised", edge_mm, status=advised[0], source=advised[1]
            ),
        }
        formula = (
            "the collar lies at the platen's end, so as far as the print lies below it: {away}; it is at"
            " least {edge} at both ends, and targets stay on the platen"
        )
        said = edge(top, units, "at the collar's end")
        name = "Platen's edge, collar's end"
        yield Worked(name, formula, given, top, "mm", said, "", "geometry", of, counted=True)
    else:
        given = {
            "high": board["high"],
            "cut": mm("height of print and targets", cut[3] - cut[1], status="from the artwork"),
            "ahead": mm(
                "targets above the print",
                y0 - cut[1],
                status="worked out",
                source="where marks stand",
            ),
        }
        formula = "({high} − {cut}) ÷ 2 + {ahead}"
        said = edge(top, units, "at the collar's end")
        holds = "Print and targets lie in the platen's middle: at the collar they'd be too near its ends."
        name = "Platen's edge, collar's end"
        yield Worked(name, formula, given, *in_units(top, units), said, holds, "geometry", of)
    given = {
        "high": board["high"],
        "print": mm("height of the print", y1 - y0, status="from the artwork"),
        "top": mm("at the collar's end", top, status="worked out", source="as told here"),
    }
    said = edge(end, units, "at the other")
    formula = "{high} − {print} − {top}"
    yield Worked(
        "Platen's edge, other end", formula, given, *in_units(end, units), said, "", "geometry", of
    )


def _in_frame(job: Job, guide: Guide, ask: Ask) -> Iterator[Worked]:
    units = job.shop.units
    mm = partial(length_given, units=units)
    for name, *inside in insides_of(ask):
        for key, size, own, where in zip(
            ("width", "height"),
            inside,
            (guide.width_mm, guide.height_mm),
            ("beside", "above and below"),
            strict=True,
        ):
            given: dict[str, Given] = {
                "inside": mm(
                    f"{key} inside the frame",
                    size,
                    status="stated",
                    source="[[frame]] in shop.toml",
                ),
                "print": mm(f"{key} of the print", own, status="from the artwork"),
            }
            value = (size - own) / 2.0
            formula, said = "({inside} − {print}) ÷ 2", edge(value, units, where)
            told = f"Frame's inside, {where}"
            yield Worked(
                told,
                formula,
                given,
                *in_units(value, units),
                said,
                _MIDDLE,
                "geometry",
                f"frame {name}",
            )


def _hoodies(job: Job, guide: Guide) -> Iterator[Worked]:
    units = job.shop.units
    hoodies = [spot for spot in guide.spots if spot.style == "hoodie"]
    if not hoodies:
        return
    if guide.place == "back":
        hood = length_given("a hood hangs down", HOOD_MM, units, "guess")
        formula = "worn, a hood hangs {hood} over the back"
        said = short(HOOD_MM, units)
        yield Worked(
            "Hood", formula, {"hood": hood}, HOOD_MM, "mm", said, "", "a guess", counted=True
        )
    if guide.place != "front":
        return
    clear = length_given(
        "clear of the pouch's seam, at least", POUCH_MM[0], units, "common practice", "no source"
    )
    said = spread(*POUCH_MM, units)
    formula = f"print and pouch lie {said} apart, {{clear}} at least"
    yield Worked("Pouch's seam", formula, {"clear": clear}, POUCH_MM[0], "mm", said, counted=True)
    for spot in hoodies:
        if spot.tallest_mm is not None:
            of = f"{spot.garment}, {several(spot.sizes)}"
            standing_of = _standing(spot.tall_status, guide.place)
            high = length_given(
                "tallest print on a hoodie's front", spot.tallest_mm, units, *standing_of
            )
            formula = "your shop's, else what is usual for its build, clear of the pouch: {high}"
            said = short(spot.tallest_mm, units)
            source = _source(standing_of)
            yield Worked(
                "Tallest",
                formula,
                {"high": high},
                spot.tallest_mm,
                "mm",
                said,
                "",
                source,
                of,
                True,
            )
