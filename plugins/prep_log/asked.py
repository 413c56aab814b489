"""Asks the other plugins what they predict of a run; what one left out would say is left out, and said."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, TypeVar

import prep
from prep.digest import digest_of
from prep.errors import InputError, Unanswered
from prep.in_force import Leaf, Node
from prep.layers import KeyPath
from prep_log import entries
from prep_log.entries import Run, ScreenOfRun, SetUpOfRun
from prep_log.store import Figure

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep.job import Ask, Job
    from prep.line import Line

T = TypeVar("T")


def run_on(line: Line, day: date, kept: Iterable[str]) -> Run:
    """Make the entry of a run: the order in force and what is predicted.

    :param kept: names of stencils kept from an earlier run, without their endings
    :raises InputError: one isn't of this run; whatever keeps the job from being made
    """
    lacking: list[str] = []
    kept = tuple(dict.fromkeys(kept))
    jobs = [line.job(setup) for setup in line.setups]
    figures: list[Figure] = []
    setups: list[SetUpOfRun] = []
    for job in jobs:
        ask = line.ask(job)
        told = [
            *_told(lacking, "ink", partial(_of_screens, job, ask)),
            *_told(lacking, "hours", partial(_hours, job, ask)),
            *_told(lacking, "drying", partial(_open, job, ask)),
        ]
        stems: dict[str, str] = {}
        for screen, stem in _told(lacking, "stencils", partial(_stems, ask)):
            stems.setdefault(screen, stem)  # of a film parted in strips, the first's
        told += _told(lacking, "stencils", partial(_lasts, job)) if stems else []
        figures += told
        strokes = dict(_told([], "ink", partial(_strokes, job, ask)))
        setups.append(_set_up(job, stems, strokes, told, kept))
    figures += _told(lacking, "ink", partial(_of_inks, line, jobs))
    stencils = [screen.stencil for setup in setups for screen in setup.screens if screen.stencil]
    for stem in kept:
        if stem not in stencils:
            there = ", ".join(dict.fromkeys(stencils)) or "no films are told"
            raise InputError(
                "isn't a stencil of this run", where=f"--kept {stem}", do=f"it has {there}"
            )
    return Run(
        name=line.loaded.order.name,
        day=day,
        order=line.loaded.in_force(),
        learnt=tuple(_learnt(line.loaded.nodes())),
        program=prep.__version__,
        setups=tuple(setups),
        figures=tuple(figures),
        lacking=tuple(dict.fromkeys(lacking)),
        readability_g=jobs[0].shop.balance.readability_g,
    )


def _told(lacking: list[str], what: str, ask: Callable[[], Iterable[T]]) -> list[T]:
    """Ask, and note where nobody answers."""
    try:
        return list(ask())
    except ModuleNotFoundError as error:
        if error.name is None or not error.name.startswith("prep_"):
            raise
        lacking.append(f"No figures of {what}: no plugin for it is installed.")
    except Unanswered as error:
        lacking.append(f"No figures of {what}: {error.why}.")
    return []


def _figure(quantity: str, of: Estimate, *, unit: str, **where: str) -> Figure:
    return Figure(quantity, unit, float(of.value), of.low, of.high, **where)


def _of_screens(job: Job, ask: Ask) -> Iterator[Figure]:
    from prep_ink.answers import InkOnScreens

    ink, setup = ask(InkOnScreens), job.setup.key
    transfers = _prints(job, ask)
    for screen in job.screens:
        own = ink[screen.key]
        where = {"setup": setup, "screen": screen.key, "ink": screen.ink}
        yield _figure(entries.PER_PRINT, own.per_print_g, unit="g", **where)
        yield _figure(entries.FOR_RUN, own.for_run_g, unit="g", **where)
        at_full = own.per_print_g.value / transfers[screen.key][0]
        pulls = own.prints * screen.passes
        for quantity, unit, value in (
            (entries.AT_FULL, "g", float(at_full)),
            (entries.PULLS, "pulls", pulls),
        ):
            yield Figure(quantity, unit, value, setup=setup, screen=screen.key, ink=screen.ink)


def _prints(job: Job, ask: Ask) -> dict[str, tuple[float, int]]:
    """Give of each screen the transfer in force and the strokes of one print, by its key."""
    from prep_ink.answers import MeshOnScreens
    from prep_ink.forecast import printed
    from prep_ink.others import recipes_of
    from prep_ink.parameters import TRANSFER
    from prep_ink.weighed import hand_of

    meshes, recipes, hand = ask(MeshOnScreens), recipes_of(ask), hand_of(job)
    found = {}
    for screen in job.screens:
        one = printed(job, screen, meshes[screen.key], recipes)
        own = hand.on(one.mesh.name, screen.ink, one.strokes, one.weighed_too)
        found[screen.key] = float(own.known(TRANSFER).parameter.default), one.strokes
    return found


def _strokes(job: Job, ask: Ask) -> Iterator[tuple[str, int]]:
    """Give the strokes of each screen's print, by its key."""
    yield from ((key, strokes) for key, (_, strokes) in _prints(job, ask).items())


def _of_inks(line: Line, jobs: list[Job]) -> Iterator[Figure]:
    """Give what is predicted of each ink over the whole order."""
    from prep_ink.answers import InkOnScreens, over_all

    for mix in over_all([(job, line.ask(job)(InkOnScreens)) for job in jobs]):
        used = mix.for_run_g + mix.clings_g + mix.pot_g
        yield _figure(entries.FOR_RUN, mix.for_run_g, unit="g", ink=mix.ink)
        yield _figure(entries.USED_UP, used, unit="g", ink=mix.ink)
        yield Figure(entries.TO_MIX, "g", mix.to_mix_g, ink=mix.ink)


def _hours(job: Job, ask: Ask) -> Iterator[Figure]:
    from prep_plan.answers import WorkPlan

    yield _figure(entries.HOURS, ask(WorkPlan).table.hours(), unit="h", setup=job.setup.key)


def _open(job: Job, ask: Ask) -> Iterator[Figure]:
    """Give the share of runs in which the finest opening stays open: of all screens, and of each."""
    from prep_drying.answers import Drying

    run, setup = ask(Drying).run, job.setup.key
    yield Figure(entries.OPEN, "share", run.fits, setup=setup)
    for screen in job.screens:
        if screen.key in run.by_screen:
            fits = run[screen.key].fits
            yield Figure(
                entries.OPEN, "share", fits, setup=setup, screen=screen.key, ink=screen.ink
            )


def stems_of(ask: Ask) -> list[tuple[str, str]]:
    """Give the key of each film's screen, and the name of the film's files; none where nobody cuts any."""
    return _told([], "stencils", partial(_stems, ask))


def _stems(ask: Ask) -> Iterator[tuple[str, str]]:
    """Give the key of each film's screen, and the name of the film's files.

    :raises Unanswered: nobody says
    """
    from prep_stencils.answers import FilmSheets

    for sheet in ask(FilmSheets).sheets:
        yield sheet.screen, sheet.stem


def _lasts(job: Job) -> Iterator[Figure]:
    """Give the pulls that a stencil of this film lasts."""
    from prep_stencils.holding import LASTS
    from prep_stencils.settings import Stencils

    usual, _ = LASTS[job.shop.film.adhesive]
    lasts = job.settings(Stencils).holds_pulls or usual
    yield Figure(entries.LASTS, "pulls", lasts, setup=job.setup.key)


def _set_up(
    job: Job,
    stems: Mapping[str, str],
    strokes: Mapping[str, int],
    figures: Iterable[Figure],
    kept: tuple[str, ...],
) -> SetUpOfRun:
    pulls = {f.screen: int(f.value) for f in figures if f.quantity == entries.PULLS}
    screens = []
    for film in job.films:
        stem = next((stems[screen.key] for screen in film if screen.key in stems), "")
        cut = digest_of(tuple(screen.region for screen in film))
        screens += [
            ScreenOfRun(
                key=screen.key,
                ink=screen.ink,
                mesh=screen.mesh,
                passes=screen.passes,
                pulls=pulls.get(screen.key),
                stencil=stem,
                cut=cut,
                kept=stem in kept,
                strokes=strokes.get(screen.key),
            )
            for screen in film
        ]
    return SetUpOfRun(
        key=job.setup.key,
        name=job.setup.name,
        place=job.setup.place,
        artwork=str(job.setup.artwork),
        sha256=hashlib.sha256(job.setup.artwork.read_bytes()).hexdigest(),
        shirts=job.setup.shirts,
        screens=tuple(screens),
    )


def _learnt(node: Node, path: KeyPath = ()) -> Iterator[KeyPath]:
    """Give where figures stand that came from readings, each whole."""
    if isinstance(node, Leaf):
        if node.layer == "log":
            yield path
        return
    inner = node.items() if isinstance(node, dict) else enumerate(node)
    for key, value in inner:
        yield from _learnt(value, (*path, key))
