"""How far prints miss each other: the press's error in its two parts, stated or usual for its kind."""

from __future__ import annotations

import math
from dataclasses import dataclass

from prep.shop import Press, PressKind

WHOLE_MM: dict[PressKind, float] = {
    "press with fine adjustment": 0.25,
    "simple press": 0.5,
    "hinged frame": 0.8,
    "plain table": 1.5,
}
"""One sigma of both parts together: common practice, no source."""
LAID_AGAIN_MM = 1.5
"""The same where a shirt is laid again for a further screen: common practice, no source."""
SET_UP_PART, SCATTER_PART = 0.8, 0.6
"""How the whole is made up; their squares add up to one. A guess."""
_LEVER_MM = 150.0
"""At this distance from the middle of the print a turn moves as far as half the shift. A guess."""

_MOST_PRINTS, _NEARLY_ALL = 0.5, 0.9


@dataclass(frozen=True, slots=True)
class PressError:
    """Standard deviations of one screen's place; two screens miss each other by both theirs.

    The set-up parts hold for a whole run, the scatter parts for one print. A shift is that of each of
    the two directions; a turn is about the middle of the artwork.

    :param lacking: keys under ``[press]`` that would state what is usual here, in order
    :param again: shirts are laid again between screens, and the scatter is of that
    """

    set_up_mm: float
    scatter_mm: float
    set_up_turn_deg: float
    scatter_turn_deg: float
    lacking: tuple[str, ...]
    again: bool

    @property
    def stated(self) -> bool:
        """The shop has stated each part."""
        return not self.lacking

    @property
    def laid_again(self) -> bool:
        """What isn't stated is usual for shirts laid again between screens."""
        return self.again and not self.stated

    @property
    def pair_mm(self) -> float:
        """Shift of one screen against another, both parts together, each way."""
        return math.sqrt(2.0) * math.hypot(self.set_up_mm, self.scatter_mm)


def press_error(press: Press, films: int) -> PressError:
    """Give the press's error: what the shop states, else what is usual for its kind.

    Where each shirt is laid again between some films, see :meth:`prep.shop.Press.lays_again`, it lies
    elsewhere from print to print: the usual scatter then is what makes the whole as large as with shirts
    laid again. This is taken for every two screens, also for those of one laying. A scatter that is stated
    without saying so counts as one of shirts laid again where the press holds one frame, on which two
    screens can't be compared otherwise; on any other it is of shirts left in place, and laid again they
    scatter by no less.

    :param films: of the set-up
    """
    whole, again = WHOLE_MM[press.kind], press.lays_again(films)
    lacking: list[str] = []

    def said(key: str, stated: float | None, usual: float) -> float:
        if stated is None:
            lacking.append(key)
            return usual
        return stated

    usual_set_up = SET_UP_PART * whole
    set_up = said("set_up_error", press.set_up_error_mm, usual_set_up)
    if not again:
        scatter = said("scatter", press.scatter_mm, SCATTER_PART * whole)
    else:
        usual = math.sqrt(max(whole, LAID_AGAIN_MM) ** 2 - usual_set_up**2)
        scatter = said(
            "scatter_laid_again",
            *_again(press, press.scatter_laid_again_mm, press.scatter_mm, usual),
        )
    set_up_turn = said("set_up_turn", press.set_up_turn_deg, _usual_turn_deg(set_up))
    usual_turn = _usual_turn_deg(scatter)
    if not again:
        scatter_turn = said("scatter_turn", press.scatter_turn_deg, usual_turn)
    else:
        turns = press.scatter_turn_laid_again_deg, press.scatter_turn_deg
        scatter_turn = said("scatter_turn_laid_again", *_again(press, *turns, usual_turn))
    return PressError(set_up, scatter, set_up_turn, scatter_turn, tuple(lacking), again)


def _again(
    press: Press, stated: float | None, in_place: float | None, usual: float
) -> tuple[float | None, float]:
    """Give what is stated of shirts laid again, and what is usual where nothing is.

    :param in_place: stated without saying whether shirts are laid again
    """
    if stated is None and press.holds == 1:
        stated = in_place
    return stated, max(usual, in_place or 0.0)


def _usual_turn_deg(shift_mm: float) -> float:
    return math.degrees(shift_mm / 2.0 / _LEVER_MM)


def bound_to_show(share: float, *, stated: bool) -> bool:
    """Tell whether what shows on a share of the prints counts as failing, and not as a risk alone.

    By the error usual for a kind of press, which this one may beat, it must show on nearly all. Both
    bounds are our choice.

    :param share: 0..1
    :param stated: the shop has stated the press's error
    """
    return share > (_MOST_PRINTS if stated else _NEARLY_ALL)
