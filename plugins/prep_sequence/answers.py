"""What other plugins may ask: the steps of printing one shirt."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Does = Literal["print", "flash", "take off"]


@dataclass(frozen=True, slots=True)
class Step:
    """One step.

    :param screen: key of the screen printed; of the one printed before, for a flash
    :param number: which pass of the screen, from 1; 0 for other steps
    :param takes_s: flashing and cooling; 0 for other steps
    :param cool_s: cooling among it
    :param why: a sentence; empty where nothing needs saying
    """

    does: Does
    screen: str
    number: int
    takes_s: float
    why: str
    cool_s: float = 0.0

    @property
    def in_words(self) -> str:
        """How long a flash is: ``30 s under the dryer, then 15 s to cool``; empty for other steps."""
        if self.does != "flash":
            return ""
        cools = f", then {self.cool_s:.0f} s to cool" if self.cool_s > 0 else ""
        return f"{self.takes_s - self.cool_s:.0f} s under the dryer{cools}"


@dataclass(frozen=True, slots=True)
class PrintSteps:
    """All that is done to a shirt before it is cured.

    :param rounds: times a shirt is laid on the board
    :param stations: frames the press holds at a time; ``None`` where the shop doesn't say
    :param bold: (screen printed, screen below it still wet) where the order leaves out a flash
    """

    steps: tuple[Step, ...]
    rounds: int
    stations: int | None
    bold: tuple[tuple[str, str], ...] = ()

    @property
    def flashes(self) -> int:
        """How often a shirt is flashed."""
        return sum(step.does == "flash" for step in self.steps)

    @property
    def drying_s(self) -> float:
        """Time for flashing and cooling one shirt."""
        return sum(step.takes_s for step in self.steps)
