"""Asks where readings seem to be in the log already: what is entered twice counts twice."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from prep.errors import SettingsError
from prep_log.entries import Reading
from prep_log.learnt import CORNERS, LADDERS, Told, piece_of, pulls_of

_OF_A_WEIGHING = ("mesh", "ink", "strokes", "shirts", "before_g")


def ask_about_repeats(
    before: Sequence[Told],
    these: Sequence[Told],
    where: str,
    confirm: str,
    *,
    correcting: bool = False,
) -> None:
    """Ask about readings that are the same, to the figure, as one of that day which the log has.

    Rows of details of one form may be alike, upright and across; anything else may not.

    :param confirm: how it is confirmed that both were read
    :param correcting: the only one stands in another's place, whose form may have a row like it
    :raises SettingsError: one is
    """
    known = list(before)
    for one in these:
        row = one.of in LADDERS or one.of in CORNERS
        if not (row and correcting) and any(_same(one, other) for other in known):
            raise SettingsError(
                f"{one.of} of {one.day.isoformat()} with the same figures stands in the log or the form"
                " already, and would count twice",
                where=where,
                do=f"leave it out; where both were read, {confirm}",
            )
        if not row:
            known.append(one)


def ask_about_pieces(
    before: Sequence[Told], read: Sequence[Reading], where: str, confirm: str
) -> None:
    """Ask whether a row is of the piece that the log has by this name, where it can't be a later look.

    Pulls through one piece grow with the days: a row after as many pulls as one in the log, or after fewer
    on a later day, is of another piece or another row of the same.

    :param confirm: how it is confirmed that it is the same piece
    :raises SettingsError: it can't be told
    """
    for one in read:
        row = Told(one.day, str(one.body["of"]), one.body)
        if row.of not in LADDERS and row.of not in CORNERS:
            continue
        for other in before:
            if other.of != row.of or piece_of(other) != piece_of(row):
                continue
            more = pulls_of(row) - pulls_of(other)
            days = (row.day - other.day).days
            if more == 0 or more * days < 0:
                raise SettingsError(
                    f'{row.of} of "{one.name}" on {one.body.get("mesh")} after {pulls_of(row)} pulls: the'
                    f" log has it after {pulls_of(other)} pulls, of {other.day.isoformat()}",
                    where=where,
                    do="give another piece another name, or correct that entry; where it is the same piece,"
                    f" {confirm}",
                )


def ask_about_weighings(before: Sequence[Told], these: Sequence[Told], where: str) -> None:
    """Refuse shirts seen in a run that were entered as a reading.

    :raises SettingsError: some were
    """
    entered = [one for one in before if "typed" in one.body]
    for one in these:
        if "typed" not in one.body and any(_same(one, other) for other in entered):
            raise SettingsError(
                f"{one.of} of {one.day.isoformat()} with the same figures stands in the log as a reading,"
                " and would count twice",
                where=where,
                do="leave it out here, or take that reading out first",
            )


def _same(one: Told, other: Told) -> bool:
    if (one.day, one.of) != (other.day, other.of):
        return False
    if one.of == "shirts weighed" and "before_g" in one.body and "before_g" in other.body:
        return _weighing(one.body) == _weighing(other.body)
    return _figures(one.body) == _figures(other.body)


def _weighing(body: Mapping[str, Any]) -> tuple[object, ...]:
    """Give what tells one weighing of shirts from another, be it of a run or of a test piece."""
    return (*(body.get(key) for key in _OF_A_WEIGHING), round(float(body["gain_g"]), 6))


def _figures(body: Mapping[str, Any]) -> str:
    """Give all figures of a reading, alike whether it was just read or stands in the log."""
    own = {key: value for key, value in body.items() if key not in ("typed", "before_g")}
    return json.dumps(own, sort_keys=True)
