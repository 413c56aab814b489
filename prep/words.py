"""What ``prep measure`` says, in words a printer uses."""

from __future__ import annotations

import itertools
import shutil
import textwrap
from collections.abc import Sequence

import numpy as np
import shapely

from prep.artwork import assumed_size
from prep.console import out, out_table
from prep.job import Job
from prep.measures import (
    Distribution,
    Island,
    Limits,
    Measures,
    Place,
    Places,
    count_strips,
    film_by_width,
)
from prep.measures.classes import LIMITS_MM, class_names, in_classes
from prep.measures.result import AS_WIDE_MM
from prep.palette import in_cm2
from prep.records import printed_as
from prep.screens import Screen

_WIDEST = 100  # columns; longer lines are hard to read
_NOTABLE = 0.01  # share of the area that areas by width may miss before it is said
_LONG = 2.0  # so many times as long as wide, and a length says something
_SEEN_LONG_MM = 0.5  # touches shorter than this are points
_LISTED = 3  # touches told with their place


def measures_in_words(job: Job, limits_mm: Sequence[float] = LIMITS_MM) -> None:
    """Print a job's measures, screen by screen as it will be printed, with its notes.

    :param limits_mm: limits between classes of width, rising, up to ``Measures.places_to_mm``
    """
    art = job.artwork
    size = f"{art.width_mm:.1f} × {art.height_mm:.1f} mm"
    _say(f"{art.name}: {job.setup.name}{assumed_size(art) or f', {size}'}")
    _say(
        "An opening is where ink goes through, a gap is film between openings. A width counts where"
        " edges face each other, so corners have none. What narrows to nothing stands apart: a tip is"
        " the end of a corner sharper than 60°, a touch is where edges meet with nothing between."
        " What misses a limit by less than 0.01 mm has reached it. Places are measured from the"
        " artwork's left and top."
    )
    becomes = printed_as(job)
    drawn_mm2 = {s.colour: s.region.area for s in job.separations}
    bare = [f"{c} ({in_cm2(drawn_mm2[c])})" for c, to in becomes.items() if to is None]
    if bare:
        _say(f"Without a screen, the shirt stays bare: {', '.join(bare)}.")
    if not job.screens:
        _say("Nothing is left to print.")
    for screen in job.screens:
        joined = [c for c, to in becomes.items() if to == screen.colour != c]
        out()
        _screen(screen, joined, tuple(limits_mm))
    out()
    for note in job.notes:
        _say(note, lead="- ")


def _screen(screen: Screen, joined: Sequence[str], limits: tuple[float, ...]) -> None:
    """Print what is measured of a screen.

    :param joined: other colours printed from it
    """
    measures = screen.measures
    name = screen.colour if screen.ink == screen.colour else f"{screen.ink}, {screen.colour},"
    more = f"; {', '.join(joined)} with it, from one screen" if joined else ""
    _say(f"{name} prints {in_cm2(measures.area_mm2)}{more}")
    _say(
        f"pieces: {measures.pieces}, with {measures.cut_length_mm / 1000:.2f} m of edge to cut",
        lead="  ",
    )
    parts = shapely.get_parts(screen.region)
    opening, gap = measures.finest_opening, measures.finest_gap
    of_piece = ""
    if opening is not None and opening.piece < len(parts):
        of_piece = f"in a piece of {_size(parts[opening.piece].bounds)}"
    _say(
        f"finest opening: {_finest(opening, measures.openings.touches(), measures, of_piece)}",
        lead="  ",
    )
    of_film = ""
    if gap is not None and 0 < gap.piece <= len(measures.islands):
        of_film = f"in an island of {_size(measures.islands[gap.piece - 1].bounds_mm)}"
    elif gap is not None:
        of_film = "in the film around the print"
    _say(f"finest gap: {_finest(gap, measures.gaps.touches(), measures, of_film)}", lead="  ")
    for what, places in (("openings", measures.openings), ("gaps", measures.gaps)):
        _without_width(what, places)
    _say(f"islands of film: {_islands(measures.islands)}", lead="  ")
    loose = [piece for piece in measures.hanging if not piece.held_by_mm]
    if loose:
        _say(f"film where openings touch: {_loose(loose)}", lead="  ")
    held = [piece for piece in measures.hanging if piece.held_by_mm]
    if held:
        _say(f"film on necks: {_hanging(held)}", lead="  ")
    out()
    in_openings, in_film = count_strips(screen.region, limits)
    head = ("places under", *(f"{limit:g} mm" for limit in limits), "tips", "touches")
    rows = [
        (
            what,
            *map(str, counts.tolist()),
            str(len(places.tips())),
            str(len(places.touches())),
        )
        for what, places, counts in (
            ("openings", measures.openings, in_openings),
            ("gaps", measures.gaps, in_film),
        )
    ]
    out_table(head, rows, "l" + "r" * (len(head) - 1))
    if measures.area_mm2 > 0:
        out()
        _openings_by_width(measures, limits)
        out()
        _film_by_width(screen, limits)


def _without_width(what: str, places: Places) -> None:
    """Print where touches lie, and the tip that loses most."""
    touches, tips = places.touches(), places.tips()
    if len(touches):
        spots = "; ".join(_touch(place) for place in itertools.islice(touches, _LISTED))
        more = f"; and {len(touches) - _LISTED} more" if len(touches) > _LISTED else ""
        _say(f"touches of {what}: {spots}{more}", lead="  ")
    if len(tips):
        tip = tips[int(np.argmax(tips.tip_lost_area_mm2))]
        lost = f"{tip.tip_lost_length_mm or 0.0:.1f} mm of it is lost"
        which = "the tip" if len(tips) == 1 else f"of {len(tips)} tips the one that loses most"
        _say(
            f"tips of {what}: {which} has {tip.tip_angle_deg or 0.0:.0f}°, {_where(tip)}; if nothing"
            f" finer than {Limits().tip_width_mm:g} mm can be made, {lost}",
            lead="  ",
        )


def _openings_by_width(measures: Measures, limits: tuple[float, ...]) -> None:
    """Print area and length by class; the last class is what remains, so that the sum is right."""
    by_width, whole = measures.by_width, measures.area_mm2
    areas, lengths = _classes(by_width, limits)
    rows = [
        (name, in_cm2(area), _share(area / whole), _metres(length))
        for name, area, length in zip(class_names(limits), areas, lengths, strict=False)
    ]
    rest = max(whole - sum(areas), 0.0)
    last = class_names(limits)[-1]
    rows.append((last, in_cm2(rest), _share(rest / whole), ""))
    out_table(("openings by width", "area", "share", "length"), rows, "lrrr")
    unsure_mm2 = in_classes(by_width, by_width.unsure_mm2, limits)[:-1].sum()
    _doubts(by_width, float(unsure_mm2), whole)


def _film_by_width(screen: Screen, limits: tuple[float, ...]) -> None:
    """Print the same of the film, as far as it is narrow."""
    film, by_width = film_by_width(screen.region, limits[-1])
    areas, lengths = _classes(by_width, limits)
    rows = [
        (name, in_cm2(area), _metres(length))
        for name, area, length in zip(class_names(limits), areas, lengths, strict=False)
    ]
    out_table(("film by width", "area", "length"), rows, "lrr")
    unsure_mm2 = in_classes(by_width, by_width.unsure_mm2, limits)[:-1].sum()
    _doubts(by_width, float(unsure_mm2), film.area)


def _classes(by_width: Distribution, limits: tuple[float, ...]) -> tuple[list[float], list[float]]:
    """Give area and length of all classes but the last."""
    areas = in_classes(by_width, by_width.area_mm2, limits)[:-1]
    return areas.tolist(), in_classes(by_width, by_width.axis_mm, limits)[:-1].tolist()


def _doubts(by_width: Distribution, unsure_mm2: float, whole_mm2: float) -> None:
    if by_width.error_mm2 > _NOTABLE * whole_mm2:
        _say(
            f"The areas by width don't add up: they miss the whole by"
            f" {in_cm2(by_width.error_mm2)}. Don't rely on this table.",
        )
    elif unsure_mm2 > _NOTABLE * whole_mm2:
        _say(
            f"Up to {in_cm2(unsure_mm2)} may belong to the class beside: where width changes"
            " along an edge, it is known in steps only.",
        )


def _share(share: float) -> str:
    return "under 0.1 %" if 0.0 < share < 0.0005 else f"{100 * share:.1f} %"


def _metres(length_mm: float) -> str:
    return "under 0.01 m" if 0.0 < length_mm < 5.0 else f"{length_mm / 1000:.2f} m"


def _finest(place: Place | None, touching: Places, measures: Measures, piece: str) -> str:
    if place is None:
        but = " but where edges touch" if len(touching) else ""
        return f"none under {measures.searched_to_mm:g} mm{but}"
    listed = place.width_mm < measures.places_to_mm - AS_WIDE_MM
    under = measures.places_to_mm if listed else measures.searched_to_mm
    long = f"narrower than {under:g} mm for {place.length_mm:.1f} mm"
    parts = (
        _width(place.width_mm),
        _where(place),
        long if place.length_mm > _LONG * place.width_mm else "",
        piece,
    )
    return ", ".join(part for part in parts if part)


def _touch(place: Place) -> str:
    long = f", {place.length_mm:.1f} mm long" if place.length_mm >= _SEEN_LONG_MM else ""
    return _where(place) + long


def _where(place: Place) -> str:
    x, y = place.at_mm
    return f"{x:.1f} mm from the left and {y:.1f} mm from the top"


def _islands(islands: Sequence[Island]) -> str:
    if not islands:
        return "none"
    hang = f"{len(islands)}, all free (nothing holds them once cut)"
    least = min(islands, key=lambda island: island.area_mm2)
    x, y = least.at_mm
    where = f"{x:.1f} mm from the left and {y:.1f} mm from the top"
    small = f"the smallest has {least.area_mm2:.2f} mm², {where}"
    strips = [island.narrowest_mm for island in islands if island.narrowest_mm is not None]
    thin = f"; the thinnest is {_width(min(strips))} wide at its narrowest" if strips else ""
    return f"{hang}; {small}{thin}"


def _loose(pieces: Sequence[Island]) -> str:
    """Say how many pieces of film openings enclose that meet only in corners."""
    x, y = pieces[0].at_mm
    count = "1 piece, free" if len(pieces) == 1 else f"{len(pieces)} pieces, all free"
    where = f"{x:.1f} mm from the left and {y:.1f} mm from the top"
    largest = "it has" if len(pieces) == 1 else "the largest has"
    return f"{count}; {largest} {pieces[0].area_mm2:.2f} mm², {where}"


def _hanging(pieces: Sequence[Island]) -> str:
    """Say how many pieces of film hang on necks, and which on the finest."""
    finest = min(pieces, key=lambda piece: piece.held_by_mm or 0.0)
    x, y = finest.at_mm
    count = "1 piece" if len(pieces) == 1 else f"{len(pieces)} pieces"
    which = (
        f"one of {finest.area_mm2:.2f} mm², {x:.1f} mm from the left and {y:.1f} mm from the top"
    )
    return f"{count}; the finest neck, {_width(finest.held_by_mm or 0.0)}, holds {which}"


def _width(width_mm: float) -> str:
    return f"{width_mm:.{2 if width_mm >= 0.095 else 3}f} mm"


def _size(bounds: tuple[float, float, float, float]) -> str:
    x0, y0, x1, y1 = bounds
    return f"{x1 - x0:.1f} × {y1 - y0:.1f} mm"


def _say(text: str, *, lead: str = "") -> None:
    """Print a paragraph, broken to the terminal, later lines indented."""
    columns = min(shutil.get_terminal_size((_WIDEST, 24)).columns, _WIDEST)
    indent = " " * (len(lead) + 2 if lead.isspace() else len(lead))
    lines = textwrap.wrap(
        text,
        max(columns - 1, 30),
        initial_indent=lead,
        subsequent_indent=indent,
        break_long_words=False,
    )
    for line in lines:
        out(line)
