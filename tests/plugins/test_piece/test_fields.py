"""The ladders as fields: everything that is read has a place, and becomes the rows of readings.toml."""

from __future__ import annotations

import tomllib
from typing import Any

from prep_test_piece.fields import parts, rows_of
from prep_test_piece.form import Printed, form
from prep_test_piece.geometry import piece

PRINTED = Printed("43-80", "white", 0.1, 0.75, 54_000.0)


def _toml() -> dict[str, Any]:
    """All that readings.toml asks for, each number to write being 2."""
    lines = [
        line.removeprefix("# ").replace("?", "2")
        for line in form(piece(), PRINTED, "a piece").splitlines()
        if not line.startswith(("#:", "# day", "# measured_in"))
    ]
    return tomllib.loads("\n".join(lines))


def _all_twos() -> dict[str, dict[str, Any]]:
    typed: dict[str, dict[str, Any]] = {}
    for part in parts(piece()):
        typed[part.key] = dict(part.given)
        for field in part.model.model_fields:
            if not isinstance(typed[part.key].get(field), list):
                continue
            row = part.model.model_fields[field].annotation.__args__[0]  # type: ignore[union-attr]  # rows
            empty = {name: 2 for name, info in row.model_fields.items() if not info.is_required()}
            typed[part.key][field] = [{**one, **empty} for one in typed[part.key][field]]
    return typed


def test_all_that_the_toml_form_asks_for_can_be_typed() -> None:
    raw = rows_of(_all_twos()).raw
    asked = _toml()
    key = "after_pulls"
    assert sorted(raw["row"], key=lambda row: (row["of"], row.get(key, 0))) == sorted(
        asked["row"], key=lambda row: (row["of"], row.get(key, 0))
    )
    assert raw["wait"] == asked["wait"]


def test_lines_are_tried_on_the_cloth_as_far_as_they_lifted_out() -> None:
    step = [
        {"size": "0.3 mm", "tried": 2, "lifted_out": 0, "whole_on_cloth": 0},
        {"size": "0.02 in", "tried": 2, "lifted_out": 1, "whole_on_cloth": 1},
        {"size": "0.8 mm", "tried": 2, "whole_on_cloth": 2},
        {"size": "1 mm", "tried": 2, "lifted_out": 2},
    ]
    rows = rows_of({"lines": {"step": step}})
    weeding, stroke = rows.raw["row"]
    assert [one["held"] for one in weeding["step"]] == [0, 1, 2]
    assert stroke == {
        "of": "stroke",
        "after_pulls": 50,
        "step": [
            {"size": "0.02 in", "tried": 1, "held": 1},
            {"size": "0.8 mm", "tried": 2, "held": 2},
        ],
    }
    assert rows.fields["row[2].step[2].held"] == "lines.step[3].whole_on_cloth"
    assert rows.raw["wait"] == []
