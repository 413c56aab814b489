"""What the order of printing makes go wrong."""

from __future__ import annotations

from collections.abc import Iterator

from prep.findings import Finding
from prep.job import Ask, Job
from prep.phrases import length, several
from prep.press_error import press_error
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
            why=(f"{_missed(job)} All shirts are printed and dried before frames are changed."),
            do=(
                f"{_stated(job)}ark where collar and side seams lie, or print so that each shirt stays down"
                " until all colours are on it. With fewer films it is done less often: print colours from"
                " one screen (print_as), or leave out what isn't missed (printed = false)."
            ),
        )
    elif worked_by_colour(job.shop.press, steps, len(job.films)):
        times = "twice" if len(job.films) == 2 else f"{len(job.films)} times"
        yield Finding(
            "at risk",
            "shirts laid again",
            what=f"Each shirt is laid on the board {times}: the job is worked colour by colour.",
            why=_missed(job),
            do=(
                f"{_stated(job)}ark where collar and side seams lie; or work shirt by shirt: take working"
                " out of [press]."
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


def _missed(job: Job) -> str:
    """Say by how much screens miss each other with shirts laid again."""
    error, units = press_error(job.shop.press, len(job.films)), job.shop.units
    whose = "as is usual then" if error.laid_again else "as the shop states"
    return (
        f"A shirt laid again lies elsewhere, and colours miss each other by more:"
        f" {length(error.pair_mm, units)} each way (one standard deviation), {whose}. All that goes by the"
        " press's error is reckoned with that, such as traps, chokes and chances of gaps."
    )


def _stated(job: Job) -> str:
    """Say which keys would state it, and begin the next step; nothing where all are stated."""
    lacking = press_error(job.shop.press, len(job.films)).lacking
    if not lacking:
        return "M"
    return f"Measure and state {several(lacking)} under [press] in shop.toml; m"
