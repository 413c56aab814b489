"""What helps most: the same run, the same draws, one thing changed at a time."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from prep_drying import climate as climates
from prep_drying.answers import Help, Helps
from prep_drying.forecast import on_screens
from prep_drying.run import Due, simulate
from prep_drying.scene import Scene, around, refuse_unless_wet, scene_of
from prep_drying.wells import LONGEST_S

if TYPE_CHECKING:
    from prep.job import Ask, Job

COOLER_K = 3.0
MORE_HUMID = 0.2
MOST_HUMID = 0.8
"""What a shop can do to its air: a few kelvin, a humidifier; beyond 80 % shirts and walls get damp. All
guesses."""
WIPE_EVERY = 10
"""Shirts between wipes that are tried."""
SAFE = 0.1
"""Share of the draws that may stand a shorter pause than what is told."""


def what_helps(job: Job, ask: Ask) -> Helps:
    """Rank what helps against drying in this job, by the chance it gains, then by the pause.

    :raises Unanswered: nobody tells of ink and mesh
    :raises InputError: as for the answer on drying
    """
    scene = scene_of(job, ask)
    refuse_unless_wet(scene)
    return ranked(scene)


def ranked(scene: Scene) -> Helps:
    """Rank what helps in a scene."""
    fits, pause = _outcome(scene)
    found = []
    for change in _changes(scene):
        better, longer = _outcome(change.scene)
        found.append(Help(change.what, better, better - fits, longer, longer - pause, change.costs))
    found.sort(key=lambda one: (-round(one.gained, 3), -round(one.pause_gained_s), one.what))
    return Helps(fits, pause, tuple(found))


@dataclass(frozen=True, slots=True, eq=False)
class _Change:
    what: str
    scene: Scene
    costs: str


def _outcome(scene: Scene) -> tuple[float, float]:
    """Give the chance that a run fits, and the pause that nine draws in ten stand on every screen."""
    air = around(scene)
    on = on_screens(scene, air, scene.working, by_width=False)
    runs = [simulate(on.only(places), course) for course, places in scene.together()]
    fits = np.all([run.open_to_the_end[:, 1:].all(axis=0) for run in runs], axis=0)
    pause = np.min([run.pause_s[:, 1:].min(axis=0) for run in runs], axis=0)
    return float(fits.mean()), float(np.quantile(np.minimum(pause, LONGEST_S), SAFE))


def _changes(scene: Scene) -> Iterator[_Change]:
    yield from _air_changes(scene)
    if not all(one.retarder for one in scene.screens):
        yield _Change(
            "retarder in every ink",
            scene.with_retarder(),
            "The maker's dose, never more. The gain is a guess until you have tried it, and the print dries"
            " more slowly before the cure.",
        )
    if not scene.flooded:
        yield _Change(
            "flooding after each print",
            replace(scene, flooded=True),
            "The frame must hang on hinges or be propped, so that the flood doesn't touch the shirt.",
        )
    prints = max(course.prints for course in scene.courses)
    if prints > 1:
        between = (
            "two batches, screens washed out and inked afresh in between"
            if scene.whole
            else "screens washed out and inked afresh twice as often"
        )
        yield _Change(
            between,
            scene.with_courses(lambda one: replace(one, prints=math.ceil(one.prints / 2))),
            "Washing, drying and inking every screen once more.",
        )
    for way in scene.workings:
        if way != scene.working:
            yield _Change(
                f"working {way}",
                replace(scene, working=way),
                "Shirts are laid again for each colour, which adds to the registration error."
                if way == "colour by colour"
                else "Each screen stands idle while the others are printed and the shirt is flashed.",
            )
    if scene.mist != "always":
        yield _Change(
            "water misted on the ink and stirred in from the first shirt, as much as leaves it",
            scene.with_courses(lambda one: replace(one, mist="always")),
            "A little at a time, weighed: too much makes ink run, and its maker's maximum holds.",
        )
    if prints > WIPE_EVERY and not any(course.wipes for course in scene.courses):
        yield _Change(
            f"wiping the openings out every {WIPE_EVERY} shirts",
            scene.with_courses(lambda one: replace(one, wipes=(Due(WIPE_EVERY),))),
            "A damp cloth from the shirt side and a print on scrap, each time.",
        )


def _air_changes(scene: Scene) -> Iterator[_Change]:
    for one, what, costs in (
        (
            climates.FAN,
            "fan and air conditioning off the screens",
            "Nothing, as long as fumes and vapour still have somewhere to go.",
        ),
        (
            climates.DRYER,
            "flash dryer shielded or moved away from the screens",
            "Room, or a sheet of metal between. Never leave a dryer over a shirt: fire.",
        ),
        (
            climates.PLATEN,
            "shirt and platen left to cool before the next screen comes down",
            "Time on each shirt, which isn't reckoned here.",
        ),
    ):
        if one in scene.climate:
            left = tuple(other for other in scene.climate if other != one) or (climates.STILL,)
            yield _Change(what, replace(scene, climate=left), costs)
    room = scene.room
    if room.temperature_c - COOLER_K >= 10.0:
        to_c = room.temperature_c - COOLER_K
        vapour = room.humidity * _pressure(room.temperature_c)
        cooler = room.model_copy(
            update={"temperature_c": to_c, "humidity": min(1.0, vapour / _pressure(to_c))}
        )
        yield _Change(
            f"air {COOLER_K:g} °C cooler",
            replace(scene, room=cooler),
            "Cold air that doesn't blow on the screens.",
        )
    if room.humidity + MORE_HUMID <= MOST_HUMID:
        damper = room.model_copy(update={"humidity": room.humidity + MORE_HUMID})
        yield _Change(
            f"air of {100 * damper.humidity:.0f} % humidity in place of {100 * room.humidity:.0f} %",
            replace(scene, room=damper),
            "A humidifier, kept away from the shirts and the heat press.",
        )


def _pressure(temperature_c: float) -> float:
    from prep_drying.air import vapour_pressure_pa

    return float(vapour_pressure_pa(temperature_c))
