"""What the sheet says about registration."""

from __future__ import annotations

import math
from collections.abc import Iterator

from prep.job import Ask, Job
from prep.screens import Screen
from prep.sections import CheckList, Figures, Paragraph, Section
from prep_registration.laying import Together, together
from prep_registration.placing import chosen
from prep_registration.settings import Registration
from prep_registration.target import Placed

PULLS = 55
"""Rank of the pulls that a screen is lined up by, with ink on: behind the steps that put it there."""
_TOUCHING_MM = 0.01


def length_text(length_mm: float, units: str) -> str:
    """Write a length to 0.1 mm or 0.01 in."""
    return f"{length_mm / 25.4:.2f} in" if units == "inch" else f"{length_mm:.1f} mm"


def sections_of(job: Job, ask: Ask) -> Iterator[Section]:
    """Give sections for each screen of several films; of one film a sentence on the job page, of one screen
    nothing.

    What is done with ink on the screen stands apart, behind the steps that put it there. Screens after the
    first that share the only film are pulled to see that the frame lies where it lay.
    """
    choice = chosen(job, ask)
    targets = choice.targets
    if not targets and len(job.screens) > 1:
        yield Section("job", "Registration", (Paragraph(choice.why_none),), rank=50)
    if len(job.films) < 2:
        for screen in job.screens[1:]:
            yield _pulls(screen, _same_frame(job.screens[0], screen))
        return
    first = job.screens[0]
    lying = together(job, ask)
    lined_up: dict[str, Screen] = {}
    for screen in job.screens:
        framed = lined_up.setdefault(screen.film, screen)
        if framed is not screen:
            yield _pulls(screen, (*_in_frame_of(framed, screen), *_taken_up(screen, first, lying)))
            continue
        if not targets:
            if screen is not first:
                steps = CheckList((*_laid_back(screen, first, lying), _share(first)))
                yield Section("screen", "Registration", (steps,), rank=50, screen=screen.key)
            by_eye = (*_by_eye(screen, first, lying), *_taken_up(screen, first, lying))
            yield _pulls(screen, by_eye)
            continue
        if screen is first:
            dry, inked = _first(targets, lying), _first_pulls(first, lying)
        else:
            dry = (*_laid_back(screen, first, lying), *_later(first, targets))
            inked = _later_pulls(screen, targets, meets=_meets(job, screen))
        inked = (*inked, *_taken_up(screen, first, lying), _COVER)
        blocks = (Figures(_distances(job, targets)), CheckList(dry))
        yield Section("screen", "Registration", blocks, rank=50, screen=screen.key)
        yield _pulls(screen, inked)


def _distances(job: Job, targets: tuple[Placed, ...]) -> tuple[tuple[str, str, str], ...]:
    table, units = job.settings(Registration), job.shop.units
    one, other = targets[0].at_mm, targets[1].at_mm
    away = table.distance_mm + table.size_mm / 2.0
    return (
        (
            "Between targets",
            length_text(math.dist(one, other), units),
            "centres; on film and test pull",
        ),
        (
            "Target to print",
            length_text(away, units),
            "centre to edge",
        ),
        (
            "Targets' bars",
            f"{length_text(table.bar_mm, units)} × {length_text(table.size_mm, units)}",
            "",
        ),
    )


def _name(screen: Screen) -> str:
    return f"screen {screen.number} ({screen.ink})"


_COVER = "Cover both targets with their plugs, or tape on the shirt side, before the first shirt."


def _square(targets: tuple[Placed, ...]) -> str:
    return f"From the squeegee side the square stands at the upper right of the {targets[0].name}."


def _side(target: Placed) -> str:
    return target.name.partition(" ")[0]


def _first(targets: tuple[Placed, ...], lying: Together) -> tuple[str, ...]:
    """Give the steps before ink is on the screen."""
    upright = targets[0].at_mm[0] == targets[1].at_mm[0]
    set_so = (
        "Set this screen so that both targets lie on the platen's centre line."
        if upright
        else "Set this screen so that the line through both targets lies square to the platen's centre line"
        " and is halved by it."
    )
    return _square(targets), set_so, _scrap(lying)


def _scrap(lying: Together) -> str:
    if not lying.again:
        return "Fix scrap cloth to the platen so that it can't shift."
    return (
        "Fix scrap cloth with straight edges to the platen so that it can't shift. Before anything is"
        " pulled, stick tape to the board at its four corners and draw the corners on the tape: the cloth"
        " is taken up for the shirts and laid back to these marks for every later set-up."
    )


def _first_pulls(first: Screen, lying: Together) -> tuple[str, ...]:
    left = (
        " Let the ink dry before the cloth is taken up"
        if lying.again
        else " Leave the cloth in place and let the ink dry"
    )
    return (
        f"Pull {_name(first)} with both targets.{left}: all other screens are lined up to this pull.",
    )


def _laid_back(screen: Screen, first: Screen, lying: Together) -> tuple[str, ...]:
    """Give how the test pull comes back under a screen that is set up after shirts were printed."""
    if not lying.begins(screen):
        return ()
    return (
        f"Lay the dry test pull of {_name(first)} back on the board, its corners to the marks on the tape,"
        " smooth and not stretched, and fix it.",
    )


def _taken_up(screen: Screen, first: Screen, lying: Together) -> tuple[str, ...]:
    """Give when the test pull makes room for the shirts."""
    if not lying.ends(screen):
        return ()
    if lying.is_last(screen):
        return (
            f"Take the test pull of {_name(first)} up, and the tape that marked its corners off the board.",
        )
    return (
        f"Take the test pull of {_name(first)} up once it is dry, keep it flat and clean, and leave the"
        " marks on the board: shirts are printed before it is laid back for the next screen.",
    )


def _later(first: Screen, targets: tuple[Placed, ...]) -> tuple[str, ...]:
    """Give the steps before ink is on the screen: one looks through its openings."""
    one, other = (_side(target) for target in targets)
    return (
        _square(targets),
        f"Lower the screen, without ink, onto the dry test pull of {_name(first)}; look through the open"
        " targets.",
        f"Shift the screen until the printed {one} cross fills the {one} opening; turn it about the {one} "
        f"target until the {other} one is filled too. Look at the {one} one again.",
        "Tighten the screen.",
    )


def _later_pulls(screen: Screen, targets: tuple[Placed, ...], *, meets: bool) -> tuple[str, ...]:
    """Give the steps once ink is on the screen.

    :param meets: its print meets that of another film
    """
    one, other = (_side(target) for target in targets)
    until = "no fringe shows where colours meet" if meets else "no fringe shows beside the bars"
    return (
        f"Pull {_name(screen)} over the test pull.",
        f"Read the fringe beside the bars at {one} and {other}. Alike at both: shift. Unlike: turn.",
        f"Pull again until {until}. If the targets lie farther apart or nearer "
        "than the first screen's, look at tension and off-contact: shifting can't mend it.",
    )


def _meets(job: Job, screen: Screen) -> bool:
    """Tell whether a screen's print meets or overlaps that of another film."""
    return any(
        other.film != screen.film and screen.region.distance(other.region) <= _TOUCHING_MM
        for other in job.screens
    )


def _pulls(screen: Screen, steps: tuple[str, ...]) -> Section:
    return Section("screen", "First pulls", (CheckList(steps),), rank=PULLS, screen=screen.key)


def _same_frame(framed: Screen, screen: Screen) -> tuple[str, ...]:
    return (
        f"Pull {_name(screen)} over a test pull of {_name(framed)}, through the same film. If it lies off,"
        " frame or cloth was moved: fasten them and pull both again.",
    )


def _in_frame_of(framed: Screen, screen: Screen) -> tuple[str, ...]:
    return (
        f"Pull {_name(screen)} over the test pull: it is lined up with {_name(framed)}, in whose frame it"
        f" lies. If it lies off, the frame was moved: line up {_name(framed)} again.",
    )


def _share(first: Screen) -> str:
    return (
        f"Lower the screen, without ink, onto the dry test pull of {_name(first)}; line up the details they"
        " share, and tighten it."
    )


def _by_eye(screen: Screen, first: Screen, lying: Together) -> tuple[str, ...]:
    if screen is first and lying.again:
        return (_scrap(lying), "Pull it on that cloth; line the other screens up to it.")
    if screen is first:
        return ("Pull it on scrap cloth fixed to the platen; line the other screens up to it.",)
    return ("Pull, read the shift at two far corners, correct, and pull again.",)
