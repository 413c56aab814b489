"""What other plugins may ask of frames and squeegees."""

from __future__ import annotations

from dataclasses import dataclass

from prep_squeegee.room import Bounds, FrameSize, Limits, Path, holds, needed


@dataclass(frozen=True, slots=True)
class FrameRoom:
    """What the shop's frames can hold. Asks nobody, so that whoever places marks may ask it.

    :param frames: in stock; empty where shop.toml states none
    """

    frames: tuple[FrameSize, ...]
    limits: Limits

    def held(self, cut_mm: Bounds, middle_mm: tuple[float, float]) -> bool:
        """Tell whether some frame holds what is cut, squeegee and ink wells; true without frames.

        :param cut_mm: bounds of openings and marks
        :param middle_mm: what lies in the middle of the frame: the centre of the print
        """
        width, height = needed(Path(cut_mm, middle_mm), self.limits)
        return not self.frames or any(holds(frame, width, height) for frame in self.frames)


@dataclass(frozen=True, slots=True)
class Pull:
    """What one screen is printed with.

    :param screen: its key
    :param frame: name of the frame; ``None`` where none in stock will do or none is stated
    :param inside_mm: (width, height) inside that frame
    :param needs_mm: (width, height) inside that a frame must have, the film's sheet included
    :param squeegee_mm: length of the squeegee; ``None`` where none in stock will do
    :param well_mm: room for ink above and below what is cut, the smaller of the two: what the frame
        leaves, or the least that is asked for where no frame is known
    :param hardness_shore_a: from, to
    :param off_contact_mm: between mesh and fabric
    :param fleece_adds_mm: (from, to) that the frame hangs higher above the platen on fleece than on a
        tee; ``None`` where nothing of fleece is printed
    """

    screen: str
    frame: str | None
    inside_mm: tuple[float, float] | None
    needs_mm: tuple[float, float]
    squeegee_mm: float | None
    well_mm: float
    hardness_shore_a: tuple[int, int]
    off_contact_mm: float
    fleece_adds_mm: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class Pulls:
    """What every screen of a job is printed with, in print order."""

    pulls: tuple[Pull, ...]

    def __getitem__(self, screen: str) -> Pull:
        """Give that of the screen with this key.

        :raises KeyError: no such screen
        """
        for pull in self.pulls:
            if pull.screen == screen:
                return pull
        raise KeyError(screen)
