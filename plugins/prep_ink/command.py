"""``prep ink``: ink per colour for the run, before mixing."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from prep.console import out, out_table, progress, say
from prep.phrases import several
from prep_ink.answers import InkOnScreens, MeshOnScreens, over_all
from prep_ink.words import between, duration, percent, volume, weight

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep.job import Job
    from prep.request import Request

    Forecasts = Sequence[tuple[Job, InkOnScreens]]


def run(request: Request, as_json: bool) -> int:
    """Print the ink of every set-up of an order and what to mix over all; give the exit status."""
    from prep.line import open_line

    with progress() as tell, open_line(request, tell=tell) as line:
        jobs = [line.job(setup) for setup in line.setups]
        forecasts = [(job, line.ask(job)(InkOnScreens)) for job in jobs]
        meshes = [line.ask(job)(MeshOnScreens) for job in jobs]
    if as_json:
        out(json.dumps(document(forecasts), indent=2, ensure_ascii=False))
        return 0
    for (job, ink), mesh in zip(forecasts, meshes, strict=True):
        _tell_setup(job, ink, mesh)
    _tell_mix(forecasts)
    for note in dict.fromkeys(note for job, _ in forecasts for note in job.notes):
        say(f"- {note}")
    return 0


def shirts_of(forecasts: Forecasts) -> int:
    """Give the garments of the order; one with two prints counts once."""
    if len(forecasts) == 1:
        return forecasts[0][0].setup.shirts
    return sum(sum(garment.sizes.values()) for garment in forecasts[0][0].order.garment)


def document(forecasts: Forecasts) -> dict[str, Any]:
    """Give the document ``firstpull.ink/1``: one entry per screen, and totals per ink."""
    return {
        "schema": "firstpull.ink/1",
        "shirts": shirts_of(forecasts),
        "colours": [
            {
                "setup": job.setup.name,
                "hex": screen.colour,
                "ink": screen.ink,
                "screen": screen.key,
                **_grams("per_print", ink[screen.key].per_print_g, 4),
                **_grams("for_run", ink[screen.key].for_run_g, 2),
                "to_mix_g": round(ink[screen.key].to_mix_g, 2),
                "mean_deposit_um": round(ink[screen.key].mean_deposit_um.value, 1),
                "strokes": ink[screen.key].strokes,
                "passes": screen.passes,
                "prints": ink[screen.key].prints,
                "uncertain_by": [
                    {"parameter": part.parameter, "share": round(part.share, 3)}
                    for part in ink[screen.key].uncertainty
                ],
                "basis": list(ink[screen.key].per_print_g.basis),
            }
            for job, ink in forecasts
            for screen in job.screens
        ],
        "inks": [
            {
                "ink": mix.ink,
                "screens": list(mix.screens),
                **_grams("for_run", mix.for_run_g, 2),
                **_grams("stays", mix.stays_g, 2),
                **_grams("bead", mix.bead_g, 2),
                "to_mix_g": round(mix.to_mix_g, 2),
                "to_mix_ml": round(mix.to_mix_g / mix.density_g_per_ml.value, 1),
                "discard_after_h": None if mix.pot_life_s is None else mix.pot_life_s / 3600.0,
                "suffices": round(mix.chance, 3),
            }
            for mix in over_all(forecasts)
        ],
    }


def _grams(name: str, estimate: Estimate, decimals: int) -> dict[str, float]:
    return {
        f"{name}_g": round(estimate.value, decimals),
        f"{name}_low_g": round(estimate.low, decimals),
        f"{name}_high_g": round(estimate.high, decimals),
    }


def _tell_setup(job: Job, ink: InkOnScreens, meshes: MeshOnScreens) -> None:
    from prep.artwork import assumed_size
    from prep_ink.forecast import mesh_in_words
    from prep_ink.settings import OrderInk
    from prep_ink.sheet import EIGHT_IN_TEN, comes_from, prints_in_words, weighed_at

    first = ink[job.screens[0].key]
    pulls = job.settings(OrderInk).test_pulls
    assumed = assumed_size(job.artwork)
    out(f"{job.artwork.name}: {job.setup.name}, {prints_in_words(job, first, pulls)}{assumed}")
    out_table(
        ("ink", "mesh", "wet ink", "per print", "for the run"),
        [
            (
                screen.ink if screen.does == "colour" else f"{screen.ink} ({screen.does})",
                screen.mesh,
                between(ink[screen.key].mean_deposit_um),
                between(ink[screen.key].per_print_g),
                between(ink[screen.key].for_run_g),
            )
            for screen in job.screens
        ],
        "llrrr",
    )
    out(EIGHT_IN_TEN)
    for mesh in dict.fromkeys(meshes[screen.key] for screen in job.screens):
        out(f"Mesh {mesh_in_words(mesh)}.")
    most = max((ink[s.key] for s in job.screens), key=lambda i: i.for_run_g.value)
    out(f"{most.ink}: {comes_from(most, job.shop.balance.readability_g, weighed_at(ink, most))}")
    out()


def _tell_mix(forecasts: Forecasts) -> None:
    from prep_ink.order_page import short_of_stock

    units, mixes = forecasts[0][0].shop.units, over_all(forecasts)
    out("To mix before the run" + ("" if len(forecasts) == 1 else ", over all set-ups") + ":")
    out_table(
        ("ink", "for the run", "stays behind", "to mix", "suffices"),
        [
            (
                mix.ink,
                between(mix.for_run_g),
                between(mix.stays_g),
                f"{weight(mix.to_mix_g, units)},"
                f" {volume(mix.to_mix_g, mix.density_g_per_ml.value, units)}",
                percent(mix.chance),
            )
            for mix in mixes
        ],
        "lrrrr",
    )
    out("Of what stays behind, the bead before the blade is scraped back:")
    for mix in mixes:
        out(f"  {mix.ink}: {between(mix.bead_g)}")
    for text in short_of_stock(forecasts[0][0].shop, mixes):
        out(text)
    for mix in mixes:
        if mix.pot_life_s is not None:
            out(f"{mix.ink} is thrown away {duration(mix.pot_life_s)} after it was mixed.")
    assumed = dict.fromkeys(
        i.ink for _, ink in forecasts for i in ink.by_screen.values() if i.kind_assumed
    )
    if assumed:
        out(f"Kind of ink assumed: {several(tuple(assumed))}; name it in shop.toml ([[inks]]).")
    out()
