"""What other plugins may ask of ink and mesh. Imports no numpy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from prep_ink.mesh import MeshFigures

if TYPE_CHECKING:
    from prep.estimate import Estimate

__all__ = [
    "Contribution",
    "InkOnScreen",
    "InkOnScreens",
    "InkToMix",
    "MeshFigures",
    "MeshOnScreens",
]


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

    :param words: what the uncertainty comes from
    :param share: of the whole, 0..1
    :param remedy: what the printer can do to know it better, a sentence; empty = nothing simple
    """

    words: str
    share: float
    remedy: str


@dataclass(frozen=True, slots=True)
class InkOnScreen:
    """The ink one screen prints.

    :param screen: its key
    :param ink: name of the ink
    :param kind: ``opaque white``, ``transparent colour`` ...
    :param kind_assumed: true when neither shop nor order says the kind
    :param strokes: strokes without drying between
    :param passes: times printed, dried between
    :param open_field_um: wet deposit of all strokes and passes, far from any edge
    :param at_edge_um: the same at the film's edge
    :param mean_deposit_um: the same, mean over what prints
    :param per_print_g: ink on one shirt
    :param prints: shirts, test pulls and shirts spoilt
    :param for_run_g: ink on all these
    :param stays_g: ink that is still on this screen after the last print
    :param to_mix_g: this screen's part of what is to be mixed
    :param density_g_per_ml: of the ink
    :param water_share: water in the ink as it comes, 0..1 by mass
    :param swept_mm2: area of the screen that carries ink while it is printed
    :param uncertainty: what the range of ``for_run_g`` comes from, largest share first
    """

    screen: str
    ink: str
    kind: str
    kind_assumed: bool
    strokes: int
    passes: int
    open_field_um: Estimate
    at_edge_um: Estimate
    mean_deposit_um: Estimate
    per_print_g: Estimate
    prints: int
    for_run_g: Estimate
    stays_g: Estimate
    to_mix_g: float
    density_g_per_ml: Estimate
    water_share: Estimate
    swept_mm2: float
    uncertainty: tuple[Contribution, ...]


@dataclass(frozen=True, slots=True)
class InkToMix:
    """One ink over all screens that print it.

    :param screens: keys of these screens
    :param for_run_g: ink on shirts, test pulls and shirts spoilt
    :param stays_g: ink that is left on screens, squeegee and pot, most of it to be scraped back
    :param to_mix_g: rounded up to what the balance shows
    :param chance: chance that this suffices, 0..1
    """

    ink: str
    screens: tuple[str, ...]
    for_run_g: Estimate
    stays_g: Estimate
    to_mix_g: float
    chance: float


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
