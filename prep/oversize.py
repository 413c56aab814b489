"""Prints far larger than all that a shop has: told by the settings alone, before anything is measured."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from prep.phrases import at_most
from prep.shop import Shop

STRIPS = 3.0
"""Widths of film that a print's shorter side may take at most: more strips aren't laid. Our choice."""
TIMES = 2.0
"""Up to so many times too large for frames or platen a print is still looked at in its details: a smaller
one may be meant. Our choice."""


@dataclass(frozen=True, slots=True)
class Oversize:
    """Why a print is far too large.

    :param what: the print and what it exceeds, to stand behind a colon
    :param do: what to ask for instead
    """

    what: str
    do: str


def oversize(width_mm: float, height_mm: float, shop: Shop) -> Oversize | None:
    """Say what a print exceeds by far; ``None`` where its details are worth a look.

    A print may lie either way round in a frame and on the film; a platen's width is across the shirt.
    """
    rooms = list(_rooms(width_mm, height_mm, shop))
    exceeded = [words for words, fits, bound in rooms if fits * bound < 1.0]
    if not exceeded:
        return None
    size = f"{_rounded(width_mm, shop.units)} × {_rounded(height_mm, shop.units)}"
    fitting = min(fits for _, fits, _ in rooms)
    do = "change the size; wider film, frames and platen are stated in shop.toml"
    if fitting > 0.0:
        wide = at_most(width_mm * fitting, shop.units)
        do = (
            f'print at most {wide} wide (--width "{wide}"); wider film, frames and platen are stated in'
            " shop.toml"
        )
    return Oversize(f"can't be printed at this size, {size}: {' and '.join(exceeded)}", do)


def _rooms(width_mm: float, height_mm: float, shop: Shop) -> Iterator[tuple[str, float, float]]:
    """Give what bounds a print: words, times its size that fits, and times that is let pass."""
    short, long = sorted((width_mm, height_mm))
    film, units = shop.film, shop.units
    yield (
        f"the film is {_rounded(film.width_mm, units)} wide",
        (film.width_mm - 2.0 * film.margin_mm) / short,
        # only the print itself is held against the film here
        STRIPS * film.width_mm / max(film.width_mm - 2.0 * film.margin_mm, 1e-9),
    )
    if shop.frame:
        sides = [sorted((one.inside_width_mm, one.inside_height_mm)) for one in shop.frame]
        fits, (narrow, wide) = max(
            (min(one[0] / short, one[1] / long), (one[0], one[1])) for one in sides
        )
        yield (
            f"the roomiest frame is {_rounded(narrow, units)} × {_rounded(wide, units)} inside",
            fits,
            TIMES,
        )
    press = shop.press
    if press.platen_width_mm is not None:
        told = f"the platen is {_rounded(press.platen_width_mm, units)} wide"
        yield told, press.platen_width_mm / width_mm, TIMES
    if press.platen_height_mm is not None:
        told = f"the platen is {_rounded(press.platen_height_mm, units)} long"
        yield told, press.platen_height_mm / height_mm, TIMES


def _rounded(mm: float, units: str) -> str:
    return f"{mm / 25.4:.1f} in" if units == "inch" else f"{mm:.0f} mm"
