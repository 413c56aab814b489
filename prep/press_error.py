"""How far prints miss each other: the press's error in its two parts, stated or usual for its kind."""

from __future__ import annotations

import math
from dataclasses import dataclass

from prep.shop import Press, PressKind

_WHOLE_MM: dict[PressKind, float] = {
    "press with fine adjustment": 0.25,
    "simple press": 0.5,
    "hinged frame": 0.8,
    "plain table": 1.5,
}
"""One sigma of both parts together: common practice, no source."""
_LAID_AGAIN_MM = 1.5
"""The same where a shirt is laid again for a further screen: common practice, no source."""
_SET_UP_PART, _SCATTER_PART = 0.8, 0.6
"""How the whole is made up; their squares add up to one. A guess."""
_LEVER_MM = 150.0
"""At this distance from the middle of the print a turn moves as far as half the shift. A guess."""


@dataclass(frozen=True, slots=True)
class PressError:
    """Standard deviations of one screen's place; two screens miss each other by both theirs.

    The set-up parts hold for a whole run, the scatter parts for one print. A shift is that of each of
    the two directions; a turn is about the middle of the artwork.

    :param stated: the shop has stated each part
    :param laid_again: what isn't stated is usual for shirts laid again between screens
    """

    set_up_mm: float
    scatter_mm: float
    set_up_turn_deg: float
    scatter_turn_deg: float
    stated: bool
    laid_again: bool

    @property
    def pair_mm(self) -> float:
        """Shift of one screen against another, both parts together, each way."""
        return math.sqrt(2.0) * math.hypot(self.set_up_mm, self.scatter_mm)


def press_error(press: Press, films: int) -> PressError:
    """Give the press's error: what the shop states, else what is usual for its kind.

    Where the press holds fewer frames than there are films, each shirt is laid again for some of them,
    and lies elsewhere from print to print: the usual scatter then is what makes the whole as large as
    with shirts laid again. This is taken for every two screens, also for those of one laying.

    :param films: of the set-up
    """
    whole, held = _WHOLE_MM[press.kind], press.holds
    again = held is not None and films > held
    usual_set_up = _SET_UP_PART * whole
    scatter_of_all = math.sqrt(max(whole, _LAID_AGAIN_MM) ** 2 - usual_set_up**2)
    usual = (usual_set_up, scatter_of_all if again else _SCATTER_PART * whole)
    set_up, scatter = (
        part if stated is None else stated
        for part, stated in zip(usual, (press.set_up_error_mm, press.scatter_mm), strict=True)
    )
    turns = (press.set_up_turn_deg, press.scatter_turn_deg)
    set_up_turn, scatter_turn = (
        _usual_turn_deg(shift) if stated is None else stated
        for shift, stated in zip((set_up, scatter), turns, strict=True)
    )
    stated = None not in (press.set_up_error_mm, press.scatter_mm, *turns)
    return PressError(set_up, scatter, set_up_turn, scatter_turn, stated, again and not stated)


def _usual_turn_deg(shift_mm: float) -> float:
    return math.degrees(shift_mm / 2.0 / _LEVER_MM)
