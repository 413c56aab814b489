"""Which frames and squeegees are missing, and what would do."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from prep.findings import Finding
from prep.job import Ask, Job
from prep.phrases import at_least, at_most, several
from prep.screens import Screen
from prep_squeegee.choosing import (
    Hung,
    blade_of,
    film_width,
    fits_sheet,
    frames_of,
    hung_of,
    limits_of,
    limits_on,
    longest_blade,
    own_on,
    print_bounds,
)
from prep_squeegee.room import FrameSize, holds, largest_scale
from prep_squeegee.settings import Squeegee
from prep_squeegee.words import size_at_least, size_at_most


def findings_of(job: Job, ask: Ask) -> Iterator[Finding]:
    """Say which films no frame or squeegee in stock will do for."""
    films = hung_of(job, ask)
    frames = frames_of(job)
    homeless = [film for film in films if film.frame is None] if frames else []
    without = [film for film in homeless if not any(holds(f, *film.needs_mm) for f in frames)]
    if without:
        yield _no_frame(job, without, frames)
    elif homeless:
        yield _too_few(job, films, homeless, frames)
    yield from _sheet_over_frame(job, films)
    yield from _no_squeegee(job, [film for film in films if film not in without])


def _no_frame(job: Job, films: Sequence[Hung], frames: Sequence[FrameSize]) -> Finding:
    units, limits = job.shop.units, limits_of(job)
    width, height = (max(film.needs_mm[side] for film in films) for side in (0, 1))
    widest = max(frames, key=lambda f: (f.width_mm, f.height_mm))
    tallest = max(frames, key=lambda f: (f.height_mm, f.width_mm))
    large = max(frames, key=lambda f: f.width_mm * f.height_mm)
    too_wide, too_high = width > widest.width_mm, height > tallest.height_mm
    if too_wide and not too_high:
        what = (
            f"The print needs an inside width of {at_least(width, units)}; your largest is"
            f" {at_most(widest.width_mm, units)} ({widest.name})."
        )
    elif too_high and not too_wide:
        what = (
            f"The print needs an inside height of {at_least(height, units)}; your largest is"
            f" {at_most(tallest.height_mm, units)} ({tallest.name})."
        )
    else:
        what = (
            f"The print needs a frame of {size_at_least(width, height, units)} inside; your largest,"
            f" {large.name}, has {size_at_most(large.width_mm, large.height_mm, units)}."
        )
    return Finding(
        severity="will fail",
        kind="no frame holds the print",
        size_mm=films[0].path.width_mm,
        what=what + _short_too(job, films),
        why=f"The squeegee reaches {at_most(limits.overhang_mm, units)} or more over the print each side"
        f" and needs {at_most(limits.to_frame_mm, units)} to the frame, where the mesh gives too little;"
        f" the stroke needs {at_most(limits.well_mm, units)} before and after the print (common practice,"
        " no source).",
        do=f"Take a frame of {size_at_least(width, height, units)} inside or larger"
        f"{_longer(job, films)}{_smaller_print(job, films, frames)}.",
        fits_up_to_mm=_largest_mm(job, films, frames),
    )


def _too_short(job: Job, films: Sequence[Hung]) -> float | None:
    """Give the squeegee wanted at least where the longest in stock is shorter; else ``None``."""
    limits = limits_of(job)
    wide = [
        film.path.width_mm if (own := own_on(film, screen)) is None else own.width_mm
        for film in films
        for screen in film.screens
    ]
    least = max(wide) + 2.0 * limits.overhang_mm
    longest = max(limits.squeegees_mm, default=math.inf)
    return least if longest < least - 1e-6 else None


def _short_too(job: Job, films: Sequence[Hung]) -> str:
    least, units = _too_short(job, films), job.shop.units
    if least is None:
        return ""
    longest = at_most(max(limits_of(job).squeegees_mm), units)
    return f" The squeegee must be {at_least(least, units)} or more; your longest is {longest}."


def _longer(job: Job, films: Sequence[Hung]) -> str:
    least = _too_short(job, films)
    return "" if least is None else f" and a squeegee of {at_least(least, job.shop.units)} or more"


def _smaller_print(job: Job, films: Sequence[Hung], frames: Sequence[FrameSize]) -> str:
    """Say the largest width that fits, where one does."""
    most = _largest_mm(job, films, frames)
    if most is None:
        return ""
    typed = at_most(most, job.shop.units)
    return f', or print at most {typed} wide (--width "{typed}")'


def _largest_mm(job: Job, films: Sequence[Hung], frames: Sequence[FrameSize]) -> float | None:
    """Give the largest width of the artwork that fits, in whole millimetres, where one does."""
    whole = print_bounds(job)
    if whole is None:
        return None
    scale = min(
        largest_scale(film.path, whole, limits_on(job, film), job.shop.film.margin_mm, frames)
        for film in films
    )
    most = math.floor(min(scale, 1.0) * job.artwork.width_mm + 1e-6)
    return None if most < 1 else float(most)


def _too_few(
    job: Job, films: Sequence[Hung], homeless: Sequence[Hung], frames: Sequence[FrameSize]
) -> Finding:
    """Say that there aren't enough of the frames that would do."""
    fitting = [f for f in frames if any(holds(f, *film.needs_mm) for film in homeless)]
    held = job.shop.press.holds
    at_once = min(held or len(films), len(films))
    have = sum(frame.count or 0 for frame in fitting)
    hang = "film hangs" if at_once == 1 else "films hang"
    return Finding(
        severity="at risk",
        kind="too few frames",
        what=f"{at_once} {hang} at the same time, and you have {have} of the frames that hold"
        f" them ({several(frame.name for frame in fitting)}).",
        why=f"There is no frame for {several(_named(film.screens) for film in homeless)}.",
        do="Get or stretch more frames of that size, change their count under [[frame]] in shop.toml, or"
        f" set press.stations to {max(1, have)}, so that colours are printed in turns.",
    )


def _sheet_over_frame(job: Job, films: Sequence[Hung]) -> Iterator[Finding]:
    """Say where the film with its margin is larger than the frame's inside."""
    over = [film for film in films if not fits_sheet(film)]
    if not over:
        return
    units, (film, *_) = job.shop.units, over
    frame, sheet = film.frame, film.sheet_mm
    assert frame is not None  # fits_sheet says so
    assert sheet is not None
    x0, y0, x1, y1 = film.path.cut_mm
    margin = math.floor(min(frame.width_mm - (x1 - x0), frame.height_mm - (y1 - y0)) / 2.0)
    yield Finding(
        severity="will fail",
        kind="film larger than the frame",
        size_mm=sheet[0],
        what=f"The film of {_named(film.screens)} is {size_at_least(*sheet, units)}; frame {frame.name} has"
        f" {size_at_most(frame.width_mm, frame.height_mm, units)} inside.",
        why=f"film.margin asks for {at_most(job.shop.film.margin_mm, units)} of film around the print and"
        " its targets, and film that lies on the frame's wood or metal doesn't lie on the mesh.",
        do=f'Set film.margin to "{at_most(float(margin), units)}" or less and tape the mesh beside it, or'
        " take a larger frame.",
        count=len(over),
    )


def _no_squeegee(job: Job, films: Sequence[Hung]) -> Iterator[Finding]:
    """Say where no squeegee in stock is right, or the film is too narrow for any."""
    lacking = [
        (film, screen)
        for film in films
        for screen in film.screens
        if blade_of(job, film, screen) is None
    ]
    whole = {film.screens: film for film, screen in lacking if own_on(film, screen) is None}
    if whole:
        film = max(whole.values(), key=lambda one: one.path.width_mm)
        most = longest_blade(job, film, film.screens[0])
        yield _none_fits(job, film, film.screens, film.path.width_mm, len(whole), most)
    for film, screen in lacking:
        own = own_on(film, screen)
        if own is None:
            continue
        lane = min(own.room_mm[0], own.room_mm[2])
        if lane < limits_of(job).overhang_mm - 1e-6:
            yield _lane_too_narrow(job, screen, own.width_mm, lane)
        else:
            most = longest_blade(job, film, screen)
            yield _none_fits(job, film, [screen], own.width_mm, 1, most, lane)


def _lane_too_narrow(job: Job, screen: Screen, wide: float, lane: float) -> Finding:
    units, least = job.shop.units, limits_of(job).overhang_mm
    return Finding(
        severity="at risk",
        kind="lane too narrow for squeegees",
        size_mm=2.0 * max(0.0, lane),
        what=f"Half the lane beside {_named([screen])} is {at_most(max(0.0, lane), units)}; its squeegee"
        f" reaches {at_least(least, units)} or more over {at_least(wide, units)} of openings each side.",
        why="Two inks share this film, and a squeegee that goes further drags its ink over the other's"
        " openings.",
        do="Tape the other ink's openings off while this one is printed, or print them from a film each"
        " (--set base.way=plain).",
    )


def _none_fits(
    job: Job,
    film: Hung,
    screens: Sequence[Screen],
    wide: float,
    count: int,
    most: float,
    lane: float = math.inf,
) -> Finding:
    """Say what squeegee is wanted.

    :param wide: of what it prints
    :param most: the longest that frame and film leave room for
    :param lane: half the lane to another ink of the film, the narrower one
    """
    chosen, units = job.settings(Squeegee), job.shop.units
    least, good = wide + 2.0 * chosen.overhang_mm, wide + 2.0 * min(chosen.good_overhang_mm, lane)
    outer, sheet = film.path.width_mm + 2.0 * chosen.overhang_mm, film_width(job, film)
    if sheet < outer - 1e-6:
        return Finding(
            severity="at risk",
            kind="squeegee wider than the film",
            size_mm=sheet,
            what=f"The squeegee for {_named(screens)} takes {at_least(outer, units)} of film at least; the"
            f" film is {at_most(sheet, units)} wide.",
            why="Its ends run over the film's edge, lift it, and push ink under it.",
            do=f'Set film.margin to "{at_least(chosen.good_overhang_mm, units)}" or more.',
            count=count,
        )
    best = min(good, most)
    wanted = f"{at_least(least, units)} to {at_most(most, units)} long"
    if best < most - 1.0:
        wanted += f", {at_least(best, units)} best"
    have = several(at_most(length, units) for length in sorted(chosen.lengths_mm)) or "none stated"
    longest = max(chosen.lengths_mm, default=0.0)
    beside = ", and stay off the openings of the other ink on this film" if lane < math.inf else ""
    return Finding(
        severity="will fail" if longest < wide else "at risk",
        kind="no squeegee fits",
        size_mm=wide,
        what=f"The squeegee for {_named(screens)} must be {wanted}; you have {have}.",
        why="It reaches beyond the print each side, or its ends leave streaks and unprinted edges; it must"
        f" also move freely inside the frame and on the film{beside}.",
        do="Cut or buy one, and add it to lengths under [squeegee] in shop.toml"
        f"{_smaller_print(job, [film], frames_of(job)) if longest < least - 1e-6 else ''}.",
        count=count,
        fits_up_to_mm=_largest_mm(job, [film], frames_of(job)) if longest < least - 1e-6 else None,
    )


def _named(screens: Sequence[Screen]) -> str:
    return several(f"screen {screen.number} ({screen.ink})" for screen in screens)
