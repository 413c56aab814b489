"""Answers made by hand: ink, film and hours of one set-up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np
from shapely import box

from prep.estimate import DRAWS, Estimate, Parameter
from prep.job import Ask, Job
from prep.tables import Table
from prep.testing import make_ask, make_job
from prep_ink.answers import InkOnScreen, InkOnScreens, InkToMix
from prep_plan.answers import WorkPlan
from prep_plan.timetable import Entry, Timetable
from prep_stencils.answers import FilmSheet, FilmSheets

TEAL, RED = "#1f6f6f", "#cc2222"


def flat(value: float, unit: str = "") -> Estimate:
    return Estimate(value, unit, np.full(DRAWS, value))


def drawn(name: str, unit: str, value: float, low: float, high: float) -> Estimate:
    parameter = Parameter(name, value, low, high, unit, "made up", "guess")
    return Estimate(value, unit, parameter.draws())


def ink_to_mix(ink: str, **changed: Any) -> InkToMix:
    """60 g printed, 8 g scraped back, 4 g washed out, 3 g in the pot; 80 g are mixed."""
    fields: dict[str, Any] = {
        "ink": ink,
        "screens": (ink,),
        "for_run_g": flat(60.0, "g"),
        "bead_g": flat(8.0, "g"),
        "clings_g": flat(4.0, "g"),
        "pot_g": flat(3.0, "g"),
        "density_g_per_ml": flat(1.1, "g/ml"),
        "to_mix_g": 80.0,
        "chance": 0.9,
        "pot_life_s": None,
    }
    return InkToMix(**{**fields, **changed})


def ink_on_screen(screen: str, *, prints: int, passes: int = 1, strokes: int = 1) -> InkOnScreen:
    none, gram = flat(0.0), flat(1.0, "g")
    return InkOnScreen(
        screen=screen,
        film=screen,
        ink=screen,
        kind="transparent colour",
        kind_assumed=True,
        strokes=strokes,
        passes=passes,
        open_field_um=none,
        at_edge_um=none,
        mean_deposit_um=none,
        per_print_g=gram,
        once_measured_g=None,
        test_pulls=4,
        prints=prints,
        for_run_g=gram,
        squeegee_mm=200.0,
        squeegee_assumed="",
        bead_g=gram,
        clings_g=gram,
        to_mix_g=1.0,
        density_g_per_ml=flat(1.1, "g/ml"),
        water_share=flat(0.5),
        swept_mm2=1.0,
        pot_life_s=None,
        made=False,
        uncertainty=(),
    )


def work_plan(hours: Estimate, lacking: tuple[str, ...] = ()) -> WorkPlan:
    entries = (Entry("at the press", "print", "all", hours),)
    return WorkPlan(
        table=Timetable(entries, hours, (), hours.value, False),
        parts=(),
        lines=(),
        by_colour=False,
        tests=0,
        shirts=1,
        per_shirt_s=flat(60.0, "s"),
        cured_by="heat press",
        waiting=1,
        rack=None,
        days=1,
        day_h=8.0,
        lacking=lacking,
    )


def films(length_mm: float) -> FilmSheets:
    sheet = FilmSheet(TEAL, 300.0, 400.0, True, False, "01-teal")
    return FilmSheets((sheet,), 300.0, 400.0, length_mm)


def job_of(tables: Iterable[Table], *, shirts: int = 20) -> Job:
    """Two screens: teal over 40 × 30, red over 10 × 30 mm."""
    colours = {TEAL: box(0, 0, 40, 30), RED: box(50, 0, 60, 30)}
    return make_job(colours, inks={TEAL: "teal", RED: "red"}, shirts=shirts, tables=tables)


def answers(**changed: Any) -> Mapping[type[Any], Any]:
    """Teal and red: 25 prints of one pass and two strokes, and of two passes; 1.6 m film; 5 h."""
    screens = {
        TEAL: ink_on_screen(TEAL, prints=25, strokes=2),
        RED: ink_on_screen(RED, prints=25, passes=2),
    }
    inks = (ink_to_mix("teal"), ink_to_mix("red"))
    made: dict[type[Any], Any] = {
        InkOnScreens: InkOnScreens(screens, changed.get("inks", inks)),
        FilmSheets: changed.get("film", films(1600.0)),
        WorkPlan: changed.get("plan", work_plan(flat(5.0, "h"))),
    }
    return {question: answer for question, answer in made.items() if answer is not None}


def asked(job: Job, **changed: Any) -> list[tuple[Job, Ask]]:
    return [(job, make_ask(answers(**changed)))]
