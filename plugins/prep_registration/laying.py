"""Which screens are set up together: between these sets shirts lie where the test pull lay."""

from __future__ import annotations

from dataclasses import dataclass

from prep.errors import Unanswered
from prep.job import Ask, Job
from prep.screens import Screen


@dataclass(frozen=True, slots=True)
class Together:
    """Keys of screens that are set up together, in working order."""

    sets: tuple[tuple[str, ...], ...]

    @property
    def again(self) -> bool:
        """Whether shirts are laid again, so that the test pull can't stay where it is."""
        return len(self.sets) > 1

    def begins(self, screen: Screen) -> bool:
        """Tell whether shirts were printed right before this screen is set up."""
        return any(keys[0] == screen.key for keys in self.sets[1:])

    def ends(self, screen: Screen) -> bool:
        """Tell whether shirts are laid, and will be laid again or were, once this screen is set up."""
        return self.again and any(keys[-1] == screen.key for keys in self.sets)

    def is_last(self, screen: Screen) -> bool:
        """Tell whether nothing is set up after this screen."""
        return self.sets[-1][-1] == screen.key


def together(job: Job, ask: Ask) -> Together:
    """Give which screens of a job are set up together; all of them where nobody tells."""
    try:
        from prep_sequence.answers import PrintSteps
        from prep_sequence.working import parts_of, worked_by_colour

        steps = ask(PrintSteps)
    except (ModuleNotFoundError, Unanswered):
        return Together((tuple(screen.key for screen in job.screens),))
    films = {screen.key: screen.film for screen in job.screens}
    by_colour = worked_by_colour(job.shop.press, steps, len(job.films))
    parts = parts_of(steps, films, by_colour=by_colour)
    return Together(tuple(tuple(dict.fromkeys(s.screen for s in part.steps)) for part in parts))
