"""From a job to the ink it takes: puts mesh, deposit and mixing together for every screen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from prep.cloth import MeshFigures
from prep.errors import InputError
from prep.screens import ink_kind
from prep_ink import deposit, parameters, stays
from prep_ink.answers import Contribution, InkOnScreen, InkOnScreens, MeshOnScreens, prints_of
from prep_ink.classes import InkClass, class_of
from prep_ink.doubt import contributions, once_measured
from prep_ink.hand import Hand, density_of, estimate, estimates, mesh_parameter, water_of
from prep_ink.one_print import OnePrint
from prep_ink.others import Made, recipes_of, squeegee_on, washings_of
from prep_ink.settings import OrderInk
from prep_ink.totals import inks_of
from prep_ink.weighed import hand_of
from prep_ink.words import percent

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.measures import Measures
    from prep.screens import Screen
    from prep.shop import Film
    from prep_ink.parameters import Known


def mesh_on_screens(job: Job, _ask: Ask) -> MeshOnScreens:
    """Give the figures of every screen's mesh.

    :raises InputError: a mesh that isn't in stock
    """
    stock = {mesh.name: mesh for mesh in job.shop.mesh}
    found: dict[str, MeshFigures] = {}
    for screen in job.screens:
        if screen.mesh not in stock:
            raise InputError(
                f'the mesh "{screen.mesh}" of {screen.key} is not among those in stock',
                where="mesh",
                do=f"write one of {', '.join(stock)}, or add a [[mesh]] to shop.toml",
            )
        found[screen.key] = stock[screen.mesh].figures()
    return MeshOnScreens(found)


def ink_on_screens(job: Job, ask: Ask) -> InkOnScreens:
    """Give the ink of every screen, and what to mix of every ink.

    :raises InputError: a screen that prints nothing
    :raises SettingsError: a transfer weighed with a mesh or an ink that isn't known
    """
    for screen in job.screens:
        if not screen.measures.area_mm2 > 0:
            raise InputError(
                "this screen prints nothing",
                where=f"screen {screen.key}",
                do="take it out of the order, or undo what removed its area",
            )
    meshes = ask(MeshOnScreens)
    hand, recipes = hand_of(job), recipes_of(ask)
    found = [
        _on_screen(job, ask, screen, meshes[screen.key], hand, recipes) for screen in job.screens
    ]
    inks = inks_of(job, found, hand)
    part: dict[str, float] = {}
    for mix in inks:
        needs = {key: ink.for_run_g.value + ink.stays_g.value for key, ink in _of(found, mix.ink)}
        part |= {key: mix.to_mix_g * need / sum(needs.values()) for key, need in needs.items()}
    return InkOnScreens(
        {ink.screen: replace(ink, to_mix_g=part[ink.screen]) for ink in found}, inks
    )


def _of(found: Sequence[InkOnScreen], ink: str) -> list[tuple[str, InkOnScreen]]:
    return [(one.screen, one) for one in found if one.ink == ink]


def printed(job: Job, screen: Screen, mesh: MeshFigures, recipes: Made) -> OnePrint:
    """Put together what the ink of a screen's print follows from."""
    kind, _ = ink_kind(screen, job.shop)
    density = density_of(job.shop, screen.ink, kind, recipes.densities.get(screen.ink))
    strokes = strokes_of(job, screen)
    return OnePrint(screen, job.shop.film, mesh, mesh_parameter(mesh), density, strokes)


def class_on(job: Job, screen: Screen) -> InkClass:
    """Give what holds for the ink of a screen."""
    kind, _ = ink_kind(screen, job.shop)
    return class_of(job.shop, job.shop.listed_ink(screen.ink), kind)


def strokes_of(job: Job, screen: Screen) -> int:
    """Give the strokes of a screen: as the order says of its colour, or of all, else as its ink needs."""
    chosen = next((c.strokes for c in job.setup.colours if c.colour == screen.colour), None)
    return chosen or job.settings(OrderInk).strokes or class_on(job, screen).strokes


def _on_screen(
    job: Job, ask: Ask, screen: Screen, mesh: MeshFigures, hand: Hand, recipes: Made
) -> InkOnScreen:
    kind, assumed = ink_kind(screen, job.shop)
    own = class_on(job, screen)
    one, order = printed(job, screen, mesh, recipes), job.settings(OrderInk)
    hand = hand.on(mesh.name, screen.ink, one.strokes, one.weighed_too)
    measures, density = screen.measures, hand.worlds(one.density)
    edge = one.edge_mm2(hand)
    laid, field, volume_ml = one.laid(hand), one.field_um(hand), one.volume_ml(hand, edge)
    transfer = field / one.volume_um(hand)
    grams = one.grams(hand, edge)
    uncertainty = contributions(one, hand, edge)
    blade = squeegee_on(ask, screen, hand.shop.stroke_beyond_mm)
    swept = stays.swept_mm2(blade.length_mm, _height(measures), blade.beyond_mm)
    bead = stays.bead_ml(hand.worlds(parameters.BEAD), blade.length_mm)
    clings = stays.clings_ml(
        measures.area_mm2,
        one.volume_um(hand),
        swept,
        hand.worlds(parameters.LAYER_LEFT),
        hand.worlds(parameters.ON_BLADE),
        blade.length_mm,
    )
    basis = (
        f"{measures.area_mm2 / 100:.1f} cm² printed, {measures.perimeter_mm / 10:.0f} cm of edge",
        f"mesh {mesh_in_words(mesh)}",
        _film_basis(job.shop.film),
        _strokes_basis(one.strokes, screen.passes),
        f"{own.kind}{' (assumed)' if assumed else ''},"
        f" {one.density.parameter.default:.2f} g/ml ({one.density.parameter.status})",
        *_uncertainty_basis(uncertainty[0]),
    )
    per_print = replace(grams, basis=basis)
    lives = [s for s in (own.pot_life_s, recipes.reacts_s.get(screen.ink)) if s is not None]
    prints = prints_of(job.settings, job.setup).total
    return InkOnScreen(
        screen=screen.key,
        film=screen.film,
        ink=screen.ink,
        kind=kind,
        kind_assumed=assumed,
        strokes=one.strokes,
        passes=screen.passes,
        open_field_um=estimate(laid * field, "um"),
        at_edge_um=estimate(laid * (field + transfer * one.stands_um(hand)), "um"),
        mean_deposit_um=estimate(volume_ml / deposit.ML_PER_UM_MM2 / measures.area_mm2, "um"),
        per_print_g=per_print,
        once_measured_g=once_measured(one, hand, edge, uncertainty[0]),
        test_pulls=order.test_pulls,
        prints=prints,
        for_run_g=per_print * prints,
        squeegee_mm=blade.length_mm,
        squeegee_assumed=blade.assumed,
        bead_g=estimate(density * bead, "g"),
        clings_g=estimate(density * clings, "g") * washings_of(job, ask, screen),
        to_mix_g=0.0,
        density_g_per_ml=estimate(density, "g/ml", (one.density.parameter.source,)),
        water_share=estimates(water_of(job.shop, screen.ink, kind).parameter, ""),
        swept_mm2=swept,
        pot_life_s=min(lives, default=None),
        made=screen.ink in recipes.made,
        uncertainty=uncertainty,
    )


def _height(measures: Measures) -> float:
    _, north, _, south = measures.bounds_mm
    return south - north


def in_force(job: Job, ask: Ask) -> tuple[Known, ...]:
    """Give every parameter the ink figures of a job rest on, each once."""
    meshes, recipes = ask(MeshOnScreens), recipes_of(ask)
    hand = hand_of(job)
    left = (parameters.BEAD, parameters.LAYER_LEFT, parameters.ON_BLADE, parameters.POT_LOSS)
    found: dict[str, Known] = {}
    for screen in job.screens:
        one = printed(job, screen, meshes[screen.key], recipes)
        own = hand.on(one.mesh.name, screen.ink, one.strokes, one.weighed_too)
        for known in map(own.known, (*one.used, *left)):
            before = found.get(known.parameter.name)
            if before is None or _width(known) > _width(before):  # known on another screen, maybe
                found[known.parameter.name] = known
    return tuple(found.values())


def _width(known: Known) -> float:
    return known.parameter.high - known.parameter.low


def mesh_in_words(mesh: MeshFigures) -> str:
    """Say what a mesh holds and whose figures these are: ``43-80: 53 cm³/m² (50 to 56) ...``."""
    low, high = (mesh.volume_um * factor for factor in mesh.volume_range)
    whose = (
        "maker's figures"
        if mesh.volume_origin == "maker"
        else "ideal figures from count and thread"
    )
    return f"{mesh.name}: {mesh.volume_um:.0f} cm³/m² ({low:.0f} to {high:.0f}), {whose}"


def _film_basis(film: Film) -> str:
    if film.side == "shirt":
        return f"film {film.thickness_um:g} µm on the shirt side: more ink along edges"
    return "film on the squeegee side: no more ink along edges"


def _strokes_basis(strokes: int, passes: int) -> str:
    text = f"{strokes} stroke{'s' if strokes > 1 else ''}"
    return text if passes == 1 else f"{text}, printed {passes} times with drying between"


def _uncertainty_basis(largest: Contribution) -> tuple[str, ...]:
    text = f"{percent(largest.share)} of the uncertainty comes from {largest.words}"
    return (text, largest.remedy) if largest.remedy else (text,)
