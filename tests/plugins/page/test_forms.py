"""Forms hold every setting there is, and what they show can be sent back as it stands."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from prep.hookspecs import SettingsTables
from prep.plugins import find_plugins
from prep.request import Request
from prep.settings import Loaded, load
from prep.tables import Table, of_shop_only
from prep_page.edits import Change, changed
from prep_page.forms import groups_of, units_of

DEMO = Path(__file__).parents[3] / "artwork"
TABLES = dict(find_plugins().each("prep_settings", SettingsTables))


def loaded(order: Path) -> Loaded:
    """Read an order with the demo's shop."""
    return load(Request(order, shop=DEMO / "shop.toml"), TABLES)


@pytest.fixture(params=["pea-pod", "dandelion", "two-finches"])
def order(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """A copy of a demo order."""
    for file in (DEMO / request.param).iterdir():
        (tmp_path / file.name).write_bytes(file.read_bytes())
    return tmp_path / "order.toml"


def fields(order: Loaded) -> Iterator[dict[str, Any]]:
    """Give all fields of an order's forms."""
    for group in groups_of(order, TABLES, {0: ["#ffffff", "#123456"]}):
        yield from group["fields"]


def test_every_value_can_be_sent_back_as_it_stands(order: Path) -> None:
    """All at once: the settings in force are the same, every one of them."""
    before = loaded(order)
    told = [f for f in fields(before) if f["value"] and "#123456" not in f["path"]]
    assert len(told) > 120
    text = changed(
        order.read_text(), [Change(tuple(f["path"]), f["kind"], f["value"]) for f in told]
    )
    order.write_text(text)
    after = loaded(order)
    assert after.order == before.order
    assert after.shop == before.shop
    for one, other in zip(before.setups, after.setups, strict=True):
        tables, again = before.chosen_for(one).tables, after.chosen_for(other).tables
        assert list(tables) == list(again)
        for model, table in tables.items():
            assert again[model] == table


def test_every_key_of_every_model_has_a_field(order: Path) -> None:
    """A plugin's settings are all there, under its table, without the page knowing any plugin."""
    there = {tuple(f["path"]) for f in fields(loaded(order))}
    for name, models in TABLES.items():
        places: tuple[tuple[type[Table] | None, tuple[str | int, ...]], ...] = (
            (models.order, (name,)),
            (models.shop, ("shop", name)),
            (models.colour, ("print", 0, "colour", "#123456", name)),
        )
        for model, path in places:
            for key, info in model.model_fields.items() if model is not None else ():
                own = (*path, info.alias or key)
                # an order has no say in what only shop.toml says
                mustnt = own[-1] in of_shop_only(model)
                assert any(one[: len(own)] == own for one in there) is not mustnt, own


def test_kinds_and_choices_come_from_the_models(order: Path) -> None:
    """A switch, words to choose from, meshes in stock, a number without a unit, a table."""
    by_path = {tuple(f["path"]): f for f in fields(loaded(order))}
    assert by_path["proof",]["kind"] == "switch"
    assert by_path["near_equal",]["kind"] == "number"
    assert by_path["shop", "film", "side"]["choices"] == ["shirt", "squeegee"]
    assert by_path["shop", "film", "side"]["only_choices"]
    mesh = by_path["print", 0, "colour", "#123456", "mesh"]
    assert mesh["choices"] == [one.name for one in loaded(order).shop.mesh]
    assert not mesh["set"]
    climate = by_path[
        "drying", "climate"
    ]  # a list of a few words: they are offered, several can be typed
    assert (climate["kind"], climate["only_choices"]) == ("toml", False)
    assert {"still room", "fan on the screens"} <= set(climate["choices"])
    assert climate["words"] == []
    assert climate["columns"] is None
    assert mesh["only_choices"]
    ink = by_path["print", 0, "colour", "#123456", "ink"]
    assert ink["choices"] == [one.name for one in loaded(order).shop.inks]
    assert not ink["only_choices"]
    assert by_path["print", 0, "width"]["kind"] == "text"
    assert by_path["print", 0, "width"]["set"]
    assert by_path["garment", 0, "sizes"]["kind"] == "toml"
    sizes = by_path["garment", 0, "sizes"]["pairs"]
    assert dict(sizes) == {size: str(n) for size, n in loaded(order).order.garment[0].sizes.items()}
    assert by_path["garment", 0, "prints"]["pairs"] is None
    assert ("print", 0, "artwork") not in by_path


def test_a_length_stands_as_it_was_typed(order: Path) -> None:
    """Ten inches stay ten inches; what nobody typed is told in mm."""
    order.write_text(order.read_text() + '\n[shop.film]\nmargin = "1 1/2 in"\n')
    by_path = {tuple(f["path"]): f for f in fields(loaded(order))}
    margin = by_path["shop", "film", "margin"]
    assert margin["value"] == margin["in_force"]["text"] == "1 1/2 in"
    assert by_path["shop", "press", "visible_gap"]["value"] == "0.2 mm"
    order.write_text(order.read_text() + '\n[shop.squeegee]\nlengths = ["10 in", "30 cm"]\n')
    by_path = {tuple(f["path"]): f for f in fields(loaded(order))}
    assert by_path["shop", "squeegee", "lengths"]["rows"] == [["10 in"], ["30 cm"]]


def test_usual_values_stand_as_the_shop_measures(order: Path, tmp_path: Path) -> None:
    """In a shop of inches lengths, areas and temperatures that nobody stated; spans of time in any."""
    (tmp_path / "inches.toml").write_text('units = "inch"\n[press]\nvisible_gap = "0.3 mm"\n')
    inches = load(Request(order, shop=tmp_path / "inches.toml"), TABLES)
    told = {tuple(f["path"]): f for f in fields(inches)}
    assert told["shop", "placing", "least_platen_edge"]["value"] == "0.236 in"
    assert told["shop", "tiny_screen"]["value"] == "0.0388 in2"
    assert told["shop", "room", "temperature"]["in_force"] == {"text": "69.8 F", "from": "usual"}
    assert told["shop", "press", "visible_gap"]["value"] == "0.3 mm"
    assert told["shop", "plan", "day"]["value"] == "8 h"
    assert told["fill_in", "thicken_most"]["value"] == "0.012 in"


def test_inches_stand_as_signs(order: Path) -> None:
    """What was typed with the sign for inches isn't told in mm."""
    order.write_text(order.read_text() + "\n[shop.film]\nmargin = '1\"'\n")
    by_path = {tuple(f["path"]): f for f in fields(loaded(order))}
    assert by_path["shop", "film", "margin"]["value"] == '1"'


def test_fields_know_the_unit_of_a_number_alone(order: Path, tmp_path: Path) -> None:
    """Lengths, masses, shares and temperatures, in the shop's; none where more would do."""
    (tmp_path / "inches.toml").write_text('units = "inch"\n')
    inches = load(Request(order, shop=tmp_path / "inches.toml"), TABLES)
    here, there = units_of(fields(inches)), units_of(fields(loaded(order)))
    assert (here["print", 0, "width"], there["print", 0, "width"]) == ("in", "mm")
    assert here["print", 0, "width_by_size"] == "in"
    assert here["shop", "squeegee", "lengths"] == "in"
    assert (here["shop", "room", "temperature"], there["shop", "room", "temperature"]) == ("F", "C")
    assert here["ink", "reserve"] == "%"
    frames = here["shop", "frame"]
    assert isinstance(frames, dict)
    assert (frames["inside_width"], frames["name"]) == ("in", "")
    assert here["shop", "plan", "day"] == ""


def test_a_share_given_as_a_number_stands_in_per_cent(order: Path) -> None:
    """As a number alone is taken in per cent."""
    text = order.read_text()
    assert "[ink]" not in text
    order.write_text(text + "\n[ink]\nreserve = 0.125\n")
    by_path = {tuple(f["path"]): f for f in fields(loaded(order))}
    assert by_path["ink", "reserve"]["value"] == "12.5 %"


def test_additives_that_the_shop_lists_are_named(order: Path, tmp_path: Path) -> None:
    """An order's and a colour's, with the list that another is added to."""
    shop = '[[mix.additive]]\nname = "slow"\nof = "ink"\nby = "mass"\nmost = "3 %"\n'
    (tmp_path / "slow.toml").write_text(shop)
    listed = {"known": ["slow"], "path": ["shop", "mix", "additive"]}
    told = {
        tuple(f["path"]): f
        for f in fields(load(Request(order, shop=tmp_path / "slow.toml"), TABLES))
    }
    assert told["mix", "additives"]["names"] == listed
    assert told["print", 0, "colour", "#123456", "mix", "additives"]["names"] == listed
    assert told["garment", 0, "sizes"]["names"] is None
    assert told["shop", "price", "ink"]["names"] == {"known": [], "path": ["shop", "inks"]}


def test_what_was_measured_here_is_told_and_not_taken_for_set(order: Path) -> None:
    """There is nothing to take back to the usual."""
    learnt = {"ink": {"transfer": {"value": 0.8, "low": 0.7, "high": 0.9}}}
    read = load(Request(order), TABLES, lambda _: [("log", learnt)])
    (transfer,) = (f for f in fields(read) if f["path"] == ["shop", "ink", "transfer"])
    assert transfer["in_force"]["from"] == "log"
    assert not transfer["set"]


def test_tables_of_named_values_are_rows(order: Path) -> None:
    """A price for each ink, a count for each size; not what holds tables, and not a list."""
    named = {tuple(f["path"]) for f in fields(loaded(order)) if f["named"]}
    assert {("shop", "price", "ink"), ("garment", 0, "sizes")} <= named
    assert not named & {("shop", "price", "other"), ("shop", "mesh"), ("drying", "climate")}


def test_lists_of_tables_are_rows_with_a_column_for_each_setting(order: Path) -> None:
    """Frames, meshes, inks and additives by their models; plain lengths have one column without a name."""
    by_path = {tuple(f["path"]): f for f in fields(loaded(order))}
    frame, shop = by_path["shop", "frame"], loaded(order).shop
    keys = [column["key"] for column in frame["columns"]]
    assert keys == ["name", "inside_width", "inside_height", "count"]
    assert [column["required"] for column in frame["columns"]] == [True, True, True, False]
    assert [row[0] for row in frame["rows"]] == [one.name for one in shop.frame]
    assert len(by_path["shop", "mesh"]["rows"]) == len(shop.mesh)
    additive = {one["key"]: one for one in by_path["shop", "mix", "additive"]["columns"]}
    assert additive["of"]["choices"] == ["ink", "mix"]
    lengths = by_path["shop", "squeegee", "lengths"]
    assert [column["key"] for column in lengths["columns"]] == [""]
    assert by_path["shop", "mesh"]["in_force"]["text"] == ", ".join(one.name for one in shop.mesh)


def test_a_field_tells_the_value_in_force_and_whose_it_is(order: Path) -> None:
    """A colour's that isn't set is the order's, the order's the shop's."""
    order.write_text(order.read_text() + "\n[fill_in]\nthicken = true\n")
    told = {tuple(f["path"]): f for f in fields(loaded(order))}
    assert told["fill_in", "thicken"]["in_force"] == {"text": "true", "from": "order"}
    of_colour = told["print", 0, "colour", "#123456", "fill_in", "thicken"]
    assert (of_colour["value"], of_colour["in_force"]) == ("", {"text": "true", "from": "order"})
    assert told["shop", "room", "temperature"]["in_force"]["from"] == "shop"
    assert told["shop", "fill_in", "most_listed"]["in_force"]["from"] == "usual"
    # the shop doesn't say either: its own field tells what follows from that
    assert told["drying", "flooded"]["in_force"] is None
    assert told["drying", "flooded"]["help"].endswith(told["shop", "drying", "flooded"]["help"])
