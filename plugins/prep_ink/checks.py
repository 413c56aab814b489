"""What is worth saying of a job's ink before the first pull."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.fibres import fibre_shares
from prep.findings import Finding
from prep.phrases import several
from prep.remembered import remembered
from prep_ink.answers import InkOnScreen, InkOnScreens, MeshOnScreens
from prep_ink.classes import CELLULOSE, InkClass, suits
from prep_ink.forecast import class_on
from prep_ink.words import duration, percent

if TYPE_CHECKING:
    from shapely import MultiPolygon

    from prep.job import Ask, Job
    from prep.screens import Screen

LIGHTER_BY = 5.0
"""CIE L* by which an ink must be lighter than the garment before the garment dulls it."""
DRAWN_IN_MM = 1.5
"""A base is drawn in from edges; a rim of the colour up to this wide counts as lying on it. Guess."""
OTHER_COLOUR = 5.0
"""CIEDE2000 from which a customer sees that it isn't the colour drawn. Guess."""
DYE_MIGRATES_C = 129
"""From here on dye of polyester migrates into prints: an ink maker's tip sheet; a trade column says 138."""


def findings(job: Job, ask: Ask) -> Iterator[Finding]:
    """Give all findings about ink and mesh."""
    ink = ask(InkOnScreens)
    if job.setup.shade == "dark":
        for screen in job.screens:
            yield from _on_dark(job, screen, ink[screen.key])
    yield from _other_colour(job)
    yield from _ideal_meshes(job, ask(MeshOnScreens))
    yield from _stock(job, ink)
    yield from _fibres(job)
    yield from _assumed_kinds(job, ink)


def _lightness(colour: str) -> float:
    from coloraide import Color

    return float(Color(colour).convert("lab-d65")["lightness"])


def _on_dark(job: Job, screen: Screen, ink: InkOnScreen) -> Iterator[Finding]:
    """Water-based inks cover little: on dark garments, light ones need something white below."""
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
    bare = _bare_mm2(screen.region, bases)
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


@remembered(kept=32)
def _bare_mm2(region: MultiPolygon, bases: list[MultiPolygon]) -> float:
    """Give the area of a region that no base reaches."""
    import shapely

    reached = shapely.buffer(shapely.union_all(bases), DRAWN_IN_MM)
    return float(shapely.difference(region, reached).area)


def _other_colour(job: Job) -> Iterator[Finding]:
    """Say where the ink in the shop isn't the colour that was drawn, and that pictures show."""
    from coloraide import Color

    for screen in job.screens:
        listed = job.shop.listed_ink(screen.ink)
        if listed is None or listed.colour is None or screen.does == "base":
            continue
        apart = Color(listed.colour).delta_e(Color(screen.colour), method="2000")
        if apart <= OTHER_COLOUR:
            continue
        yield Finding(
            "at risk",
            "ink of another colour than drawn",
            what=(
                f"{screen.ink} is {listed.colour} in the shop's list, and the artwork's colour is"
                f" {screen.colour}: {apart:.0f} CIEDE2000 apart."
            ),
            why="It prints in the ink's colour; all pictures here show the artwork's.",
            do="Show the customer a print or swatch of the ink first, or name another ink for this colour.",
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
        stocked = job.shop.listed_ink(ink.ink)
        if stocked is None or stocked.in_stock_g is None:
            continue
        screen = ink.screens[0]
        colour = job.screen(screen).colour
        if ink.pot_life_s is not None:
            yield Finding(
                "note",
                "ink that can't be stock",
                what=(
                    f"{ink.ink}: shop.toml says {stocked.in_stock_g:g} g in stock, but mixed it is thrown"
                    f" away after {duration(ink.pot_life_s)}. It isn't counted on."
                ),
                why="An activated ink goes on reacting in its pot, and prints badly later or not at all.",
                do=f"Mix {ink.to_mix_g:g} g fresh for this run, and take in_stock out of its line.",
                screen=screen,
                colour=colour,
            )
        elif stocked.in_stock_g < ink.to_mix_g and not ink.made:
            yield Finding(
                "at risk",
                "not enough ink in stock",
                what=f"{ink.ink}: {ink.to_mix_g:g} g to mix, {stocked.in_stock_g:g} g in stock.",
                why="A matched colour mixed again in the middle of a run seldom matches.",
                do="Get more before the run, or print fewer shirts.",
                screen=screen,
                colour=colour,
            )


def _fibres(job: Job) -> Iterator[Finding]:
    """Say which inks aren't made for what the garments are of; one finding for each ink."""
    told = set()
    for screen in job.screens:
        own = class_on(job, screen)
        unfit = dict.fromkeys(
            batch.fibre
            for batch in job.setup.batches
            if suits(own, fibre_shares(batch.fibre)) is False
        )
        if not unfit or screen.ink in told:
            continue
        told.add(screen.ink)
        of_polyester = any("polyester" in fibre_shares(text) for text in unfit)
        dye = f", and dye of polyester migrates into prints from some {DYE_MIGRATES_C} °C"
        yield Finding(
            "at risk",
            "ink not made for the fibre",
            what=f"{screen.ink} ({own.kind}) on {several(unfit)}: it is made for {_made_for(own)}.",
            why=f"It may wash out of other fibres{dye if of_polyester else ''}.",
            do=(
                "Take an ink that its maker gives for this cloth, or print and wash a shirt first; where"
                " yours is made for it, say so with fibres under its [[inks]] in shop.toml."
            ),
            screen=screen.key,
            colour=screen.colour,
        )


def _made_for(own: InkClass) -> str:
    fibres = "cotton and other cellulose" if own.fibres >= CELLULOSE else ""
    others = sorted(own.fibres - CELLULOSE if fibres else own.fibres)
    text = several([*([fibres] if fibres else []), *others])
    return f"{text}, {percent(own.least_share)} of it or more"


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
