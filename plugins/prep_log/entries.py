"""What goes into the log: a run with what was predicted, what was seen in it, readings, notes.

Frozen values that know their body, as plain values, and are made from it again. Imports no pydantic.
"""

from __future__ import annotations

import dataclasses
import math
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from prep.errors import InputError, SettingsError
from prep.weighing import SIGMAS
from prep_log.store import Figure, New

MIXED, LEFT = "ink mixed", "ink left"
SPOILT = "shirts spoilt"
ON_SHIRTS = "ink on shirts"
"""Quantities that are measured in a run."""
PER_PRINT, FOR_RUN, TO_MIX, USED_UP = (
    "ink per print",
    "ink for the run",
    "ink to mix",
    "ink used up",
)
AT_FULL = "a transfer of 1 leaves"
PULLS, HOURS, OPEN, LASTS = "pulls", "hours", "stays open", "stencil lasts"
"""Quantities that are predicted for a run; ``ink used up`` is what was mixed less what was left,
``a transfer of 1 leaves`` so much on one shirt."""


@dataclass(frozen=True, slots=True)
class ScreenOfRun:
    """A screen as it was printed.

    :param passes: times printed for each shirt, dried between
    :param pulls: through it over the run, as predicted; ``None`` where nobody counts them
    :param stencil: name of its film's files; empty where nobody cuts films
    :param cut: digest of what is open in the film, the same for films alike
    :param kept: its stencil was kept from an earlier run, not cut anew
    :param strokes: for one print, without drying between; ``None`` where nobody says
    """

    key: str
    ink: str
    mesh: str
    passes: int
    pulls: int | None
    stencil: str
    cut: str
    kept: bool = False
    strokes: int | None = None


@dataclass(frozen=True, slots=True)
class SetUpOfRun:
    """A set-up as it was printed.

    :param artwork: full path of its file
    :param sha256: of that file
    """

    key: str
    name: str
    place: str
    artwork: str
    sha256: str
    shirts: int
    screens: tuple[ScreenOfRun, ...]


@dataclass(frozen=True, slots=True)
class Run:
    """A run with its predictions.

    :param order: order.toml with every setting in force
    :param learnt: where in it figures stand that came from readings, not from shop or order
    :param program: version of Firstpull, whose models predicted
    :param lacking: what wasn't predicted and why, sentences
    :param readability_g: of the balance that the shop has
    """

    name: str
    day: date
    order: str
    learnt: tuple[tuple[str | int, ...], ...]
    program: str
    setups: tuple[SetUpOfRun, ...]
    figures: tuple[Figure, ...]
    lacking: tuple[str, ...] = ()
    readability_g: float = 0.0

    kind = "run"

    @property
    def shirts(self) -> int:
        """The most shirts of a set-up: a shirt of several counts once."""
        return max((setup.shirts for setup in self.setups), default=0)

    @property
    def screens(self) -> tuple[ScreenOfRun, ...]:
        """Those of all set-ups."""
        return tuple(screen for setup in self.setups for screen in setup.screens)

    @property
    def inks(self) -> tuple[str, ...]:
        """Those of all screens, in the order they are first printed."""
        return tuple(dict.fromkeys(screen.ink for screen in self.screens))

    def new(self) -> New:
        """Give the entry to be added."""
        body = {
            "order": self.order,
            "learnt": [list(path) for path in self.learnt],
            "program": self.program,
            "setups": [dataclasses.asdict(setup) for setup in self.setups],
            "lacking": list(self.lacking),
            "readability_g": self.readability_g,
        }
        return New("run", self.day, self.name, body, self.figures)


@dataclass(frozen=True, slots=True)
class InkSeen:
    """What was weighed of an ink. ``None`` = it wasn't."""

    ink: str
    mixed_g: float | None = None
    left_g: float | None = None


@dataclass(frozen=True, slots=True)
class FilledIn:
    """Something that filled in.

    :param screen: its key
    :param where: place in the print, in words
    :param from_shirt: the first shirt on which it showed; ``None`` = not known
    """

    screen: str
    where: str
    from_shirt: int | None = None


@dataclass(frozen=True, slots=True)
class ShirtsWeighed:
    """Shirts of a run, weighed together before and right after one screen was printed on them.

    :param screen: its key
    """

    screen: str
    shirts: int
    before_g: float
    after_g: float


@dataclass(frozen=True, slots=True)
class Seen:
    """What was weighed and seen in a run.

    :param run: uid of the run's first entry
    :param name: the run's
    :param photos: files by their paths; they stay where they are
    :param hours: of work on it, from the films on; ``None`` = nobody counted
    :param air: how warm, damp and still it was, in words
    """

    run: str
    name: str
    day: date
    inks: tuple[InkSeen, ...] = ()
    spoilt: int | None = None
    filled_in: tuple[FilledIn, ...] = ()
    wash_test: str = ""
    notes: str = ""
    photos: tuple[str, ...] = ()
    shirts: tuple[ShirtsWeighed, ...] = ()
    hours: float | None = None
    air: str = ""

    kind = "seen"

    def new(self) -> New:
        """Give the entry to be added."""
        return New("seen", self.day, self.name, self._body(), self.figures)

    @property
    def figures(self) -> tuple[Figure, ...]:
        """What was measured, each without a range."""
        weighed = [
            Figure(quantity, "g", grams, ink=ink.ink)
            for ink in self.inks
            for quantity, grams in ((MIXED, ink.mixed_g), (LEFT, ink.left_g))
            if grams is not None
        ]
        spoilt = [] if self.spoilt is None else [Figure(SPOILT, "shirts", self.spoilt)]
        on_shirts = [
            Figure(ON_SHIRTS, "g", one.after_g - one.before_g, screen=one.screen)
            for one in self.shirts
        ]
        hours = [] if self.hours is None else [Figure(HOURS, "h", self.hours)]
        return (*weighed, *spoilt, *on_shirts, *hours)

    def _body(self) -> dict[str, Any]:
        return {
            "run": self.run,
            "inks": [dataclasses.asdict(ink) for ink in self.inks],
            "spoilt": self.spoilt,
            "filled_in": [dataclasses.asdict(place) for place in self.filled_in],
            "wash_test": self.wash_test,
            "notes": self.notes,
            "photos": list(self.photos),
            "shirts": [dataclasses.asdict(one) for one in self.shirts],
            "hours": self.hours,
            "air": self.air,
        }


@dataclass(frozen=True, slots=True)
class Reading:
    """Something read off a test piece, a balance or a clock.

    :param name: what it is of, for lists
    :param body: ``of``, and whatever else belongs to it; not looked at here
    :param confirmed: whoever read it looked again, and says that it is so; not kept
    """

    name: str
    day: date
    body: Mapping[str, Any]
    figures: tuple[Figure, ...] = ()
    confirmed: bool = False

    kind = "reading"

    def new(self) -> New:
        """Give the entry to be added."""
        return New("reading", self.day, self.name, self.body, self.figures)


@dataclass(frozen=True, slots=True)
class Note:
    """A few words on a run.

    :param run: uid of the run's first entry
    :param name: the run's
    """

    run: str
    name: str
    day: date
    text: str

    kind = "note"

    def new(self) -> New:
        """Give the entry to be added."""
        return New("note", self.day, self.name, {"run": self.run, "text": self.text})


def run_of(name: str, day: date, body: Mapping[str, Any], figures: tuple[Figure, ...] = ()) -> Run:
    """Make a run from its entry.

    :raises KeyError: a part of its body isn't there
    :raises TypeError: one is of another kind, or is there that doesn't belong there
    """
    setups = tuple(
        SetUpOfRun(
            **{
                **setup,
                "screens": tuple(ScreenOfRun(**screen) for screen in setup["screens"]),
            }
        )
        for setup in body["setups"]
    )
    return Run(
        name=name,
        day=day,
        order=body["order"],
        learnt=tuple(tuple(path) for path in body["learnt"]),
        program=body["program"],
        setups=setups,
        figures=figures,
        lacking=tuple(body["lacking"]),
        readability_g=float(body.get("readability_g", 0.0)),
    )


def seen_of(name: str, day: date, body: Mapping[str, Any]) -> Seen:
    """Make what was seen from its entry.

    :raises KeyError: a part of its body isn't there
    :raises TypeError: one is of another kind, or is there that doesn't belong there
    """
    return Seen(
        run=body["run"],
        name=name,
        day=day,
        inks=tuple(InkSeen(**ink) for ink in body["inks"]),
        spoilt=body["spoilt"],
        filled_in=tuple(FilledIn(**place) for place in body["filled_in"]),
        wash_test=body["wash_test"],
        notes=body["notes"],
        photos=tuple(body["photos"]),
        shirts=tuple(ShirtsWeighed(**one) for one in body.get("shirts", ())),
        hours=body.get("hours"),
        air=body.get("air", ""),
    )


def note_of(name: str, day: date, body: Mapping[str, Any]) -> Note:
    """Make a note from its entry.

    :raises KeyError: a part of its body isn't there
    """
    return Note(body["run"], name, day, body["text"])


def _of_shirts(
    weighed: ShirtsWeighed, run: Run, keys: tuple[str, ...]
) -> Iterator[tuple[str, str]]:
    """Give what is wrong with shirts weighed in a run, and what to do."""
    if weighed.screen not in keys:
        yield "isn't of this run", f"it had {', '.join(keys)}"
        return
    if not 0.0 <= weighed.before_g < weighed.after_g:
        yield (
            f"{weighed.before_g:g} g before and {weighed.after_g:g} g after can't be",
            "exchange them, or weigh again",
        )
    least_g = SIGMAS * run.readability_g / math.sqrt(6.0)
    if weighed.after_g - weighed.before_g <= least_g:
        yield (
            f"{weighed.after_g - weighed.before_g:.3g} g more may be the balance's own error, up to"
            f" {least_g:.2g} g, and so tells nothing",
            "weigh more of them together, or on a finer balance",
        )
    own = [screen for screen in run.screens if screen.key == weighed.screen]
    if len(own) > 1:
        yield "several set-ups have it", "weigh in a run of one set-up, or with a test piece"
    elif own[0].passes > 1:
        yield (
            f"is printed {own[0].passes} times, and what dries between them isn't known",
            "weigh at a screen that is printed once",
        )
    elif own[0].strokes is None or at_full_g(run, weighed.screen) is None:
        yield (
            "the run doesn't say what a full transfer leaves on a shirt",
            "weigh in a run that is entered with this version and with the plugin that reckons ink",
        )


def _of_all_shirts(seen: Seen, run: Run) -> Iterator[tuple[str, str]]:
    """Give what is wrong with the shirts weighed at one screen together: each is weighed once."""
    for key in dict.fromkeys(one.screen for one in seen.shirts):
        rows = [one for one in seen.shirts if one.screen == key]
        if len(set(rows)) < len(rows):
            yield (
                f'shirts weighed, screen "{key}": the same weights stand there twice',
                "take one of them out",
            )
        own = next(
            (
                (setup, screen)
                for setup in run.setups
                for screen in setup.screens
                if screen.key == key
            ),
            None,
        )
        if own is None:
            continue  # told as such
        weighed, most = sum(one.shirts for one in rows), _most_printed(seen, run, *own)
        if weighed > most:
            yield (
                f'shirts weighed, screen "{key}": {weighed} were weighed, and it printed {most} at the most'
                ", with test pulls and spoilt ones",
                "write how many lay on the balance, or how many were spoilt",
            )


def _most_printed(seen: Seen, run: Run, setup: SetUpOfRun, screen: ScreenOfRun) -> int:
    """Give how many prints a screen made: as reckoned, or with those that were spoilt, if more."""
    try:
        stated = tomllib.loads(run.order).get("ink", {}).get("test_pulls", 0)
    except (tomllib.TOMLDecodeError, AttributeError):
        stated = 0  # an order of a later version; its pulls are counted in the screen's
    tests = stated if isinstance(stated, int) else 0
    return max(setup.shirts + (seen.spoilt or 0) + tests, screen.pulls or 0)


def at_full_g(run: Run, screen: str) -> float | None:
    """Give what a transfer of 1 leaves on one shirt; ``None`` where the run doesn't say."""
    found = (f.value for f in run.figures if f.quantity == AT_FULL and f.screen == screen)
    return next(found, None)


def check_day(day: date, today: date, *, where: str = "") -> None:
    """Refuse a day that hasn't come yet.

    :raises InputError: the day lies ahead
    """
    if day > today:
        raise InputError(
            f"{day.isoformat()} lies ahead, today is {today.isoformat()}",
            where=where,
            do="write the day it was done",
        )


def check_seen(seen: Seen, run: Run, today: date, *, where: str) -> None:
    """Hold what was seen against the run and the day, and tell all contradictions, a line each.

    :param where: the file it was read from
    :raises SettingsError: it can't be so
    """
    found = [SettingsError(what, where=where, do=do) for what, do in _troubles(seen, run, today)]
    if found:
        first = found[0]
        raise SettingsError(first.what, where=where, do=first.do, more=tuple(found[1:]))


def _troubles(seen: Seen, run: Run, today: date) -> Iterator[tuple[str, str]]:
    """Give what is wrong and what to do."""
    if seen.day > today:
        what = f"day = {seen.day.isoformat()}: lies ahead, today is {today.isoformat()}"
        yield what, "write the day it was seen"
    if seen.day < run.day:
        what = (
            f"day = {seen.day.isoformat()}: lies before the run, which is of {run.day.isoformat()}"
        )
        yield what, "write the day it was printed, or correct the run's"
    words = (seen.filled_in, seen.wash_test, seen.notes, seen.photos, seen.air)
    if not (seen.figures or any(words)):
        yield "nothing is filled in", "take the # away before a line and write what was seen"
    names = [ink.ink for ink in seen.inks]
    for ink in dict.fromkeys(names):
        if ink not in run.inks:
            yield f'ink "{ink}": isn\'t of this run', f"it was printed with {', '.join(run.inks)}"
        if names.count(ink) > 1:
            yield f'ink "{ink}": stands there twice', "add the weights up in one"
    for one in seen.inks:
        for key, grams in (("mixed", one.mixed_g), ("left", one.left_g)):
            if grams is not None and grams < 0:
                yield (
                    f'ink "{one.ink}": {key} = {grams:g} g: a weight can\'t lie below zero',
                    "take off the pot's weight once only",
                )
        if one.mixed_g is not None and one.left_g is not None and one.left_g > one.mixed_g >= 0:
            yield (
                f'ink "{one.ink}": {one.left_g:g} g left of {one.mixed_g:g} g mixed can\'t be',
                "weigh again, or add what was mixed later",
            )
    if seen.spoilt is not None and seen.spoilt < 0:
        yield f"shirts_spoilt = {seen.spoilt}: can't lie below zero", "write how many there were"
    # spoilt ones are printed again; more than the run had can't be told from a slip
    if seen.spoilt is not None and seen.spoilt > run.shirts:
        yield (
            f"shirts_spoilt = {seen.spoilt}: the run was of {run.shirts} shirts",
            "write how many there were",
        )
    keys = tuple(dict.fromkeys(screen.key for screen in run.screens))
    for weighed in seen.shirts:
        yield from (
            (f'shirts weighed, screen "{weighed.screen}": {what}', do)
            for what, do in _of_shirts(weighed, run, keys)
        )
    yield from _of_all_shirts(seen, run)
    for place in seen.filled_in:
        if place.screen not in keys:
            yield f'screen "{place.screen}": isn\'t of this run', f"it had {', '.join(keys)}"
        shirt, last = place.from_shirt, run.shirts + (seen.spoilt or 0)
        if shirt is not None and not 0 <= shirt <= last:
            yield (
                f'filled in on "{place.screen}" from_shirt = {shirt}: shirts were counted to {last}',
                "count from 1; 0 stands for a test pull",
            )
