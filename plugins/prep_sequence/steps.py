"""The steps of printing one shirt: passes, flashes, and when it comes off the board."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import shapely
from shapely import MultiPolygon

from prep.job import Job
from prep.make_ready import as_screen, put_in_order
from prep.measures import measure
from prep.screens import AddScreen, Screen, ink_kind
from prep.shop import InkKind
from prep_sequence.answers import PrintSteps, Step
from prep_sequence.naming import named
from prep_sequence.ordering import order_among
from prep_sequence.settings import Sequence as Settings

STANDS_UP: frozenset[InkKind] = frozenset(("opaque white", "opaque colour"))
"""Inks that stay on top of the fabric while wet, so that the next screen picks them up. Common
practice, no source."""


def steps_of(job: Job) -> PrintSteps:
    """Give the steps of one shirt.

    A shirt is flashed before a screen comes down on wet ink that stands on the fabric, and before ink
    is printed on wet ink more broadly than a trap; between two passes of one screen; and where the
    order asks for it. Screens side by side on one film come down together. Where the press holds fewer
    frames than there are, the shirts come off in between, and what is on them dries.

    :raises SettingsError: the order names a screen that isn't there
    """
    return steps_among(job, job.screens)


def steps_on_trial(job: Job, added: Sequence[AddScreen]) -> PrintSteps:
    """Give the steps of a way to print that may never be made.

    :param added: all screens of it
    """
    unmeasured = measure(MultiPolygon())  # nothing here goes by measures
    screens = [as_screen(screen, job.shop, unmeasured) for screen in added]
    ordered = put_in_order(screens, order_among(job, screens, trial=True))
    return steps_among(job, ordered, trial=True)


def steps_among(job: Job, screens: Sequence[Screen], *, trial: bool = False) -> PrintSteps:
    """Give the steps of some screens of a job in print order; see :func:`steps_of`.

    :param trial: they may never be made, so that nothing is refused
    """
    chosen = job.settings(Settings)
    kinds = {screen.key: ink_kind(screen, job.shop)[0] for screen in screens}
    asked = {s.key for s in named(job, "flash_after", screens, trial=trial)}
    refused = {s.key for s in named(job, "no_flash_after", screens, trial=trial)}
    stations = job.shop.press.holds
    takes_s = {screen.key: flash_of(job, screen)[0] + chosen.cool_s for screen in screens}
    steps: list[Step] = []
    bold: list[tuple[str, str]] = []
    wet: list[Screen] = []
    frames: list[str] = []
    rounds = 1
    before: tuple[Screen, ...] = ()
    for stroke in strokes_of(screens):
        film = stroke[0].film
        if stations is not None and film not in frames and len(frames) == stations:
            why = _comes_off(stations)
            steps.append(Step("take off", stroke[0].key, 0, 0.0, why))
            wet, frames, before, rounds = [], [], (), rounds + 1
        if film not in frames:
            frames.append(film)
        if before:
            last = before[-1].key
            needs = {s.key: _needs(s, wet, kinds, chosen.wet_overlap_mm) for s in stroke}
            over, why = next(((key, why) for key, why in needs.items() if why), ("", ""))
            if any(screen.key in asked for screen in before):
                why = why or "The order asks for it."
            elif why and any(screen.key in refused for screen in before):
                bold.append((over, last))
                why = ""
            if why:
                steps.append(Step("flash", last, 0, takes_s[last], why, chosen.cool_s))
                wet = []
        for number in range(1, max(screen.passes for screen in stroke) + 1):
            again = [screen for screen in stroke if screen.passes >= number]
            if number > 1:
                why = "Ink printed twice must be dry to the touch between."
                last = again[-1].key
                steps.append(Step("flash", last, 0, takes_s[last], why, chosen.cool_s))
                wet = []
            steps += (
                Step("print", s.key, number, 0.0, s.placed if number == 1 else "") for s in again
            )
        wet += stroke
        before = stroke
    return PrintSteps(tuple(steps), rounds, stations, tuple(bold))


def flash_of(job: Job, screen: Screen) -> tuple[float, bool]:
    """Give the seconds a screen's ink is flashed, and whether its line or kind in shop.toml says so."""
    ink = job.shop.listed_ink(screen.ink)
    kind = None if ink is None else job.shop.own_kind(ink)
    said = (one.flash_s for one in (ink, kind) if one is not None and one.flash_s is not None)
    own = next(said, None)
    return (job.settings(Settings).flash_s, False) if own is None else (own, True)


def strokes_of(screens: Iterable[Screen]) -> list[tuple[Screen, ...]]:
    """Put screens together that follow each other on one film and print apart from each other."""
    strokes: list[tuple[Screen, ...]] = []
    for screen in screens:
        if (
            strokes
            and strokes[-1][0].film == screen.film
            and not any(screen.region.intersects(other.region) for other in strokes[-1])
        ):
            strokes[-1] += (screen,)
        else:
            strokes.append((screen,))
    return strokes


def _comes_off(stations: int) -> str:
    held = "one frame" if stations == 1 else f"{stations} frames"
    return f"All shirts are printed so far, for the press holds {held} at a time."


def _needs(screen: Screen, wet: list[Screen], kinds: dict[str, InkKind], overlap_mm: float) -> str:
    """Say why what is wet must be dried before a screen comes down; empty where it needn't."""
    for below in wet:
        if kinds[below.key] in STANDS_UP:
            return f"{below.ink} stands on the fabric: the next screen would pick it up wet."
    for below in wet:
        both = shapely.intersection(screen.region, below.region)
        if not both.is_empty and not both.buffer(-overlap_mm / 2.0).is_empty:
            return f"{screen.ink} is printed on {below.ink}, which would mix with it wet."
    return ""
