"""What is worth saying of a job's ink before the first pull."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.findings import Finding
from prep.phrases import several
from prep_ink import mixing
from prep_ink.answers import InkOnScreen, InkOnScreens, MeshOnScreens
from prep_ink.forecast import stocked_ink
from prep_ink.words import figure, percent

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.screens import Screen

LIGHTER_BY = 5.0
"""CIE L* by which an ink must be lighter than the garment before the garment dulls it."""
DRAWN_IN_MM = 1.5
"""A base is drawn in from edges; a rim of the colour up to this wide counts as lying on it. Guess."""
DOSE_ERROR = 0.05
"""How exactly an additive should be dosed, at two sigma."""
LARGEST_DOSE = 0.05
"""Share of an ink that additives are usually dosed up to; common practice, no source."""


def findings(job: Job, ask: Ask) -> Iterator[Finding]:
    """Give all findings about ink and mesh."""
    ink = ask(InkOnScreens)
    if job.setup.shade == "dark":
        for screen in job.screens:
            yield from _on_dark(job, screen, ink[screen.key])
    yield from _ideal_meshes(job, ask(MeshOnScreens))
    yield from _stock(job, ink)
    yield from _doses(job, ink)
    yield from _assumed_kinds(job, ink)


def _lightness(colour: str) -> float:
    from coloraide import Color

    return float(Color(colour).convert("lab-d65")["lightness"])


def _on_dark(job: Job, screen: Screen, ink: InkOnScreen) -> Iterator[Finding]:
    """Water-based inks cover little: on dark garments, light ones need something white below."""
    import shapely

    garments = max(_lightness(batch.colour) for batch in job.setup.batches)
    if _lightness(screen.colour) < garments + LIGHTER_BY or ink.kind == "discharge":
        return
    if ink.kind == "opaque white":
        if screen.passes == 1:
            yield Finding(
                "at risk",
                "white on dark in one pass",
                what=f"{screen.ink} is printed once on a dark garment.",
                why="One coat of water-based white sinks into the fibres and looks grey.",
                do="Print it twice with drying between (passes = 2), or try it on scrap first.",
                screen=screen.key,
                colour=screen.colour,
            )
        return
    bases = [other.region for other in job.screens if other.does != "colour"]
    reached = shapely.buffer(shapely.union_all(bases), DRAWN_IN_MM)
    bare = shapely.difference(screen.region, reached).area
    if bare <= 0.02 * screen.measures.area_mm2:
        return
    yield Finding(
        "at risk",
        "colour on dark without a base",
        what=(
            f"{screen.ink} is printed on a dark garment;"
            f" {percent(bare / screen.measures.area_mm2)} of it has no base below."
        ),
        why="Water-based ink lets the garment show through, so that the colour turns dull or vanishes.",
        do="Print a white base below it, take a discharge ink on adults' cotton, or try it on scrap first.",
        screen=screen.key,
        colour=screen.colour,
    )


def _ideal_meshes(job: Job, meshes: MeshOnScreens) -> Iterator[Finding]:
    ideal = dict.fromkeys(
        meshes[s.key].name for s in job.screens if meshes[s.key].volume_origin == "ideal"
    )
    if not ideal:
        return
    names = tuple(ideal)
    yield Finding(
        "note",
        "mesh figures are ideal ones",
        what=f"Opening and ink volume of mesh {several(names)} are reckoned from count and thread.",
        why="Woven threads flatten: the true volume lies up to 25 % lower, seldom higher.",
        do="Write the maker's figures (opening, open_area, thickness, volume) into shop.toml.",
        count=len(names),
    )


def _stock(job: Job, inks: InkOnScreens) -> Iterator[Finding]:
    for ink in inks.inks:
        stocked = stocked_ink(job, ink.ink)
        if stocked is None or stocked.in_stock_g is None or stocked.in_stock_g >= ink.to_mix_g:
            continue
        yield Finding(
            "at risk",
            "not enough ink in stock",
            what=f"{ink.ink}: {ink.to_mix_g:g} g to mix, {stocked.in_stock_g:g} g in stock.",
            why="A matched colour mixed again in the middle of a run seldom matches.",
            do="Get more before the run, or print fewer shirts.",
            screen=ink.screens[0],
            colour=job.screen(ink.screens[0]).colour,
        )


def _doses(job: Job, inks: InkOnScreens) -> Iterator[Finding]:
    """Say when even a large dose of an additive would be too small for the balance."""
    readability = job.shop.balance.readability_g
    least = mixing.least_dose_g(readability, DOSE_ERROR)
    small = tuple(ink for ink in inks.inks if ink.to_mix_g * LARGEST_DOSE < least)
    if not small:
        return
    smallest = min(ink.to_mix_g for ink in small)
    finer = mixing.readability_for(smallest * LARGEST_DOSE, DOSE_ERROR)
    yield Finding(
        "note",
        "balance too coarse for additives",
        what=(
            f"An additive such as a retarder is usually {percent(LARGEST_DOSE)} of the ink or less: for"
            f" the smallest batch here, {smallest:g} g, that is {figure(smallest * LARGEST_DOSE)} g."
            f" Your balance shows steps of {readability:g} g, too coarse to weigh so little."
        ),
        why=(
            f"On it, only {figure(least)} g and more can be weighed to {percent(DOSE_ERROR)} or better;"
            " with less, the additive can be far more or less than its maker asks for."
        ),
        do=(
            f"If you use an additive, stir it into {figure(least / LARGEST_DOSE)} g of ink or more at"
            f" once, or weigh it on a balance with steps of {finer:g} g. Without additives, nothing is"
            " to be done."
        ),
        count=len(small),
    )


def _assumed_kinds(job: Job, inks: InkOnScreens) -> Iterator[Finding]:
    assumed = {inks[s.key].ink: s.colour for s in job.screens if inks[s.key].kind_assumed}
    if not assumed:
        return
    name = (
        "Name the ink in the order, and add it"
        if any(ink == colour for ink, colour in assumed.items())
        else "Add the ink"
    )
    yield Finding(
        "note",
        "kind of ink assumed",
        what=(
            f"Not in the shop's list of inks, and taken as opaque ink of usual density:"
            f" {several(tuple(assumed))}."
        ),
        why="Density and water of an ink decide how many grams a print takes and how fast it dries.",
        do=f"{name} with its kind and density to shop.toml ([[inks]]).",
        count=len(assumed),
    )
