"""How frames, squeegees and off-contact are worked out."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from prep.phrases import at_least, at_most, length, several
from prep.worked import Given, Standing, Worked, in_units, length_given, section_of, standing
from prep_squeegee.choosing import (
    HAND_STRETCHED_MM,
    OFF_CONTACT_MM,
    Hung,
    blade_of,
    film_width,
    hardness,
    hung_of,
    limits_of,
    limits_on,
    off_contact,
    own_on,
    wells_of,
)
from prep_squeegee.room import least_squeegee, room_beside, stretch_mm
from prep_squeegee.settings import Squeegee
from prep_squeegee.words import fine, size_at_least

WIDE_ENOUGH = 1.5
"""Frame's inside over the squeegee's length, as advised (a trade association's article, 2021)."""

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.screens import Screen
    from prep.sections import Section
    from prep_squeegee.room import Own

_PRACTICE: tuple[Standing, str] = "common practice", "no source"
_ADVISED: tuple[Standing, str] = "usual", "two suppliers' advice, 1/2 to 1 in on each side"
_MIDDLE = "Any print; the whole print's middle lies in the frame's middle."


def why_section(job: Job, ask: Ask) -> Section:
    """Give how each figure of frames and squeegees is worked out."""
    return section_of("How frames and squeegees are worked out", worked_of(job, ask))


def worked_of(job: Job, ask: Ask) -> Iterator[Worked]:
    """Give the figures of each film and screen; none where nothing is printed."""
    films = hung_of(job, ask)
    for film in films:
        yield from _inside(job, film)
        for screen in film.screens:
            yield from _squeegee(job, film, screen)
            yield from _wells(job, film, screen)
            yield _hardness(job, screen)
    if films:
        yield _off_contact(job)
        yield from _stretch(job, films)
        yield from _advised_width(job, films)


def _set(job: Job, field: str, words: str, units: str = "") -> Given:
    chosen = job.settings(Squeegee)
    status, source = _ADVISED if "overhang" in field else _PRACTICE
    where = f"squeegee.{field.removesuffix('_mm')} in shop.toml"
    told = standing(chosen, field, where, status, source)
    return length_given(words, getattr(chosen, field), units or job.shop.units, *told)


def _inside(job: Job, film: Hung) -> Iterator[Worked]:
    """Tell what a frame must have inside for a film."""
    units, limits = job.shop.units, limits_on(job, film)
    of = f"film of screen {several([str(screen.number) for screen in film.screens])}"
    length = partial(length_given, units=units)
    path, least = film.path, least_squeegee(film.path, limits)
    aside = length(
        "the print's middle beside the frame's", path.aside_mm, status="from the artwork"
    )
    given = {"aside": aside, "to_frame": _set(job, "to_frame_mm", "room from squeegee to frame")}
    if least in limits.squeegees_mm:
        given["squeegee"] = length(
            "shortest squeegee in stock that will do",
            least,
            status="stated",
            source="squeegee.lengths",
        )
        wide = "2 × ({aside} + {squeegee} ÷ 2 + {to_frame})"
    else:
        given |= {"wide": _cut_wide(film, units), "over": _set(job, "overhang_mm", _LEAST)}
        wide = "2 × ({aside} + ({wide} + 2 × {over}) ÷ 2 + {to_frame})"
    high = "2 × ({reach} + {well})"
    up = {
        "reach": length(
            "farthest that print and targets reach above or below the middle",
            path.reach_mm,
            status="from the artwork",
        ),
        "well": _set(job, "well_mm", "room for ink above and below, at least"),
    }
    if film.sheet_mm is not None:
        for key, side, values in (("wide", 0, given), ("high", 1, up)):
            values["sheet"] = length(
                f"film's sheet, {key}",
                film.sheet_mm[side],
                status="worked out",
                source="with the films",
            )
        wide, high = f"larger of ({wide}; {{sheet}})", f"larger of ({high}; {{sheet}})"
    said = size_at_least(*film.whole_mm, units)
    for name, formula, values, mm in (
        ("Frame's inside, wide", wide, given, film.whole_mm[0]),
        ("Frame's inside, high", high, up, film.whole_mm[1]),
    ):
        yield Worked(name, formula, values, *in_units(mm, units), said, _MIDDLE, of=of)


_LEAST = "squeegee beyond the print on each side, at least"
_GOOD = "squeegee beyond the print on each side, as advised"


def _cut_wide(film: Hung, units: str) -> Given:
    words = "width of print and targets"
    return length_given(words, film.path.width_mm, units, "from the artwork")


def _squeegee(job: Job, film: Hung, screen: Screen) -> Iterator[Worked]:
    """Tell how long a screen's squeegee is, in mm, to which it is rounded down."""
    blade, own = blade_of(job, film, screen), own_on(film, screen)
    if blade is None:
        return
    units, limits, of = job.shop.units, limits_of(job), f"screen {screen.number}"
    over = {
        "over": _set(job, "overhang_mm", _LEAST, "metric"),
        "good": _set(job, "good_overhang_mm", _GOOD, "metric"),
    }
    said, film_mm = at_most(blade, units), film_width(job, film)
    if own is None:
        wide = _cut_wide(film, "metric")
        sheet = length_given(
            "film's sheet, wide", film_mm, "metric", "worked out", "with the films"
        )
        given = {"wide": wide, **over, "sheet": sheet}
        most = "{wide} + 2 × {good}; {sheet}"
        if film.frame is not None:
            inside = film.frame.width_mm
            given |= {
                "frame": length_given(
                    "width inside the frame", inside, "metric", "stated", "[[frame]] in shop.toml"
                ),
                "to_frame": _set(job, "to_frame_mm", "room from squeegee to frame", "metric"),
                "aside": length_given(
                    "the print's middle beside the frame's",
                    film.path.aside_mm,
                    "metric",
                    "from the artwork",
                ),
            }
            most += "; {frame} − 2 × ({to_frame} + {aside})"
        if not limits.squeegees_mm:
            formula = f"larger of (whole part of (smaller of ({most})); {{wide}} + 2 × {{over}})"
            yield Worked(
                "Squeegee", formula, given, blade, "mm", said, "Whole mm, or what must be.", of=of
            )
        else:
            formula = (
                "of the squeegees in stock, from {wide} + 2 × {over} up to the least of what film and frame"
                " leave, the one nearest to {wide} + 2 × {good}"
            )
            yield Worked("Squeegee", formula, given, blade, "mm", said, "", of=of, counted=True)
    else:
        yield _beside_others(job, film, own, blade, of)
    width = film.path.width_mm if own is None else own.width_mm
    left, right = (math.inf, math.inf) if own is None else (own.room_mm[0], own.room_mm[2])
    if (blade - width) / 2.0 <= min(left, right) + 1e-6:
        given = {
            "blade": length_given("length of the squeegee", blade, units, "worked out", "as above"),
            "wide": length_given("width of what it prints", width, units, "from the artwork"),
        }
        beyond = (blade - width) / 2.0
        formula = "({blade} − {wide}) ÷ 2"
        said = at_most(beyond, units)
        yield Worked(
            "Beyond the print, each side", formula, given, *in_units(beyond, units), said, of=of
        )


def _beside_others(job: Job, film: Hung, own: Own, blade: float, of: str) -> Worked:
    """Tell the squeegee of an ink that stands beside others on its film."""
    limits = limits_of(job)
    wide_mm = None if film.frame is None else film.frame.width_mm
    sides = room_beside(own, film.path, limits, wide_mm, film_width(job, film))
    source = (
        "the least of half the lane to the other ink, the film's edge, and the frame less its room"
    )
    given = {
        "wide": length_given(
            "width of the ink's openings", own.width_mm, "metric", "from the artwork"
        ),
        "good": _set(job, "good_overhang_mm", _GOOD, "metric"),
        "over": _set(job, "overhang_mm", _LEAST, "metric"),
    }
    for key, mm in zip(("left", "right"), sides, strict=True):
        given[key] = length_given(f"room to the {key}", mm, "metric", "worked out", source)
    formula = (
        "larger of (whole part of ({wide} + smaller of ({good}; {left}) + smaller of ({good}; {right}));"
        " {wide} + 2 × {over})"
    )
    counted = bool(limits.squeegees_mm)
    if counted:
        formula = (
            "of the squeegees in stock, from {wide} + 2 × {over} up to {wide} + {left} + {right}, the one"
            " nearest to {wide} and {good} or the room on each side"
        )
    said = at_most(blade, job.shop.units)
    return Worked("Squeegee", formula, given, blade, "mm", said, "", of=of, counted=counted)


def _wells(job: Job, film: Hung, screen: Screen) -> Iterator[Worked]:
    """Tell the room for ink above and below what a screen prints."""
    if film.frame is None:
        return
    units, own = job.shop.units, own_on(film, screen)
    cut = film.path.cut_mm if own is None else own.cut_mm
    middle = film.path.middle_mm[1]
    rooms = wells_of(film, screen, film.frame.height_mm)
    said = ", ".join(at_most(mm, units) for mm in rooms)
    lanes = (math.inf, math.inf) if own is None else (own.room_mm[1], own.room_mm[3])
    for where, mm, reach, lane in zip(
        ("above", "below"), rooms, (middle - cut[1], cut[3] - middle), lanes, strict=True
    ):
        given = {
            "inside": length_given(
                "height inside the frame",
                film.frame.height_mm,
                units,
                "stated",
                "[[frame]] in shop.toml",
            ),
            "reach": length_given(
                f"how far openings reach {where} the frame's middle",
                reach,
                units,
                "from the artwork",
            ),
        }
        formula = "{inside} ÷ 2 − {reach}"
        if lane < math.inf:
            formula = f"smaller of ({formula}; {{lane}})"
            given["lane"] = length_given(
                f"half the lane to the ink {where}", lane, units, "from the artwork"
            )
        of = f"screen {screen.number}"
        value = in_units(mm, units)
        yield Worked(f"Ink {where}", formula, given, *value, said, _MIDDLE, "geometry", of)


def _hardness(job: Job, screen: Screen) -> Worked:
    (low, high), _ = hardness(job, screen)
    said = f"{low} shore A" if low == high else f"{low}-{high} shore A"
    given = {"fine": _set(job, "fine_below_mm", "fine detail")}
    formula = (
        "60-65 for opaque white and on fleece, 65-70 if an opening is narrower than {fine}; for other inks"
        " 70, and 75-80 if an opening is narrower than that"
    )
    of = f"screen {screen.number}"
    return Worked("Hardness", formula, given, float(low), "shore A", said, of=of, counted=True)


def _off_contact(job: Job) -> Worked:
    chosen, units = job.settings(Squeegee), job.shop.units
    height, _ = off_contact(job)
    if chosen.off_contact_mm is not None:
        given = length_given(
            "off-contact", height, units, "stated", "squeegee.off_contact in shop.toml"
        )
    elif chosen.hand_stretched:
        given = length_given(
            "off-contact", height, units, "common practice", "3 to 5 mm, no source"
        )
    else:
        source = "handbooks give 1.6 to 3.2 mm (a print encyclopedia's entry, 1/16 to 1/8 in)"
        given = length_given("off-contact", height, units, "usual", source)
    hand, usual = fine(HAND_STRETCHED_MM, units), fine(OFF_CONTACT_MM, units)
    formula = (
        f"the shop's own; else {hand} for frames stretched by hand or slacker than 15 N/cm, {usual} for"
        " others"
    )
    said = fine(height, units)
    return Worked("Off-contact", formula, {"height": given}, height, "mm", said, counted=True)


def _stretch(job: Job, films: tuple[Hung, ...]) -> Iterator[Worked]:
    """Tell how much longer the mesh gets, where the sheet does."""
    height = off_contact(job)[0]
    for film in films:
        if film.frame is None:
            continue
        inside = film.frame.height_mm
        longer = stretch_mm(height, inside)
        if longer < 0.01:
            continue
        given = {
            "inside": length_given(
                "height inside the frame", inside, "metric", "stated", "[[frame]] in shop.toml"
            ),
            "height": length_given("off-contact", height, "metric", "worked out", "as told here"),
        }
        yield Worked(
            "Mesh longer by",
            "2 × √(({inside} ÷ 2) × ({inside} ÷ 2) + {height} × {height}) − {inside}",
            given,
            longer,
            "mm",
            length(longer, job.shop.units),
            "Exact with the squeegee in the middle of the frame; elsewhere it is more.",
            "two straight halves of mesh; geometry",
            f"frame {film.frame.name}",
        )


def _advised_width(job: Job, films: tuple[Hung, ...]) -> Iterator[Worked]:
    """Tell the width that is advised for frames, where one is narrower."""
    units = job.shop.units
    blades = [
        blade
        for film in films
        for screen in film.screens
        if film.frame is not None
        and (blade := blade_of(job, film, screen)) is not None
        and film.frame.width_mm < WIDE_ENOUGH * blade - 1e-6
    ]
    if not blades:
        return
    longest = max(blades)
    wide = WIDE_ENOUGH * longest
    given = {
        "blade": length_given(
            "longest squeegee in a narrower frame", longest, units, "worked out", "as told here"
        )
    }
    said = at_least(wide, units)
    source = "a trade association's article, 2021"
    yield Worked(
        "Inside, as advised",
        f"{WIDE_ENOUGH:g} × {{blade}}",
        given,
        *in_units(wide, units),
        said,
        "",
        source,
    )
