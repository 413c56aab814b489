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
from prep_ink.thickness_picture import ENLARGED, ranges, thick_and_thin
from prep_ink.words import between, figure

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.measures import Measures
    from prep.screens import Screen

TITLE = "Where the ink lies thick"


def thickness_sections(job: Job, ask: Ask) -> Iterator[Section]:
    """Give for each screen where its wet ink is thick and thin."""
    inks = ask(InkOnScreens)
    reach_mm = Hand(job.settings(ShopInk)).known(parameters.EDGE_REACH).parameter.default
    for screen in job.screens:
        blocks = _of_screen(job, screen, inks[screen.key], reach_mm)
        yield Section("screen", TITLE, blocks, rank=75, screen=screen.key)


def _of_screen(job: Job, screen: Screen, ink: InkOnScreen, reach_mm: float) -> tuple[Block, ...]:
    if job.shop.film.side != "shirt":
        return (
            Paragraph(
                "Film on the squeegee side doesn't hold the mesh off the shirt: the ink is reckoned"
                f" equally thick up to the edges, {between(ink.mean_deposit_um)}."
            ),
        )
    profile = Profile(ink.open_field_um.value, ink.at_edge_um.value, reach_mm)
    thinnest_um = profile.deposit_um(_deepest_mm(screen.measures))
    ends = (
        f"{figure(thinnest_um)} farthest from edges, {figure(profile.edge_um)} µm at them;"
        " the nearest edge alone counts"
    )
    mean = between(ink.mean_deposit_um)
    limits = round_limits_um(profile.open_um, profile.edge_um)
    if not limits:
        return (Paragraph(f"Nowhere by much: {mean} wet in the mean, {ends}."),)
    measures = screen.measures
    classes = in_classes(
        screen.region, measures.insets_mm, measures.inset_areas_mm2, profile, limits
    )
    shares = percents(classes.shares())
    if 100 in shares:
        only = shares.index(100)
        where = "only thin rims lie thicker" if only == 0 else "all of it is as good as edge"
        return (
            Paragraph(
                f"Nearly all of it prints {ranges(limits)[only]}: {where}. {mean} wet in the mean,"
                f" {ends}. {_meaning(job, screen)}"
            ),
        )
    caption = (
        f"Right, {ENLARGED:g} times its size: the place with most thick ink, ringed on the left."
    )
    return (
        Drawing(thick_and_thin(screen.region, classes, screen.ink), caption, scale=1.0),
        Figures((("Wet, mean", mean, ends), ("At the press", "", _meaning(job, screen)))),
    )


def _deepest_mm(measures: Measures) -> float:
    """Give how far from any edge the openings reach, as far as that was measured."""
    return float(measures.insets_mm[-1])


def _meaning(job: Job, screen: Screen) -> str:
    """Say what thick rims mean for the print; common practice, no source."""
    last = screen.number == max(other.number for other in job.screens)
    when = "cure until they are dry" if last else "they can still be wet under the next screen"
    return f"Thick rims dry last: {when}. Fine lines stand higher than solids."
