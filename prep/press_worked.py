"""How the press's error is worked out, for all who tell it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from prep.phrases import length
from prep.press_error import LAID_AGAIN_MM, SCATTER_PART, SET_UP_PART, WHOLE_MM, press_error
from prep.worked import Given, Standing, Worked, in_units, length_given

if TYPE_CHECKING:
    from prep.shop import Press

_SIGMA = "One standard deviation each way: two prints in three lie nearer than that."
_PARTS = "the parts a guess, the whole common practice, no source"


def set_up_worked(press: Press, units: str) -> Worked | None:
    """Tell how far a screen usually lies off for a whole run; ``None`` where the shop states it."""
    if press.set_up_error_mm is not None:
        return None
    given = {
        "part": _part("set-up's part of the whole", SET_UP_PART),
        "whole": _whole(press, units),
    }
    value = SET_UP_PART * WHOLE_MM[press.kind]
    said = length(value, units)
    name = "A screen lies off, whole run"
    return Worked(name, "{part} × {whole}", given, *in_units(value, units), said, _SIGMA, _PARTS)


def scatter_worked(press: Press, films: int, units: str) -> Worked | None:
    """Tell how far a print usually strays from its run; ``None`` where the shop states it.

    :param films: of the set-up
    """
    error = press_error(press, films)
    if not {"scatter", "scatter_laid_again"} & set(error.lacking):
        return None
    whole, part = _whole(press, units), _part("scatter's part of the whole", SCATTER_PART)
    given, formula = {"part": part, "whole": whole}, "{part} × {whole}"
    if error.again:
        given = {
            "whole": whole,
            "again": length_given(
                "the same with shirts laid again",
                LAID_AGAIN_MM,
                units,
                "common practice",
                "no source",
            ),
            "part": _part("set-up's part of the whole", SET_UP_PART),
        }
        formula = (
            "√(larger of ({whole}; {again}) × larger of ({whole}; {again})"
            " − {part} × {whole} × {part} × {whole})"
        )
        if press.scatter_mm:
            given["in_place"] = length_given(
                "scatter of shirts left in place",
                press.scatter_mm,
                units,
                *_told(press, "scatter"),
            )
            formula = f"larger of ({formula}; {{in_place}})"
    name = "A print strays from its run"
    value = in_units(error.scatter_mm, units)
    return Worked(name, formula, given, *value, length(error.scatter_mm, units), _SIGMA, _PARTS)


def pair_worked(press: Press, films: int, units: str) -> Worked:
    """Tell how far two screens miss each other.

    :param films: of the set-up
    """
    error = press_error(press, films)
    parts = {
        "set_up": ("a screen lies off for a whole run", error.set_up_mm, ("set_up_error",)),
        "scatter": (
            "a print strays from its run",
            error.scatter_mm,
            ("scatter", "scatter_laid_again"),
        ),
    }
    given = {}
    for key, (words, mm, keys) in parts.items():
        name = keys[-1] if error.again else keys[0]
        if key == "scatter" and error.again and press.scatter_laid_again_mm is None:
            name = "scatter"
        told = _told(press, name)
        if set(keys) & set(error.lacking):
            again = " with shirts laid again" if error.again and key == "scatter" else ""
            told = "usual", f"for a {press.kind}{again}: {_PARTS}"
        given[key] = length_given(words, mm, units, *told)
    value = in_units(error.pair_mm, units)
    formula = "√(2) × √({set_up} × {set_up} + {scatter} × {scatter})"
    said = length(error.pair_mm, units)
    source = "errors of two screens alike, independent of each other"
    return Worked("Two screens miss each other", formula, given, *value, said, _SIGMA, source)


def _told(press: Press, name: str) -> tuple[Standing, str]:
    """Say where a figure that is known of this press comes from."""
    how = press.measured.get(name)
    if how is None or how.measured_on is None:
        return "stated", f"press.{name}"
    return "measured here", how.source


def _part(words: str, share: float) -> Given:
    return Given(words, share, "", "guess")


def _whole(press: Press, units: str) -> Given:
    words = f"error usual for a {press.kind}"
    return length_given(words, WHOLE_MM[press.kind], units, "common practice", "no source")
