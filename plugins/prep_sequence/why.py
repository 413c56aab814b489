"""How the order of printing and the time of drying are worked out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.colour_difference import lab_of
from prep.worked import Given, Standing, Worked, length_given, section_of, standing
from prep_sequence.answers import PrintSteps
from prep_sequence.settings import Sequence as Settings
from prep_sequence.steps import flash_of
from prep_sequence.working import parts_of, worked_by_colour

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.sections import Section
    from prep_sequence.answers import Step

_USUAL: tuple[Standing, str] = (
    "usual",
    "15 to 40 s under a flash dryer, 30 to 60 s by heat gun; common practice, no source",
)


def why_sections(job: Job, ask: Ask) -> Iterator[Section]:
    """Give how the order and the drying of a shirt are worked out; nothing where there is one step."""
    worked = tuple(worked_of(job, ask(PrintSteps)))
    if worked:
        yield section_of("How the order of printing is worked out", worked)


def worked_of(job: Job, steps: PrintSteps) -> Iterator[Worked]:
    """Give each screen's place, and what each flash and all of them take."""
    if len(steps.steps) < 2:
        return
    chosen = job.settings(Settings)
    near = standing(chosen, "as_light", "sequence.as_light in shop.toml", "usual", "no source")
    for screen in job.screens:
        given = {
            "light": Given(
                "CIE L* of its colour", lab_of(screen.colour)[0], "", "from the artwork"
            ),
            "near": Given(
                "difference of L* below which colours are printed as they are painted",
                chosen.as_light,
                "",
                *near,
            ),
        }
        formula = (
            "the base first, discharge next, then light colours before dark ones by {light}; nearer ones as"
            " painted ({near}); screens of one film together; before all that the order's own wish"
        )
        value, said = float(screen.number), f"print screen {screen.number}"
        source = "common practice, no source"
        yield Worked(
            "Place in the order", formula, given, value, "", said, "", source, screen.ink, True
        )
    films = {screen.key: screen.film for screen in job.screens}
    by_colour = worked_by_colour(job.shop.press, steps, len(job.films))
    done = [step for part in parts_of(steps, films, by_colour=by_colour) for step in part.steps]
    flashed = [step for step in done if step.does == "flash"]
    if flashed:
        yield _often(job, flashed)
        yield _drying(job, flashed)


def _often(job: Job, flashed: list[Step]) -> Worked:
    chosen, units = job.settings(Settings), job.shop.units
    told = standing(
        chosen, "wet_overlap_mm", "sequence.wet_overlap in shop.toml", "usual", "no source"
    )
    formula = (
        "counted: before a screen comes down on wet ink that stands on the fabric, before ink is printed on"
        " wet ink over more than {overlap}, between two passes of a screen, and where the order asks for it"
    )
    given = {
        "overlap": length_given(
            "width of overlap that does no harm", chosen.wet_overlap_mm, units, *told
        )
    }
    many = len(flashed)
    said = f"flashed {'once' if many == 1 else f'{many} times'}"
    return Worked("Flashes of a shirt", formula, given, float(many), "", said, counted=True)


def _drying(job: Job, flashed: list[Step]) -> Worked:
    """Tell the time of all flashes of a shirt together."""
    chosen = job.settings(Settings)
    cool = Given(
        "letting it cool", chosen.cool_s, "s",
        *standing(chosen, "cool_s", "sequence.cool in shop.toml", "common practice", "no source"),
    )  # fmt: skip
    given, terms = {"cool": cool}, []
    for number, key in enumerate(dict.fromkeys(step.screen for step in flashed)):
        screen = job.screen(key)
        often = float(sum(step.screen == key for step in flashed))
        seconds, own = flash_of(job, screen)
        stands: tuple[Standing, str] = ("stated", "with the ink in shop.toml")
        if not own:
            stands = standing(chosen, "flash_s", "sequence.flash in shop.toml", *_USUAL)
        given[f"often_{number}"] = Given(
            f"flashes after {screen.ink}", often, "", "worked out", "by the steps of printing"
        )
        given[f"flash_{number}"] = Given(f"flashing {screen.ink}", seconds, "s", *stands)
        terms.append(f"{{often_{number}}} × ({{flash_{number}}} + {{cool}})")
    formula = f"({' + '.join(terms)}) ÷ 60"
    minutes = sum(step.takes_s for step in flashed) / 60.0
    said = f"{minutes:.1f} min a shirt"
    holds = "Until dry to the touch; the ink's own data sheet comes first."
    return Worked("Drying a shirt", formula, given, minutes, "min", said, holds, "adds up steps")
