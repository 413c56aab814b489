"""What other plugins may ask of the stencils."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from prep.estimate import Estimate


@dataclass(frozen=True, slots=True)
class FilmSheet:
    """The film of one screen, or a strip of it where it is cut in several.

    :param screen: key of the screen
    :param across_mm: size of the sheet across the film's width, as in the cut file
    :param along_mm: size along the roll
    :param mirrored: true when the file as the cutter sees it is the mirror image of the print
    :param turned: true when the print lies a quarter turn clockwise in the file
    :param stem: name of its files without ending, inside the folder ``stencils``
    """

    screen: str
    across_mm: float
    along_mm: float
    mirrored: bool
    turned: bool
    stem: str


@dataclass(frozen=True, slots=True)
class FilmSheets:
    """All films of a job, in print order.

    :param sheets: none where the film is too narrow for them
    :param width_mm: of each film as it lies on the mesh, whole
    :param height_mm: likewise
    :param film_length_mm: what they take off the roll, or of sheets together
    """

    sheets: tuple[FilmSheet, ...]
    width_mm: float
    height_mm: float
    film_length_mm: float


@dataclass(frozen=True, slots=True)
class FilmTime:
    """Minutes that the film of a screen takes.

    :param screen: key of the first screen it is for
    :param weed: lifting out what is printed
    :param place: looking after islands when it is laid
    """

    screen: str
    cut: Estimate
    weed: Estimate
    place: Estimate


@dataclass(frozen=True, slots=True)
class FilmTimes:
    """Minutes that the films of a job take, in print order."""

    films: tuple[FilmTime, ...]
