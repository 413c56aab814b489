"""The kinds of ink a shop prints with: strokes, fibres, flash and pot life of each, with their status.

Density and water share, which figures are reckoned from, stand in :mod:`prep_ink.parameters`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from prep.estimate import Status
    from prep.fibres import Fibre
    from prep.shop import Ink, InkKind, Shop

CELLULOSE: frozenset[Fibre] = frozenset(("cotton", "linen", "hemp", "viscose", "lyocell"))
HOUR_S = 3600.0


@dataclass(frozen=True, slots=True)
class InkClass:
    """What is usual for one kind of ink.

    :param strokes: each time it is printed, without drying between
    :param fibres: that it is made for
    :param least_share: of these fibres in a cloth, from which on it is usually fit, 0..1
    :param flash_s: seconds (from, to) under a flash dryer until it is dry to the touch; ``None`` = it
        isn't flashed
    :param pot_life_s: after which it is thrown away, from when it was mixed; ``None`` = it keeps in a
        closed pot
    :param status: of these figures
    :param source: of these figures
    """

    kind: str
    strokes: int
    fibres: frozenset[Fibre]
    least_share: float
    flash_s: tuple[float, float] | None
    pot_life_s: float | None
    status: Status
    source: str


_PRACTICE = "common practice, no source; the ink maker's sheet comes first"
_FLASH_S = (15.0, 40.0)
USUAL: Mapping[InkKind, InkClass] = {
    "opaque white": InkClass(
        "opaque white", 2, CELLULOSE, 0.5, _FLASH_S, None, "common practice", _PRACTICE
    ),
    "opaque colour": InkClass(
        "opaque colour", 2, CELLULOSE, 0.5, _FLASH_S, None, "common practice", _PRACTICE
    ),
    "transparent colour": InkClass(
        "transparent colour", 2, CELLULOSE, 0.5, _FLASH_S, None, "common practice", _PRACTICE
    ),
    "discharge": InkClass(
        "discharge",
        2,
        CELLULOSE,
        0.95,
        None,
        6 * HOUR_S,
        "from memory",
        "mixed with its activator it works for 4 to 8 hours, and not once it is flashed dry; from memory",
    ),
    "low-cure": InkClass(
        "low-cure",
        2,
        CELLULOSE | {"polyester"},
        0.9,
        _FLASH_S,
        None,
        "from memory",
        "made for polyester and blends, some 130 to 140 °C; from memory",
    ),
}
"""The usual kinds."""


def class_of(shop: Shop, ink: Ink | None, kind: InkKind) -> InkClass:
    """Give what holds for an ink: its own figures, else those of the shop's own kind, else the usual.

    :param ink: from the shop's list; ``None`` where it isn't there
    :param kind: the usual kind it is printed like
    """
    found = USUAL[kind]
    if ink is None:
        return found
    own = shop.own_kind(ink)
    for said in (own, ink):
        if said is None:
            continue
        stated = {
            "strokes": said.strokes,
            "fibres": None if said.fibres is None else frozenset(said.fibres),
            "flash_s": None if said.flash_s is None else (said.flash_s, said.flash_s),
            "pot_life_s": said.pot_life_s,
        }
        given = {name: value for name, value in stated.items() if value is not None}
        if given:
            which = ", ".join(name.removesuffix("_s").replace("_", " ") for name in given)
            found = replace(
                found,
                **given,  # type: ignore[arg-type]  # each of its field's type
                status="measured here",
                source=f"{which} as shop.toml says; else {found.source}",
            )
    return found if own is None else replace(found, kind=own.name)


def suits(ink: InkClass, shares: Mapping[Fibre, float | None]) -> bool | None:
    """Tell whether an ink is made for a cloth; ``None`` where its fibres or their shares aren't known.

    :param shares: fibre -> share of the cloth, 0..1, or ``None`` where only its name is known

    >>> suits(USUAL["opaque white"], {"cotton": 0.6, "polyester": 0.4})
    True
    >>> suits(USUAL["opaque white"], {"polyester": None}), suits(USUAL["discharge"], {})
    (False, None)
    """
    fit = [share for fibre, share in shares.items() if fibre in ink.fibres]
    unfit = [share for fibre, share in shares.items() if fibre not in ink.fibres]
    if not shares:
        return None
    if not unfit or not fit:
        return not unfit
    if all(share is not None for share in fit):
        return sum(share or 0.0 for share in fit) >= ink.least_share - 1e-9
    if all(share is not None for share in unfit):
        return 1.0 - sum(share or 0.0 for share in unfit) >= ink.least_share - 1e-9
    return None
