"""The mixing parts of the prep sheet: on each screen's page, or on the page over all set-ups."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from prep.phrases import several
from prep.sections import Block, Caution, CheckList, Column, Figures, Paragraph, Section, Table
from prep_mix import wording
from prep_mix.batch import share_taken
from prep_mix.inks import InkMix, mixed_at_once, of_job, of_order, units_of
from prep_mix.trouble import left_over, short, unweighable

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.screens import Screen

NOT_HERE = "can't be weighed here"
RANK = 31
"""After mesh and ink."""
STEP_RANK = 44
"""That of the steps with which ink goes on the screen."""
_MIXED_ONCE = 68
"""Rank of the table for the whole order: behind what is bought and how long it all takes."""


def sections(job: Job, ask: Ask) -> Iterator[Section]:
    """Give each screen the table to weigh its ink by; one ink has it once, on its first screen."""
    mixes = {mix.ink: mix for mix in of_job(job, ask)}
    whole = mixed_at_once(job)
    for screen in job.screens:
        mix = mixes.get(screen.ink)
        if mix is None:  # nothing of it is to be mixed
            continue
        step = CheckList((_mixing_step(job, screen, mix, whole=whole),))
        yield Section("screen", "Mix", (step,), rank=STEP_RANK, screen=screen.key, step="ink")
        if not whole and screen.key == mix.screens[0]:
            numbers = [str(job.screen(key).number) for key in mix.screens]
            table = Table(
                _head(mix.units), tuple(_rows(mix, numbers)), "lrl", caption=_caption(mix)
            )
            yield Section(
                "screen",
                "Mixing",
                (table,),
                rank=RANK,
                screen=screen.key,
                step="ink",
                columns=(_additives(screen.key, mix),),
            )
            blocks = tuple(map(Caution, wording.cautions([mix.mixable])))
            if blocks:
                # apart, so that the table can stand beside the picture
                yield Section(
                    "screen", "When mixing", blocks, rank=RANK + 1, screen=screen.key, step="ink"
                )
            continue
        said = (
            f"mixed together with that of screen {job.screen(mix.screens[0]).number}, by its page"
        )
        if whole:
            said = "mixed once for the whole order, by its page over all set-ups"
        figures = Figures((("Mixing", screen.ink, said),))
        yield Section(
            "screen",
            "Mixing",
            (figures,),
            rank=RANK,
            screen=screen.key,
            step="ink",
            columns=(_additives(screen.key, mix),),
        )


def _mixing_step(job: Job, screen: Screen, mix: InkMix, *, whole: bool) -> str:
    """Give the numbered step, which stands before the ink goes on the screen."""
    if whole:
        return f"Stir {screen.ink}, mixed once for the whole order by its page over all set-ups."
    first = job.screen(mix.screens[0])
    if screen.key != first.key:
        return f"Stir {screen.ink} again, mixed by the table of screen {first.number}."
    if mix.plain:
        taken = f" {mix.in_already[:1].upper()}{mix.in_already[1:]}." if mix.in_already else ""
        return f"Weigh {mix.units.mass(mix.batch.weighed_g)} of {screen.ink} and stir it.{taken}"
    names = [wording.called(row) for row in mix.batch.rows[1:]]
    return (
        f"Mix {screen.ink} by the table to weigh by, on this screen's first page: stir in"
        f" {several(names)}, one after the other, until it is even."
    )


def _additives(screen: str, mix: InkMix) -> Column:
    """Say of a screen what is added to its ink, and how much of it."""
    mixture, rows = mix.mixable.mixture, {row.name for row in mix.batch.rows}
    told = [
        f"{one.dosed.name} {wording.percent(share_taken(mix.batch, mixture, one))}"
        for one in mixture.added
        if one.dosed.name in rows
    ]
    told += [mix.in_already] if mix.in_already else []
    return Column("Additive", ((screen, ", ".join(told) or "none"),), 30)


def order_sections(jobs: tuple[Job, ...], ask: Callable[[Job], Ask]) -> Iterator[Section]:
    """Give the table of all inks for the page over all set-ups."""
    mixes = of_order(jobs, ask)
    units = units_of(jobs[0].shop)
    rows: list[tuple[str, ...]] = []
    for mix in mixes:
        of_ink = list(_rows(mix, ()))
        rows += [(mix.ink if not n else "", *row) for n, row in enumerate(of_ink)]
    said = [Paragraph(f"{mix.ink}: {text}") for mix in mixes if (text := _remarks(mix))]
    trouble = [
        *(one for mix in mixes for one in unweighable(mix, jobs[0])),
        *short(mixes, jobs[0]),
        *left_over(mixes, jobs[0]),
    ]
    blocks: tuple[Block, ...] = (
        Table(("Ink", *_head(units)), tuple(rows), "llrl", caption=_ORDER),
        *said,
        *(Paragraph(f"{one.what} {one.do}") for one in trouble),
        *map(Caution, wording.cautions(mix.mixable for mix in mixes)),
    )
    yield Section("job", "Mixing, once for the whole order", blocks, rank=_MIXED_ONCE, step="ink")


_ORDER = "Each in this order; what stays on the screens is included."


def _head(units: wording.Units) -> tuple[str, str, str]:
    return "To weigh", units.target_head, "Weighed"


def _rows(mix: InkMix, screens: Sequence[str]) -> Iterator[tuple[str, str, str]]:
    """Give the rows of one ink.

    :param screens: numbers of its screens, told where there are several
    """
    batch, units = mix.batch, mix.units
    for row in batch.rows:
        way = row.pre_mix
        if way is not None:
            once = f", once for all {way.pots} pots" if way.pots > 1 else ""
            yield f"{row.name}, for its pre-mix{once}", units.target(way.own_g), ""
            yield f"{batch.rows[0].name}, into it", units.target(way.carrier_g), ""
    together = f", for screens {several(screens)}" if len(screens) > 1 else ""
    for row in batch.rows:
        target = NOT_HERE if row in batch.lost else units.target(row.weigh_g)
        yield wording.called(row) + (together if mix.plain else ""), target, ""
    if not mix.plain:
        each = f", in each of {mix.count} pots" if mix.count > 1 else ""
        yield f"in all{each}{together}", units.target(batch.weighed_g), ""
    if mix.in_already:
        yield mix.in_already, "", ""


def _caption(mix: InkMix) -> str:
    first = "What stays on the screen is included."
    if not mix.plain:
        first = "In this order; what stays on the screen is included."
    return f"{first} {_remarks(mix)}".strip()


def _remarks(mix: InkMix) -> str:
    """Give what is to be known of one ink's mix; empty where there is nothing."""
    batch, mixable = mix.batch, mix.mixable
    said = [wording.discarding(batch, mixable)]
    if any(row.pre_mix is not None for row in batch.rows):
        said.append(
            "Stir a pre-mix well before taking of it; what is left of it isn't in the batch."
        )
        said += wording.left_of_pre_mixes(batch, mixable, mix.units)
    said.append(wording.replaced(mixable))
    said += [wording.doses(batch, mixable, maxima=False), *wording.rounded(batch, mix.units)]
    if mixable.density_assumed and any(o.dosed.by == "volume" for o in mixable.mixture.added):
        density = mixable.mixture.ink.density
        said.append(f"Density of {mix.ink} assumed, as usual for its kind: {density:.3g} g/ml.")
    if mix.pots is not None and mix.count > 1:
        size = mix.units.pot(mix.pots.pot_ml)
        said.append(
            f"This is one of {mix.count} pots of {size}: weigh each alike, then stir all together,"
            " pouring from pot to pot."
        )
    said.append(mix.no_pots)
    return " ".join(line for line in said if line)
