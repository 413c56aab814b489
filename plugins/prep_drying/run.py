"""The run, pull by pull, in all possible worlds at once: ink before the blade, and ink in the openings.

Between two pulls water leaves the ink on the screen and, faster, the ink in its openings; a pull takes ink
to the shirt, pushes fresher ink into the openings, and when the bead gets low fresh ink is put to it. Rates
are constant, as the film's balance of heat gives them; ink that thickens gives its water off more slowly
than that, which isn't reckoned. What has clogged counts as lost for good.

Arrays have the axes S screens, W widths of opening, D worlds; masses in g, times in s.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Literal

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class OnScreens:
    """What the run follows from.

    :param water_share: (S, D) of fresh ink, by mass
    :param print_g: (S, D) ink that one pull takes to the shirt
    :param keep_g: (S, D) ink that must lie on the screen after every pull
    :param load_g: (S, D) ink put on at first and topped up to; at least what is kept and one pull
    :param evaporation_g_s: (S, D) water that leaves the ink on the screen
    :param loss_per_s: (S, W, D) share of its water that a freshly filled opening loses a second; narrowest
        first
    :param exchange: (S, D) share of the ink in an opening that a pull replaces
    :param critical_loss: (S, D) share of its water that ink may lose before it clogs
    :param gaps_s: (S, K, D) time before each pull of a shirt; 0 beyond the screen's own
    :param pulls: (S,) pulls of each screen on one shirt, 1 to K
    """

    water_share: Floats
    print_g: Floats
    keep_g: Floats
    load_g: Floats
    evaporation_g_s: Floats
    loss_per_s: Floats
    exchange: Floats
    critical_loss: Floats
    gaps_s: Floats
    pulls: Ints

    def __post_init__(self) -> None:
        """Check the figures.

        :raises ValueError: not finite, negative, a share outside its bounds, or a load too small
        """
        for field in fields(self):
            value = getattr(self, field.name)
            if not np.isfinite(value).all() or (value < 0).any():
                raise ValueError(f"{field.name} must be finite and not negative")
        for name in ("water_share", "exchange", "critical_loss"):
            value = getattr(self, name)
            if (value <= 0).any() or (value > 1).any():
                raise ValueError(f"{name} must lie above 0 and not above 1")
        if (self.water_share >= 1).any():
            raise ValueError("ink of water alone has nothing to print")
        if (self.load_g < self.keep_g + self.print_g - 1e-9).any() or not (self.load_g > 0).all():
            raise ValueError("the load must hold what is kept on the screen, and one pull")
        if (self.pulls < 1).any() or (self.pulls > self.gaps_s.shape[1]).any():
            raise ValueError("each screen is pulled once a shirt or more, with a gap before each")

    def only(self, screens: Sequence[int]) -> OnScreens:
        """Give some of the screens, by their places."""
        places = list(screens)
        return OnScreens(
            **{field.name: getattr(self, field.name)[places] for field in fields(self)}
        )


Mist = Literal["never", "as needed", "always"]


@dataclass(frozen=True, slots=True)
class Due:
    """When something comes that is done again and again.

    :param every: prints from one time to the next
    :param first: prints made before the first time; ``None`` = as many
    """

    every: int
    first: int | None = None

    def __post_init__(self) -> None:
        """Check the figures.

        :raises ValueError: before the first print, or never on
        """
        if self.every < 1 or (self.first is not None and self.first < 1):
            raise ValueError("what is done again and again comes after one print or more")

    def comes(self, made: int) -> bool:
        """Tell whether it comes after so many prints."""
        first = self.every if self.first is None else self.first
        return made >= first and (made - first) % self.every == 0


@dataclass(frozen=True, slots=True)
class Wait:
    """Idle time that comes again and again, besides what a shirt takes.

    :param due: when
    :param takes_s: each time
    """

    due: Due
    takes_s: float


@dataclass(frozen=True, slots=True)
class Course:
    """How the run is gone through.

    :param prints: shirts, test pulls and shirts spoilt
    :param waits: idle times; those that come together add up
    :param wipes: when the openings are wiped out and filled anew
    :param mist: water stirred into the ink before the blade: ``always`` as much as leaves it, ``as needed``
        once it has lost half of what it may, to hold it there, or ``never``
    """

    prints: int
    waits: tuple[Wait, ...] = ()
    wipes: tuple[Due, ...] = ()
    mist: Mist = "never"

    def __post_init__(self) -> None:
        """Check the figures.

        :raises ValueError: nothing to print, or a negative figure
        """
        if self.prints < 1 or any(wait.takes_s < 0 for wait in self.waits):
            raise ValueError("a run prints something, and no pause takes less than no time")


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """What became of the ink. Prints are counted from 1, test pulls among them.

    :param lost_at: (S, W, D) print before which an opening had clogged; 0 = never
    :param dried_at: (S, D) print before which the ink before the blade itself had thickened so; 0 = never
    :param thick_at: (S, D) print before which it had first lost half of what it may; 0 = never
    :param pause_s: (S, D) longest time that the narrowest opening would have stood after any print until
        the next, the usual time among it; 0 once it was lost
    :param misted_g: (S, D) water stirred in
    :param mass_g: (S, D) ink on the screen at the end
    :param water_g: (S, D) water in it
    """

    lost_at: Ints
    dried_at: Ints
    thick_at: Ints
    pause_s: Floats
    misted_g: Floats
    mass_g: Floats
    water_g: Floats

    @property
    def open_to_the_end(self) -> NDArray[np.bool_]:
        """(S, D) whether neither the narrowest opening was lost nor the ink before the blade dried."""
        return np.asarray((self.lost_at[:, 0] == 0) & (self.dried_at == 0))


Watch = Callable[["Floats", "Floats", "Floats"], None]
"""Called at each print with (S, D) arrays: water share of the ink before the blade; of the narrowest
opening's ink, when it is driest; fresh ink to put on before it."""


def simulate(on: OnScreens, course: Course, watch: Watch | None = None) -> Run:
    """Print a run.

    Before each pull water leaves for the time since the one before; an opening whose ink has lost more than
    it may is lost; where the bead would fall below what must be kept, fresh ink is put on; then the pull.
    The same time passes before the first pull, when screens have been inked and shirts are laid.

    What is put on is told as no more than the rest of the run takes, but reckoned as a whole load: nothing
    that happens before a print depends on how many come after it, so that a longer run is never safer.

    :param watch: sees every print
    """
    screens, widths, worlds = on.loss_per_s.shape
    most = on.gaps_s.shape[1]
    fresh = on.water_share / (1.0 - on.water_share)  # water over solids
    may_stay = 1.0 - on.critical_loss  # share of its water that ink must keep
    half_gone = 1.0 - on.critical_loss / 2.0
    gone_g_s = on.evaporation_g_s * (course.mist != "always")
    a_shirt_g = on.print_g * on.pulls[:, None] + gone_g_s * on.gaps_s.sum(axis=1)
    water, solids = on.load_g * on.water_share, on.load_g * (1.0 - on.water_share)
    bead_left = np.ones((screens, worlds))  # water over solids, of what fresh ink has
    left = np.ones((screens, widths, worlds))
    lost_at = np.zeros((screens, widths, worlds), dtype=np.int64)
    dried_at = np.zeros((screens, worlds), dtype=np.int64)
    thick_at = np.zeros((screens, worlds), dtype=np.int64)
    misted_g = np.zeros((screens, worlds))
    pause_s = np.full((screens, worlds), np.inf)
    finest_per_s = np.maximum(on.loss_per_s[:, 0], 1e-300)
    acting = [(on.pulls > k)[:, None] for k in range(most)]
    # what a pull does the same each time, for each pull of a shirt
    dries = [on.loss_per_s * on.gaps_s[:, k, None] for k in range(most)]
    taken = [np.where(acts, on.print_g, 0.0) for acts in acting]
    exchanged = [np.where(acts, on.exchange, 0.0)[:, None] for acts in acting]
    kept = [1.0 - part for part in exchanged]
    may_stay_in = [np.where(acts, may_stay, -1.0)[:, None] for acts in acting]
    open_still = np.ones(left.shape, dtype=bool)
    for number in range(1, course.prints + 1):
        gone = number - 1  # prints made
        stands = sum(wait.takes_s for wait in course.waits if wait.due.comes(gone))
        wipes = any(due.comes(gone) for due in course.wipes)
        rest_g = on.keep_g + (course.prints - gone) * a_shirt_g
        driest = None
        topped = np.zeros((screens, worlds))
        for k in range(most):
            acts = acting[k]
            if stands and k == 0:  # nobody mists during a pause
                water = np.maximum(water - on.evaporation_g_s * stands, 0.0)
            before, water = water, np.maximum(water - on.evaporation_g_s * on.gaps_s[:, k], 0.0)
            if course.mist == "always":
                misted_g += before - water
                water = before
            bead_left = _ratio(water, solids, fresh, bead_left)
            dried_at[(bead_left <= may_stay) & (dried_at == 0) & acts] = number
            thick = (bead_left < half_gone) & acts
            thick_at[thick & (thick_at == 0)] = number
            if course.mist == "as needed" and thick.any():
                added = np.where(thick, half_gone * fresh * solids - water, 0.0)
                misted_g += added
                water = water + added
                bead_left = np.where(thick, half_gone, bead_left)
            left -= dries[k]
            if stands and k == 0:
                left -= on.loss_per_s * stands
            np.maximum(left, 0.0, out=left)
            if wipes and k == 0:
                left[:] = bead_left[:, None]
            newly = (left <= may_stay_in[k]) & open_still
            if newly.any():
                lost_at[newly] = number
                open_still &= ~newly
            finest = left[:, 0].copy()
            driest = (
                finest if driest is None else np.where(acts, np.minimum(driest, finest), driest)
            )
            mass = water + solids
            low = acts & (mass < on.keep_g + on.print_g - 1e-9)
            if low.any():
                wanted = np.minimum(on.load_g, np.maximum(rest_g, on.keep_g + on.print_g))
                topped += np.where(low, np.maximum(wanted - mass, 0.0), 0.0)
                added = np.where(low, np.maximum(on.load_g - mass, 0.0), 0.0)
                water = water + added * on.water_share
                solids = solids + added * (1.0 - on.water_share)
                mass = mass + added
                bead_left = _ratio(water, solids, fresh, bead_left)
            stays = 1.0 - np.divide(taken[k], mass, out=np.zeros_like(mass), where=mass > 0)
            np.maximum(stays, 0.0, out=stays)
            water, solids = water * stays, solids * stays
            left *= kept[k]
            left += exchanged[k] * bead_left[:, None]
            spare = np.where(acts, np.maximum(left[:, 0] - may_stay, 0.0) / finest_per_s, np.inf)
            pause_s = np.minimum(pause_s, spare)
        if watch is not None:
            watch(_share(bead_left, fresh), _share(driest, fresh), topped)
    pause_s = np.where(lost_at[:, 0] > 0, 0.0, pause_s)
    return Run(
        lost_at,
        dried_at,
        thick_at,
        pause_s,
        misted_g,
        water + solids,
        water,
    )


def _ratio(water: Floats, solids: Floats, fresh: Floats, before: Floats) -> Floats:
    """Give water over solids as a share of fresh ink's; as it was before where nothing is left."""
    return np.divide(water, solids * fresh, out=before.copy(), where=solids > 0)


def _share(left: Floats | None, fresh: Floats) -> Floats:
    """Give the water share of ink that has kept a share of its water."""
    water = np.asarray(left) * fresh
    return np.asarray(water / (1.0 + water))
