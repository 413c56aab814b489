"""The hours of a test piece, step by step. Waits are no work: other steps are done meanwhile."""

from __future__ import annotations

from dataclasses import dataclass

from prep_test_piece.geometry import WAITS_MIN
from prep_test_piece.plan import LOOKED_AT, PULLS, SCREEN_AT_MIN, SHIRTS

FILM_DOWN_S = 120.0
"""Laying one small film, islands apart. A guess."""
READY_S = 180.0
"""Stirring the ink and clamping the frame: there is nothing to line up with. A guess."""
LOOK_S = 40.0
"""Counting what holds, once. A guess."""
WEIGH_S = 30.0
"""A screen or the shirts once on the balance. A guess."""
ROW_S = 30.0
"""A card of ink over one row of dots, and looking at what came out. A guess."""
ENTER_S = 240.0
"""Typing the form. A guess."""


@dataclass(frozen=True, slots=True)
class Times:
    """What is known of the work elsewhere, in s.

    :param print_s: one pull
    :param laying_s: one shirt taken off and the next one laid
    """

    cut_s: float
    weed_s: float
    lay_s: float
    print_s: float
    laying_s: float
    clean_s: float


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the timetable.

    :param rests: what it is reckoned from
    """

    what: str
    rests: str
    minutes: float


def timetable(times: Times) -> tuple[Entry, ...]:
    """Give the work in its order."""
    laid = SHIRTS + 1
    rows = (
        ("cut", "the film's own time", times.cut_s),
        ("weed", "likewise" if times.weed_s else "with cutting", times.weed_s),
        (
            "lay the film",
            f"islands as for any film, else {_guess(FILM_DOWN_S)}",
            times.lay_s + FILM_DOWN_S,
        ),
        ("stir ink, clamp the frame", f"nothing to line up; {_guess(READY_S)}", READY_S),
        ("pull", f"{PULLS} at {_s(times.print_s)}", PULLS * times.print_s),
        (
            "lay scrap and shirts",
            f"scrap once, {SHIRTS} shirts, {_s(times.laying_s)} each",
            laid * times.laying_s,
        ),
        ("look at the film", f"{len(LOOKED_AT)} times {_guess(LOOK_S)}", len(LOOKED_AT) * LOOK_S),
        (
            "weigh shirts and screen",
            f"{2 + len(SCREEN_AT_MIN)} times {_guess(WEIGH_S)}",
            (2 + len(SCREEN_AT_MIN)) * WEIGH_S,
        ),
        ("rows of dots", f"{len(WAITS_MIN)} times {_guess(ROW_S)}", len(WAITS_MIN) * ROW_S),
        ("enter what was read", _guess(ENTER_S), ENTER_S),
        ("clean up", "one screen", times.clean_s),
    )
    return tuple(Entry(what, rests, s / 60.0) for what, rests, s in rows if s > 0.0)


def minutes(times: Times) -> float:
    """Give the whole work."""
    return sum(entry.minutes for entry in timetable(times))


def waits_min() -> int:
    """Give the minutes waited: for the screen on the balance, then for the dots."""
    return SCREEN_AT_MIN[-1] + WAITS_MIN[-1]


def _s(seconds: float) -> str:
    return f"{seconds:g} s"


def _guess(seconds: float) -> str:
    return f"{seconds:g} s, a guess"
