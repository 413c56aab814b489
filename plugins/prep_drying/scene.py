"""A job as drying sees it: screens, inks, steps and settings, asked for once and changed for comparison."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from prep.errors import InputError, SettingsError, Unanswered
from prep.estimate import Floats
from prep.phrases import several
from prep_drying import climate as climates
from prep_drying import parameters
from prep_drying.courses import Cut, Prints, as_planned
from prep_drying.hand import Hand, worlds_of
from prep_drying.inks import water_and_density
from prep_drying.layers import Ink, critical_loss, measured_over_model
from prep_drying.measured import Tried, measured_where, tried_with, unused
from prep_drying.pace import Doing, Round, Times, colour_by_colour, shirt_by_shirt
from prep_drying.settings import Drying, DryingColour, DryingOrder

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.screens import Screen
    from prep.shop import Room, Working
    from prep_drying.answers import Climate, Misting
    from prep_drying.parameters import Known
    from prep_drying.run import Course
    from prep_ink.answers import InkOnScreen, MeshFigures

_NO_INK = (
    "how long ink stays open can't be said without what the plugin ink says of meshes and inks"
)
_NO_STEPS = (
    "The steps of a shirt aren't known without the plugin sequence: screens are taken to be printed in"
    " order, flashed between two passes of one screen only."
)
Parting = Callable[["Job", "Ask", "Mapping[Working, tuple[Round, ...]]", "Working", Prints], Cut]
"""Gives how the run is parted by washing the screens out."""
_RETARDER = "retard"  # in the name of an additive
_USUAL_FLASH_S = 45.0  # to the touch and cooled, where nobody tells


@dataclass(frozen=True, slots=True, eq=False)
class OneScreen:
    """A screen with what drying needs of it.

    :param finest_mm: its finest opening, or the width up to which none was found
    :param of_ink: where the figures of water and density of its ink come from
    """

    screen: Screen
    mesh: MeshFigures
    ink: InkOnScreen
    finest_mm: float
    retarder: bool
    of_ink: tuple[Known, Known]


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """All that the run follows from but the parameters.

    :param measured_in: the climate the shop has measured in; with its room it stays when these are changed
    :param tried: what open times were measured with, cleared and flooded
    :param assumed: why the climate is taken to hold; empty where shop or order says it
    :param working: the way that is chosen
    :param workings: the ways there are: steps of each
    :param cut: what its parts go through between two washings of their screens
    """

    hand: Hand
    room: Room
    measured_room: Room
    climate: tuple[Climate, ...]
    measured_in: tuple[Climate, ...]
    assumed: str
    flooded: bool
    film_um: float
    tried: tuple[Tried, Tried]
    screens: tuple[OneScreen, ...]
    working: Working
    workings: Mapping[Working, tuple[Round, ...]]
    cut: Cut
    prints: Prints
    says: tuple[str, ...]

    @property
    def courses(self) -> tuple[Course, ...]:
        """What the parts of the chosen way go through."""
        return self.cut.courses[self.working]

    @property
    def mist(self) -> Misting:
        """When water is stirred into the ink before the blade."""
        return self.courses[0].mist

    @property
    def whole(self) -> bool:
        """Whether screens aren't washed out before the last shirt."""
        return all(course.prints == self.prints.all for course in self.courses)

    def with_courses(self, change: Callable[[Course], Course]) -> Scene:
        """Give the same, gone through otherwise."""
        changed = {
            way: tuple(change(course) for course in courses)
            for way, courses in self.cut.courses.items()
        }
        return replace(self, cut=replace(self.cut, courses=changed))

    def together(self) -> Iterator[tuple[Course, tuple[int, ...]]]:
        """Give each course of the chosen way with the places of the screens that go through it."""
        course_of = {
            key: course
            for part, course in zip(self.workings[self.working], self.courses, strict=True)
            for key in part.screens
        }
        of = [course_of[one.screen.key] for one in self.screens]
        for course in dict.fromkeys(of):
            yield course, tuple(s for s, own in enumerate(of) if own == course)

    def with_retarder(self) -> Scene:
        """Give the same with retarder in every ink."""
        return replace(self, screens=tuple(replace(s, retarder=True) for s in self.screens))

    def ink(self, one: OneScreen) -> Ink:
        """Give the ink of a screen."""
        water = np.minimum(worlds_of(one.ink.water_share), 0.98)
        density = worlds_of(one.ink.density_g_per_ml)
        return Ink(water, density, critical_loss(self.hand, retarder=one.retarder))

    def measured_with(self, one: OneScreen, *, flooded: bool) -> Ink:
        """Give the ink that open times were measured with: the one named, or that of the screen."""
        tried = self.tried[flooded]
        if tried.ink in ("", one.ink.ink):
            return self.ink(one)
        water, density = (self.hand.worlds(known) for known in tried.of_ink)
        return Ink(np.minimum(water, 0.98), density, critical_loss(self.hand, retarder=False))


@dataclass(frozen=True, slots=True, eq=False)
class Around:
    """The climate of a scene, with the shop's own weighing heeded.

    :param flux: kg/(m² s), (513,)
    :param flux_measured: in the climate the shop has measured in
    :param weighed_over_model: what both were multiplied by so that the latter is what was weighed
    """

    here: climates.AtScreens
    flux: Floats
    flux_measured: Floats
    weighed_over_model: Floats

    def measured(self, scene: Scene, one: OneScreen, *, flooded: bool) -> Floats:
        """Give what a screen's layer is multiplied by where the shop has measured open times."""
        return measured_over_model(
            scene.hand,
            self.flux_measured,
            scene.measured_with(one, flooded=flooded),
            scene.tried[flooded].mesh,
            scene.film_um,
            flooded=flooded,
        )


def around(scene: Scene) -> Around:
    """Reckon the climate of a scene."""
    there = climates.at_screens(scene.hand, scene.measured_room, scene.measured_in)
    same = scene.climate == scene.measured_in and scene.room == scene.measured_room
    here = there if same else climates.at_screens(scene.hand, scene.room, scene.climate)
    ratio = climates.weighed_over_model(scene.hand, there)
    return Around(here, here.flux * ratio, there.flux * ratio, ratio)


def scene_of(job: Job, ask: Ask, parted: Parting = as_planned) -> Scene:
    """Ask for all that drying needs.

    :param parted: how the run is parted by washing the screens out
    :raises Unanswered: nobody tells of ink and mesh, or nothing is printed
    :raises SettingsError: a room outside what the formulas hold for, or a way of working the press can't
        do
    """
    if not job.screens:
        raise Unanswered("nothing is printed, so that nothing dries")
    climates.check(job.shop.room)
    try:
        from prep_ink.answers import InkOnScreens, MeshOnScreens
        from prep_ink.settings import OrderInk
    except ModuleNotFoundError as error:
        raise Unanswered(_NO_INK) from error
    try:
        inks, meshes = ask(InkOnScreens), ask(MeshOnScreens)
    except Unanswered as error:
        raise Unanswered(_NO_INK) from error
    shop, order = job.settings(Drying), job.settings(DryingOrder)
    says: list[str] = []
    steps, rounds = _steps(job, ask, says)
    flashed = any(step.does == "flash" for step in steps)
    by_shop, assumed = _climate(shop.climate, flashed)
    chosen = order.climate or by_shop
    flooded = next(
        (said for said in (order.flooded, shop.flooded) if said is not None),
        job.shop.press.kind != "plain table",
    )
    measured_in, measured_room = measured_where(shop, by_shop, job.shop.room)
    stated = shop.climate is not None or order.climate is not None
    says.extend(unused(shop, {*chosen, *by_shop, *measured_in}, said=stated))
    hand = Hand(shop, instead=_paces(job))
    said = shop.retarder if order.retarder is None else order.retarder
    screens = tuple(
        OneScreen(
            screen,
            meshes[screen.key],
            inks[screen.key],
            _finest_mm(screen),
            _retarder(job, screen, said),
            water_and_density(job, ask, screen.ink, inks[screen.key].kind),
        )
        for screen in job.screens
    )
    left_out = [o.screen.ink for o in screens if not o.retarder and _mixed_in(job, o.screen)]
    if left_out:
        says.append(
            f"{several(left_out)}: retarder is mixed in, and reckoned without, as [drying] says"
            " retarder = false."
        )
    workings = _workings(job, steps, rounds, hand)
    working = _working(job, workings)
    tests, all_ = job.settings(OrderInk).test_pulls, inks[job.screens[0].key].prints
    prints = Prints(tests, all_, job.setup.shirts)
    cut = parted(job, ask, workings, working, prints)
    return Scene(
        hand=hand,
        room=job.shop.room,
        measured_room=measured_room,
        climate=chosen,
        measured_in=measured_in,
        assumed="" if order.climate else assumed,
        flooded=flooded,
        film_um=job.shop.film.thickness_um,
        tried=(
            tried_with(job, ask, "open_cleared", shop.open_cleared_s),
            tried_with(job, ask, "open_flooded", shop.open_flooded_s),
        ),
        screens=screens,
        working=working,
        workings=workings,
        cut=cut,
        prints=prints,
        says=(*says, *cut.says),
    )


def _retarder(job: Job, screen: Screen, said: bool | None) -> bool:
    """Tell whether an ink holds retarder: as colour, order or shop say, else by what is mixed into it."""
    own = job.settings(DryingColour, screen.colour).retarder
    if own is not None or said is not None:
        return bool(said if own is None else own)
    return _mixed_in(job, screen)


def _mixed_in(job: Job, screen: Screen) -> bool:
    """Tell whether a recipe, the order or a colour adds what is called retarder."""
    try:
        from prep_mix.settings import MixColour, MixOrder, MixShop
    except ModuleNotFoundError:
        return False
    recipes = (r.additives for r in job.settings(MixShop).recipe if r.ink == screen.ink)
    wanted = {name: share for held in recipes for name, share in held.items()}
    wanted |= job.settings(MixOrder).additives
    wanted |= job.settings(MixColour, screen.colour).additives
    return any(_RETARDER in name.casefold() and share != 0 for name, share in wanted.items())


def _finest_mm(screen: Screen) -> float:
    finest = screen.measures.finest_opening
    return max(screen.measures.searched_to_mm if finest is None else finest.width_mm, 0.05)


def _climate(stated: tuple[Climate, ...] | None, flashed: bool) -> tuple[tuple[Climate, ...], str]:
    if stated is not None:
        return stated, ""
    if flashed:
        return (
            climates.DRYER,
            climates.PLATEN,
        ), "shirts are flashed, so the dryer is taken to stand near"
    return (climates.STILL,), "nothing is flashed, and the shop's settings name no climate"


def _steps(job: Job, ask: Ask, says: list[str]) -> tuple[list[Doing], int]:
    """Give the steps of one shirt, and how often it is laid down."""
    try:
        from prep_sequence.answers import PrintSteps

        told = ask(PrintSteps)
    except (ModuleNotFoundError, Unanswered):
        says.append(_NO_STEPS)
        steps: list[Doing] = []
        for screen in job.screens:
            for number in range(screen.passes):
                if number:
                    steps.append(Doing("flash", screen.key, _USUAL_FLASH_S))
                steps.append(Doing("print", screen.key))
        return steps, 1
    return [Doing(step.does, step.screen, step.takes_s) for step in told.steps], told.rounds


def _paces(job: Job) -> tuple[parameters.Known, ...]:
    """Give how long prints and laying take by what the shop says for weighing ways to print."""
    try:
        from prep_base.settings import Base
    except ModuleNotFoundError:
        return ()
    said, source = job.settings(Base), "base.print_time and base.lay_time of shop.toml"
    return (
        parameters.centred(parameters.PRINT_TIME, said.print_time_s, source),
        parameters.centred(parameters.LAYING_TIME, said.lay_time_s, source),
    )


def _workings(
    job: Job, steps: list[Doing], rounds: int, hand: Hand
) -> dict[Working, tuple[Round, ...]]:
    times = Times(
        hand.worlds(parameters.PRINT_TIME),
        hand.worlds(parameters.LAYING_TIME),
        hand.worlds(parameters.FLASH_TIME),
    )
    films = {screen.key: screen.film for screen in job.screens}
    count = len(set(films.values()))
    found: dict[Working, tuple[Round, ...]] = {}
    if rounds < count or count == 1:
        found["shirt by shirt"] = shirt_by_shirt(steps, times)
    if count > 1:
        found["colour by colour"] = colour_by_colour(steps, times, films)
    return found


def _working(job: Job, workings: Mapping[Working, tuple[Round, ...]]) -> Working:
    """Give the way that is chosen: as asked for, else each shirt to its end where the press can.

    With one film both ways are the same work.

    :raises SettingsError: the one asked for can't be
    """
    only, asked = next(iter(workings)), job.shop.press.working
    if asked is None or len(job.films) == 1:
        return only
    if asked in workings:
        return asked
    holds = job.shop.press.holds
    held = "one frame" if holds == 1 else f"{holds} frames"
    raise SettingsError(
        f'press.working: "{asked}" can\'t be, for the press holds {held} at a time',
        where=job.origins.get("shop.press.working", "shop.toml"),
        do=f'write "{only}", or take it out',
    )


def refuse_unless_wet(scene: Scene) -> None:
    """Refuse inks without water.

    :raises InputError: an ink holds none
    """
    for one in scene.screens:
        if not one.ink.water_share.value > 0:
            raise InputError(
                f"{one.ink.ink} holds no water, so that drying can't be reckoned",
                where=f"screen {one.screen.key}",
                do="write its water_share under [[inks]] in shop.toml, or go on with --without drying",
            )
