"""How evaporation, idle times and the share of runs that stays open are worked out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.worked import Given, Worked, parameter_given, section_of
from prep_drying import air as moist
from prep_drying import parameters
from prep_drying.answers import Drying
from prep_drying.humectant import water_activity
from prep_drying.idle import openings
from prep_drying.scene import around, scene_of
from prep_drying.surface import MADE_TO_M_PER_S, S_PER_H
from prep_drying.wells import LONGEST_S

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.sections import Section
    from prep_drying.answers import ScreenRun
    from prep_drying.scene import Around, OneScreen, Scene

TITLE = "How drying is worked out"
_LIKELIEST = (
    "Worked with the likeliest value of each figure. The ranges on the sheet are those of 512 possible"
    " runs, in each of which all that is uncertain is drawn at once."
)
_POOLS = "formula of Carrier and ASHRAE for pools, from memory; vapour pressure by Buck, 1996"
_CONSTANT = "own reckoning at a constant rate"
_SIMULATED = "print by print, in 512 possible runs; own model"


def why_section(job: Job, ask: Ask) -> Section:
    """Give how the drying of a job is worked out."""
    return section_of(TITLE, worked_of(job, ask), _LIKELIEST)


def worked_of(job: Job, ask: Ask) -> Iterator[Worked]:
    """Give the evaporation, and of each screen its idle times and the share of runs that stays open."""
    drying, scene = ask(Drying), scene_of(job, ask)
    air = around(scene)
    yield _evaporation(drying, scene, air)
    for one in scene.screens:
        of = f"screen {one.screen.number}, {one.screen.ink}"
        for flooded in (False, True):
            yield _idle(drying, scene, air, one, of, flooded=flooded)
        yield _stays_open(drying, scene, one, of)


def _evaporation(drying: Drying, scene: Scene, air: Around) -> Worked:
    told, hand = drying.air, scene.hand
    film, here, humidity = told.film_c.value, told.at_screen_c.value, told.humidity.value
    activity = float(water_activity(hand.worlds(parameters.HUMECTANT))[0])
    balanced = "where heat taken up and heat of evaporation are in balance"
    given = {
        "factor": parameter_given("share of the formula", hand.known(parameters.FACTOR).parameter),
        "speed": Given(
            "air's speed", told.air_speed_m_s.value, "m/s", "worked out", "at the screens"
        ),
        "activity": Given(
            "water activity of the ink", activity, "", "worked out", "by its humectants"
        ),
        "film": Given(
            "vapour pressure at the ink",
            float(moist.vapour_pressure_pa(film)),
            "Pa",
            "worked out",
            f"at {film:.1f} °C, {balanced}",
        ),
        "humidity": Given(
            "humidity of the air",
            humidity,
            "",
            "worked out",
            f"from {100 * told.room_humidity:.0f} % in the room at {told.room_c:.0f} °C",
        ),
        "air": Given(
            "vapour pressure of air that holds all it can",
            float(moist.vapour_pressure_pa(here)),
            "Pa",
            "worked out",
            f"at {here:.1f} °C",
        ),
        "heat": Given(
            "heat that a kilogram of water takes",
            float(moist.latent_heat_j_per_kg(film)),
            "J/kg",
            "published",
            "2501 − 2.361 × temperature, in kJ",
        ),
    }
    formula = (
        "larger of (0; {factor} × (0.089 + 0.0782 × {speed})"
        " × ({activity} × {film} − {humidity} × {air}) ÷ {heat} × 3600)"
    )
    by_model = float(air.here.flux[0])
    if by_model > 0.0 and float(air.flux[0]) != by_model:
        formula += " × {weighed}"
        given["weighed"] = Given(
            "what the shop weighed over the formula",
            float(air.flux[0]) / by_model,
            "",
            "measured here",
            "drying.weighed in shop.toml",
        )
    holds = f"Made for air up to {MADE_TO_M_PER_S:g} m/s, carried on beyond."
    value = told.flux_kg_m2_h.value
    return Worked(
        "Water that leaves the ink", formula, given, value, "kg/m² an hour", "", holds, _POOLS
    )


def _loss(scene: Scene, one: OneScreen) -> Given:
    loss = scene.hand.known(parameters.CRITICAL_LOSS).parameter
    words = "share of its water that ink may lose before it clogs"
    if not one.retarder:
        return parameter_given(words, loss)
    value = float(scene.ink(one).critical_loss[0])
    return Given(words, value, "", loss.status, f"{loss.source}; with retarder")


def _idle(
    drying: Drying, scene: Scene, air: Around, one: OneScreen, of: str, *, flooded: bool
) -> Worked:
    finest = drying.idle[one.screen.key].finest
    told = finest.flooded_s if flooded else finest.cleared_s
    inside = openings(scene, air, one, (finest.width_mm,), flooded=flooded)
    layer = "a flooded opening" if flooded else "an opening cleared by a print stroke"
    given = {
        "loss": _loss(scene, one),
        "water": Given(
            f"water in {layer}",
            float(inside.water[0]),
            "kg/m²",
            "worked out",
            "water share × density × layer of ink, by mesh and film",
        ),
        "flux": Given(
            "water that leaves the ink in an hour",
            float(air.flux[0]) * S_PER_H,
            "kg/m²",
            "worked out",
            "as told here",
        ),
        "rim": Given(
            "times as fast, over the rim",
            float(inside.index[0, 0]),
            "",
            "worked out",
            f"of an opening {finest.width_mm:.2f} mm wide",
        ),
    }
    formula = f"smaller of ({LONGEST_S:g}; {{loss}} × {{water}} ÷ {{flux}} ÷ {{rim}} × 3600)"
    if not given["flux"].value > 0.0:
        formula, given = f"{LONGEST_S:g}", {}
    name = "Idle, flooded" if flooded else "Idle, cleared"
    return Worked(
        name, formula, given, told.value, "s", "", "No time is told beyond a day.", _CONSTANT, of
    )


def _stays_open(drying: Drying, scene: Scene, one: OneScreen, of: str) -> Worked:
    run: ScreenRun = drying.run[one.screen.key]
    between = run.between_s
    given = {
        "finest": Given(
            "finest opening", one.finest_mm, "mm", "from the artwork", "or the width searched to"
        ),
        "between": Given(
            "from print to print", between.value, "s", "worked out", "laying, passes, flashing and"
            " cooling", between.low, between.high,
        ),
        "exchange": parameter_given(
            "share of an opening's ink that a stroke replaces",
            scene.hand.known(parameters.EXCHANGE).parameter,
        ),
        "loss": _loss(scene, one),
        "load": Given(
            "ink put on at first",
            run.load_g.value,
            "g",
            "worked out",
            "as a multiple of what must lie there",
            run.load_g.low,
            run.load_g.high,
        ),
        "prints": Given("prints followed", float(max(run.prints, default=0)), "", "from the order"),
    }  # fmt: skip
    formula = (
        "by simulation: the share of runs of {prints} prints in which an opening {finest} wide, dried"
        " for {between} and refreshed by {exchange} of its ink each time, from {load} on the screen, never"
        " loses {loss} of its water"
    )
    return Worked(
        "Stays open",
        formula,
        given,
        run.fits,
        "",
        f"in {100 * run.fits:.0f} % of the runs",
        "To where the screens are washed out, or the last shirt.",
        _SIMULATED,
        of,
        counted=True,
    )
