"""The form for what was seen in a run: written to be filled in, and read again."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Annotated, Any, Literal

import tomlkit
from pydantic import Field, StringConstraints, ValidationError

from prep.errors import InputError, SettingsError
from prep.layers import KeyPath, Origin, Tree, read_toml
from prep.refusals import one_error, refusals
from prep.tables import Label, Table
from prep.units import Weighed_g
from prep_log.entries import FilledIn, InkSeen, Run, Seen, ShirtsWeighed
from prep_log.store import Entry, Store
from prep_log.understood import run_of

FORMAT = "firstpull.seen/1"
Words = Annotated[str, StringConstraints(max_length=10_000)]
FileName = Annotated[str, StringConstraints(min_length=1, max_length=4096)]


class InkOnForm(Table):
    """What was weighed of an ink."""

    ink: Label
    mixed_g: Weighed_g | None = Field(None, alias="mixed")
    left_g: Weighed_g | None = Field(None, alias="left")


class FilledInOnForm(Table):
    """Something that filled in."""

    screen: Label
    where: Words = Field(description="which detail, in words")
    from_shirt: int | None = Field(None, ge=0, description="0 = a test pull")


class ShirtsInRun(Table):
    """Shirts weighed together before and right after one screen was printed on them."""

    screen: Label
    shirts: int = Field(ge=1, le=1000)
    before_g: Weighed_g = Field(alias="before", description="all together")
    after_g: Weighed_g = Field(alias="after", description="still wet, all together")


class ToFillIn(Table):
    """What is filled in."""

    day: date = Field(description="that it was printed")
    ink: tuple[InkOnForm, ...] = Field(
        (), description="weighed without the pot, or with its weight taken off"
    )
    shirts_spoilt: int | None = Field(None, ge=0)
    filled_in: tuple[FilledInOnForm, ...] = Field((), description="a row for whatever filled in")
    shirts_weighed: tuple[ShirtsInRun, ...] = Field(
        (), description="weighed right before and right after one screen was printed on them"
    )
    hours: float | None = Field(None, gt=0, le=10_000, description="of work, from the films on")
    air: Words = Field("", description="how warm, damp and still the room was")
    wash_test: Words = Field(
        "", description="which wash, how often, and how the print came out of it"
    )
    notes: Words = ""
    photos: tuple[FileName, ...] = Field(
        (), description="files of photos; they stay where they are"
    )


class Form(ToFillIn):
    """The whole form."""

    format: Literal["firstpull.seen/1"]
    run: str = Field(pattern="^[0-9a-f]{32}$", description="which run, as the form was written")


def form_for(entry: Entry, run: Run, uid: str) -> str:
    """Write the form of a run, with its inks and screens.

    :param uid: of the run's first entry
    """
    screens = {screen.key: screen.ink for screen in run.screens}
    lines = [
        f"# What was weighed and seen in run {entry.number}: {entry.name}.",
        "# Take the # away before a line and fill it in; what stays behind a # isn't entered.",
        f"# Then: prep log seen {name_for(entry)}",
        f'format = "{FORMAT}"',
        f'run = "{uid}"',
        f"day = {entry.day.isoformat()}  # that it was printed",
        "# shirts_spoilt = 0",
        "# hours = 8.5  # of work, from the films on",
        '# air = "how warm, damp and still the room was"',
        '# wash_test = "which wash, how often, and how the print came out of it"',
        '# notes = "anything else"',
        '# photos = ["the file of a photo; it stays where it is"]',
        "",
        "# Weigh without the pot, or take its weight off.",
    ]
    for ink in run.inks:
        lines += [
            "[[ink]]",
            f"ink = {_quoted(ink)}",
            '# mixed = "0 g"',
            '# left = "0 g"',
            "",
        ]
    lines.append("# For whatever filled in, one of these. The screens of this run:")
    lines += [f"#   {_quoted(key)} prints {ink}" for key, ink in screens.items()]
    lines += [
        "# [[filled_in]]",
        f"# screen = {_quoted(next(iter(screens), ''))}",
        '# where = "which detail, in words"',
        "# from_shirt = 1  # the first that showed it; 0 = a test pull",
        "",
        "# Shirts weighed together right before and right after one screen was printed on them, still wet:",
        "# every later job's grams become surer by it.",
        "# [[shirts_weighed]]",
        f"# screen = {_quoted(next(iter(screens), ''))}",
        "# shirts = 3",
        '# before = "0 g"',
        '# after = "0 g"',
    ]
    return "\n".join(lines) + "\n"


def name_for(entry: Entry) -> str:
    """Give the form's usual file name."""
    return f"seen-{entry.number}.toml"


def read_form(file: Path, store: Store) -> tuple[Seen, Run]:
    """Read a form that was filled in.

    :return: what was seen, and the run it was seen in; not held against each other yet
    :raises InputError: the file can't be read, or the log has no such run
    :raises SettingsError: something in it can't be used; a line for each
    """
    return seen_in(read_toml(file, what="form"), store, str(file))


def seen_in(
    raw: Mapping[str, Any], store: Store, where: str = "", under: KeyPath = ()
) -> tuple[Seen, Run]:
    """Read what a form holds, as TOML gives it.

    :param where: the file it was read from; empty = none
    :param under: where the form lies in something larger, as refusals name its fields
    :raises InputError: the log has no such run
    :raises SettingsError: something in it can't be used; a line for each
    """
    given = raw.get("format")
    if isinstance(given, str) and given != FORMAT and given.startswith("firstpull.seen/"):
        raise InputError(
            f'format = "{given}": is of a newer version of Firstpull',
            where=where,
            do="read it with that version",
        )
    tree = Tree()
    tree.overlay(under, raw, Origin("order.toml", where=where))
    try:
        # as JSON, strict takes a list for a tuple and text for a day, but no "3" for a 3
        form = Form.model_validate_json(json.dumps(raw, default=str), strict=True)
    except ValidationError as error:
        raise one_error(refusals(tree, Form, under, error)) from error
    found = store.with_uid(form.run)
    if found is None or found.kind != "run":
        raise SettingsError(
            "the log has no run of this form",
            where=where,
            do="name the log it was written from with --log, or write a new form with prep log form",
        )
    seen = Seen(
        run=form.run,
        name=found.name,
        day=form.day,
        # an ink left as the form has it says nothing
        inks=tuple(
            InkSeen(ink.ink, ink.mixed_g, ink.left_g)
            for ink in form.ink
            if (ink.mixed_g, ink.left_g) != (None, None) or ink.ink not in _inks(found)
        ),
        spoilt=form.shirts_spoilt,
        hours=form.hours,
        air=form.air,
        filled_in=tuple(FilledIn(f.screen, f.where, f.from_shirt) for f in form.filled_in),
        wash_test=form.wash_test,
        notes=form.notes,
        photos=form.photos,
        shirts=tuple(
            ShirtsWeighed(one.screen, one.shirts, one.before_g, one.after_g)
            for one in form.shirts_weighed
        ),
    )
    figures = tuple(store.figures(of=found).get(found.id, []))
    return seen, run_of(found, figures)


def photos_away(seen: Seen) -> Iterator[str]:
    """Say which photos aren't there, sentences: they may still come, and are entered all the same."""
    for photo in seen.photos:
        if not _is_there(photo):
            yield f"{photo}: no such photo is there now; its name was entered all the same"


def _is_there(named: str) -> bool:
    try:
        return Path(named).expanduser().exists()
    except (
        OSError,
        RuntimeError,
        ValueError,
    ):  # too long, of a user who isn't known, with a zero byte
        return False


def _inks(entry: Entry) -> tuple[str, ...]:
    return run_of(entry).inks


def _quoted(text: str) -> str:
    return tomlkit.item(text).as_string()
