"""What other plugins know that details are judged by: meshes, strokes, drying, prints and hours wet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from prep.errors import Unanswered
from prep.job import Ask, Job, ReadSettings
from prep.order import SetUp
from prep.phrases import percent
from prep_fill_in.drying import Dries, dries_on
from prep_fill_in.remedy import Resolution
from prep_fill_in.settings import FillIn

if TYPE_CHECKING:
    from prep_drying.answers import Drying


MOST_HELPS = 3
LEAST_GAINED = 0.05
"""What adds less to the chance that the run fits isn't told as a help. Our choice."""


@dataclass(frozen=True, slots=True)
class Asked:
    """Answers by screen's key, and why there are none.

    :param meshes: (figures, thickness in um)
    :param strokes: each time a screen is printed, without drying between
    :param dries: from which width on its openings stay open
    :param wet_s: time that it lies wet over the run
    :param prints: of the set-up, test pulls and spoilt shirts among them; ``None`` = nobody counts these
    :param helps: what keeps the ink open best, best first; nothing where no opening dries shut
    """

    meshes: Mapping[str, tuple[Resolution, float]] = field(default_factory=dict)
    strokes: Mapping[str, int] = field(default_factory=dict)
    dries: Mapping[str, Dries] = field(default_factory=dict)
    no_meshes: str = ""
    no_drying: str = ""
    wet_s: Mapping[str, float] = field(default_factory=dict)
    prints: int | None = None
    helps: tuple[str, ...] = ()


def ask_all(job: Job, ask: Ask) -> Asked:
    """Ask for all of it; what nobody answers is left out, with the reason."""
    meshes, no_meshes = _meshes(job, ask)
    dries, wet_s, no_drying = _dries(job, ask)
    strokes, prints = _strokes(job, ask), _prints(job, ask)
    shut = any(one.at_risk_below_mm > 0.0 or one.run_at_risk_mm > 0.0 for one in dries.values())
    helps = _helps(ask) if shut else ()
    return Asked(meshes, strokes, dries, no_meshes, no_drying, wet_s, prints, helps)


def counted(settings: ReadSettings, setup: SetUp) -> int | None:
    """Count prints where nobody can be asked: test pulls and spoilt shirts as the settings have them.

    :return: ``None`` where no plugin that knows these settings is installed
    """
    try:
        from prep_ink.answers import prints_of
    except ModuleNotFoundError:
        return None
    return prints_of(settings, setup).total


def _helps(ask: Ask) -> tuple[str, ...]:
    """Give what makes more runs fit, with how many; at most ``MOST_HELPS``."""
    try:
        from prep_drying.answers import Helps

        answer = ask(Helps)
    except (ModuleNotFoundError, Unanswered):
        return ()
    return tuple(
        f"{one.what} ({percent(one.fits)} of runs then fit, {percent(answer.fits)} as it is)"
        for one in answer.helps[:MOST_HELPS]
        if one.gained >= LEAST_GAINED
    )


def _prints(job: Job, ask: Ask) -> int | None:
    try:
        from prep_ink.answers import Prints
    except ModuleNotFoundError:
        return None
    try:
        return ask(Prints).total
    except Unanswered:  # left out: what it takes for usual holds all the same
        return counted(job.settings, job.setup)


def _meshes(job: Job, ask: Ask) -> tuple[dict[str, tuple[Resolution, float]], str]:
    try:
        from prep_ink.answers import MeshOnScreens
    except ModuleNotFoundError:
        return {}, "no plugin that knows meshes is installed"
    try:
        answer = ask(MeshOnScreens)
    except Unanswered as error:
        return {}, error.why
    known = {}
    for screen in job.screens:
        mesh = answer.by_screen.get(screen.key)
        if mesh is not None:
            figures = Resolution(screen.mesh, mesh.pitch_um, mesh.opening_um, mesh.thread_um)
            known[screen.key] = figures, mesh.thickness_um
    return known, ""


def _strokes(job: Job, ask: Ask) -> dict[str, int]:
    try:
        from prep_ink.answers import InkOnScreens
    except ModuleNotFoundError:
        return {}
    if any(screen.region.is_empty for screen in job.screens):
        return {}  # nobody reckons ink for a screen that prints nothing
    try:
        answer = ask(InkOnScreens)
    except Unanswered:
        return {}
    return {key: ink.strokes for key, ink in answer.by_screen.items()}


def drying_question() -> type[Drying]:
    """Give what is asked to learn how the run dries.

    :raises ModuleNotFoundError: the plugin that answers isn't installed
    """
    from prep_drying.answers import Drying

    return Drying


def _dries(job: Job, ask: Ask) -> tuple[dict[str, Dries], dict[str, float], str]:
    try:
        question = drying_question()
    except ModuleNotFoundError:
        return {}, {}, "no plugin that works out drying is installed"
    try:
        answer = ask(question)
    except Unanswered as error:
        return {}, {}, error.why
    own, known = job.settings(FillIn), answer.run.by_screen
    found = {
        screen.key: dries_on(
            known[screen.key].lost,
            own.dries_at_risk,
            own.dries_fails,
            screen.measures.places_to_mm,
        )
        for screen in job.screens
        if screen.key in known
    }
    return found, {key: wet.value for key, wet in answer.run.wet_s.items()}, ""
