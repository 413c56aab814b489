"""What the sheet says of thick and thin ink: a picture for each screen, or a sentence instead."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.sections import Block, Drawing, Figures, Paragraph, Section
from prep_ink import parameters
from prep_ink.answers import InkOnScreen, InkOnScreens
from prep_ink.hand import Hand
from prep_ink.settings import ShopInk
from prep_ink.thickness import Profile, in_classes, percents, round_limits_um
from prep_ink.thickness_picture import ranges, thick_and_thin
from prep_ink.words import between, figure

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.screens import Screen

TITLE = "Where the wet ink lies thick, by the distance to the nearest edge"


def thickness_sections(job: Job, ask: Ask) -> Iterator[Section]:
    """Give for each screen where its wet ink is thick and thin."""
    inks = ask(InkOnScreens)
    reach_mm = Hand(job.settings(ShopInk)).known(parameters.EDGE_REACH).parameter.default
    for screen in job.screens:
        blocks = _of_screen(job, screen, inks[screen.key], reach_mm)
        yield Section("screen", TITLE, blocks, rank=75, screen=screen.key, step="ink")


def _of_screen(job: Job, screen: Screen, ink: InkOnScreen, reach_mm: float) -> tuple[Block, ...]:
    mean = between(ink.mean_deposit_um)
    if job.shop.film.side != "shirt":
        return (
            Paragraph(
                "Film on the squeegee side doesn't hold the mesh off the shirt: the ink is reckoned"
                f" equally thick up to the edges, {mean}."
            ),
        )
    profile = Profile(ink.open_field_um.value, ink.at_edge_um.value, reach_mm)
    measures = screen.measures
    # how deep the openings are, as far as that was measured
    thinnest_um = profile.deposit_um(float(measures.insets_mm[-1]))
    ends = f"thinnest {figure(thinnest_um)}, at edges {figure(profile.edge_um)} µm"
    limits = round_limits_um(profile.open_um, profile.edge_um)
    if not limits:
        return (Paragraph(f"Nowhere by much: {mean} in the mean, {ends}."),)
    classes = in_classes(
        screen.region, measures.insets_mm, measures.inset_areas_mm2, profile, limits
    )
    shares = percents(classes.shares())
    rims = _rims(job, screen)
    if 100 in shares:
        only = shares.index(100)
        where = "only thin rims lie thicker" if only == 0 else "all of it lies near edges"
        return (
            Paragraph(
                f"Nearly all of it prints {ranges(limits)[only]}: {where}. {mean} in the mean,"
                f" {ends}. Thick ink dries last, {rims}."
            ),
        )
    return (
        Drawing(thick_and_thin(screen.region, classes, screen.ink, job.shop.units), scale=1.0),
        Figures((("Mean", mean, ends), ("Rims", "dry last", rims))),
    )


def _rims(job: Job, screen: Screen) -> str:
    """Say what thick ink means for the print; common practice, no source."""
    last = screen.number == max(other.number for other in job.screens)
    when = "cure until these are dry" if last else "may be wet under the next screen"
    return f"{when}; fine lines stand higher than solids"
