"""From a job to the ink it takes: puts mesh, deposit and mixing together for every screen.

Each parameter is carried as its default followed by its 512 draws, so that the model runs once for both
and every screen sees the same possible worlds.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from prep.errors import InputError
from prep.estimate import Estimate, Floats, Parameter
from prep.screens import ink_kind
from prep_ink import deposit, mixing, parameters
from prep_ink.answers import Contribution, InkOnScreen, InkOnScreens, InkToMix, MeshOnScreens
from prep_ink.mesh import ImpossibleMeshError, MeshFigures, figures
from prep_ink.parameters import Known
from prep_ink.settings import Measured, OrderInk, ShopInk
from prep_ink.words import percent

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.measures import Measures
    from prep.screens import Screen
    from prep.shop import Ink, Mesh

MM3_PER_ML = 1000.0


def mesh_on_screens(job: Job, _ask: Ask) -> MeshOnScreens:
    """Give the figures of every screen's mesh.

    :raises InputError: a mesh that isn't in stock, can't exist, or whose figures contradict each other
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
        found[screen.key] = figures_of(stock[screen.mesh])
    return MeshOnScreens(found)


def figures_of(mesh: Mesh) -> MeshFigures:
    """Give the figures of a mesh in stock.

    :raises InputError: it can't exist, or its figures contradict each other
    """
    try:
        return figures(
            mesh.name,
            mesh.count_per_cm,
            mesh.thread_um,
            opening_um=mesh.opening_um,
            open_area=mesh.open_area,
            thickness_um=mesh.thickness_um,
            volume_um=mesh.volume_cm3_per_m2,
        )
    except ImpossibleMeshError as error:
        raise InputError(
            str(error),
            where=f'mesh "{mesh.name}"',
            do="correct its line in shop.toml from the maker's data sheet",
        ) from error


def ink_on_screens(job: Job, ask: Ask) -> InkOnScreens:
    """Give the ink of every screen, and what to mix of every ink.

    :raises InputError: a screen that prints nothing
    """
    for screen in job.screens:
        if not screen.measures.area_mm2 > 0:
            raise InputError(
                "this screen prints nothing",
                where=f"screen {screen.key}",
                do="take it out of the order, or undo what removed its area",
            )
    meshes = ask(MeshOnScreens)
    hand = Hand(job.settings(ShopInk))
    order = job.settings(OrderInk)
    found = [_on_screen(job, screen, meshes[screen.key], hand, order) for screen in job.screens]
    readability = job.shop.balance.readability_g
    inks = []
    shares: dict[str, float] = {}
    for ink, screens in _by_ink(found):
        pot = estimate(hand.worlds(parameters.POT_LOSS), "g", ())
        for_run = total([s.for_run_g for s in screens])
        stays = total([*(s.stays_g for s in screens), pot])
        mixed, chance = to_mix(for_run, stays, order, readability)
        inks.append(InkToMix(ink, tuple(s.screen for s in screens), for_run, stays, mixed, chance))
        needs = [s.for_run_g.value + s.stays_g.value for s in screens]
        shares |= {s.screen: mixed * n / sum(needs) for s, n in zip(screens, needs, strict=True)}
    by_screen = {s.screen: replace(s, to_mix_g=shares[s.screen]) for s in found}
    return InkOnScreens(by_screen, tuple(inks))


def total(estimates: Sequence[Estimate]) -> Estimate:
    """Add estimates of one unit, world by world, so that what they share stays shared."""
    first, *others = estimates
    for other in others:
        first = first + other
    return first


def to_mix(
    for_run: Estimate, stays: Estimate, order: OrderInk, readability_g: float
) -> tuple[float, float]:
    """Give what to mix of an ink, rounded up for the balance, and the chance that it suffices.

    With a reserve: the run at its expected value with the reserve on top, and what stays behind. Without:
    what suffices with the chance asked for.
    """
    need = for_run + stays
    if order.reserve is None:
        amount = need.enough_at(order.enough_at)
    else:
        amount = for_run.value * (1.0 + order.reserve) + stays.value
    mixed = mixing.round_up_g(amount, readability_g)
    return mixed, float(np.mean(need.draws <= mixed))


class Hand:
    """The parameters in force: the table's, or the shop's own where it has measured them."""

    def __init__(self, shop: ShopInk) -> None:
        """Read the shop's figures."""
        stated: tuple[tuple[Known, Measured[float] | None], ...] = (
            (parameters.TRANSFER, shop.transfer),
            (parameters.EDGE_REACH, shop.edge_reach_mm),
            (parameters.FILM_STANDS, shop.film_stands),
            (parameters.SECOND_STROKE, shop.second_stroke),
            (parameters.BEAD, shop.bead_mm2),
            (parameters.LAYER_LEFT, shop.layer_left_um),
            (parameters.POT_LOSS, shop.pot_loss_g),
        )
        self.shop = shop
        self._own = {
            known.parameter.name: parameters.measured(known, own.value, own.low, own.high)
            for known, own in stated
            if own is not None
        }

    def known(self, known: Known) -> Known:
        """Give the parameter in force."""
        return self._own.get(known.parameter.name, known)

    def worlds(self, known: Known) -> Floats:
        """Give default and draws of the parameter in force, (513,)."""
        return worlds(self.known(known).parameter)


def worlds(parameter: Parameter) -> Floats:
    """Give a parameter's default, then its draws: (513,)."""
    return np.concatenate([[parameter.default], parameter.draws()])


def estimate(values: Floats, unit: str, basis: tuple[str, ...]) -> Estimate:
    """Make an estimate of values at the defaults and at every draw, (513,)."""
    return Estimate(float(values[0]), unit, values[1:], basis)


def mesh_parameter(mesh: MeshFigures) -> Known:
    """Give the uncertainty of one mesh's volume."""
    low, high = mesh.volume_range
    source = (
        "the maker's figures, whose definitions differ from maker to maker"
        if mesh.volume_origin == "maker"
        else parameters.MESH_VOLUME.parameter.source
    )
    return parameters.of(parameters.MESH_VOLUME, mesh.name, low, high, source)


def stocked_ink(job: Job, name: str) -> Ink | None:
    """Give the ink of this name from the shop's list."""
    return next((ink for ink in job.shop.inks if ink.name == name), None)


def density_of(job: Job, screen: Screen, kind: str) -> Known:
    """Give the density of a screen's ink: the shop's own, or the usual of its kind."""
    stocked = stocked_ink(job, screen.ink)
    if stocked is None or stocked.density_g_per_ml is None:
        return parameters.DENSITY[kind]
    rho = stocked.density_g_per_ml
    own = parameters.measured(parameters.DENSITY[kind], rho, 0.98 * rho, 1.02 * rho)
    return parameters.of(own, screen.ink, 0.98 * rho, 1.02 * rho, own.parameter.source)


def _on_screen(
    job: Job, screen: Screen, mesh: MeshFigures, hand: Hand, order: OrderInk
) -> InkOnScreen:
    kind, assumed = ink_kind(screen, job.shop)
    measures, film = screen.measures, job.shop.film
    mesh_known, density_known = mesh_parameter(mesh), density_of(job, screen, kind)

    volume = mesh.volume_um * worlds(mesh_known.parameter)
    field = deposit.open_field_um(hand.worlds(parameters.TRANSFER), volume, mesh.void_um)
    transfer = field / volume
    bands, reach = measures.bands, hand.worlds(parameters.EDGE_REACH)
    edge = deposit.edge_integral_mm2(bands.area_mm2, bands.depth_mm, bands.spread_mm, reach)
    stands = np.zeros_like(volume)
    if film.side == "shirt":
        thickness = film.thickness_um * worlds(parameters.FILM_THICKNESS.parameter)
        stands = thickness * hand.worlds(parameters.FILM_STANDS)
    laid = (
        deposit.strokes_factor(hand.worlds(parameters.SECOND_STROKE), order.strokes) * screen.passes
    )
    density = worlds(density_known.parameter)
    area = measures.area_mm2
    volume_ml = laid * deposit.print_volume_ml(area, edge, transfer, volume, stands)

    swept, stays_ml = _stays(measures, hand)
    used = _used(hand, mesh_known, density_known, order.strokes, film.side)
    uncertainty = _uncertainty(estimate(density * volume_ml, "g", ()), used)
    basis = (
        f"{area / 100:.1f} cm² printed, {measures.perimeter_mm / 10:.0f} cm of edge",
        _mesh_basis(mesh),
        _film_basis(film.side, film.thickness_um),
        _strokes_basis(order.strokes, screen.passes),
        f"{kind}{' (assumed)' if assumed else ''},"
        f" {density_known.parameter.default:.2f} g/ml ({density_known.parameter.status})",
        *_uncertainty_basis(uncertainty[0]),
    )
    per_print = estimate(density * volume_ml, "g", basis)
    prints = mixing.prints(job.setup.shirts, order.test_pulls, order.spoilage)
    return InkOnScreen(
        screen=screen.key,
        ink=screen.ink,
        kind=kind,
        kind_assumed=assumed,
        strokes=order.strokes,
        passes=screen.passes,
        open_field_um=estimate(laid * field, "um", ()),
        at_edge_um=estimate(laid * (field + transfer * stands), "um", ()),
        mean_deposit_um=estimate(volume_ml / deposit.ML_PER_UM_MM2 / area, "um", ()),
        per_print_g=per_print,
        prints=prints,
        for_run_g=per_print * prints,
        stays_g=estimate(density * stays_ml, "g", ()),
        to_mix_g=0.0,
        density_g_per_ml=estimate(density, "g/ml", (density_known.parameter.source,)),
        water_share=estimate(worlds(parameters.WATER_SHARE[kind].parameter), "", ()),
        swept_mm2=swept,
        uncertainty=uncertainty,
    )


def _stays(measures: Measures, hand: Hand) -> tuple[float, Floats]:
    """Give the area of screen the squeegee sweeps, and the ink on it after the last print, in ml."""
    west, north, east, south = measures.bounds_mm
    squeegee = east - west + 2 * hand.shop.squeegee_beyond_mm
    swept = mixing.swept_mm2(squeegee, south - north, 2 * hand.shop.stroke_beyond_mm)
    bead_ml = hand.worlds(parameters.BEAD) * squeegee / MM3_PER_ML
    layer_ml = hand.worlds(parameters.LAYER_LEFT) * swept * deposit.ML_PER_UM_MM2
    return swept, bead_ml + layer_ml


def _uncertainty(figure: Estimate, used: tuple[Known, ...]) -> tuple[Contribution, ...]:
    """Tell what a figure's range comes from, the largest part first."""
    shares = figure.shares(tuple(known.parameter for known in used))
    found = [Contribution(k.words, shares[k.parameter.name], k.remedy) for k in used]
    return tuple(sorted(found, key=lambda part: -part.share))


def _used(hand: Hand, mesh: Known, density: Known, strokes: int, side: str) -> tuple[Known, ...]:
    """Give the parameters that a print's ink depends on."""
    used = [hand.known(parameters.TRANSFER), mesh, density]
    if strokes > 1:
        used.append(hand.known(parameters.SECOND_STROKE))
    if side == "shirt":
        used += [
            hand.known(parameters.EDGE_REACH),
            hand.known(parameters.FILM_STANDS),
            parameters.FILM_THICKNESS,
        ]
    return tuple(used)


def in_force(job: Job, ask: Ask) -> tuple[Known, ...]:
    """Give every parameter the ink figures of a job rest on, each once."""
    meshes, ink = ask(MeshOnScreens), ask(InkOnScreens)
    hand = Hand(job.settings(ShopInk))
    found: dict[str, Known] = {}
    for screen in job.screens:
        density = density_of(job, screen, ink[screen.key].kind)
        mesh = mesh_parameter(meshes[screen.key])
        used = _used(hand, mesh, density, ink[screen.key].strokes, job.shop.film.side)
        left = (parameters.BEAD, parameters.LAYER_LEFT, parameters.POT_LOSS)
        for known in (*used, *map(hand.known, left)):
            found.setdefault(known.parameter.name, known)
    return tuple(found.values())


def _by_ink(found: Iterable[InkOnScreen]) -> Iterable[tuple[str, list[InkOnScreen]]]:
    grouped: dict[str, list[InkOnScreen]] = {}
    for ink in found:
        grouped.setdefault(ink.ink, []).append(ink)
    return grouped.items()


def _mesh_basis(mesh: MeshFigures) -> str:
    low, high = (mesh.volume_um * factor for factor in mesh.volume_range)
    whose = "maker's figures" if mesh.volume_origin == "maker" else "ideal figures"
    return f"mesh {mesh.name}: {mesh.volume_um:.0f} cm³/m² ({low:.0f} to {high:.0f}), {whose}"


def _film_basis(side: str, thickness_um: float) -> str:
    if side == "shirt":
        return f"film {thickness_um:g} µm on the shirt side: more ink along edges"
    return "film on the squeegee side: no more ink along edges"


def _strokes_basis(strokes: int, passes: int) -> str:
    text = f"{strokes} stroke{'s' if strokes > 1 else ''}"
    return text if passes == 1 else f"{text}, printed {passes} times with drying between"


def _uncertainty_basis(largest: Contribution) -> tuple[str, ...]:
    text = f"{percent(largest.share)} of the uncertainty comes from {largest.words}"
    return (text, largest.remedy) if largest.remedy else (text,)
