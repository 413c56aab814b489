"""How what is weighed of each ink is worked out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING

from prep.worked import Given, Standing, Worked, section_of, standing
from prep_mix.inks import mixed_at_once, of_job, of_order
from prep_mix.settings import MixShop
from prep_mix.sheet import NOT_HERE
from prep_mix.wording import called

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.sections import Section
    from prep_mix.batch import Added, Row
    from prep_mix.inks import InkMix
    from prep_mix.pots import Potted

_TITLE = "How what is weighed is worked out"
_ROUNDED = (
    "What is weighed is rounded to what the balance shows; the largest part of the ink takes up what that"
    " leaves, and what a pre-mix carries of it."
)
_ORDER: tuple[Standing, str] = "from the order", "or usual in [mix] of shop.toml"
_RECIPE: tuple[Standing, str] = "stated", "mix.recipe in shop.toml"


def why_sections(job: Job, ask: Ask) -> Iterator[Section]:
    """Give how each ink of a set-up is mixed; of several set-ups the whole order's pages tell it."""
    if not mixed_at_once(job):
        yield from _section(of_job(job, ask), job)


def order_why_sections(jobs: tuple[Job, ...], ask: Callable[[Job], Ask]) -> Iterator[Section]:
    """Give how each ink of the whole order is mixed."""
    yield from _section(of_order(jobs, ask), jobs[0])


def _section(mixes: Iterable[InkMix], job: Job) -> Iterator[Section]:
    worked = tuple(worked_of(mixes, job))
    if worked:
        yield section_of(_TITLE, worked, _ROUNDED)


def worked_of(mixes: Iterable[InkMix], job: Job) -> Iterator[Worked]:
    """Give what is weighed of each ink, row by row, and its pots."""
    for mix in mixes:
        yield _whole(mix)
        if not mix.plain:
            for row in mix.batch.rows:
                yield from _row(mix, row)
        if mix.pots is not None and mix.count > 1:
            yield _pots(mix, mix.pots, job)


def _grams(words: str, grams: float, source: str) -> Given:
    return Given(words, grams, "g", "worked out", source)


def _whole(mix: InkMix) -> Worked:
    """Tell what all that is weighed comes to."""
    batch, count = mix.batch, float(mix.count)
    whole = _grams("to mix, what stays on the screen included", batch.total_g * count, "see ink")
    row = batch.rows[0]
    said = mix.units.target(row.weigh_g if mix.plain else batch.weighed_g)
    if mix.plain and row in batch.lost:
        said = NOT_HERE
    pots = Given("pots", count, "", "worked out", "as told here" if count > 1 else "one is enough")
    formula, given = "{whole} ÷ {pots}", {"whole": whole, "pots": pots}
    return Worked(
        "In all, each pot", formula, given, batch.total_g, "g", said, "", "all pots alike", mix.ink
    )


def _row(mix: InkMix, row: Row) -> Iterator[Worked]:
    """Tell one thing that is weighed, and its pre-mix where it has one."""
    batch, mixture = mix.batch, mix.mixable.mixture
    ink = _grams("the ink without additives", batch.ink_g, "what is mixed less its additives")
    added = next((one for one in mixture.added if one.dosed.name == row.name), None)
    if added is None:
        share = next(part.share for part in mixture.parts if part.name == row.name)
        told = Given("its share of the ink by mass", share, "", *_RECIPE)
        formula, given = "{share} × {ink}", {"share": told, "ink": ink}
        holds, source = "", "the recipe"
    else:
        formula, given = _dosed(mix, added, ink)
        holds = f"At most {100 * added.most:.4g} %, as its maker allows."
        source = "its maker's sheet, as stated in shop.toml"
    said = NOT_HERE if row in batch.lost else mix.units.target(row.weigh_g)
    name, value = called(row), row.mass_g
    if row.pre_mix is not None:
        way = row.pre_mix
        given |= {
            "own": _grams("of it in the pre-mix", way.own_g, "so that the balance can weigh it"),
            "carrier": _grams("of the largest part in the pre-mix", way.carrier_g, "likewise"),
        }
        formula, value = f"{formula} ÷ ({{own}} ÷ ({{own}} + {{carrier}}))", way.take_g
    yield Worked(name, formula, given, value, "g", said, holds, source, mix.ink)


def _dosed(mix: InkMix, one: Added, ink: Given) -> tuple[str, dict[str, Given]]:
    """Give the formula of an additive, of and by what its maker doses it."""
    batch, dosed, mixture = mix.batch, one.dosed, mix.mixable.mixture
    words = f"its share, of the {dosed.of} by {dosed.by}"
    share = Given(words, dosed.share, "", *_ORDER)
    if dosed.by == "mass":
        if dosed.of == "ink":
            return "{share} × {ink}", {"share": share, "ink": ink}
        whole = _grams("the whole mix", batch.total_g, "as told here")
        return "{share} × {whole}", {"share": share, "whole": whole}
    density = Given(
        "its density", dosed.density or 0.0, "g/ml", "stated", "mix.additive in shop.toml"
    )
    if dosed.of == "ink":
        assumed = mix.mixable.density_assumed
        stands: tuple[Standing, str] = (
            ("usual", "for its kind") if assumed else ("stated", "shop.toml")
        )
        of_ink = Given("density of the ink", mixture.ink.density or 0.0, "g/ml", *stands)
        given = {"share": share, "ink": ink, "of_ink": of_ink, "density": density}
        return "{share} × {ink} ÷ {of_ink} × {density}", given
    volume = Given(
        "volume of the mix", batch.volume_ml or 0.0, "ml", "worked out", "as volumes add up"
    )
    return "{share} × {volume} × {density}", {"share": share, "volume": volume, "density": density}


def _pots(mix: InkMix, pots: Potted, job: Job) -> Worked:
    chosen = job.settings(MixShop)
    volume = (mix.batch.volume_ml or 0.0) * mix.count
    full = standing(
        chosen, "pot_full", "mix.pot_full in shop.toml", "guess", "so that it can be stirred"
    )
    given = {
        "volume": Given("volume of the whole mix", volume, "ml", "worked out", "as volumes add up"),
        "pot": Given("largest pot", pots.pot_ml, "ml", "stated", "mix.pots in shop.toml"),
        "full": Given("how full a pot is filled", chosen.pot_full, "", *full),
    }
    said = f"one of {pots.count} pots"
    formula = "rounded up ({volume} ÷ ({pot} × {full}))"
    holds = "Where no pot of the shop holds it all."
    return Worked("Pots", formula, given, float(pots.count), "", said, holds, "our choice", mix.ink)
