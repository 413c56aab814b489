"""Changes from forms go into order.toml where they belong, and leave the rest of it as it was."""

from __future__ import annotations

import tomllib

import pytest

from prep.errors import SettingsError
from prep_page.edits import Change, Kind, Path, changed, name_of
from prep_page.usual_units import Units

ORDER = """# written by hand
name = "fish"  # and kept

[[print]]
artwork = "fish.svg"
[[print.colour]]
hex = "#C0392B"
mesh = "62-64"

[[garment]]
sizes = { S = 4, M = 10 }
"""


@pytest.mark.parametrize(
    ("path", "kind", "text", "there"),
    [
        (("name",), "text", " a b ", ("name", "a b")),
        (("print", 0, "width"), "text", "200 mm", ("print", 0, "width", "200 mm")),
        (("print", 0, "colour", "#c0392b", "passes"), "number", "2",
         ("print", 0, "colour", 0, "passes", 2)),
        (("print", 0, "colour", "#1f5a3c", "ink"), "text", "3", ("print", 0, "colour", 1, "ink", "3")),
        (("print", 0, "colour", "#1f5a3c", "trap", "over"), "switch", "true",
         ("print", 0, "colour", 1, "trap", "over", True)),
        (("garment", 0, "sizes", "L"), "number", "6", ("garment", 0, "sizes", "L", 6)),
        (("garment", 0, "sizes"), "toml", '{ "one size" = 3 }', ("garment", 0, "sizes", {"one size": 3})),
        (("shop", "press", "kind"), "text", "table", ("shop", "press", "kind", "table")),
        (("near_equal",), "number", "0,5", ("near_equal", 0.5)),
        (("ink", "reserve"), "text", "15 %", ("ink", "reserve", "15 %")),
        (("name",), "text", '"]\n[x]\ny = 1', ("name", '"]\n[x]\ny = 1')),
    ],
)  # fmt: skip
def test_a_change_is_put_where_it_belongs(
    path: Path, kind: Kind, text: str, there: tuple[object, ...]
) -> None:
    """Read again, the value stands there; comments and other values stay."""
    after = changed(ORDER, [Change(path, kind, text)])
    found: object = tomllib.loads(after)
    for part in there[:-1]:
        found = found[part]  # type: ignore[index]  # the test's own path
    assert found == there[-1]
    assert after.startswith("# written by hand")
    before, now = tomllib.loads(ORDER), tomllib.loads(after)
    for key in before.keys() - {path[0]}:
        assert now[key] == before[key]


@pytest.mark.parametrize(
    ("text", "kind", "unit", "there"),
    [
        ("11", "text", "in", "11 in"),
        ("10,5", "text", "in", "10,5 in"),
        ("11 1/2", "text", "in", "11 1/2 in"),
        ("30 cm", "text", "in", "30 cm"),
        ('12"', "text", "in", '12"'),
        ("15", "text", "%", "15 %"),
        ("ten", "text", "mm", "ten"),
        ('{ S = "9", M = "25 cm" }', "toml", "in", {"S": "9 in", "M": "25 cm"}),
        ('[{ name = "7", side = "8" }]', "toml", {"side": "mm"}, [{"name": "7", "side": "8 mm"}]),
    ],
)
def test_a_number_alone_is_taken_in_the_fields_unit(
    text: str, kind: Kind, unit: Units, there: object
) -> None:
    """What has a unit, or is no number, stays as it was typed."""
    path: Path = ("print", 0, "width")
    after = changed(ORDER, [Change(path, kind, text)], {path: unit})
    assert tomllib.loads(after)["print"][0]["width"] == there


def test_nothing_typed_for_a_number_is_said_plainly() -> None:
    """Not that "" is no number."""
    with pytest.raises(SettingsError, match="nothing is typed here; type a value"):
        changed(ORDER, [Change(("near_equal",), "number", " ")])


def test_a_setting_is_taken_away() -> None:
    """What is usual holds again; what isn't there can be taken away too, and makes nothing."""
    after = changed(ORDER, [Change(("print", 0, "colour", "#c0392b", "mesh"), "text", None)])
    assert after == ORDER.replace('mesh = "62-64"\n', "")
    for path in (
        ("ink", "reserve"),
        ("print", 0, "colour", "#000000", "ink"),
        ("print", 7, "width"),
    ):
        assert changed(ORDER, [Change(path, "text", None)]) == ORDER


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (Change(("near_equal",), "number", "many"), 'near_equal: "many" is not a number'),
        (Change(("proof",), "switch", "perhaps"), "neither true nor false"),
        (Change(("garment", 0, "sizes"), "toml", "S = 4"), r"garment\[1\].sizes: "),
        (Change(("print", 3, "width"), "text", "1 mm"), r"print\[4\]: there is no such entry"),
        (Change(("name", "first"), "text", "x"), "name: there is no such entry|name.first"),
        (
            Change(("print", 0, "width", 0), "text", "1 mm"),
            r"print\[1\].width\[1\]: an entry can't be",
        ),
        (Change(("print", 0), "text", None), r"print\[1\]: an entry can't be"),
        (
            Change(("print", 0, 5, "width"), "text", "1 mm"),
            r"print\[1\]\[6\]: there is no such entry",
        ),
    ],
)
def test_what_cant_be_put_there_is_told(change: Change, said: str) -> None:
    """One line that names the setting."""
    with pytest.raises(SettingsError, match=said):
        changed(ORDER, [change])


@pytest.mark.parametrize("given", ['[{hex = "#c0392b"}]', "[]", "[3]"])
def test_a_colour_is_added_to_a_list_on_one_line(given: str) -> None:
    """It stays TOML; what is no colour's table is left for the settings to refuse."""
    order = f'[[print]]\nartwork = "fish.svg"\ncolour = {given}\n'
    after = changed(order, [Change(("print", 0, "colour", "#1f5a3c", "mesh"), "text", "62-64")])
    (printed,) = tomllib.loads(after)["print"]
    assert printed["colour"][-1] == {"hex": "#1f5a3c", "mesh": "62-64"}
    assert len(printed["colour"]) == len(tomllib.loads(f"colour = {given}")["colour"]) + 1


def test_settings_are_named_from_one() -> None:
    """As in messages about order.toml."""
    assert name_of(("print", 0, "colour", 1, "mesh")) == "print[1].colour[2].mesh"
