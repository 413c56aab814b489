"""Readings as fields to fill in, and what is typed in them as readings.toml has it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date
from types import MappingProxyType
from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints

from prep.errors import SettingsError
from prep.tables import Label, Table
from prep.units import Area_mm2, Mass_g, Share, Speed_m_per_s, Temperature_c, Weighed_g
from prep.views import FormPart
from prep_drying.settings import Climates
from prep_log.entries import Reading
from prep_log.readings_form import FORMAT, Asked, Of, readings_in

Typed = Mapping[str, Mapping[str, Any]]
ASKED = Asked(
    confirm='tick "looked at again" above',
    climate="say above which climate held at the screens",
    anything="type what was read",
)
_CLIMATE = ("climate", "temperature", "humidity", "air_speed")


class Dated(Table):
    """When something was read, and its name."""

    day: date = Field(description="that it was read")
    name: Label = Field("register test", description="what was read, for the list")
    looked_again: bool = Field(
        False, description="what is asked about was looked at again, and is so"
    )


class Head(Table):
    """What holds for all readings of one form."""

    day: date = Field(description="that it was read")
    name: Label = Field(
        "test piece", description="of the piece; another one on the same mesh has another name"
    )
    readability_g: Mass_g | None = Field(None, alias="readability", description="of the balance")
    climate: Climates | None = Field(None, description="what held at the screens")
    temperature_c: Temperature_c | None = Field(
        None, alias="temperature", description="of the air; none = as in [room] of shop.toml"
    )
    humidity: Share | None = Field(None, description="of the air; none = as in [room] of shop.toml")
    air_speed_m_per_s: Speed_m_per_s | None = Field(
        None, alias="air_speed", description="over the screens; none = as in [room] of shop.toml"
    )
    looked_again: bool = Field(
        False, description="what is asked about was looked at again, and is so"
    )


class StepTyped(Table):
    """Details of one size."""

    size: Annotated[str, StringConstraints(max_length=100)]
    tried: int
    held: int


class RowTyped(Table):
    """A row of details."""

    of: Of
    after_pulls: int = Field(0, description="0 = before the first")
    step: tuple[StepTyped, ...] = ()


class DotsTyped(Table):
    """Dots printed after one wait."""

    wait: str
    tried: int
    printed: int


class WaitsTyped(Table):
    """Rows of dots printed after waits."""

    screen: Literal["cleared", "flooded"]
    dots: tuple[DotsTyped, ...] = ()


class WeighingTyped(Table):
    """What the balance showed of the screen."""

    minutes: float = Field(description="after the flood")
    grams: float | None = Field(None, description="screen, frame and all")


class ScreenTyped(Table):
    """A flooded screen on a balance, twice or oftener."""

    area_mm2: Area_mm2 | None = Field(
        None, alias="area", description="that ink covers; none = as it is reckoned"
    )
    readings: tuple[WeighingTyped, ...] = ()


class ShirtsTyped(Table):
    """Shirts weighed together before and right after printing."""

    before_g: Weighed_g | None = Field(None, alias="before", description="dry, all together")
    after_g: Weighed_g | None = Field(
        None, alias="after", description="wet, right after printing, all together"
    )
    shirts: int | None = None
    strokes: int | None = None
    at_full_g: Mass_g | None = Field(
        None,
        alias="at_full",
        description="what a transfer of 1 leaves on one, as the sheet has it; none = as it is reckoned",
    )


def head_part(day: date, readability_g: float | None) -> FormPart:
    """Give the fields of what holds for all readings."""
    given: dict[str, Any] = {"day": day.isoformat()}
    if readability_g is not None:
        given["readability"] = f"{readability_g:g} g"
    about = (
        "The climate is that at the screens; it is needed for dots and for a screen on the balance."
    )
    return FormPart("head", "", Head, given, about)


def weighing_parts(minutes: Iterable[int], shirts: int, strokes: int) -> tuple[FormPart, ...]:
    """Give the fields of what is weighed.

    :param minutes: after the flood, at which the screen is weighed
    """
    return (
        FormPart(
            "screen",
            "A flooded screen on the balance",
            ScreenTyped,
            {"readings": [{"minutes": at} for at in minutes]},
            "Leave it out where the balance doesn't carry it.",
        ),
        FormPart(
            "shirts",
            "Shirts on the balance",
            ShirtsTyped,
            {"shirts": shirts, "strokes": strokes},
        ),
    )


class RegisterTyped(Table):
    """Prints of a register test."""

    table: Annotated[str, StringConstraints(max_length=200_000)] = Field(
        "", description="readings.csv of prep register-test, filled in, whole"
    )
    laid_again: bool = Field(
        False, description="each print was taken up and laid again between screens"
    )


def register_parts(day: date) -> tuple[FormPart, ...]:
    """Give the fields of a register test."""
    given = {"day": day.isoformat(), "name": "register test"}
    return (
        FormPart("head", "", Dated, given),
        FormPart("register", "The prints", RegisterTyped, {}),
    )


def head_of(typed: Typed, mesh: str | None, ink: str | None) -> dict[str, Any]:
    """Give the top of readings.toml."""
    head = typed.get("head", {})
    raw: dict[str, Any] = {"format": FORMAT, **({} if mesh is None else {"mesh": mesh})}
    raw |= {key: head[key] for key in ("day", "name", "readability") if key in head}
    if ink is not None:
        raw["ink"] = ink
    if "looked_again" in head:
        raw["confirmed"] = head["looked_again"]
    climate = {key: head[key] for key in _CLIMATE if key in head}
    return raw | ({"measured_in": climate} if climate else {})


def screen_of(typed: Typed) -> list[dict[str, Any]]:
    """Give what was weighed of a screen as ``[[screen_weighed]]``; none where nothing was."""
    own = typed.get("screen", {})
    weighed = [one for one in own.get("readings", []) if "grams" in one]
    if not weighed:
        return []
    area = {"area": own["area"]} if "area" in own else {}
    lists = {
        "at_minutes": [one["minutes"] for one in weighed if "minutes" in one],
        "grams": [one["grams"] for one in weighed],
    }
    return [{**area, **lists}]


def shirts_of(typed: Typed) -> list[dict[str, Any]]:
    """Give what was weighed of shirts as ``[[shirts_weighed]]``; none where nothing was."""
    own = dict(typed.get("shirts", {}))
    return [own] if "before" in own or "after" in own else []


class HeadAgain(Head):
    """The same where a reading is corrected, with what it was read on."""

    mesh: Label
    ink: Label | None = None


def correcting_parts(body: Mapping[str, Any], day: date, name: str) -> tuple[FormPart, ...]:
    """Give the fields of one reading with what stands in them; none where what was typed isn't known.

    :param body: of the reading's entry
    """
    found = next(iter(body.get("typed", {}).items()), None)
    if found is None:
        return ()
    table, typed = found
    head: dict[str, Any] = {"day": day.isoformat(), "name": name, **body.get("measured_in", {})}
    if body.get("readability_g"):
        head["readability"] = f"{body['readability_g']!r} g"
    model, title = _ONE[table]
    given = dict(typed)
    if table == "screen_weighed":
        minutes, grams = given.pop("at_minutes"), given.pop("grams")
        given["readings"] = [
            {"minutes": at, "grams": shown} for at, shown in zip(minutes, grams, strict=True)
        ]
    if table == "register_test":
        head = {"day": day.isoformat(), "name": name}
    else:
        head |= {key: body[key] for key in ("mesh", "ink") if body.get(key) is not None}
    kind = Dated if table == "register_test" else HeadAgain
    return FormPart("head", "", kind, head), FormPart(_PART[table], title, model, given)


def corrected_raw(typed: Typed, body: Mapping[str, Any]) -> dict[str, Any]:
    """Give one reading, typed anew, as readings.toml has it."""
    (table,) = body["typed"]
    head = typed.get("head", {})
    raw = head_of(typed, head.get("mesh"), head.get("ink"))
    if table == "screen_weighed":
        return {**raw, table: screen_of(typed)}
    return {**raw, table: [dict(typed.get(_PART[table], {}))]}


_ONE: Mapping[str, tuple[type[Table], str]] = {
    "row": (RowTyped, "A row of details"),
    "wait": (WaitsTyped, "Dots after waits"),
    "screen_weighed": (ScreenTyped, "A flooded screen on the balance"),
    "shirts_weighed": (ShirtsTyped, "Shirts on the balance"),
    "register_test": (RegisterTyped, "The prints"),
}
_PART = {
    "row": "row",
    "wait": "wait",
    "screen_weighed": "screen",
    "shirts_weighed": "shirts",
    "register_test": "register",
}
_FIELDS = {
    "measured_in.": "head.",
    "day": "head.day",
    "name": "head.name",
    "readability": "head.readability",
    "confirmed": "head.looked_again",
    "mesh": "head.mesh",
    "ink": "head.ink",
    "register_test[1].": "register.",
    "row[1].": "row.",
    "row[1]": "row.step",
    "wait[1].": "wait.",
    "wait[1]": "wait.dots",
    "screen_weighed[1].area": "screen.area",
    "screen_weighed[1]": "screen.readings",
    "shirts_weighed[1].": "shirts.",
    "shirts_weighed[1]": "shirts.after",
}
"""Where something stands in readings.toml -> the field that it was typed in."""


def named_as_typed(error: SettingsError, fields: Mapping[str, str]) -> SettingsError:
    """Give a refusal with its places named as the fields that were typed in.

    :param fields: place in readings.toml -> field, besides those known here
    """
    known = sorted({**_FIELDS, **fields}.items(), key=lambda pair: -len(pair[0]))

    def named(what: str) -> str:
        for place, field in known:
            found = re.match(
                re.escape(place) + ("" if place.endswith(".") else r"(?![\w\[])"), what
            )
            if found is not None:
                rest = what[found.end() :]
                # a part of what one field holds
                return field + (re.sub(r"^[.\[][\w.\[\]]+", "", rest) if place[-1] != "." else rest)
        return what

    first, *more = (
        SettingsError(named(one.what), where=one.where, do=one.do) for one in (error, *error.more)
    )
    return SettingsError(first.what, where=first.where, do=first.do, more=tuple(more))


def readings_typed(
    raw: Mapping[str, Any], fields: Mapping[str, str] = MappingProxyType({})
) -> tuple[Reading, ...]:
    """Read what was typed, by the rules of readings.toml.

    :param raw: as readings.toml has it
    :param fields: see :func:`named_as_typed`
    :raises SettingsError: something in it can't be used, or contradicts itself and isn't confirmed
    """
    try:
        return readings_in(raw, date.today(), ASKED)
    except SettingsError as error:
        raise named_as_typed(error, fields) from error
