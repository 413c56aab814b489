"""What the shop has measured: where, and with which ink and mesh; and figures it states to no use."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from prep.errors import SettingsError
from prep.named_inks import kind_of_named
from prep_drying import climate as climates
from prep_drying.inks import water_and_density

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.shop import Room
    from prep_drying.answers import Climate
    from prep_drying.parameters import Known
    from prep_drying.settings import Drying, Opened
    from prep_ink.answers import MeshFigures

_PLACED: tuple[tuple[Climate, str, str], ...] = (
    (climates.FAN, "fan_speed", "fan_speed_m_per_s"),
    (climates.DRYER, "radiant", "radiant_w_per_m2"),
    (climates.PLATEN, "platen_over", "platen_over_k"),
)


@dataclass(frozen=True, slots=True, eq=False)
class Tried:
    """What an open time was measured with.

    :param ink: its name; empty = whatever a screen prints
    :param of_ink: how much water that ink holds and how heavy it is; nothing without a name
    """

    mesh: MeshFigures
    ink: str = ""
    of_ink: tuple[Known, ...] = ()


def measured_where(
    shop: Drying, by_shop: tuple[Climate, ...], room: Room
) -> tuple[tuple[Climate, ...], Room]:
    """Give the climate and the room that the shop's figures were measured in.

    :param by_shop: what holds at the screens where it isn't said
    :raises SettingsError: a room outside what the formulas hold for
    """
    said = shop.measured_in
    if said is None:
        return by_shop, room
    own = {
        "temperature_c": said.temperature_c,
        "humidity": said.humidity,
        "air_speed_m_per_s": said.air_speed_m_per_s,
    }
    there = room.model_copy(update={key: value for key, value in own.items() if value is not None})
    climates.check(there, "drying.measured_in")
    return said.climate or by_shop, there


def tried_with(job: Job, ask: Ask, key: str, said: Opened | None) -> Tried:
    """Give what an open time was measured with.

    :param key: that says it
    :raises SettingsError: a mesh that shop.toml doesn't list, or an ink that neither it nor the order has
    """
    meshes = {mesh.name: mesh for mesh in job.shop.mesh}
    mesh, ink = (None, None) if said is None else (said.mesh, said.ink)
    if mesh is not None and mesh not in meshes:
        raise _unlisted(f"drying.{key}.mesh", mesh, "mesh", "mesh", meshes)
    figures = (job.shop.mesh[0] if mesh is None else meshes[mesh]).figures()
    if ink is None:
        return Tried(figures)
    kind = kind_of_named(job, ink)
    if kind is None:
        raise _unlisted(
            f"drying.{key}.ink", ink, "ink", "inks", (one.name for one in job.shop.inks)
        )
    return Tried(figures, ink, water_and_density(job, ask, ink, kind))


def _unlisted(key: str, name: str, what: str, table: str, listed: Iterable[str]) -> SettingsError:
    names = ", ".join(f'"{one}"' for one in listed)
    return SettingsError(
        f'{key} = "{name}": shop.toml lists no such {what}',
        where="shop.toml",
        do=f"write one of {names}, or take it out" if names else f"list it under [[{table}]]",
    )


def unused(shop: Drying, held: set[Climate], *, said: bool) -> Iterator[str]:
    """Name figures of the shop for what doesn't stand at the screens.

    :param held: all that holds in the run, or held when the shop measured
    :param said: shop or order says what holds; where it is taken from the steps, a dryer's figures wait for
        shirts that are flashed
    """
    for climate, key, field in _PLACED:
        if getattr(shop, field) is None or climate in held or not (said or climate == climates.FAN):
            continue
        yield (
            f"{key} in shop.toml's [drying] isn't used here: climate doesn't name \"{climate}\""
            " among what holds at the screens."
        )
