"""Whether what the shop has measured can be: refused where not, said where the model is far from it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prep.errors import SettingsError
from prep.phrases import several
from prep_drying import parameters

if TYPE_CHECKING:
    from prep_drying.scene import Around, Scene

FAR = 6.0
"""How many times a measured figure may be what the model gives before it is said. The model is good to a
factor of two or three, so that beyond this a unit or a climate is more likely wrong. A guess."""
_MEASURED = (
    ("weighed", parameters.WEIGHED),
    ("open_cleared", parameters.OPEN_CLEARED),
    ("open_flooded", parameters.OPEN_FLOODED),
)


def check_measured(scene: Scene, air: Around) -> None:
    """Refuse figures of drying from air in which nothing dries.

    :raises SettingsError: the air they were measured in is saturated
    """
    stated = [key for key, known in _MEASURED if scene.hand.has_measured(known)]
    if stated and not air.flux_measured[0] > 0.0:
        raise SettingsError(
            f"drying: {several(stated)} can't have been measured in air of"
            f" {100 * scene.measured_room.humidity:g} % humidity, in which no water leaves the ink",
            where="shop.toml",
            do="write what held then as measured_in = { humidity = ... } under [drying], or correct [room]",
        )


def far_off(scene: Scene, air: Around) -> Iterator[str]:
    """Say which measured figures are far from what the model gives for the climate they count for."""
    one = scene.screens[0]
    ratios = {
        "weighed": air.weighed_over_model[0],
        "open_cleared": air.measured(scene, one, flooded=False)[0],
        "open_flooded": air.measured(scene, one, flooded=True)[0],
    }
    for key, ratio in ratios.items():
        if not 1.0 / FAR <= ratio <= FAR:
            times = f"{ratio:.0f} times" if ratio > 1.0 else f"1/{1.0 / ratio:.0f} of"
            yield (
                f"{key} in shop.toml's [drying] is {times} what the model gives for the climate it counts"
                " for; it is taken all the same: check its units, and what held when it was measured."
            )
