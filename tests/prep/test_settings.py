"""Files and command line are layered, checked, and written out so that they read the same."""

from __future__ import annotations

import os
import shutil
import tempfile
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, Self

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st
from pydantic import Field, model_validator

from prep.errors import InputError, PluginFailed, SettingsError
from prep.hookspecs import SettingsTables
from prep.plugins import find_plugins
from prep.request import Request
from prep.settings import Loaded, load
from prep.shop import Mesh
from prep.tables import Table
from prep.units import Allowance_mm, Length_mm, Share


class InkOrder(Table):
    reserve: Share = 0.15
    test_pulls: int = Field(4, ge=0)
    note: str = ""


class InkShop(Table):
    transfer: float = Field(0.6, gt=0, le=3)
    edge_mm: Length_mm | None = Field(None, alias="edge")


class Tried(Table):
    edge: dict[str, Any] | None = None
    bead: dict[str, Any] | None = None
    measured_in: dict[str, Any] | None = None


class TrapColour(Table):
    width_mm: Allowance_mm = Field(0.35, alias="width")


class Step(Table):
    word: str = "look"
    times: int = 1


class CareOrder(Table):
    steps: tuple[Step, ...] = (Step(),)
    by_name: dict[str, Step] = Field({"a": Step()})
    places: tuple[tuple[float, float], ...] = ()
    pairs: tuple[dict[str, float], ...] = ()


class _Ordered(Table):
    """Two figures in order."""

    least: int = 0
    most: int = 9

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.least > self.most:
            raise ValueError("least must not be more than most")
        return self


TABLES: Mapping[str, SettingsTables] = {
    "ink": SettingsTables(shop=InkShop, order=InkOrder),
    "trap": SettingsTables(colour=TrapColour),
    "care": SettingsTables(order=CareOrder),
    "bare": SettingsTables(),
}
NO_COLOUR = (
    'is not a colour; write it like "#1f3a5f", or as one of the colour names of CSS, like navy or'
    " darkgreen"
)
LIKE_LENGTHS = 'write it like "280 mm" (in mm, cm, m, um, in, ft, yd, mil or pt)'
PRINT = '[[print]]\nartwork = "front.svg"\n'


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, with an artwork that nobody opens here."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "front.svg").write_text("<svg/>")
    (tmp_path / "back.svg").write_text("<svg/>")
    return tmp_path


def of_order(text: str, *, tables: Mapping[str, SettingsTables] = TABLES, **more: Any) -> Loaded:
    """Load an order given as text."""
    Path("order.toml").write_text(text, encoding="utf-8")
    return load(Request(Path("order.toml"), **more), tables)


def of_art(**more: Any) -> Loaded:
    """Load an artwork alone."""
    return load(Request(Path("front.svg"), **more), TABLES)


def lines(read: Callable[..., Loaded], *arguments: Any, **more: Any) -> list[str]:
    """Give the lines a printer reads when settings are refused."""
    with pytest.raises(InputError) as refused:
        read(*arguments, **more)
    assert refused.value.exit_status == 2
    given = refused.value.lines()
    assert all(line == " ".join(line.split()) for line in given)
    return list(given)


def line(read: Callable[..., Loaded], *arguments: Any, **more: Any) -> str:
    """Give the only line."""
    (only,) = lines(read, *arguments, **more)
    return only


# an artwork alone ------------------------------------------------------------------------------


@pytest.mark.usefixtures("folder")
def test_artwork_alone_makes_an_order_of_one_line() -> None:
    """Nothing but a drawing is enough; all that was assumed is said."""
    loaded = of_art()
    (printed,) = loaded.order.print
    (garment,) = loaded.order.garment
    assert loaded.order.name == "front"
    assert (printed.place, printed.artwork) == ("front", Path("front.svg").absolute())
    assert (garment.name, garment.colour, garment.fibre) == ("shirt", "#ffffff", "100 % cotton")
    assert garment.sizes == {"one size": 24}
    (setup,) = loaded.setups
    assert (setup.key, setup.size.width_mm, setup.size.height_mm) == (
        "front-as-drawn-light",
        None,
        None,
    )
    assert loaded.assumed == (
        "Assumed 24 garments, as nobody said how many (--shirts).",
        "Assumed white garments, as nobody said their colour (--garment).",
        "Assumed 100 % cotton, as nobody said the fibre.",
        "Assumed the size the artwork states for front, as nobody gave a width (--width).",
        "Assumed a usual shop, as there is no shop.toml: meshes 43-80, 62-64, 77-55; film of 80 µm;"
        " hinged frame.",
    )
    assert loaded.notes == ()


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(("shop", "order", "assumed"), [
    (None, "", True),
    ("", "", False),
    ('name = "Kitchen"', "", False),
    (None, '[shop]\nname = "Kitchen"\n', False),
])  # fmt: skip
def test_what_was_measured_makes_no_shop_nor_unmakes_one(
    shop: str | None, order: str, assumed: bool
) -> None:
    """A usual shop is assumed where neither file says a thing of it, whatever was measured in it."""
    if shop is not None:
        Path("shop.toml").write_text(shop, encoding="utf-8")
    Path("order.toml").write_text(f'{order}[[print]]\nartwork = "front.svg"\n', encoding="utf-8")

    def learn(own: object) -> list[tuple[str, dict[str, Any]]]:
        del own
        return [("log", {"film": {"margin": "40 mm"}})]

    loaded = load(Request(Path("order.toml")), TABLES, learn)
    assert loaded.shop.film.margin_mm == 40.0
    said = any(one.startswith("Assumed a usual shop") for one in loaded.assumed)
    assert said == assumed


@pytest.mark.usefixtures("folder")
def test_readings_of_what_is_stated_are_forgotten() -> None:
    """The shop's own scatter stands before the log's, and so isn't of the log's day."""
    Path("shop.toml").write_text('press = { scatter = "0.2 mm" }', encoding="utf-8")
    days = {name: {"measured_on": "2026-03-04", "n": 9} for name in ("scatter", "set_up_error")}

    def learn(own: object) -> list[tuple[str, dict[str, Any]]]:
        del own
        press = {"scatter": "0.1 mm", "set_up_error": "0.3 mm", "measured": days}
        return [("log", {"press": press})]

    loaded = load(Request(Path("front.svg")), TABLES, learn)
    press = loaded.shop.press
    assert (press.scatter_mm, press.set_up_error_mm) == (0.2, 0.3)
    assert list(press.measured) == ["set_up_error"]
    assert loaded.notes[-1] == (
        "The press's error was measured here: set up error on 2026-03-04, n = 9."
    )


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(
    ("stock", "figure", "used"),
    [
        ("", {"mesh": "43-80"}, True),
        ("", {"mesh": "43T"}, False),
        ('[[mesh]]\nname = "43T"\ncount = "43/cm"\nthread = "80 um"\n', {"mesh": "43T"}, True),
        ("", {"ink": "rust"}, False),
        ("", {"ink": "#aa3311"}, True),
        ('[[inks]]\nname = "rust"\n', {"ink": "rust"}, True),
    ],
)
def test_what_was_learnt_with_what_is_not_in_stock_is_left_out_and_told(
    stock: str, figure: dict[str, str], used: bool
) -> None:
    """A mesh sold since, or an ink that nobody has: the job is as without the figure, and told so."""
    Path("shop.toml").write_text(stock, encoding="utf-8")
    edge = {"value": "9 mm", **figure, "measured_on": "2026-03-04", "n": 3}

    def learn(own: object) -> list[tuple[str, dict[str, Any]]]:
        del own
        return [("log", {"ink": {"edge": edge, "measured_in": {"climate": "still room"}}})]

    loaded = load(Request(Path("front.svg")), {"ink": SettingsTables(shop=Tried)}, learn)
    (name,) = figure.values()
    told = [one for one in loaded.notes if f'"{name}", and in stock are' in one]
    found = loaded.as_written(("shop", "ink"))
    assert found == ({"edge": edge, "measured_in": {"climate": "still room"}} if used else {})
    assert len(told) == (0 if used else 1)


@pytest.mark.usefixtures("folder")
def test_what_the_order_s_own_shop_has_counts() -> None:
    """An order with a stock of its own: the mesh of shop.toml isn't there, the ink it names is."""
    edge = {"value": "9 mm", "mesh": "43-80", "measured_on": "2026-03-04"}
    bead = {"value": "9 mm", "ink": "rust", "measured_on": "2026-03-04"}

    def learn(own: object) -> list[tuple[str, dict[str, Any]]]:
        del own
        return [("log", {"ink": {"edge": edge, "bead": bead}})]

    Path("order.toml").write_text(
        f'{PRINT}[[print.colour]]\nhex = "#aa3311"\nink = "rust"\n'
        '[[shop.mesh]]\nname = "own"\ncount = "43/cm"\nthread = "80 um"\n',
        encoding="utf-8",
    )
    loaded = load(Request(Path("order.toml")), {"ink": SettingsTables(shop=Tried)}, learn)
    assert loaded.as_written(("shop", "ink")) == {"bead": bead}
    assert any('"43-80", and in stock are "own"' in one for one in loaded.notes)


@pytest.mark.usefixtures("folder")
def test_what_was_measured_and_contradicts_the_shop_stops_nothing() -> None:
    """A figure of the log that the table doesn't take is left out and told; the shop's own stays."""
    Path("shop.toml").write_text("stencils = { least = 2 }", encoding="utf-8")

    def learn(own: object) -> list[tuple[str, dict[str, Any]]]:
        del own
        return [("log", {"stencils": {"most": 1}})]

    tables = {"stencils": SettingsTables(shop=_Ordered)}
    loaded = load(Request(Path("front.svg")), tables, learn)
    (setup,) = loaded.setups
    assert loaded.chosen_for(setup).get(_Ordered) == _Ordered(least=2)
    assert loaded.notes[-1].startswith(
        "stencils: most as measured here can't be used beside what is stated: "
    )


@pytest.mark.usefixtures("folder")
def test_what_was_said_is_not_assumed() -> None:
    """Each option takes its sentence away."""
    loaded = of_art(width="280 mm", shirts=48, garment="#203040")
    assert loaded.assumed[0].startswith("Assumed 100 % cotton")
    assert loaded.assumed[1].startswith("Assumed a usual shop")
    assert len(loaded.assumed) == 2
    (setup,) = loaded.setups
    assert (setup.key, setup.shirts) == ("front-280mm-dark", 48)
    assert (
        of_order(
            PRINT
            + 'width = "3 in"\n[[garment]]\ncolour = "#fff"\nfibre = "wool"\nsizes = {S = 1}\n[shop]\n'
        ).assumed
        == ()
    )


@pytest.mark.usefixtures("folder")
def test_assumptions_name_the_garment_where_there_are_several() -> None:
    """With two garments, one knows which was assumed to be white."""
    assumed = of_order(
        PRINT + '[[garment]]\nname = "A"\n[[garment]]\nname = "B"\ncolour = "#000"\n'
    ).assumed
    assert 'Assumed white garments of "A", as nobody said their colour (--garment).' in assumed
    assert 'Assumed 24 garments of "B", as nobody said how many (--shirts).' in assumed
    assert not any("white" in said and '"B"' in said for said in assumed)


# layers ------------------------------------------------------------------------------------------


def test_layers_lie_over_each_other(folder: Path) -> None:
    """Default, shop.toml, order.toml and command line win in turn, and each value knows its layer."""
    (folder / "shop.toml").write_text(
        '[film]\nname = "thin"\nthickness = "60 um"\nmargin = "40 mm"\n'
        '[ink]\ntransfer = 0.5\nedge = "1 mm"\n'
    )
    loaded = of_order(
        "[ink]\nreserve = 0.2\n[shop.film]\nthickness = '90 um'\nmargin = '30 mm'\n"
        "[shop.ink]\ntransfer = 0.7\n"
        + PRINT
        + "width = '200 mm'\n[[print.colour]]\nhex = '#1F3A5F'\nink = 'deep blue'\n",
        width="8 in",
        sets=("film.margin=20 mm", "ink.test_pulls=6", "colour.#1f3a5f.mesh=62-64"),
    )
    film = loaded.shop.film
    assert (film.name, film.thickness_um, film.margin_mm, film.width_mm) == (
        "thin",
        90.0,
        20.0,
        500.0,
    )
    (setup,) = loaded.setups
    assert setup.size.width_mm == 203.2
    assert (setup.colours[0].ink, setup.colours[0].mesh) == ("deep blue", "62-64")
    chosen = loaded.chosen_for(setup)
    assert chosen.get(InkOrder) == InkOrder(reserve=0.2, test_pulls=6)
    assert chosen.get(InkShop) == InkShop(transfer=0.7, edge="1 mm")  # type: ignore[arg-type]  # as read
    origins = chosen.origins
    assert {key: origins[key] for key in origins if key.startswith("shop.film.")} == {
        "shop.film.name": "shop.toml",
        "shop.film.thickness": "order.toml",
        "shop.film.margin": "command line",
        "shop.film.width": "default",
        "shop.film.side": "default",
        "shop.film.cut_face_up": "default",
        "shop.film.adhesive": "default",
    }
    assert (origins["ink.reserve"], origins["ink.test_pulls"], origins["ink.note"]) == (
        "order.toml",
        "command line",
        "default",
    )
    assert (origins["shop.ink.transfer"], origins["shop.ink.edge"]) == ("order.toml", "shop.toml")
    assert origins["colour.#1f3a5f.ink"] == "order.toml"
    assert origins["colour.#1f3a5f.mesh"] == "command line"
    assert "colour.#1f3a5f.passes" not in origins
    assert (origins["width"], origins["place"], origins["name"]) == (
        "command line",
        "default",
        "default",
    )
    assert origins["garment[1].sizes"] == "default"


def test_lists_are_replaced_as_a_whole(folder: Path) -> None:
    """The order's meshes stand in place of the shop's; they aren't added."""
    (folder / "shop.toml").write_text('[[mesh]]\nname = "a"\ncount = "40/cm"\nthread = "80 um"\n')
    assert [mesh.name for mesh in of_art().shop.mesh] == ["a"]
    loaded = of_order(PRINT + '[[shop.mesh]]\nname = "b"\ncount = "50/cm"\nthread = "70 um"\n')
    assert [mesh.name for mesh in loaded.shop.mesh] == ["b"]


def test_the_shop_beside_is_read_and_told(folder: Path) -> None:
    """shop.toml beside the order or artwork counts; --shop goes before it."""
    place = folder / "jobs"
    place.mkdir()
    (folder / "shop.toml").write_text('name = "here"\n')
    (place / "shop.toml").write_text('name = "beside the order"\n')
    (place / "order.toml").write_text(PRINT)
    (place / "front.svg").write_text("<svg/>")
    beside = load(Request(place / "order.toml"), TABLES)
    assert beside.shop.name == "beside the order"
    assert beside.notes == (f"The shop's settings were read from {place / 'shop.toml'}.",)
    assert not any("usual shop" in said for said in beside.assumed)
    with_art = load(Request(place / "front.svg"), TABLES)
    assert with_art.shop.name == "beside the order"
    # the order decides where to look, not the artwork
    assert load(Request(Path("front.svg"), order=place / "order.toml"), TABLES).shop == beside.shop
    asked = load(Request(place / "order.toml", shop=Path("shop.toml")), TABLES)
    assert (asked.shop.name, asked.notes) == ("here", ())


def test_artworks_are_named_from_the_orders_folder(folder: Path) -> None:
    """A path in order.toml starts at its folder, wherever the command is run."""
    place = folder / "jobs"
    place.mkdir()
    (place / "order.toml").write_text('[[print]]\nartwork = "../back.svg"\n')
    loaded = load(Request(Path("jobs/order.toml")), TABLES)
    assert loaded.order.print[0].artwork == folder / "back.svg"
    given = load(Request(Path("front.svg"), order=Path("jobs/order.toml")), TABLES)
    assert given.order.print[0].artwork == folder / "front.svg"


@pytest.mark.usefixtures("folder")
def test_an_order_without_name_is_called_after_its_artwork() -> None:
    """The first artwork's name stands in."""
    assert of_order(PRINT).order.name == "front"
    assert of_order('name = "Regatta"\n' + PRINT).order.name == "Regatta"


# command line --------------------------------------------------------------------------------------


@pytest.mark.usefixtures("folder")
def test_width_and_height_from_the_command_line() -> None:
    """One side given on the command line leaves the other to the drawing."""
    text = PRINT + 'width = "280 mm"\nheight = "100 mm"\nwidth_by_size = { S = "190 mm" }\n'
    text += "[[garment]]\nsizes = { S = 2, M = 3 }\n"

    def sizes(**more: Any) -> list[tuple[float | None, float | None]]:
        return [(s.size.width_mm, s.size.height_mm) for s in of_order(text, **more).setups]

    assert sizes() == [(190.0, None), (280.0, 100.0)]
    assert sizes(width="300 mm") == [(190.0, None), (300.0, None)]
    assert sizes(height="90 mm") == [(None, 90.0)]
    assert sizes(width="300 mm", height="90 mm") == [(190.0, None), (300.0, 90.0)]


@pytest.mark.usefixtures("folder")
def test_shirts_and_garment_change_the_one_garment() -> None:
    """A count goes to the one size there is, a colour to the one garment."""
    text = PRINT + '[[garment]]\nname = "tee"\ncolour = "#fff"\nsizes = { L = 3 }\n'
    (garment,) = of_order(text, shirts=7, garment="#102030").order.garment
    assert (garment.name, garment.sizes, garment.colour) == ("tee", {"L": 7}, "#102030")


@pytest.mark.usefixtures("folder")
def test_counts_are_laid_over_the_sizes_they_name() -> None:
    """Garments are told by their place, sizes by their names as read; the others stay, --shirts or not."""
    two = PRINT + '[[garment]]\nsizes = { S = 1, " M " = 2 }\n[[garment]]\nsizes = { M = 5 }\n'
    first, second = of_order(two, counts=((0, "M", 9), (1, "M", 7))).order.garment
    assert (first.sizes, second.sizes) == ({"S": 1, "M": 9}, {"M": 7})
    one = of_art(shirts=4, counts=((0, "one size", 54),))
    assert [batch.sizes for batch in one.setups[0].batches] == [(("one size", 54),)]
    assert of_art(counts=((0, "one size", 74),)).setups[0].shirts == 74
    assert line(of_order, two, counts=((0, "M", 0),)) == "size M: 0: must be at least 1"


@pytest.mark.usefixtures("folder")
def test_a_colour_printed_as_another_loses_what_was_said_of_its_screen() -> None:
    """Said with its ink it is refused; asked for so, ink and all go, in each print, and others stay."""
    red = '[[print.colour]]\nhex = "#d00"\nink = "red"\n[print.colour.trap]\nwidth = "0.2 mm"\n'
    blue = '[[print.colour]]\nhex = "#00d"\nink = "blue"\n'
    two = PRINT + 'place = "a"\n' + red + blue + PRINT + 'place = "b"\n'
    said = "colour.#dd0000.print_as=#0000dd"
    assert "ink, trap of #dd0000 would never be used" in line(of_order, two, sets=(said,))
    first, second = of_order(two, printed_as=(("#dd0000", "#0000dd"),)).order.print
    told = [(c.colour, c.ink, c.print_as) for c in first.colour]
    assert told == [("#dd0000", None, "#0000dd"), ("#0000dd", "blue", None)]
    assert [(c.colour, c.print_as) for c in second.colour] == [("#dd0000", "#0000dd")]


@pytest.mark.usefixtures("folder")
def test_options_that_could_mean_several_are_refused() -> None:
    """Nothing is guessed: with two prints, garments or sizes, an option is refused."""
    two = PRINT + 'place = "a"\n' + PRINT + 'place = "b"\n'
    assert line(of_order, two, width="3 in") == (
        "--width: the order holds 2 prints; which one is meant can't be told; set width under the"
        " order's [[print]]"
    )
    assert line(of_order, two, height="3 in").startswith("--height: the order holds 2 prints")
    garments = PRINT + "[[garment]]\n[[garment]]\n"
    assert lines(of_order, garments, shirts=3, garment="#000") == [
        "--garment: the order holds 2 garments; which one is meant can't be told; change the order's"
        " [[garment]]",
        "--shirts: the order holds 2 garments; which one is meant can't be told; change the order's"
        " [[garment]]",
    ]
    assert line(of_order, PRINT + "[[garment]]\nsizes = { S = 1, M = 2 }\n", shirts=9) == (
        "--shirts: the order counts 2 sizes; how 9 are shared out can't be told; change the order's"
        " sizes"
    )


@pytest.mark.usefixtures("folder")
def test_an_artwork_beside_an_order() -> None:
    """It takes the place of the one print's artwork; with two prints it can't be placed."""
    Path("order.toml").write_text('[[print]]\nplace = "back"\n')
    loaded = load(Request(Path("back.svg"), order=Path("order.toml")), TABLES)
    assert (loaded.order.print[0].place, loaded.order.print[0].artwork.name) == ("back", "back.svg")
    Path("order.toml").write_text("[[garment]]\nsizes = { S = 5 }\n")
    assert load(Request(Path("back.svg"), order=Path("order.toml")), TABLES).setups[0].shirts == 5
    Path("order.toml").write_text(PRINT + 'place = "a"\n' + PRINT + 'place = "b"\n')
    assert line(load, Request(Path("back.svg"), order=Path("order.toml")), TABLES) == (
        "order.toml: holds 2 prints with an artwork each; which of them back.svg belongs to can't be"
        " told; give the order in place of the artwork"
    )
    assert line(load, Request(Path("order.toml"), order=Path("order.toml")), TABLES) == (
        "--order order.toml: order.toml is an order already; give one of them"
    )


@pytest.mark.usefixtures("folder")
def test_set_finds_its_key() -> None:
    """A key is looked for in the plugin's order table, its shop table, the order, the shop."""
    loaded = of_art(
        sets=(
            "ink.reserve=15 %",
            "ink.transfer=0.5",
            "film.thickness=90 um",
            "shop.room.humidity = 0.4",
            "shop.ink.edge=2 mm",
            'name="two words"',
            "shop.name=ours",
            "paper=US Letter",
            'inks=[{name = "red", hex = "#f00"}]',
            "press.stations=4",
            "film.cut_face_up=false",
        )
    )
    chosen = loaded.chosen_for(loaded.setups[0])
    assert chosen.get(InkOrder).reserve == 0.15
    assert (chosen.get(InkShop).transfer, chosen.get(InkShop).edge_mm) == (0.5, 2.0)
    shop = loaded.shop
    assert (shop.film.thickness_um, shop.film.cut_face_up, shop.room.humidity) == (90.0, False, 0.4)
    assert (loaded.order.name, shop.name, shop.paper) == ("two words", "ours", "US Letter")
    assert (shop.inks[0].name, shop.inks[0].colour, shop.press.stations) == ("red", "#ff0000", 4)


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(
    "typed", ["2025", "1e3", "true", "2025-06-01", "12:30:00", "[3", "a=b", '"']
)
def test_set_takes_text_that_looks_like_something_else(typed: str) -> None:
    """Where text is wanted, a name like 2025 is text as it was typed."""
    loaded = of_art(sets=(f"ink.note={typed}", f"name={typed}"))
    assert loaded.chosen_for(loaded.setups[0]).get(InkOrder).note == typed
    assert loaded.order.name == typed


@pytest.mark.usefixtures("folder")
def test_later_sets_win() -> None:
    """As with files, the last word counts."""
    assert of_art(sets=("film.name=a", "film.name=b")).shop.film.name == "b"


@pytest.mark.usefixtures("folder")
def test_set_speaks_of_a_colour() -> None:
    """A colour is set in every print, whether it names the colour or not."""
    text = PRINT + 'place = "a"\n[[print.colour]]\nhex = "#1F3A5F"\nmesh = "77-55"\n'
    text += PRINT + 'place = "b"\n'
    loaded = of_order(
        text,
        sets=(
            "colour.#1f3a5f.mesh=43-80",
            "colour.1f3a5f.trap.width=0.5 mm",
            "colour.#AbC.passes=2",
        ),
    )
    a, b = loaded.order.print
    assert [(c.colour, c.mesh, c.passes) for c in a.colour] == [
        ("#1f3a5f", "43-80", None),
        ("#aabbcc", None, 2),
    ]
    assert [(c.colour, c.mesh, c.passes) for c in b.colour] == [
        ("#1f3a5f", "43-80", None),
        ("#aabbcc", None, 2),
    ]
    of_a, of_b = (loaded.chosen_for(setup) for setup in loaded.setups)
    assert of_a.get(TrapColour, "#1f3a5f").width_mm == 0.5
    assert of_a.get(TrapColour, "#aabbcc").width_mm == 0.35
    assert of_b.get(TrapColour, "#1f3a5f").width_mm == 0.5
    assert of_a.origins["colour.#1f3a5f.trap.width"] == "command line"
    assert of_a.origins["colour.#aabbcc.hex"] == "command line"


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("reserve", "--set reserve: is not KEY=VALUE; write it like --set ink.reserve=15%"),
        ("=3", "--set =3: is not KEY=VALUE; write it like --set ink.reserve=15%"),
        ("ink..reserve=3", "is not KEY=VALUE"),
        (
            "ink.reserv=15%",
            "--set ink.reserv=15%: there is no setting ink.reserv; did you mean ink.reserve?",
        ),
        ("ink.zzz=1", "there is no setting ink.zzz; there are ink.edge, ink.note, ink.reserve,"),
        ("ink=1", "there is no setting ink; there are ink.edge"),
        ("bare.x=1", "--set bare.x=1: there is no setting bare.x"),
        (
            "ink.reserve=150%",
            '--set ink.reserve=150%: "150%" must lie between 0 and 100 %; write it like "15 %"',
        ),
        ("ink.test_pulls=-1", "--set ink.test_pulls=-1: must be at least 0"),
        ("ink.test_pulls=2.5", "--set ink.test_pulls=2.5: must be a whole number"),
        ("ink.transfer=half", "--set ink.transfer=half: must be a number"),
        ("ink.transfer=nan", "--set ink.transfer=nan: must be a finite number"),
        ("flim.thickness=90 um", "there is no setting flim; did you mean film?"),
        (
            "film.thicknes=90 um",
            "--set film.thicknes=90 um: there is no such key here; did you mean thickness?",
        ),
        ("film.thickness=90", '--set film.thickness=90: "90" has no unit; write it like "80 um"'),
        ("film.thickness.x=90", 'needs a number with its unit in quotes, like "80 um"'),
        ("film.side=shrit", 'must be one of "shirt", "squeegee"; did you mean "shirt"?'),
        ("film.cut_face_up=3", "--set film.cut_face_up=3: must be true or false"),
        ("film=3", "--set film=3: must be a table"),
        ("mesh.count=43/cm", "must be a list of tables; put each under [[mesh]]"),
        ("mesh=[]", "--set mesh=[]: must not be empty"),
        ("shop=3", "--set shop=3: says no key of the shop; try shop.name"),
        ("print.width=3 in", "--set print.width=3 in: prints are set in order.toml, not by --set;"),
        ("garment.colour=#000", "garments are set in order.toml, not by --set;"),
        ("name=", "--set name=: must not be empty"),
        ("name=" + "x" * 81, "must have at most 80 letters"),
        ("dark_below=101", "--set dark_below=101: must be at most 100"),
        ("dark_below=-1", "must be at least 0"),
        ("room.air_speed=30 m/s", "--set room.air_speed=30 m/s: must be at most 20 m/s"),
        ("room.temperature=-40 F", "--set room.temperature=-40 F: must be at least -20 C"),
        (
            "colour.#1f3a5f=3",
            "names no key of a colour; write it like --set 'colour.#1f3a5f.mesh=43-80'",
        ),
        (
            "colour.bleu.mesh=43-80",
            f'--set colour.bleu.mesh=43-80: "bleu" {NO_COLOUR}',
        ),
        ("colour.#1f3a5f.mseh=43-80", "there is no such key here; did you mean mesh?"),
        ("colour.#1f3a5f.passes=0", "--set colour.#1f3a5f.passes=0: must be at least 1"),
        ("colour.#1f3a5f.trap.widht=1 mm", "there is no such key here; did you mean width?"),
        ("colour.#1f3a5f.ink.k=1", "must be text in quotes"),
        (
            "colour.#1f3a5f.mesh=43-81",
            'the shop has no mesh "43-81"; did you mean "43-80"? there are 43-80, 62-64, 77-55',
        ),
    ],
)
def test_set_refuses(typed: str, says: str) -> None:
    """A wrong --set is one line that shows it as typed and says what is allowed."""
    said = line(of_art, sets=(typed,))
    assert said.startswith(f"--set {typed}: ")
    assert says in said


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(
    ("option", "value", "says"),
    [
        ("width", "280", '--width: "280" has no unit; write it like "280 mm"'),
        ("width", "0 mm", '--width: "0 mm" must be more than 0; write it like "280 mm"'),
        ("width", "280 m", '--width: "280 m": must be at most 5000 mm'),
        ("height", "3 kg", f'--height: "3 kg" is not of the right kind; {LIKE_LENGTHS}'),
        ("width", "28 furlongs", f'--width: "28 furlongs" has an unknown unit; {LIKE_LENGTHS}'),
        ("shirts", 0, "--shirts: 0: must be at least 1"),
        ("shirts", -5, "--shirts: -5: must be at least 1"),
        ("shirts", 10**9, "--shirts: 1000000000: must be at most 1000000"),
        ("garment", "nvy", f'--garment: "nvy" {NO_COLOUR}'),
    ],
)
def test_options_refuse(option: str, value: object, says: str) -> None:
    """A wrong option is one line that names the option."""
    assert line(of_art, **{option: value}) == says


@pytest.mark.usefixtures("folder")
def test_colours_may_be_called_by_their_css_names() -> None:
    """By option, in the order and in --set; what goes on, and onto the sheet, is their hex."""
    Path("order.toml").write_text(
        PRINT + "[[print.colour]]\nhex = 'Tomato'\nink = 'red'\n[[garment]]\ncolour = 'khaki'\n"
    )
    request = Request(Path("order.toml"), sets=("colour.tomato.mesh=62-64",))
    (setup,) = load(request, TABLES).setups
    # CSS Color Level 4, 6.1 (from memory)
    assert setup.batches[0].colour == "#f0e68c"
    (choice,) = setup.colours
    assert (choice.colour, choice.ink, choice.mesh) == ("#ff6347", "red", "62-64")
    (setup,) = load(replace(request, garment="navy"), TABLES).setups
    assert setup.batches[0].colour == "#000080"


@pytest.mark.parametrize("shown", ["empty.svg", "./sub/../empty.svg"])
def test_empty_files_are_told_by_the_name_they_were_given(folder: Path, shown: str) -> None:
    """Not by a full path that nobody typed."""
    (folder / "sub").mkdir()
    (folder / "empty.svg").touch()
    with pytest.raises(InputError) as refused:
        load(Request(Path(shown)), TABLES)
    assert refused.value.lines() == (f"{Path(shown)}: is empty; export it again",)
    (folder / "sub" / "order.toml").write_text("[[print]]\nartwork = '../empty.svg'\n")
    with pytest.raises(InputError) as refused:
        load(Request(Path("sub/order.toml")), TABLES)
    assert refused.value.lines() == (
        'sub/order.toml: print[1].artwork = "../empty.svg": the file is empty;'
        " export or copy sub/../empty.svg again",
    )


# wrong files -----------------------------------------------------------------------------------------


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", 'order.toml: has no [[print]]; add [[print]] and under it artwork = "front.svg"'),
        (
            "[print]\nartwork = 'a.svg'\n",
            "order.toml: print: must be a list of tables; put each under [[print]]",
        ),
        ("print = []\n", "order.toml: print = []: must not be empty"),
        (
            "[[print]]\n",
            "order.toml: print[1].artwork: is missing; write artwork = ... in it, or take",
        ),
        (
            PRINT + "widht = '3 in'\n",
            "order.toml: print[1].widht: there is no such key here; did you mean width?",
        ),
        (
            PRINT + "place = 'a'\n" + PRINT + "place = 'b'\nwidth = '28 parsnips'\n",
            'order.toml: print[2].width: "28 parsnips" has an unknown unit; write it like "280 mm"',
        ),
        (
            PRINT + "width = 280\n",
            'order.toml: print[1].width = 280: needs a number with its unit in quotes, like "280 mm"',
        ),
        (PRINT + "place = 3\n", "order.toml: print[1].place = 3: must be text in quotes"),
        (PRINT + "place = ' '\n", 'order.toml: print[1].place = " ": must not be empty'),
        (PRINT + 'place = "a\\nb"\n', 'print[1].place = "a\\nb": must be plain text on one line'),
        (
            PRINT + "width_by_size = { XS = 'wide' }\n",
            'order.toml: print[1].width_by_size.XS: "wide" has no number',
        ),
        (
            PRINT + "width_by_size = { 'one  size' = '3 in' }\n",
            'print[1].width_by_size."one size": no garment printed here has the size "one size"',
        ),
        (
            PRINT + "width_by_size = { Mm = '3 in' }\n[[garment]]\nsizes = { M = 3, L = 4 }\n",
            'print[1].width_by_size.Mm: no garment printed here has the size "Mm"; did you mean "M"?'
            " there are M, L",
        ),
        (
            PRINT + "[[print.colour]]\nink = 'x'\n",
            "order.toml: print[1].colour[1].hex: is missing; write hex = ... in it, or take that"
            " [[print.colour]] out",
        ),
        (
            PRINT + "[[print.colour]]\nhex = 'bleu'\n",
            f'order.toml: print[1].colour[1].hex: "bleu" {NO_COLOUR}',
        ),
        (
            PRINT + "[[print.colour]]\nhex = '#abc'\npasses = '2'\n",
            'order.toml: print[1].colour[1].passes = "2": must be a whole number',
        ),
        (
            PRINT + "[[print.colour]]\nhex = '#abc'\n[[print.colour]]\nhex = '#AABBCC'\n",
            "order.toml: print[1].colour[2].hex: #aabbcc stands in this print twice; keep one",
        ),
        (
            PRINT + "[[print.colour]]\nhex = '#abc'\nmesh = '120T'\n",
            'print[1].colour[1].mesh: the shop has no mesh "120T"; there are 43-80, 62-64, 77-55',
        ),
        (
            PRINT
            + "[[print.colour]]\nhex = '#abc'\nink = 'finch rad'\n"
            + "[[shop.inks]]\nname = 'finch red'\n[[shop.inks]]\nname = 'white'\n",
            'order.toml: print[1].colour[1].ink: the shop lists inks, and no "finch rad"; did you mean'
            ' "finch red"? there are finch red, white; or add it under [[inks]] in shop.toml',
        ),
        (
            PRINT + "[[print.colour]]\nhex = '#abc'\n[print.colour.trap]\nwidth = 'x'\n",
            'order.toml: print[1].colour[1].trap.width: "x" has no number; write it like "0.35 mm"',
        ),
        (
            PRINT + "[[print.colour]]\nhex = '#abc'\n[print.colour.care]\n",
            "print[1].colour[1].care: plugin care has no table here; it has settings in order.toml"
            " under [care]",
        ),
        (
            PRINT + PRINT,
            'order.toml: print[2].place: two prints have the place "front"; give each a place of its own',
        ),
        (PRINT + "[[garment]]\nsizes = {}\n", "order.toml: garment[1].sizes: must not be empty"),
        (PRINT + "[[garment]]\nsizes = 3\n", "order.toml: garment[1].sizes = 3: must be a table"),
        (PRINT + "[[garment]]\nsizes = { M = 0 }\n", "garment[1].sizes.M = 0: must be at least 1"),
        (
            PRINT + "[[garment]]\nsizes = { M = -3 }\n",
            "garment[1].sizes.M = -3: must be at least 1",
        ),
        (
            PRINT + "[[garment]]\nsizes = { M = 1.5 }\n",
            "garment[1].sizes.M = 1.5: must be a whole number",
        ),
        (
            PRINT + "[[garment]]\nsizes = { M = true }\n",
            "garment[1].sizes.M = true: must be a whole number",
        ),
        (
            PRINT + "[[garment]]\nsizes = { M = 1, ' M' = 2 }\n",
            'garment[1].sizes: size "M" stands there twice',
        ),
        (PRINT + "[[garment]]\nprints = []\n", "garment[1].prints = []: must not be empty"),
        (
            PRINT + "[[garment]]\nprints = ['frnot']\n[[garment]]\n",
            'order.toml: garment[1].prints: no [[print]] has the place "frnot"; there are front',
        ),
        (
            PRINT + "[[garment]]\nprints = ['front', 'front']\n",
            'order.toml: garment[1].prints: names "front" twice; name it once',
        ),
        (
            PRINT + PRINT + "place = 'back'\n[[garment]]\nprints = ['front']\n",
            'order.toml: print[2].place: no garment is printed at "back"; name it in a garment\'s prints,'
            " or take the print out",
        ),
        (
            PRINT + "[film]\n",
            "order.toml: film: there is no such key here; it belongs in shop.toml, or here"
            " under [shop]: shop.film",
        ),
        (
            "paper = 'A4'\n" + PRINT,
            "order.toml: paper: there is no such key here; it belongs in shop.toml, or here"
            " under [shop]: shop.paper",
        ),
        ("shop = 3\n" + PRINT, "order.toml: shop = 3: must be a table"),
        (
            PRINT + "[shop]\npapper = 'A4'\n",
            "order.toml: shop.papper: there is no such key here; did you mean paper?",
        ),
        (
            PRINT + "[shop.film]\nside = 'shirts'\n",
            'order.toml: shop.film.side = "shirts": must be one of "shirt", "squeegee"; did you mean'
            ' "shirt"?',
        ),
        (
            PRINT + "[ink]\ntransfer = 0.5\n",
            "order.toml: ink.transfer: there is no such key here; it belongs under [shop.ink]",
        ),
        (
            PRINT + "[trap]\n",
            "order.toml: trap: plugin trap has no table here; it has settings in order.toml"
            " under [print.colour.trap]",
        ),
        (PRINT + "[bare]\n", "order.toml: bare: plugin bare has no table here; it has no settings"),
        (
            PRINT + "[tarp]\n",
            "order.toml: tarp: there is no such table, and no plugin called tarp is installed;",
        ),
        (
            PRINT + "[inkk]\n",
            "order.toml: inkk: there is no such table, and no plugin called inkk is"
            " installed; did you mean ink?",
        ),
        (
            PRINT + "[[care.steps]]\ntimse = 3\n",
            "order.toml: care.steps[1].timse: there is no such key here; did you mean times?",
        ),
        (
            'name = "\\u001b[2J"\n' + PRINT,
            'order.toml: name = "\\u001b[2J": must be plain text on one line',
        ),
    ],
)
def test_orders_refused(text: str, says: str) -> None:
    """A wrong order is one line naming file, key, value and what is allowed."""
    assert says in line(of_order, text)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("papre = 'A4'\n", "shop.toml: papre: there is no such key here; did you mean paper?"),
        (
            "[[garment]]\n",
            "shop.toml: garment: there is no such key here; it belongs in order.toml",
        ),
        (
            "[shop]\nname = 'x'\n",
            "shop.toml: shop: there is no such key here; it belongs in order.toml",
        ),
        (
            "[ink]\nreserve = 0.1\n",
            "shop.toml: ink.reserve: there is no such key here; it belongs in order.toml under [ink]",
        ),
        (
            "[care]\n",
            "shop.toml: care: plugin care has no table here; it has settings in order.toml under [care]",
        ),
        (
            "[frame]\nname = 'x'\n",
            "shop.toml: frame: must be a list of tables; put each under [[frame]]",
        ),
        (
            "[[frame]]\nname = 'x'\n",
            "shop.toml: frame[1].inside_width: is missing; write inside_width = ... in it, or take that"
            " [[frame]] out",
        ),
        (
            "[[mesh]]\nname = 'x'\ncount = '43'\nthread = '80 um'\n",
            'shop.toml: mesh[1].count: "43" has no unit; write it like "43/cm"',
        ),
        (
            "[[mesh]]\nname = '120-90'\ncount = '120/cm'\nthread = '90 um'\n",
            'shop.toml: mesh[1]: mesh "120-90" can\'t be: a thread of 90 um is wider than the pitch of'
            " 83.33 um that 120 threads/cm leave; it must be thinner",
        ),
        (
            "[[inks]]\nname = 'red'\n[[inks]]\nname = 'red'\n",
            'shop.toml: inks: two are called "red"; give each a name of its own',
        ),
        (
            "[work]\nmemory = '100 MB'\n",
            'shop.toml: work.memory = "100 MB": must be at least 512 MB',
        ),
    ],
)
def test_shops_refused(folder: Path, text: str, says: str) -> None:
    """A wrong shop is told as it stands in shop.toml."""
    (folder / "shop.toml").write_text(text)
    said = lines(of_art)
    assert says in said[0]


@pytest.mark.usefixtures("folder")
def test_several_errors_come_together() -> None:
    """The first few are told, one a line, each once; the rest is counted."""
    colours = "".join(
        f"[[print.colour]]\nhex = '{c}'\n" for c in ("x", "y", "z", "#12", "#1", "no")
    )
    said = lines(of_order, PRINT + "width = '3'\n" + colours + "[ink]\nreserve = 2\n")
    assert said[0].startswith('order.toml: print[1].width: "3" has no unit')
    assert len(said) == 6
    assert said[-1] == "and 3 more"
    both = lines(of_art, width="280", sets=("ink.reserve=2",))
    assert [text.split(":")[0] for text in both] == ["--width", "--set ink.reserve=2"]


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b'name = "x"\nwidth = 280 mm\n', "order.toml, line 2, column "),
        (b"a = 1\na = 2\n", "order.toml, line 2, column "),
        (b'name = "x\n', "order.toml, line 1, column "),
        (b"a = [1,\n2\n", "order.toml, line 3"),
        (b"name = 'caf\xe9'\n", "order.toml, line 1: is not UTF-8 text; save it as UTF-8"),
        (b"\n\nname = 'caf\xe9'\n", "order.toml, line 3: is not UTF-8 text"),
        (b"\x00", "order.toml, line 1, column 1: is not TOML: "),
        (b"a = " + b"[" * 5000, "order.toml"),
        (b"#" * 1_000_001, "order.toml: is too large for the order's file; check its name"),
    ],
)
def test_what_is_no_toml(data: bytes, says: str) -> None:
    """Files that can't be read are told with the line."""
    Path("order.toml").write_bytes(data)
    assert says in line(load, Request(Path("order.toml")), TABLES)


@pytest.mark.usefixtures("folder")
def test_a_byte_order_mark_is_no_error() -> None:
    """Some editors put a mark before the text."""
    Path("order.toml").write_bytes(b"\xef\xbb\xbf" + PRINT.encode())
    assert load(Request(Path("order.toml")), TABLES).order.name == "front"


def test_files_that_are_not_there(folder: Path) -> None:
    """Missing files, folders and what is no file are told by name."""
    assert line(load, Request(Path("nix.svg")), TABLES) == (
        "nix.svg: there is no such file; check the artwork's name"
    )
    assert line(load, Request(folder), TABLES) == f"{folder}: is a folder; check the artwork's name"
    assert line(load, Request(Path("nix.toml")), TABLES) == (
        "nix.toml: there is no such file; give the order's .toml file"
    )
    assert line(of_art, shop=Path("nix.toml")) == (
        "nix.toml: there is no such file; give the shop's .toml file"
    )
    (folder / "x.toml").mkdir()
    assert line(load, Request(Path("x.toml")), TABLES).startswith("x.toml: is a folder;")
    assert line(of_art, shop=folder).startswith(f"{folder}: is a folder;")
    assert line(of_order, "[[print]]\nartwork = 'nix.svg'\n") == (
        'order.toml: print[1].artwork = "nix.svg": there is no such file; looked for nix.svg'
    )
    assert line(of_order, "[[print]]\nartwork = '.'\n") == (
        'order.toml: print[1].artwork = ".": is a folder; looked for .'
    )
    assert line(of_order, '[[print]]\nartwork = "a\\u0000b.svg"\n').startswith(
        'order.toml: print[1].artwork = "a\\u0000b.svg": '
    )
    # a shop.toml that is a folder isn't taken for one
    (folder / "shop.toml").mkdir()
    assert of_art().notes == ()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="named pipes are a thing of Unix")
def test_what_is_no_plain_file(folder: Path) -> None:
    """A pipe would keep the reading waiting; it is refused."""
    os.mkfifo(folder / "pipe.toml")
    assert line(load, Request(Path("pipe.toml")), TABLES).startswith(
        "pipe.toml: is not a plain file;"
    )
    assert line(load, Request(Path("/dev/null")), TABLES).startswith(
        "/dev/null: is not a plain file;"
    )


def test_files_nobody_may_read(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Missing rights are told in the system's words."""
    (folder / "shop.toml").write_text("")

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)  # root, who runs some tests, may read everything
    said = line(of_art, shop=Path("shop.toml"))
    assert said == "shop.toml: can't be read: Permission denied"


# plugins ------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("folder")
def test_tables_of_plugins_left_out_are_kept_but_not_read() -> None:
    """With --without, a plugin's tables may stand there; they are written out again as they are."""
    text = (
        "[mist]\nlevel = 3\nwhen = 2025-06-01\n[[mist.row]]\na = 1\n[mist.deep.er]\nx = [1, {y = 2}]\n"
        "[shop.mist]\nx = 'y'\n"
        + PRINT
        + "[[print.colour]]\nhex = '#abc'\n[print.colour.mist]\nz = 1.5\n"
    )
    assert "no plugin called mist" in lines(of_order, text)[0]
    loaded = of_order(text, without=("mist",))
    written = tomllib.loads(loaded.in_force())
    assert written["mist"] == tomllib.loads(text)["mist"]
    assert written["shop"]["mist"] == {"x": "y"}
    assert written["print"][0]["colour"][0]["mist"] == {"z": 1.5}
    assert line(of_order, text, without=("mist",), sets=("mist.level=4",)) == (
        "--set mist.level=4: plugin mist is left out by --without; drop one of them"
    )


@pytest.mark.usefixtures("folder")
def test_leaving_out_never_hides_the_cores_own_tables() -> None:
    """--without film doesn't make [film] unread."""
    assert "film.thickness" in line(of_art, without=("film",), sets=("shop.film.thickness=3",))


class Needs(Table):
    depth: int


class Name(Table):
    x: int = 1


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(
    ("tables", "says"),
    [
        (
            {"film": SettingsTables(shop=Name)},
            "plugin film: its settings table [film] has the name of a core setting",
        ),
        (
            {"film": SettingsTables(order=Name)},
            "plugin film: its settings table [film] has the name",
        ),
        (
            {"print": SettingsTables(order=Name)},
            "plugin print: its settings table [print] has the name",
        ),
        ({"colour": SettingsTables(order=Name)}, "has the name of a core setting"),
        ({"shop": SettingsTables(shop=Name)}, "has the name of a core setting"),
        ({"width": SettingsTables(order=Name)}, "has the name of a core setting"),
        (
            {"ink": SettingsTables(colour=Name)},
            "its table [print.colour.ink] has the name of a core setting",
        ),
        (
            {"a": SettingsTables(shop=Name), "b": SettingsTables(order=Name)},
            "plugin b: declares Name, and so does a",
        ),
        ({"a": SettingsTables(shop=Name, order=Name)}, "plugin a: declares Name, and so does a"),
        (
            {"a": SettingsTables(order=Needs)},
            "plugin a: its settings Needs lack a default of depth",
        ),
        ({"a": SettingsTables(order=dict)}, "which is no settings table"),  # type: ignore[arg-type]  # is wrong on purpose
    ],
)
def test_plugins_whose_tables_cannot_be(tables: Mapping[str, SettingsTables], says: str) -> None:
    """Names the core has, one model twice, and keys without a default are the plugin's fault."""
    with pytest.raises(PluginFailed) as failed:
        load(Request(Path("front.svg")), tables)
    assert says in str(failed.value)
    assert "--without" in str(failed.value)


@pytest.mark.usefixtures("folder")
def test_a_plugin_may_be_called_like_a_key_of_a_colour() -> None:
    """[ink] of a plugin and ink = "deep blue" of a colour don't meet."""
    loaded = of_order(PRINT + "[[print.colour]]\nhex = '#abc'\nink = 'sky'\n[ink]\nreserve = 0.3\n")
    (setup,) = loaded.setups
    assert setup.colours[0].ink == "sky"
    assert loaded.chosen_for(setup).get(InkOrder).reserve == 0.3


@pytest.mark.usefixtures("folder")
def test_settings_of_a_job_fall_back_to_defaults() -> None:
    """A colour nobody spoke of has its plugin's defaults."""
    loaded = of_art()
    chosen = loaded.chosen_for(loaded.setups[0])
    assert chosen.get(TrapColour, "#123456") == TrapColour()
    assert chosen.get(InkOrder) == InkOrder()


# everything in force -----------------------------------------------------------------------------------


def again(text: str, *, without: tuple[str, ...] = ()) -> Loaded:
    """Load what was written."""
    Path("again.toml").write_text(text, encoding="utf-8")
    return load(Request(Path("again.toml"), without=without), TABLES)


def same(one: Loaded, other: Loaded) -> bool:
    """Tell whether two readings came to the same settings."""
    return (one.order, one.shop, one.setups) == (other.order, other.shop, other.setups) and all(
        one.chosen_for(setup).tables == other.chosen_for(setup).tables
        and one.chosen_for(setup).by_colour == other.chosen_for(setup).by_colour
        for setup in one.setups
    )


REGATTA = """
name = "Regatta"
[ink]
reserve = "20 %"
[[care.steps]]
word = "wash"
[care.by_name.b]
times = 3
[shop.film]
thickness = "3.5 mil"
[[shop.inks]]
name = "deep blue"
hex = "#1f3a5f"
[[print]]
place = "front"
artwork = "front.svg"
width = "11 in"
width_by_size = { "youth XS-S" = "190 mm" }
[[print.colour]]
hex = "#1F3A5F"
ink = "deep blue"
mesh = "43-80"
[print.colour.trap]
width = "0.4 mm"
[[print]]
place = "back"
artwork = "back.svg"
height = "100 mm"
[[garment]]
name = "navy tee"
colour = "#1d2b4f"
sizes = { S = 4, M = 10, "youth XS-S" = 6 }
[[garment]]
name = "white tee"
sizes = { S = 4, "a\\"b\\\\c.d" = 2 }
prints = ["front"]
"""


def test_everything_in_force_reads_the_same(folder: Path) -> None:
    """The written order.toml, read alone and without options, gives the same settings."""
    (folder / "shop.toml").write_text('[room]\ntemperature = "70 F"\n[ink]\nedge = "0.1 in"\n')
    loaded = of_order(
        REGATTA, sets=("ink.test_pulls=9", "colour.#1f3a5f.passes=2", "dark_below=40")
    )
    (folder / "shop.toml").unlink()
    written = loaded.in_force()
    read = again(written)
    assert same(loaded, read)
    assert read.assumed == ()
    values = tomllib.loads(written)
    assert values["shop"]["film"]["thickness"] == "88.9 um"
    assert values["shop"]["room"] == {
        "temperature": "21.1111111111 C",
        "humidity": "50 %",
        "air_speed": "0.1 m/s",
    }
    assert values["shop"]["ink"] == {"transfer": 0.6, "edge": "2.54 mm"}
    assert values["ink"]["test_pulls"] == 9
    assert values["print"][0]["colour"][0]["trap"] == {"width": "0.4 mm"}
    assert again(written).in_force() == written


def test_one_set_up_in_force_reads_as_that_set_up(folder: Path) -> None:
    """The order.toml of a set-up holds what it prints, and nothing else."""
    loaded = of_order(REGATTA)
    assert len(loaded.setups) == 4
    for setup in loaded.setups:
        read = again(loaded.in_force(setup))
        assert read.setups == (setup,)
        assert read.shop == loaded.shop
        mine, theirs = loaded.chosen_for(setup), read.chosen_for(setup)
        assert (mine.tables, mine.by_colour) == (theirs.tables, theirs.by_colour)
        assert set(mine.origins) - {"garment[1].prints"} <= set(theirs.origins)
    youth = tomllib.loads(loaded.in_force(loaded.setups[2]))
    assert youth["print"][0]["width"] == "190 mm"
    assert "width_by_size" not in youth["print"][0]
    assert [g["sizes"] for g in youth["garment"]] == [{"youth XS-S": 6}]
    assert str(folder) in youth["print"][0]["artwork"]


def test_artworks_can_be_named_from_where_the_file_will_lie(folder: Path) -> None:
    """With its folder known, the file names artworks from there and may be moved along with them."""
    loaded = of_order(REGATTA)
    job = folder / "regatta-prep" / "front"
    job.mkdir(parents=True)
    written = loaded.in_force(folder=job)
    assert tomllib.loads(written)["print"][1]["artwork"] == "../../back.svg"
    assert str(folder) not in written
    (job / "order.toml").write_text(written)
    assert same(loaded, load(Request(job / "order.toml"), TABLES))


class Own(Table):
    value: float = 1.0
    low: float | None = None

    @model_validator(mode="before")
    @classmethod
    def _bare(cls, given: object) -> object:
        return given if isinstance(given, dict) else {"value": given}


class ShopOfOwn(Table):
    own: Own = Own()


def test_what_is_in_force_of_plain_values_made_tables(folder: Path) -> None:
    """A plugin may read a plain value as a table; it keeps its origin and reads the same."""

    tables = {"own": SettingsTables(shop=ShopOfOwn)}
    (folder / "shop.toml").write_text("[own]\nown = 3.5\n")
    loaded = load(Request(Path("front.svg")), tables)
    assert loaded.chosen_for(loaded.setups[0]).origins["shop.own.own.value"] == "shop.toml"
    assert tomllib.loads(loaded.in_force())["shop"]["own"] == {"own": {"value": 3.5}}
    (folder / "shop.toml").write_text("[own]\nown = 'x'\n")
    assert (
        line(load, Request(Path("front.svg")), tables)
        == 'shop.toml: own.own = "x": must be a number'
    )


@pytest.mark.usefixtures("folder")
def test_settings_of_the_installed_plugins_read_the_same() -> None:
    """The plugins shipped here have defaults that are written and read back, and add no assumptions."""
    tables = dict(find_plugins().each("prep_settings", SettingsTables))
    assert {"fill_in", "ink", "registration"} <= set(tables)
    loaded = load(Request(Path("front.svg"), shirts=5), tables)
    Path("again.toml").write_text(loaded.in_force(), encoding="utf-8")
    read = load(Request(Path("again.toml")), tables)
    assert (read.order, read.shop, read.setups) == (loaded.order, loaded.shop, loaded.setups)
    (setup,) = loaded.setups
    first, second = loaded.chosen_for(setup).tables, read.chosen_for(setup).tables
    assert first == second
    assert len(first) == sum((t.shop is not None) + (t.order is not None) for t in tables.values())


@pytest.mark.usefixtures("folder")
def test_an_order_as_people_write_it() -> None:
    """A usual order with a youth size, all in one file."""
    loaded = of_order(
        """
        name = "Harbour day"
        [[print]]
        place = "front"
        artwork = "front.svg"
        width = "280 mm"
        width_by_size = { "youth XS-S" = "190 mm" }
        [[print.colour]]
        hex = "#1f3a5f"
        ink = "deep blue"
        mesh = "43-80"
        passes = 1
        [print.colour.trap]
        width = "0.3 mm"
        [[garment]]
        name = "navy tee"
        colour = "#1d2b4f"
        fibre = "100 % cotton"
        sizes = { S = 4, M = 10, "youth XS-S" = 6 }
        prints = ["front"]
        """
    )
    assert [(s.key, s.shirts) for s in loaded.setups] == [
        ("front-280mm-dark", 14),
        ("front-190mm-dark", 6),
    ]


names = st.text(
    st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp"]), min_size=1, max_size=12
).filter(lambda text: text.strip() != "")
free_text = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
lengths = st.builds(
    lambda value, unit: f"{value / unit[1]:.6f} {unit[0]}",
    st.floats(1.5, 4900),
    st.sampled_from([("mm", 1.0), ("cm", 10.0), ("in", 25.4), ("pt", 25.4 / 72)]),
)
hexes = st.from_regex(r"#[0-9a-fA-F]{6}", fullmatch=True)
shares = st.floats(0, 1) | st.floats(0, 100).map(lambda v: f"{v:.9f} %")


@st.composite
def orders(draw: st.DrawFn) -> dict[str, Any]:
    """Draw an order that can be carried out."""
    places = draw(st.lists(names, min_size=1, max_size=3, unique_by=str.strip))
    sizes = draw(st.lists(names, min_size=1, max_size=4, unique_by=str.strip))
    garments = []
    for _ in range(draw(st.integers(1, 3))):
        own = draw(st.lists(st.sampled_from(sizes), min_size=1, unique=True))
        garment: dict[str, Any] = {
            "colour": draw(hexes),
            "sizes": {size: draw(st.integers(1, 999)) for size in own},
        }
        if draw(st.booleans()):
            garment |= {"name": draw(names), "fibre": draw(names)}
        garments.append(garment)
    there = {size.strip() for garment in garments for size in garment["sizes"]}
    inks = draw(st.lists(names, max_size=3, unique_by=str.strip))
    named = st.sampled_from(inks) if inks else names
    prints = []
    for place in places:
        printed: dict[str, Any] = {"place": place, "artwork": "front.svg"}
        for side in draw(st.lists(st.sampled_from(["width", "height"]), unique=True)):
            printed[side] = draw(lengths)
        by_size = [size for size in sizes if size.strip() in there and draw(st.booleans())]
        if by_size:
            printed["width_by_size"] = {size: draw(lengths) for size in by_size}
        colours = draw(st.lists(hexes, max_size=3, unique_by=str.lower))
        printed["colour"] = [
            {"hex": colour, "ink": draw(named), "passes": draw(st.integers(1, 10))}
            | ({"trap": {"width": draw(lengths)}} if draw(st.booleans()) else {})
            for colour in colours
        ]
        prints.append(printed)
    steps = st.fixed_dictionaries({}, optional={"word": free_text, "times": st.integers(-9, 9)})
    floats = st.floats(allow_nan=False, allow_infinity=False)
    return {
        "name": draw(names),
        "print": prints,
        "garment": garments,
        "ink": {
            "reserve": draw(shares),
            "note": draw(free_text),
            "test_pulls": draw(st.integers(0, 2**70)),
        },
        "care": {
            "steps": draw(st.lists(steps, max_size=3)),
            "by_name": draw(st.dictionaries(free_text, steps, max_size=3)),
            "places": draw(st.lists(st.lists(floats, min_size=2, max_size=2), max_size=3)),
            "pairs": draw(st.lists(st.dictionaries(free_text, floats, max_size=2), max_size=2)),
        },
        "shop": {
            "dark_below": draw(st.floats(0, 100)),
            "room": {"humidity": draw(shares), "temperature": f"{draw(st.floats(0, 130)):.7f} F"},
            "inks": [{"name": name, "density": "8.7 lb/gal"} for name in inks],
            "ink": {"transfer": draw(st.floats(0.001, 3))},
            "mesh": [
                {
                    "name": draw(names),
                    "count": f"{draw(st.floats(50, 200)):.5f} tpi",
                    "thread": "1.5 mil",
                }
            ],
        },
    }


@given(order=orders())
def test_whatever_is_in_force_reads_the_same(order: dict[str, Any]) -> None:
    """Any order, written out in full and read again, gives the same settings, as a whole and in parts."""
    place = Path(tempfile.mkdtemp())
    try:
        (place / "front.svg").write_text("<svg/>")
        (place / "order.toml").write_bytes(tomlkit.dumps(order).encode())
        loaded = load(Request(place / "order.toml"), TABLES)
        (place / "again.toml").write_bytes(loaded.in_force().encode())
        read = load(Request(place / "again.toml"), TABLES)
        assert same(loaded, read)
        assert read.in_force() == loaded.in_force()
        assert sum(s.shirts for s in loaded.setups) == len(order["print"]) * sum(
            sum(garment["sizes"].values()) for garment in order["garment"]
        )
        setup = loaded.setups[-1]
        (place / "one.toml").write_bytes(loaded.in_force(setup, folder=place).encode())
        (part,) = load(Request(place / "one.toml"), TABLES).setups
        assert part.key == setup.key or setup.key.startswith(part.key)  # told apart by number there
        assert (part.size, part.batches, part.colours, part.shade, part.place, part.artwork) == (
            setup.size,
            setup.batches,
            setup.colours,
            setup.shade,
            setup.place,
            setup.artwork,
        )
    finally:
        shutil.rmtree(place)


texts = st.text(st.characters(codec="utf-8"), max_size=12)
junk = st.recursive(
    st.none().map(lambda _: 0) | st.booleans() | st.integers() | st.floats() | texts | lengths,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(
                [
                    "print",
                    "garment",
                    "colour",
                    "hex",
                    "sizes",
                    "prints",
                    "place",
                    "artwork",
                    "mesh",
                    "trap",
                ]
            )
            | texts,
            inner,
            max_size=4,
        )
    ),
    max_leaves=12,
)
top = st.sampled_from(["print", "garment", "shop", "name", "ink", "care", "trap", "film", "mist"])


@given(order=st.dictionaries(top | texts, junk, max_size=5))
def test_any_order_is_read_or_refused_in_lines(order: dict[str, Any]) -> None:
    """No file, however odd, ends in anything but settings or lines for the printer."""
    place = Path(tempfile.mkdtemp())
    try:
        (place / "order.toml").write_bytes(tomlkit.dumps(order).encode())
        try:
            load(
                Request(
                    place / "order.toml", width="3 in", shirts=4, sets=("colour.#abc.passes=2",)
                ),
                TABLES,
            )
        except InputError as error:
            for text in error.lines():
                assert text.isprintable()
    finally:
        shutil.rmtree(place)


@given(
    typed=st.from_regex(r"[a-z.#\"= ]{0,12}(=[ -~]{0,12})?", fullmatch=True) | st.text(max_size=20)
)
def test_any_set_is_read_or_refused(typed: str) -> None:
    """No --set ends in anything but settings or lines for the printer."""
    place = Path(tempfile.mkdtemp())
    try:
        (place / "front.svg").write_text("<svg/>")
        try:
            load(Request(place / "front.svg", sets=(typed,)), TABLES)
        except InputError as error:
            for text in error.lines():
                assert text.isprintable()
    finally:
        shutil.rmtree(place)


# meshes ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "count", "thread", "opening", "open_area", "thickness", "volume"),
    [
        # a mesh maker's published brochure: figures without tension, thread before weaving
        ("90-40", 90, 40, 73, 0.42, 59, 25),
        ("90-48", 90, 48, 65, 0.33, 72, 24),
        ("90-54", 90, 54, 59, 0.27, 84, 23),
        # other makers' tables, from memory
        ("54-64", 54, 64, 115, 0.38, 100, 38),
        ("77-55", 77, 55, 67, 0.27, 88, 24),
        ("140-34", 140, 34, 31, 0.19, 55, 10.5),
    ],
)
def test_published_meshes_can_exist(
    name: str,
    count: float,
    thread: float,
    opening: float,
    open_area: float,
    thickness: float,
    volume: float,
) -> None:
    """Figures that makers publish of one mesh agree within their rounding."""
    given = {
        "name": name,
        "count": f"{count}/cm",
        "thread": f"{thread} um",
        "opening": f"{opening} um",
        "open_area": open_area,
        "thickness": f"{thickness} um",
        "volume": f"{volume} cm3/m2",
    }
    assert Mesh.model_validate(given).name == name


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (
            {"thread": "111.2 um"},
            "can't be: a thread of 111.2 um is wider than the pitch of 111.1 um that 90 threads/cm leave",
        ),
        (
            {"opening": "112 um"},
            "can't be: an opening of 112 um is wider than the pitch of 111.1 um that 90 threads/cm leave",
        ),
        (
            {"opening": "73 um", "open_area": 0.45},
            "is an open area of 43.2 %, but 45.0 % is stated",
        ),
        (
            {"thickness": "90 um"},
            "a cloth of 40 um thread can't be 90 um thick; it lies between 40 and 80 um",
        ),
        ({"thickness": "39 um"}, "can't be 39 um thick"),
        (
            {"open_area": 0.42, "thickness": "59 um", "volume": "35 cm3/m2"},
            "59 um thick holds 24.8 cm3/m2, but 35 cm3/m2 is stated",
        ),
        (
            {"opening": "73 um", "thickness": "59 um", "volume": "20 cm3/m2"},
            "holds 25.5 cm3/m2, but 20 cm3/m2 is stated",
        ),
    ],
)
def test_meshes_that_contradict_themselves(more: dict[str, object], says: str) -> None:
    """A mesh that can't be woven, or whose figures don't fit each other, is refused."""
    given = {"name": "90-40", "count": "90/cm", "thread": "40 um"} | more
    with pytest.raises(ValueError, match='mesh "90-40"') as refused:
        Mesh.model_validate(given)
    assert says in str(refused.value)


def test_errors_know_their_kind(folder: Path) -> None:
    """Wrong settings are SettingsError, a missing artwork is InputError: both end with status 2."""
    with pytest.raises(SettingsError):
        of_order("x = 1\n")
    with pytest.raises(InputError) as missing:
        load(Request(folder / "nix.svg"), TABLES)
    assert not isinstance(missing.value, SettingsError)


@pytest.mark.parametrize("typed", ["inks.x=1", "inks.0.density=1.2 g/ml", "mesh.43-80.count=43/cm"])
def test_set_changes_none_of_a_list(folder: Path, typed: str) -> None:
    """Which entry would be meant can't be typed: the line names the list as it stands in the file."""
    mesh = '[[mesh]]\nname = "43-80"\ncount = "43/cm"\nthread = "80 um"\n'
    (folder / "shop.toml").write_text(f'[[inks]]\nname = "red"\n{mesh}')
    said = line(of_art, sets=(typed,))
    assert said.startswith(f"--set {typed}: shop.{typed.split('.')[0]} is a list of tables")
    assert f"change it in its file, under [[{typed.split('.')[0]}]]" in said
