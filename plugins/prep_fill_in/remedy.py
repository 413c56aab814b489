"""What would cure a detail: a larger print, and whether film and frame allow it; a finer mesh."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

SQUEEGEE_BEYOND_IMAGE_MM = 13.0
"""Each side, at least (two suppliers' advice: 1/2-1 in; published)."""
FRAME_BEYOND_SQUEEGEE_MM = 40.0
"""Each side, the hard limit (common practice, no source)."""


MOST_ENLARGED = 1.5
"""Times a print may grow and still be the print that was ordered (our choice)."""


@dataclass(frozen=True, slots=True)
class FrameSize:
    """Inside of a frame."""

    name: str
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class Room:
    """What bounds a print's size.

    :param film_width_mm: of the roll or sheet
    :param film_margin_mm: film around the print, each side
    :param frames: in stock; none given = not a bound
    """

    film_width_mm: float
    film_margin_mm: float
    frames: tuple[FrameSize, ...] = ()


def enlarged_mm(width_mm: float, times: float) -> float:
    """Give the print width at which a detail passes, rounded up to 0.1 mm.

    Widths grow with the print, so the answer is width x limit / size; exact.
    """
    return math.ceil(width_mm * times * 10.0 - 1e-6) / 10.0


def why_too_large(width_mm: float, height_mm: float, room: Room) -> str | None:
    """Say what a print of this size exceeds; ``None`` when it fits.

    The film is cut from a roll, so the shorter side with its margins must fit across it. A frame
    must leave the squeegee its way: print + 13 mm for the squeegee + 40 mm beside it, each side;
    the print may lie either way round.
    """
    film = min(width_mm, height_mm) + 2.0 * room.film_margin_mm
    if film > room.film_width_mm:
        return f"needs film {film:.0f} mm wide, and the film in stock is {room.film_width_mm:g} mm"
    if room.frames:
        around = 2.0 * (SQUEEGEE_BEYOND_IMAGE_MM + FRAME_BEYOND_SQUEEGEE_MM)
        short, long = sorted((width_mm + around, height_mm + around))
        if not any(
            short <= min(f.width_mm, f.height_mm) and long <= max(f.width_mm, f.height_mm)
            for f in room.frames
        ):
            return f"needs a frame of {short:.0f} x {long:.0f} mm inside, and none in stock is"
    return None


def largest(width_mm: float, height_mm: float, room: Room) -> float:
    """Give how many times as large a print may get: to the limit of sense, of film, of frames.

    Below 1 it exceeds film or frames already. The bounds of :func:`why_too_large`, solved for the
    size.
    """
    short, long = sorted((width_mm, height_mm))
    if not short > 0.0:
        return MOST_ENLARGED
    most = min(MOST_ENLARGED, (room.film_width_mm - 2.0 * room.film_margin_mm) / short)
    if room.frames:
        around = 2.0 * (SQUEEGEE_BEYOND_IMAGE_MM + FRAME_BEYOND_SQUEEGEE_MM)
        most = min(
            most,
            max(
                min(
                    (min(f.width_mm, f.height_mm) - around) / short,
                    (max(f.width_mm, f.height_mm) - around) / long,
                )
                for f in room.frames
            ),
        )
    return max(most, 0.0)


@dataclass(frozen=True, slots=True)
class Resolution:
    """What the resolution rules read of a mesh; all in micrometres."""

    name: str
    pitch_um: float
    opening_um: float
    thread_um: float

    def resolves_mm(self, pitches: float = 2.0) -> float:
        """Give the finest line it resolves, mm.

        The larger of so many pitches and of opening + two threads (both from memory, no source).
        """
        return max(pitches * self.pitch_um, self.fails_below_mm() * 1000.0) / 1000.0

    def fails_below_mm(self) -> float:
        """Give opening + two threads, mm: a narrower line may lie on a thread and print nothing."""
        return (self.opening_um + 2.0 * self.thread_um) / 1000.0


def mesh_for(width_mm: float, stock: Sequence[Resolution], pitches: float) -> Resolution | None:
    """Give the coarsest mesh in stock that resolves this width: it lays down the most ink."""
    fit = [mesh for mesh in stock if mesh.resolves_mm(pitches) <= width_mm]
    return max(fit, key=lambda mesh: (mesh.pitch_um, mesh.name), default=None)
