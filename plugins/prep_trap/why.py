"""How traps, and what a miss shows, are worked out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.misses import SAMPLING
from prep.phrases import length, percent
from prep.press_worked import pair_worked, scatter_worked, set_up_worked
from prep.worked import Given, Standing, Worked, in_units, length_given, section_of, standing
from prep_trap.answers import GapChances
from prep_trap.planning import DRAWS
from prep_trap.settings import Trap
from prep_trap.wording import trap_text

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.sections import Section
    from prep_trap.answers import PairChance

_GAP = (
    "Of {draws} prints drawn by chance, the share in which a gap wider than {visible} opens somewhere along"
    " the border. It opens by the miss square to it ({set_up}; {scatter}; and turns about the artwork's"
    " middle), less how far the first colour goes on under the next"
)
_HOLDS = f"Misses spread normally, alike both ways; a share may be off by {100 * SAMPLING:g} % by chance."


def why_sections(job: Job, ask: Ask) -> Iterator[Section]:
    """Give how each pair's figures are worked out; nothing where no colours meet."""
    worked = tuple(worked_of(job, ask(GapChances)))
    if worked:
        yield section_of("How traps and gaps are worked out", worked)


def worked_of(job: Job, chances: GapChances) -> Iterator[Worked]:
    """Give the press's error where it is told, and each pair's trap and gaps."""
    if not chances.pairs:
        return
    press, films, units = job.shop.press, len(job.films), job.shop.units
    if not chances.error_stated:
        usual = set_up_worked(press, units), scatter_worked(press, films, units)
        yield from (one for one in usual if one is not None)
    for pair in chances.pairs:
        of = f"{job.screen(pair.earlier).ink} and {job.screen(pair.later).ink}"
        yield _trap(job, chances, pair, of)
        yield from _gaps(job, chances, pair, of)


def _trap(job: Job, chances: GapChances, pair: PairChance, of: str) -> Worked:
    units, chosen = job.shop.units, job.settings(Trap)
    said, width = trap_text(pair, units), pair.width_mm
    if pair.all_through or not width or pair.stated:
        formula = "as the order asks" if pair.stated else pair.why.rstrip(".")
        return Worked("Trap", formula, {}, width, "mm", said, source="by rule", of=of, counted=True)
    wanted = (
        f"the least even trap with which {percent(chances.wanted)} of prints drawn by chance show a gap"
        f" wider than {length(chances.visible_mm, units)}"
    )
    given = {
        "needed": length_given(
            "trap the press's error asks for", pair.needed_mm, units, "worked out", wanted
        )
    }
    for key, words in (("least", "narrowest trap"), ("most", "widest trap")):
        field = f"{key}_mm"
        told = standing(chosen, field, f"trap.{key} in shop.toml", "usual", "no source")
        given[key] = length_given(words, getattr(chosen, field), units, *told)
    formula = "smaller of (larger of ({needed}; {least}); {most})"
    holds = "No more than half of the next colour's width."
    return Worked("Trap", formula, given, *in_units(width, units), said, holds, "our choice", of)


def _gaps(job: Job, chances: GapChances, pair: PairChance, of: str) -> Iterator[Worked]:
    """Tell what is counted over prints drawn by chance."""
    units, press = job.shop.units, job.shop.press
    told: tuple[Standing, str] = standing(
        press, "visible_gap_mm", "press.visible_gap in shop.toml", "usual", "no source"
    )
    given = {
        "draws": Given("prints drawn", float(DRAWS), "", "usual", "our choice"),
        "visible": length_given("a gap that shows", chances.visible_mm, units, *told),
        **pair_worked(press, len(job.films), units).given,
    }
    bad = "The same with the set-up's part alone: the share of runs in which every print shows one"
    worst = "The mean over these prints of the widest gap of each"
    for name, formula, value, unit, said in (
        ("Prints with a gap", _GAP, 100.0 * pair.print_any, "%", percent(pair.print_any)),
        ("Bad runs", bad, 100.0 * pair.run_bad, "%", percent(pair.run_bad)),
        ("Worst gap", worst, pair.worst_gap_mm, "mm", length(pair.worst_gap_mm, units)),
    ):
        yield Worked(
            name, formula, given, value, unit, said, _HOLDS, "counted over draws", of, counted=True
        )
