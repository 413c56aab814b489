"""The ladders as fields to fill in, a table for each kind as the sheet has it, and what they say as rows.

What was typed becomes the same rows as in readings.toml: whoever enters these checks them by one rule.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from pydantic import Field, create_model

from prep.errors import SettingsError
from prep.tables import Table
from prep.units import read_quantity
from prep.views import FormPart
from prep_test_piece.form import reads, size_of
from prep_test_piece.geometry import READ_DOT_MM, Kind, Piece
from prep_test_piece.plan import LOOKS, Look, steps_of

_TITLES: Mapping[Kind, tuple[str, str]] = {
    "line": ("lines", "Lines"),
    "strip": ("strips", "Film strips"),
    "island": ("islands", "Islands"),
    "corner": ("corners", "Corners"),
}
"""Part's key and title of each kind of ladder."""
_COLUMNS: Mapping[str, str] = {
    "weeding": "lifted_out",
    "cutting": "not_torn_or_dragged",
    "strip": "flat_after_{pulls}",
    "island": "flat_after_{pulls}",
    "stroke": "whole_on_cloth",
    "gap": "open_on_cloth",
    "corner_lifted": "lifted_out",
    "corner_sharp": "sharp_on_cloth",
}
"""Column in which each thing read of a ladder is counted."""
_BY_AREA = "island_area"
"""Counted in the column of the islands' sides."""


class _Ladder(Table):
    size: str
    tried: int = Field(description="details of this size, both directions together")


class _Wait(Table):
    wait: str
    tried: int
    printed: int | None = Field(None, description="that came out on the first pull after it")


class _Waits(Table):
    screen: Literal["cleared", "flooded"] = Field("cleared", description="as it stood meanwhile")
    dots: tuple[_Wait, ...] = ()


@dataclass(frozen=True, slots=True)
class Rows:
    """What was typed, as readings.toml has it.

    :param raw: its keys ``row`` and ``wait``
    :param fields: where in these -> the field it was typed in, both as refusals name them:
        ``row[2].step[1].held`` -> ``strips.step[1].flat_after_25``
    """

    raw: Mapping[str, list[dict[str, Any]]]
    fields: Mapping[str, str]


def parts(piece: Piece) -> tuple[FormPart, ...]:
    """Give the fields: sizes stand there, and what was counted is to be typed."""
    return (*(_ladder_part(piece, kind) for kind in _TITLES), _waits_part(piece))


def _ladder_part(piece: Piece, kind: Kind) -> FormPart:
    columns: dict[str, Any] = {}
    for look, pulls, column in _counted(kind):
        after = f", after {pulls} pulls" if pulls else ", before the first pull"
        about = Field(None, description=f"so many of {look.what}{after}")
        columns[column] = (int | None, about)
    row = create_model(f"{kind.capitalize()}Read", __base__=_Ladder, **columns)
    steps: Any = tuple.__class_getitem__((row, ...))
    model = create_model(f"{kind.capitalize()}sRead", __base__=Table, step=(steps, ()))
    key, title = _TITLES[kind]
    look = next(look for look, _, _ in _counted(kind))
    given = [
        {"size": size_of(look, size), "tried": len(found)}
        for size, found in steps_of(piece, kind).items()
    ]
    return FormPart(key, title, model, {"step": given}, _ABOUT[kind])


_ABOUT: Mapping[Kind, str] = {
    "line": "Count those that lie upright and those across together. Of the lines that were lifted out"
    " cleanly, count those that are whole on the cloth.",
    "strip": "Count those that lie upright and those across together.",
    "island": "Count both rows together. From what lies flat at the end follows the least area, too.",
    "corner": "Count those that point up and those that point aside together. No limit rests on them yet.",
}


def _waits_part(piece: Piece) -> FormPart:
    given = [{"wait": f"{row.wait_min} min", "tried": reads(row)} for row in piece.rows]
    about = (
        f"Dots of {READ_DOT_MM:g} mm on the first pull after each wait. A cleared screen usually stays open"
        " about as long; say flooded where it stood so."
    )
    return FormPart(
        "waits", "Dots after waits", _Waits, {"screen": "cleared", "dots": given}, about
    )


def _counted(kind: Kind) -> Iterator[tuple[Look, int, str]]:
    """Give what is counted of a kind of ladder, each with its pulls and its column."""
    for look in LOOKS:
        if look.kind == kind and look.of in _COLUMNS:
            for pulls in look.after:
                yield look, pulls, _COLUMNS[look.of].format(pulls=pulls)


def rows_of(typed: Mapping[str, Mapping[str, Any]]) -> Rows:
    """Give what was typed as rows; a column in which nothing was typed gives none.

    :param typed: part's key -> fields
    :raises SettingsError: lines are whole on the cloth of a size of which none was lifted out
    """
    made: list[dict[str, Any]] = []
    fields: dict[str, str] = {}
    for kind, (part, _) in _TITLES.items():
        steps = typed.get(part, {}).get("step", [])
        for look in LOOKS:
            if look.kind != kind:
                continue
            for pulls in look.after:
                _add(made, fields, part, steps, look, pulls)
    return Rows({"row": made, "wait": _waits_of(typed, fields)}, fields)


def _add(
    made: list[dict[str, Any]],
    fields: dict[str, str],
    part: str,
    steps: Sequence[Mapping[str, Any]],
    look: Look,
    pulls: int,
) -> None:
    """Add the row of one look, where anything was counted."""
    by_area = look.of == _BY_AREA
    column = _COLUMNS["island" if by_area else look.of].format(pulls=pulls)
    row = f"row[{len(made) + 1}]"
    found: list[dict[str, Any]] = []
    for number, step in enumerate(steps, start=1):
        if column not in step:
            continue
        field = f"{part}.step[{number}]"
        tried = step.get("tried")
        if look.of == "stroke":
            tried = step.get(_COLUMNS["weeding"], tried)
            if tried == 0:
                if step[column] != 0:
                    raise SettingsError(
                        f"{field}.{column} = {step[column]}: none of that size was lifted out",
                        do="count again",
                    )
                continue
        size = step.get("size")
        one = {"size": _area(look, size) if by_area else size, "tried": tried}
        found.append({k: v for k, v in one.items() if v is not None} | {"held": step[column]})
        at = f"{row}.step[{len(found)}]"
        fields |= {at: f"{field}.{column}", f"{at}.held": f"{field}.{column}"}
        fields |= {f"{at}.{key}": f"{field}.{key}" for key in ("size", "tried")}
    if found:
        after = {"after_pulls": pulls} if pulls else {}
        made.append({"of": look.of, **after, "step": found})


def _area(look: Look, size: object) -> object:
    """Write the area of a square by its side; what can't be read stays as it is, to be refused."""
    try:
        return size_of(look, read_quantity(str(size), "mm", example="1.4 mm"))
    except ValueError:
        return size


def _waits_of(
    typed: Mapping[str, Mapping[str, Any]], fields: dict[str, str]
) -> list[dict[str, Any]]:
    waits = typed.get("waits", {})
    dots: list[dict[str, Any]] = []
    for number, dot in enumerate(waits.get("dots", []), start=1):
        if "printed" in dot:
            dots.append(dict(dot))
            at, field = f"wait[1].dots[{len(dots)}]", f"waits.dots[{number}]"
            fields[at] = f"{field}.printed"
            fields |= {f"{at}.{key}": f"{field}.{key}" for key in ("wait", "tried", "printed")}
    return [{"screen": waits.get("screen", "cleared"), "dots": dots}] if dots else []
