"""The steps of a shirt as the job is worked: which screens are set up together, and what each part has."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from prep.shop import Press
    from prep_sequence.answers import PrintSteps, Step


@dataclass(frozen=True, slots=True)
class Part:
    """All shirts once through, with some screens set up together.

    :param films: their films, in the order they come down
    :param steps: what is done to each shirt while it lies there
    """

    films: tuple[str, ...]
    steps: tuple[Step, ...]


def parts_of(steps: PrintSteps, films: Mapping[str, str], *, by_colour: bool) -> tuple[Part, ...]:
    """Part the steps of a shirt as the job is worked.

    Shirt by shirt, a part ends where shirts are taken off. Colour by colour each film is a part, and what
    was flashed before the next film dries off the board instead.

    :param films: key of a screen -> its film
    """
    parts: list[list[Step]] = [[]]
    if by_colour:
        by_film: dict[str, list[Step]] = {}
        for step in steps.steps:
            if step.does != "take off":
                by_film.setdefault(films[step.screen], []).append(step)
        parts = list(by_film.values())
        for part in parts:
            while part and part[-1].does == "flash":
                part.pop()
    else:
        for step in steps.steps:
            if step.does == "take off":
                parts.append([])
            else:
                parts[-1].append(step)
    return tuple(
        Part(tuple(dict.fromkeys(films[s.screen] for s in part)), tuple(part))
        for part in parts
        if part
    )


def worked_by_colour(press: Press, steps: PrintSteps, films: int) -> bool:
    """Tell whether all shirts are printed in one colour and laid again for the next.

    That is where the shop or the order says so, and where the press holds one frame at a time.

    :param films: of the set-up
    """
    return films > 1 and (press.working == "colour by colour" or steps.rounds == films)
