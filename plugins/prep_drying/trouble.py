"""What of drying is worth saying before the first pull; openings are judged detail by detail elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.errors import Unanswered
from prep.findings import Finding, Severity
from prep_drying.answers import Drying, Helps

if TYPE_CHECKING:
    from prep.job import Ask, Job

WIDE_MM = 40.0
"""An opening so wide has no rim to speak of: what dries it shut is the run's trouble, not a detail's."""
AT_RISK, FAILS = 0.1, 0.5
"""Chances from which the ink before the blade is at risk to dry up, and will. Our choice."""


def findings_of(job: Job, ask: Ask) -> Iterator[Finding]:
    """Say where the ink before the blade dries up, and where formulas are used beyond their range."""
    drying = ask(Drying)
    for text in drying.air.outside:
        yield Finding(
            "note",
            "outside the range the formula was made for",
            what=text,
            why="Formulas of evaporation were fitted to measurements; beyond these they are extrapolated.",
            do="Weigh a flooded screen in this air and write it into [drying] of shop.toml, with climate.",
        )
    best = _best(ask)
    for screen in job.screens:
        run = drying.run[screen.key]
        chance = run.lost(WIDE_MM)
        if chance >= AT_RISK:
            yield Finding(
                "will fail" if chance >= FAILS else "at risk",
                "run that dries shut",
                what=(
                    f"{screen.ink}: openings of any width dry shut before {drying.upto} in"
                    f" {100 * chance:.0f} of 100 runs like this one."
                ),
                why="The whole screen stands too long between prints in this air, not its details alone.",
                do='Pause, mist and top up by shirt number ("Now and then" on the sheet, or prep plan)'
                f"{best}.",
                screen=screen.key,
                colour=screen.colour,
            )
        if run.dries_out < AT_RISK or run.dried_shirt is None:
            continue
        severity: Severity = "will fail" if run.dries_out >= FAILS else "at risk"
        low, _, high = (max(0, round(shirt)) for shirt in run.dried_shirt)
        yield Finding(
            severity,
            "ink dries up before the blade",
            what=(
                f"{screen.ink}: the ink before the blade thickens beyond use in"
                f" {100 * run.dries_out:.0f} of 100 runs like this one, between shirt {low} and {high}."
            ),
            why=(
                "More water leaves the wet screen than fresh ink brings: prints turn rough and thin, and"
                " openings clog."
            ),
            do='Top up early and mist by shirt number ("Now and then" on the sheet, or prep plan)'
            f"{best}.",
            screen=screen.key,
            colour=screen.colour,
        )


def _best(ask: Ask) -> str:
    """Name what helps most, where anything does."""
    try:
        helps = ask(Helps).helps
    except Unanswered:
        return ""
    if not helps or helps[0].gained < 0.05:
        return ""
    return f"; what helps most is {helps[0].what}"
