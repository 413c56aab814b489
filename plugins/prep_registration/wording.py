"""What the sheet says about registration."""

from __future__ import annotations

import math
from collections.abc import Iterator

from prep.job import Job
from prep.screens import Screen
from prep.sections import Block, CheckList, Figures, Paragraph, Section
from prep_registration.placing import placed_of, why_none
from prep_registration.settings import Registration
from prep_registration.target import Placed


def length_text(length_mm: float, units: str) -> str:
    """Write a length to 0.1 mm or 0.01 in."""
    return f"{length_mm / 25.4:.2f} in" if units == "inch" else f"{length_mm:.1f} mm"


def sections_of(job: Job) -> Iterator[Section]:
    """Give one section for each screen of several; for one screen a sentence on the job page."""
    targets = placed_of(job)
    if len(job.screens) < 2 or not targets:
        yield Section("job", "Registration", (Paragraph(why_none(job)),), rank=50)
        if len(job.screens) < 2:
            return
    first = job.screens[0]
    lined_up: dict[str, Screen] = {}
    for screen in job.screens:
        framed = lined_up.setdefault(screen.film, screen)
        if framed is not screen:
            steps = CheckList(_in_frame_of(framed, screen))
            yield Section("screen", "Registration", (steps,), rank=50, screen=screen.key)
            continue
        by_target = _first(first) if screen is first else _later(screen, first)
        blocks: tuple[Block, ...] = (CheckList(by_target if targets else _by_eye(screen, first)),)
        if targets:
            blocks = (Figures(_distances(job, targets)), *blocks)
        yield Section("screen", "Registration", blocks, rank=50, screen=screen.key)


def _distances(job: Job, targets: tuple[Placed, ...]) -> tuple[tuple[str, str, str], ...]:
    chosen, units = job.settings(Registration), job.shop.units
    top, bottom = targets[0].at_mm, targets[1].at_mm
    away = chosen.distance_mm + chosen.size_mm / 2.0
    return (
        (
            "Between targets",
            length_text(math.dist(top, bottom), units),
            "centres; on film and test pull",
        ),
        (
            "Target to print",
            length_text(away, units),
            "centre to edge",
        ),
        (
            "Targets' bars",
            f"{length_text(chosen.bar_mm, units)} × {length_text(chosen.size_mm, units)}",
            "",
        ),
    )


def _name(screen: Screen) -> str:
    return f"screen {screen.number} ({screen.ink})"


_SQUARE = "From the squeegee side the square stands at the upper right of the top target."
_COVER = "Cover both targets with their plugs, or tape on the shirt side, before the first shirt."


def _first(first: Screen) -> tuple[str, ...]:
    return (
        _SQUARE,
        "Set this screen so that both targets lie on the platen's centre line.",
        "Fix scrap cloth to the platen so that it can't shift.",
        f"Pull {_name(first)} with both targets. Leave the cloth in place and let the ink dry: all "
        "other screens are lined up to this pull.",
        _COVER,
    )


def _later(screen: Screen, first: Screen) -> tuple[str, ...]:
    return (
        _SQUARE,
        f"Lower the screen onto the dry test pull of {_name(first)}; look through the open targets.",
        "Shift the screen until the printed top cross fills the top opening; turn it about the top "
        "target until the bottom one is filled too. Look at the top one again.",
        f"Tighten, and pull {_name(screen)} over the test pull.",
        "Read the fringe beside the bars at top and bottom. Alike at both: shift. Unlike: turn.",
        "Pull again until no fringe shows where colours meet. If the targets lie farther apart or nearer "
        "than the first screen's, look at tension and off-contact: shifting can't mend it.",
        _COVER,
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
