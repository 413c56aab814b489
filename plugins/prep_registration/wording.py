"""What the sheet says about registration."""

from __future__ import annotations

import math
from collections.abc import Iterator

from prep.job import Ask, Job
from prep.screens import Screen
from prep.sections import CheckList, Figures, Paragraph, Section
from prep_registration.placing import chosen
from prep_registration.settings import Registration
from prep_registration.target import Placed


def length_text(length_mm: float, units: str) -> str:
    """Write a length to 0.1 mm or 0.01 in."""
    return f"{length_mm / 25.4:.2f} in" if units == "inch" else f"{length_mm:.1f} mm"


def sections_of(job: Job, ask: Ask) -> Iterator[Section]:
    """Give one section for each screen of several films; of one film a sentence on the job page.

    Screens after the first that share the only film are told to leave the frame where it is.
    """
    choice = chosen(job, ask)
    targets = choice.targets
    if not targets:
        yield Section("job", "Registration", (Paragraph(choice.why_none),), rank=50)
    if len(job.films) < 2:
        for screen in job.screens[1:]:
            steps = CheckList(_same_frame(job.screens[0], screen))
            yield Section("screen", "Registration", (steps,), rank=50, screen=screen.key)
        return
    first = job.screens[0]
    lined_up: dict[str, Screen] = {}
    for screen in job.screens:
        framed = lined_up.setdefault(screen.film, screen)
        if framed is not screen:
            steps = CheckList(_in_frame_of(framed, screen))
            yield Section("screen", "Registration", (steps,), rank=50, screen=screen.key)
            continue
        if not targets:
            steps = CheckList(_by_eye(screen, first))
            yield Section("screen", "Registration", (steps,), rank=50, screen=screen.key)
            continue
        by_target = _first(first, targets) if screen is first else _later(screen, first, targets)
        blocks = (Figures(_distances(job, targets)), CheckList(by_target))
        yield Section("screen", "Registration", blocks, rank=50, screen=screen.key)


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


def _first(first: Screen, targets: tuple[Placed, ...]) -> tuple[str, ...]:
    upright = targets[0].at_mm[0] == targets[1].at_mm[0]
    set_so = (
        "Set this screen so that both targets lie on the platen's centre line."
        if upright
        else "Set this screen so that the line through both targets lies square to the platen's centre line"
        " and is halved by it."
    )
    return (
        _square(targets),
        set_so,
        "Fix scrap cloth to the platen so that it can't shift.",
        f"Pull {_name(first)} with both targets. Leave the cloth in place and let the ink dry: all "
        "other screens are lined up to this pull.",
        _COVER,
    )


def _later(screen: Screen, first: Screen, targets: tuple[Placed, ...]) -> tuple[str, ...]:
    one, other = (_side(target) for target in targets)
    return (
        _square(targets),
        f"Lower the screen onto the dry test pull of {_name(first)}; look through the open targets.",
        f"Shift the screen until the printed {one} cross fills the {one} opening; turn it about the {one} "
        f"target until the {other} one is filled too. Look at the {one} one again.",
        f"Tighten, and pull {_name(screen)} over the test pull.",
        f"Read the fringe beside the bars at {one} and {other}. Alike at both: shift. Unlike: turn.",
        "Pull again until no fringe shows where colours meet. If the targets lie farther apart or nearer "
        "than the first screen's, look at tension and off-contact: shifting can't mend it.",
        _COVER,
    )


def _same_frame(framed: Screen, screen: Screen) -> tuple[str, ...]:
    return (
        f"It is printed through the film of {_name(framed)}: leave the frame where it is.",
        f"Pull {_name(screen)} over a test pull of {_name(framed)}. If it lies off, frame or cloth was"
        " moved: fasten them and pull both again.",
    )


def _in_frame_of(framed: Screen, screen: Screen) -> tuple[str, ...]:
    return (
        f"It lies in the frame of {_name(framed)} and is lined up with it: leave the frame where it is.",
        f"Pull {_name(screen)} over the test pull. If it lies off, the frame was moved: line up"
        f" {_name(framed)} again.",
    )


def _by_eye(screen: Screen, first: Screen) -> tuple[str, ...]:
    if screen is first:
        return ("Pull it on scrap cloth fixed to the platen; line the other screens up to it.",)
    return (
        f"Lower the screen onto the dry test pull of {_name(first)}; line up the details they share.",
        "Pull, read the shift at two far corners, correct, and pull again.",
    )
