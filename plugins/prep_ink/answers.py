"""What other plugins may ask of ink and mesh. Imports no numpy."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from prep.cloth import MeshFigures

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep.job import Job, ReadSettings
    from prep.order import SetUp

__all__ = [
    "Contribution",
    "InkOnScreen",
    "InkOnScreens",
    "InkToMix",
    "MeshFigures",
    "MeshOnScreens",
    "Prints",
    "over_all",
    "prints_of",
]


@dataclass(frozen=True, slots=True)
class Prints:
    """How often each screen of a set-up is printed, each pass apart.

    :param test_pulls: prints on scrap before the first shirt
    :param spoilt: shirts spoilt and printed again
    """

    shirts: int
    test_pulls: int
    spoilt: int

    @property
    def total(self) -> int:
        """All of them."""
        return self.shirts + self.test_pulls + self.spoilt


def prints_of(settings: ReadSettings, setup: SetUp) -> Prints:
    """Count the prints of a set-up by the settings in force; those who can ask, ask for :class:`Prints`."""
    from prep_ink import mixing
    from prep_ink.settings import OrderInk

    order = settings(OrderInk)
    total = mixing.prints(setup.shirts, order.test_pulls, order.spoilage)
    return Prints(setup.shirts, order.test_pulls, total - setup.shirts - order.test_pulls)


def over_all(forecasts: Sequence[tuple[Job, InkOnScreens]]) -> tuple[InkToMix, ...]:
    """Give what to mix of every ink over all set-ups of an order, rounded once.

    :param forecasts: each set-up's job and its ink
    """
    from prep_ink.totals import over_all

    return over_all(forecasts)


@dataclass(frozen=True, slots=True)
class MeshOnScreens:
    """The mesh of every screen.

    :param by_screen: screen's key -> figures of its mesh
    """

    by_screen: Mapping[str, MeshFigures]

    def __getitem__(self, screen: str) -> MeshFigures:
        """Give the mesh of the screen with this key."""
        return self.by_screen[screen]


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one parameter adds to the uncertainty of a figure.

    :param parameter: its name
    :param words: what the uncertainty comes from
    :param share: of the whole, 0..1
    :param remedy: what the printer can do to know it better, a sentence; empty = nothing simple
    """

    parameter: str
    words: str
    share: float
    remedy: str


@dataclass(frozen=True, slots=True)
class InkOnScreen:
    """The ink one screen prints.

    :param screen: its key
    :param film: name of the film it is printed through
    :param ink: name of the ink
    :param kind: the usual kind that it is printed like: ``opaque white``, ``transparent colour`` ...
    :param kind_assumed: true when neither shop nor order says the kind
    :param strokes: strokes without drying between
    :param passes: times printed, dried between
    :param open_field_um: wet deposit of all strokes and passes, far from any edge
    :param at_edge_um: the same at the film's edge
    :param mean_deposit_um: the same, mean over what prints
    :param per_print_g: ink on one shirt
    :param once_measured_g: the same as it would be known once the remedy of the largest part of its
        uncertainty has been followed; ``None`` where there is none
    :param test_pulls: prints on scrap before the first shirt
    :param prints: shirts, test pulls and shirts spoilt
    :param for_run_g: ink on all these
    :param squeegee_mm: length of the squeegee reckoned with
    :param squeegee_assumed: what is reckoned with where it isn't known; empty where it is
    :param bead_g: ink that must lie before the blade at the last print; most of it is scraped back
    :param clings_g: ink in the mesh, on film and blade after the last print, which is washed out
    :param to_mix_g: this screen's part of what is to be mixed
    :param density_g_per_ml: of the ink
    :param water_share: water in the ink as it comes, 0..1 by mass
    :param swept_mm2: area of the screen that carries ink while it is printed
    :param pot_life_s: after which the ink is thrown away once mixed; ``None`` = it keeps
    :param made: it is mixed by a recipe
    :param uncertainty: what the range of ``for_run_g`` comes from, largest share first
    """

    screen: str
    film: str
    ink: str
    kind: str
    kind_assumed: bool
    strokes: int
    passes: int
    open_field_um: Estimate
    at_edge_um: Estimate
    mean_deposit_um: Estimate
    per_print_g: Estimate
    once_measured_g: Estimate | None
    test_pulls: int
    prints: int
    for_run_g: Estimate
    squeegee_mm: float
    squeegee_assumed: str
    bead_g: Estimate
    clings_g: Estimate
    to_mix_g: float
    density_g_per_ml: Estimate
    water_share: Estimate
    swept_mm2: float
    pot_life_s: float | None
    made: bool
    uncertainty: tuple[Contribution, ...]

    @property
    def stays_g(self) -> Estimate:
        """Ink that is still on this screen after the last print."""
        return self.bead_g + self.clings_g


@dataclass(frozen=True, slots=True)
class InkToMix:
    """One ink over all screens that print it.

    :param screens: keys of these screens; ``set-up/screen`` where several set-ups are told together
    :param for_run_g: ink on shirts, test pulls and shirts spoilt
    :param bead_g: ink that must lie before the blades at the last print; most of it is scraped back
    :param clings_g: ink that is washed out of mesh, film and blades
    :param pot_g: ink that stays in the pot
    :param to_mix_g: rounded up to what the balance shows
    :param chance: chance that this suffices, 0..1
    :param pot_life_s: after which it is thrown away once mixed, never stock; ``None`` = what is left
        keeps
    :param made: it is mixed by a recipe, so that the stock of its parts counts
    """

    ink: str
    screens: tuple[str, ...]
    for_run_g: Estimate
    bead_g: Estimate
    clings_g: Estimate
    pot_g: Estimate
    density_g_per_ml: Estimate
    to_mix_g: float
    chance: float
    pot_life_s: float | None
    made: bool = False

    @property
    def stays_g(self) -> Estimate:
        """Ink that is left on screens, squeegees and in the pot."""
        return self.bead_g + self.clings_g + self.pot_g


@dataclass(frozen=True, slots=True)
class InkOnScreens:
    """All ink of one set-up.

    :param by_screen: screen's key -> its ink, in print order
    :param inks: what to mix, in the order the inks are first printed
    """

    by_screen: Mapping[str, InkOnScreen]
    inks: tuple[InkToMix, ...]

    def __getitem__(self, screen: str) -> InkOnScreen:
        """Give the ink of the screen with this key."""
        return self.by_screen[screen]
