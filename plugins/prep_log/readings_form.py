"""The form for readings: a test piece looked at, screens and shirts weighed, lines timed."""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, Literal, Self

from pydantic import Field, ValidationError, model_validator

from prep.errors import InputError, SettingsError
from prep.layers import Origin, Tree, read_toml
from prep.refusals import one_error, refusals
from prep.tables import Label, Table
from prep.units import Area_mm2, Duration_s, Mass_g, Weighed_g, read_quantity
from prep.weighing import SIGMAS
from prep_drying.settings import MeasuredIn
from prep_log.entries import Reading
from prep_log.learnt import CORNERS, LADDERS, REGISTER_TEST
from prep_log.slope import slope_of
from prep_log.survival import Step, contradictions

LEAST_MIN = 0.1
"""Minutes between the first and the last weighing of a screen. Our choice: a hand needs as long."""
FORMAT = "firstpull.readings/1"
Of = Literal[
    "cutting",
    "weeding",
    "strip",
    "island",
    "island_area",
    "stroke",
    "gap",
    "corner_lifted",
    "corner_sharp",
]


class StepOnForm(Table):
    """Details of one size."""

    size: str = Field(description="like 0.5 mm; of island_area like 4 mm2, of corners like 30 deg")
    tried: int = Field(ge=1, le=1000)
    held: int = Field(ge=0, le=1000)

    @model_validator(mode="after")
    def _no_more_than_tried(self) -> Self:
        if self.held > self.tried:
            raise ValueError(f"held = {self.held} of {self.tried} tried; count again")
        return self


class RowOnForm(Table):
    """A row of details, smallest to largest."""

    of: Of
    after_pulls: int = Field(0, ge=0, le=100_000)
    step: tuple[StepOnForm, ...] = Field(min_length=1)


class DotsOnForm(Table):
    """Dots printed after one wait."""

    wait_s: Duration_s = Field(alias="wait")
    tried: int = Field(ge=1, le=1000)
    printed: int = Field(ge=0, le=1000)

    @model_validator(mode="after")
    def _no_more_than_tried(self) -> Self:
        if self.printed > self.tried:
            raise ValueError(f"printed = {self.printed} of {self.tried} tried; count again")
        return self


class WaitsOnForm(Table):
    """Rows of dots printed after waits, on a screen that was cleared or flooded."""

    screen: Literal["cleared", "flooded"]
    dots: tuple[DotsOnForm, ...] = Field(min_length=1)


class ScreenOnForm(Table):
    """A flooded screen on a balance, twice or oftener."""

    area_mm2: Area_mm2 = Field(alias="area", description="that ink covers")
    at_s: tuple[float, ...] = Field(
        alias="at_minutes", min_length=2, description="minutes after the flood"
    )
    grams: tuple[float, ...] = Field(min_length=2, description="what the balance showed")

    @model_validator(mode="after")
    def _can_be(self) -> Self:
        if len(self.at_s) != len(self.grams):
            raise ValueError("at_minutes and grams must be of one length")
        if list(self.at_s) != sorted(set(self.at_s)) or self.at_s[0] < 0:
            raise ValueError("at_minutes must rise from 0 on")
        if not all(map(math.isfinite, (*self.at_s, *self.grams))):
            raise ValueError("at_minutes and grams must be numbers that a clock and a balance show")
        if self.at_s[-1] - self.at_s[0] < LEAST_MIN:
            raise ValueError(
                f"at_minutes must span {LEAST_MIN:g} minutes or more; weigh again some minutes later"
            )
        if min(self.grams) < 0:
            raise ValueError("a weight can't lie below zero; weigh again")
        if slope_of(self.at_s, self.grams).per_unit >= 0:
            raise ValueError(
                "the screen got no lighter; weigh again, without draught on the balance"
            )
        return self


class ShirtsOnForm(Table):
    """Shirts weighed together before and right after printing."""

    shirts: int = Field(ge=1, le=1000)
    before_g: Weighed_g = Field(alias="before")
    after_g: Weighed_g = Field(alias="after")
    strokes: int = Field(ge=1, le=6)
    at_full_g: Mass_g = Field(
        alias="at_full", description="what a transfer of 1 leaves on one of them; the form has it"
    )

    @model_validator(mode="after")
    def _heavier(self) -> Self:
        if self.after_g <= self.before_g:
            raise ValueError("the shirts got no heavier; exchange before and after, or weigh again")
        return self


class RegisterTestOnForm(Table):
    """Prints of a register test, as its own table of readings tells them."""

    table: str = Field(
        min_length=1,
        max_length=200_000,
        description="readings.csv of prep register-test, filled in, whole",
    )
    laid_again: bool = Field(
        False, description="each print was taken up and laid again between screens"
    )


class Readings(Table):
    """The whole form."""

    format: Literal["firstpull.readings/1"]
    day: date
    name: Label = Field(
        "test piece", description="of the piece; another piece on the same mesh has another"
    )
    mesh: Label | None = None
    ink: Label | None = None
    readability_g: Mass_g | None = Field(None, alias="readability", description="of the balance")
    confirmed: bool = Field(False, description="what is asked about was looked at again, and is so")
    measured_in: MeasuredIn = MeasuredIn()
    row: tuple[RowOnForm, ...] = ()
    wait: tuple[WaitsOnForm, ...] = ()
    screen_weighed: tuple[ScreenOnForm, ...] = ()
    shirts_weighed: tuple[ShirtsOnForm, ...] = ()
    register_test: tuple[RegisterTestOnForm, ...] = ()


_UNITS = {**LADDERS, **CORNERS}
CONFIRM = "write confirmed = true at the top"
SAY_CLIMATE = 'write measured_in = { climate = "still room" } near the top, or what held then'
SAY_ANYTHING = "take the # away before what was read"


def read_readings(file: Path, today: date) -> tuple[Reading, ...]:
    """Read a form that was filled in.

    :raises InputError: the file can't be read
    :raises SettingsError: something in it can't be used, or contradicts itself and isn't confirmed
    """
    return readings_in(read_toml(file, what="form"), today, Asked(str(file)))


@dataclass(frozen=True, slots=True)
class Asked:
    """How a form asks for what it lacks.

    :param where: the file it was read from; empty = none
    :param confirm: how what contradicts itself is confirmed
    :param climate: how the climate is said
    :param anything: how readings are entered at all
    """

    where: str = ""
    confirm: str = CONFIRM
    climate: str = SAY_CLIMATE
    anything: str = SAY_ANYTHING


def readings_in(raw: Mapping[str, Any], today: date, asked: Asked = Asked()) -> tuple[Reading, ...]:
    """Read what a form holds, as TOML gives it.

    :raises SettingsError: something in it can't be used, or contradicts itself and isn't confirmed
    """
    where = asked.where
    given = raw.get("format")
    if isinstance(given, str) and given != FORMAT and given.startswith("firstpull.readings/"):
        raise InputError(
            f'format = "{given}": is of a newer version of Firstpull',
            where=where,
            do="read it with that version",
        )
    tree = Tree()
    tree.overlay((), raw, Origin("order.toml", where=where))
    try:
        form = Readings.model_validate_json(json.dumps(raw, default=str), strict=True)
    except ValidationError as error:
        raise one_error(refusals(tree, Readings, (), error)) from error
    if form.day > today:
        raise SettingsError(
            f"day = {form.day.isoformat()}: lies ahead, today is {today.isoformat()}",
            where=where,
            do="write the day it was read",
        )
    if form.mesh is None and (form.row or form.wait or form.screen_weighed or form.shirts_weighed):
        raise SettingsError(
            "mesh: is missing", where=where, do="write the mesh it was read on near the top"
        )
    if (form.wait or form.screen_weighed) and form.measured_in.climate is None:
        raise SettingsError(
            "how ink dries was read, and the climate at the screens isn't said",
            where=where,
            do=asked.climate,
        )
    found = tuple(_readings(form, raw, asked))
    if not found:
        raise SettingsError("nothing is filled in", where=where, do=asked.anything)
    return found


def _readings(form: Readings, raw: Mapping[str, Any], asked: Asked) -> Iterator[Reading]:
    common: dict[str, Any] = {
        "mesh": form.mesh,
        "ink": form.ink,
        "readability_g": form.readability_g or 0.0,
        "measured_in": form.measured_in.model_dump(mode="json", by_alias=True, exclude_none=True),
    }

    def made(of: str, body: Mapping[str, Any], table: str, number: int) -> Reading:
        typed = json.loads(json.dumps(raw[table][number], default=str))
        whole = {"of": of, **common, **body, "typed": {table: typed}}
        return Reading(form.name, form.day, whole, confirmed=form.confirmed)

    rows = [_steps(row, asked.where) for row in form.row]
    if not form.confirmed:
        _ask_about_rows(form.row, rows, asked)
        _ask_about_waits(form.wait, asked)
    for number, (row, steps) in enumerate(zip(form.row, rows, strict=True)):
        yield made(
            row.of,
            {
                "after_pulls": row.after_pulls,
                "piece": f"{form.name} {form.mesh}",
                "steps": [
                    {"size": one.size, "tried": one.tried, "held": one.held} for one in steps
                ],
            },
            "row",
            number,
        )
    for number, wait in enumerate(form.wait):
        yield made(
            "open time",
            {
                "screen": wait.screen,
                "steps": [
                    {"wait_s": one.wait_s, "tried": one.tried, "printed": one.printed}
                    for one in wait.dots
                ],
            },
            "wait",
            number,
        )
    for number, weighed in enumerate(form.screen_weighed):
        minutes = weighed.at_s[-1] - weighed.at_s[0]
        slope = slope_of(weighed.at_s, weighed.grams)
        loss_g, off_g = -slope.per_unit * minutes, slope.off_with(common["readability_g"]) * minutes
        _check_tells("screen", number, loss_g, off_g, "lost", "weigh longer", asked)
        yield made(
            "screen weighed",
            {
                "loss_g": loss_g,
                "loss_off_g": off_g,
                "after_s": 60.0 * minutes,
                "area_mm2": weighed.area_mm2,
            },
            "screen_weighed",
            number,
        )
    for number, shirts in enumerate(form.shirts_weighed):
        gain_g, off_g = shirts.after_g - shirts.before_g, common["readability_g"] / math.sqrt(6.0)
        _check_tells(
            "shirts", number, gain_g, off_g, "gained", "weigh more of them together", asked
        )
        yield made(
            "shirts weighed",
            {
                "shirts": shirts.shirts,
                "before_g": shirts.before_g,
                "gain_g": gain_g,
                "strokes": shirts.strokes,
                "at_full_g": shirts.at_full_g,
            },
            "shirts_weighed",
            number,
        )

    for number, test in enumerate(form.register_test):
        yield made(
            REGISTER_TEST,
            {"laid_again": test.laid_again, "rows": _register_rows(test, number, asked)},
            "register_test",
            number,
        )


def _register_rows(test: RegisterTestOnForm, number: int, asked: Asked) -> list[dict[str, Any]]:
    """Read the table of a register test by the rules of that test.

    :raises SettingsError: it can't be used, or nobody makes such tests here
    """
    key = f"register_test[{number + 1}].table"
    try:
        from prep_registration.readings import parse, reckon
    except ModuleNotFoundError as error:
        raise SettingsError(
            f"{key}: no plugin for register tests is installed", where=asked.where
        ) from error
    try:
        rows, _ = parse(test.table)
        reckon(rows)  # says what is too little
    except ValueError as error:
        what, _, do = str(error).partition("; ")
        raise SettingsError(f"{key}: {what}", where=asked.where, do=do) from error
    return [dataclasses.asdict(row) for row in rows]


def _steps(row: RowOnForm, where: str) -> list[Step]:
    unit = _UNITS[row.of]
    spelt = {"mm": "mm", "mm2": "mm^2", "deg": "degree"}[unit]
    found = []
    for step in row.step:
        try:
            size = read_quantity(step.size, spelt, example=f"0.5 {unit}")
        except ValueError as error:
            raise SettingsError(f"row of {row.of}: {error}", where=where) from error
        if size <= 0.0:
            raise SettingsError(
                f'row of {row.of}: size = "{step.size}" must lie above zero', where=where
            )
        found.append(Step(size, step.tried, step.held))
    return found


def _ask_about_rows(rows: Sequence[RowOnForm], steps: Sequence[list[Step]], asked: Asked) -> None:
    """Ask where a smaller detail held and a larger one didn't, in all rows of a kind after as many pulls.

    :raises SettingsError: it did
    """
    for of, pulls in dict.fromkeys((row.of, row.after_pulls) for row in rows):
        own = [
            step
            for row, of_row in zip(rows, steps, strict=True)
            if (row.of, row.after_pulls) == (of, pulls)
            for step in of_row
        ]
        for small, large in contradictions(own):
            unit = _UNITS[of].replace("mm2", "mm²")
            raise SettingsError(
                f"row of {of}: {small.size:g} {unit} held and {large.size:g} {unit} didn't",
                where=asked.where,
                do=f"look again; where it is so, {asked.confirm}",
            )


def _ask_about_waits(waits: Sequence[WaitsOnForm], asked: Asked) -> None:
    """Ask where dots printed after a longer wait and didn't after a shorter one, in all rows of a kind.

    :raises SettingsError: they did
    """
    for screen in dict.fromkeys(wait.screen for wait in waits):
        dots = [
            one for wait in waits if wait.screen == screen for one in wait.dots if one.wait_s > 0
        ]
        steps = [Step(1.0 / one.wait_s, one.tried, one.printed) for one in dots]
        for small, large in contradictions(steps):
            raise SettingsError(
                f"waits, {screen}: all dots printed after {1.0 / small.size / 60.0:.3g} min and none after"
                f" {1.0 / large.size / 60.0:.3g} min",
                where=asked.where,
                do=f"look again; where it is so, {asked.confirm}",
            )


def _check_tells(
    what: str, number: int, grams: float, off_g: float, did: str, do: str, asked: Asked
) -> None:
    """Refuse a difference that the weighing's own error may have made.

    :param off_g: standard deviation of the difference
    :raises SettingsError: it may have
    """
    if grams <= SIGMAS * off_g:
        raise SettingsError(
            f"{what}_weighed[{number + 1}]: {what} {did} {grams:.3g} g, which is off by up to"
            f" {SIGMAS * off_g:.2g} g, and so tells nothing",
            where=asked.where,
            do=f"{do}, or on a finer balance",
        )
