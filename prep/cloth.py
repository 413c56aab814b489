"""Woven mesh: its figures from count and thread, or from the maker's own line, held against each other.

Plain weave, square openings. Lengths in micrometres; a volume per area in cm3/m2 is the same number
as a film thickness in micrometres (1 cm3/m2 = 1 um).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

THICKNESS_PER_THREAD = 1.6
"""Thickness of the cloth in thread diameters, where no data sheet says it.

Published data sheets give 1.48-1.58, those quoted from memory 1.53-1.67; it is never 2: threads bed
into each other and flatten (*Screen Printing*, "Mesh Matters", June 2009).
"""

CRIMP = 1.028
"""How much longer a thread in the cloth is than the cloth; 1.02-1.04, reckoned for a sine wave."""

OPEN_AREA_AGREES = 0.015
"""How far a stated open area may lie from the one its opening gives: figures are rounded to a per cent."""

VOLUME_AGREES_UM = 1.0
VOLUME_AGREES = 0.025
"""How far a stated volume may lie from open area times thickness: 1 cm3/m2, in coarse meshes 2.5 %, as an
open area in whole per cents makes it."""

OPENING_AGREES = (0.6, 1.1)
"""How far a stated opening may lie from pitch less thread: published rows give 1.03, those quoted from
memory down to 0.83, and a twill 0.74 (AGH University, "Technical data on investigated fabrics")."""

_HAIR = 1e-6
"""What a decimal fraction may be off in binary."""

FINE_FROM_PER_CM = 60.0
"""From this count on, ideal figures overstate the volume more: threads flatten into small openings."""

Origin = Literal["maker", "ideal"]


class ImpossibleMeshError(ValueError):
    """Figures no cloth can have, or that contradict each other; says which and what would be right."""


@dataclass(frozen=True, slots=True)
class MeshFigures:
    """Figures of one mesh.

    :param name: label on the frame
    :param count_per_cm: threads per centimetre
    :param thread_um: diameter of the thread before weaving
    :param pitch_um: from thread to thread
    :param opening_um: clear width between two threads
    :param open_area: share of the cloth that is open, 0..1
    :param thickness_um: of the cloth
    :param volume_um: theoretical ink volume in cm3/m2 (= um): open area x thickness
    :param void_um: all that is not thread, in cm3/m2: the most the cloth can hold
    :param stated: which of ``opening``, ``open area``, ``thickness``, ``volume`` the maker states
    """

    name: str
    count_per_cm: float
    thread_um: float
    pitch_um: float
    opening_um: float
    open_area: float
    thickness_um: float
    volume_um: float
    void_um: float
    stated: frozenset[str] = frozenset()

    @property
    def volume_origin(self) -> Origin:
        """Whether the volume rests on the maker's figures alone or on ideal formulas too."""
        own = "volume" in self.stated or {"open area", "thickness"} <= self.stated
        return "maker" if own else "ideal"

    @property
    def volume_range(self) -> tuple[float, float]:
        """The 10-90 % interval of the true volume as factors of ``volume_um``.

        Ideal figures: +5/-25 % from 60 threads/cm on, +5/-15 % below. They lie 5-30 % above data
        sheets quoted from memory and 3 % below a published one, and one mesh name stands for unlike
        volumes at unlike makers. The maker's own: +-5 %, a guess; "specifications ... nominal,
        theoretical, or measured; no standard" (Clarke and Lynch, page "Screens").
        """
        if self.volume_origin == "maker":
            return 0.95, 1.05
        return (0.75 if self.count_per_cm >= FINE_FROM_PER_CM else 0.85), 1.05


def figures(
    name: str,
    count_per_cm: float,
    thread_um: float,
    *,
    opening_um: float | None = None,
    open_area: float | None = None,
    thickness_um: float | None = None,
    volume_um: float | None = None,
) -> MeshFigures:
    """Give all figures of a mesh; what the maker doesn't state follows from ideal square openings.

    pitch p = 10000 / n and ideal opening w = p - d by definition; open area A0 = (w / p)^2 and
    theoretical volume V = A0 D as wire-cloth makers publish them. D = 1.6 d where it isn't stated.

    :param count_per_cm: threads per cm, n
    :param thread_um: thread before weaving, d
    :param opening_um: the maker's opening, w
    :param open_area: the maker's open area, 0..1
    :param thickness_um: the maker's thickness of the cloth, D
    :param volume_um: the maker's theoretical ink volume in cm3/m2
    :raises ImpossibleMeshError: a thread as wide as the pitch or wider, or figures that contradict
        each other

    >>> mesh = figures("43-80", 43, 80)
    >>> round(mesh.pitch_um, 1), round(mesh.opening_um, 1), round(mesh.open_area, 3)
    (232.6, 152.6, 0.43)
    >>> round(figures("90-40", 90, 40, opening_um=73, open_area=0.42, thickness_um=59).volume_um, 2)
    24.78
    """
    for what, value in (
        ("count", count_per_cm),
        ("thread", thread_um),
        ("opening", opening_um),
        ("open area", open_area),
        ("thickness", thickness_um),
        ("volume", volume_um),
    ):
        if value is not None and not (math.isfinite(value) and value > 0):
            raise ImpossibleMeshError(f"its {what} must be more than 0, not {value:g}")
    pitch = 10_000.0 / count_per_cm
    if thread_um >= pitch:
        raise ImpossibleMeshError(
            f"a thread of {thread_um:g} um is wider than the pitch of {pitch:.4g} um that"
            f" {count_per_cm:g} threads/cm leave; it must be thinner"
        )
    if opening_um is not None and opening_um >= pitch:
        raise ImpossibleMeshError(
            f"an opening of {opening_um:g} um is wider than the pitch of {pitch:.4g} um that"
            f" {count_per_cm:g} threads/cm leave; it must be smaller"
        )
    if open_area is not None and open_area >= 1:
        raise ImpossibleMeshError(f"an open area of {100 * open_area:.0f} % leaves no thread")
    opening, area = _opening_and_area(pitch, thread_um, opening_um, open_area)
    _opening_is_right(count_per_cm, pitch, thread_um, opening)
    if area is None and volume_um is not None and thickness_um is not None:
        area = volume_um / thickness_um
        opening = pitch * math.sqrt(area)
        _opening_is_right(count_per_cm, pitch, thread_um, opening)
    if area is None:
        area = (opening / pitch) ** 2
        thickness = thickness_um if thickness_um is not None else THICKNESS_PER_THREAD * thread_um
        volume = volume_um if volume_um is not None else area * thickness
        _volume_is_right(area, thread_um, volume)
    else:
        thickness, volume = _thickness_and_volume(thread_um, area, thickness_um, volume_um)
    if not thread_um <= thickness <= 2 * thread_um:
        raise ImpossibleMeshError(
            f"a cloth of {thread_um:g} um thread can't be {thickness:.4g} um thick;"
            f" it lies between {thread_um:g} and {2 * thread_um:g} um"
        )
    if area >= 1 or volume >= thickness:
        raise ImpossibleMeshError(
            f"a cloth {thickness:.4g} um thick can't hold {volume:.4g} cm3/m2 in its openings"
        )
    stated = {
        "opening": opening_um,
        "open area": open_area,
        "thickness": thickness_um,
        "volume": volume_um,
    }
    return MeshFigures(
        name=name,
        count_per_cm=count_per_cm,
        thread_um=thread_um,
        pitch_um=pitch,
        opening_um=opening,
        open_area=area,
        thickness_um=thickness,
        volume_um=volume,
        # rounded figures of a maker may leave less; the straight openings are part of it all the same
        void_um=max(void_um(count_per_cm, thread_um, thickness), volume),
        stated=frozenset(what for what, value in stated.items() if value is not None),
    )


def _opening_is_right(
    count_per_cm: float, pitch_um: float, thread_um: float, opening_um: float
) -> None:
    """Hold an opening, stated or from a stated area, against the one that count and thread leave.

    :raises ImpossibleMeshError: it is far narrower or wider
    """
    ideal = pitch_um - thread_um
    low, high = (part * ideal for part in OPENING_AGREES)
    if not low <= opening_um <= high:
        raise ImpossibleMeshError(
            f"{count_per_cm:.4g} threads/cm of {thread_um:g} um leave openings of some {ideal:.3g} um;"
            f" those stated come to {opening_um:.3g} um, and {low:.3g} to {high:.3g} um are possible"
        )


def _volume_is_right(area: float, thread_um: float, volume_um: float) -> None:
    """Hold a volume that stands alone against what cloth one to two threads thick can hold.

    :raises ImpossibleMeshError: it is far more or less
    """
    least, most = (
        part**2 * area * thick * thread_um
        for part, thick in zip(OPENING_AGREES, (1.0, 2.0), strict=True)
    )
    if not least <= volume_um <= most:
        raise ImpossibleMeshError(
            f"a volume of {volume_um:g} cm3/m2 is stated, but this count and thread hold"
            f" {least:.3g} to {most:.3g}"
        )


def _opening_and_area(
    pitch_um: float, thread_um: float, opening_um: float | None, open_area: float | None
) -> tuple[float, float | None]:
    """Give opening and open area; no area when the maker states neither.

    :raises ImpossibleMeshError: the two stated figures contradict each other
    """
    if opening_um is None:
        if open_area is None:
            return pitch_um - thread_um, None
        return pitch_um * math.sqrt(open_area), open_area
    from_opening = (opening_um / pitch_um) ** 2
    if open_area is None:
        return opening_um, from_opening
    if abs(open_area - from_opening) > OPEN_AREA_AGREES + _HAIR:
        raise ImpossibleMeshError(
            f"an opening of {opening_um:g} um with a pitch of {pitch_um:.4g} um is an open area of"
            f" {100 * from_opening:.1f} %, but {100 * open_area:.1f} % is stated"
        )
    return opening_um, open_area


def _thickness_and_volume(
    thread_um: float, area: float, thickness_um: float | None, volume_um: float | None
) -> tuple[float, float]:
    """Give thickness and volume for an open area of the maker's.

    :raises ImpossibleMeshError: the two stated figures contradict each other
    """
    if thickness_um is None:
        if volume_um is None:
            thickness_um = THICKNESS_PER_THREAD * thread_um
            return thickness_um, area * thickness_um
        return volume_um / area, volume_um
    if volume_um is None:
        return thickness_um, area * thickness_um
    if (
        abs(volume_um - area * thickness_um)
        > max(VOLUME_AGREES_UM, VOLUME_AGREES * volume_um) + _HAIR
    ):
        raise ImpossibleMeshError(
            f"an open area of {100 * area:.1f} % in a cloth {thickness_um:.4g} um thick holds"
            f" {area * thickness_um:.3g} cm3/m2, but {volume_um:g} cm3/m2 is stated"
        )
    return thickness_um, volume_um


def void_um(count_per_cm: float, thread_um: float, thickness_um: float) -> float:
    """Give all that is not thread in a cloth, in cm3/m2: the most ink it can hold.

    Thickness less the thread in two directions: D - 2 n (pi d^2 / 4) c, with c = 1.028 for the crimp.
    Own reckoning, an upper bound.

    >>> round(void_um(43, 80, 130), 1)
    85.6
    """
    per_um = count_per_cm / 10_000.0
    return thickness_um - 2.0 * per_um * (math.pi * thread_um**2 / 4.0) * CRIMP


def per_inch(count_per_cm: float) -> float:
    """Give threads per inch.

    >>> round(per_inch(43), 2)
    109.22
    """
    return 2.54 * count_per_cm
