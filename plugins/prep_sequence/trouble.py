"""What the order of printing makes go wrong."""

from __future__ import annotations

from collections.abc import Iterator

from prep.findings import Finding
from prep.job import Ask, Job
from prep_sequence.answers import PrintSteps
from prep_sequence.naming import unused
from prep_sequence.useless import useless_flashes
from prep_sequence.working import worked_by_colour


def findings_of(job: Job, ask: Ask) -> Iterator[Finding]:
    """Say when shirts are laid again, when wet ink is printed on, and which names have no use."""
    steps = ask(PrintSteps)
    if steps.rounds > 1:
        films = len(job.films)
        times = "twice" if steps.rounds == 2 else f"{steps.rounds} times"
        held = "one frame" if steps.stations == 1 else f"{steps.stations} frames"
        yield Finding(
            "at risk",
            "shirts laid again",
            what=(
                f"Each shirt is laid on the board {times}, and the press set up as often: {films} films,"
                f" {held} at a time."
            ),
            why=(
                "A shirt laid again lies elsewhere, and colours miss each other by more. All shirts are"
                " printed and dried before frames are changed."
            ),
            do=(
                "State the press's error as it is with shirts laid again; mark where collar and side"
                " seams lie, or print so that each shirt stays down until all colours are on it. With fewer"
                " films it is done less often: print colours from one screen (print_as), or leave out what"
                " isn't missed (printed = false)."
            ),
        )
    elif len(job.films) > 1 and worked_by_colour(ask):
        times = "twice" if len(job.films) == 2 else f"{len(job.films)} times"
        yield Finding(
            "at risk",
            "shirts laid again",
            what=f"Each shirt is laid on the board {times}: the job is worked colour by colour.",
            why=(
                "A shirt laid again lies elsewhere, and colours miss each other by more than traps and"
                " chokes were reckoned with here."
            ),
            do=(
                "State the press's error as it is with shirts laid again; mark where collar and side"
                " seams lie; or work shirt by shirt: take working out of [drying] in order.toml."
            ),
        )
    for over, under in steps.bold:
        above, below = job.screen(over), job.screen(under)
        yield Finding(
            "at risk",
            "printed on wet ink",
            what=f"{above.ink} comes down on {below.ink} while it is wet, as the order asks.",
            why="The next screen picks wet ink up and prints it where it doesn't belong.",
            do=f"Take {below.ink} out of no_flash_after, or try it on scrap first.",
            screen=over,
            colour=above.colour,
        )
    for name in (*unused(job), *useless_flashes(job, job.screens)):
        yield Finding(
            "note",
            "name not used here",
            what=f"{name.says} here.",
            why="The order has several prints, and another may have it.",
            do="Nothing, if another print has it; else take it out of order.toml.",
            unused=name.says,
            unused_at=name.at,
        )
