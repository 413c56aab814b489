"""A shop is read without an order."""

from __future__ import annotations

from pathlib import Path

import pytest
from pydantic import Field

from prep.errors import SettingsError
from prep.hookspecs import SettingsTables
from prep.loaded import named_by_file
from prep.settings import load_shop
from prep.tables import Table
from prep.units import Share


class Jar(Table):
    full: Share = Field(0.5)


class JarOrder(Table):
    lids: int = 1


TABLES = {"jar": SettingsTables(shop=Jar, order=JarOrder)}


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_a_usual_shop_where_there_is_no_file(folder: Path) -> None:
    shop = load_shop(None, TABLES)
    assert (shop.shop.balance.readability_g, shop.settings(Jar).full) == (1.0, 0.5)
    assert shop.notes == ()


def test_the_file_of_the_folder_is_read_and_told(folder: Path) -> None:
    (folder / "shop.toml").write_text(
        'balance = { readability = "0.1 g" }\n[jar]\nfull = "70 %"\n', encoding="utf-8"
    )
    shop = load_shop(None, TABLES, sets=["jar.full=60 %"])
    assert (shop.shop.balance.readability_g, shop.settings(Jar).full) == (0.1, 0.6)
    assert shop.notes == ("The shop's settings were read from shop.toml.",)
    assert shop.origins["shop.balance.readability"] == "shop.toml"
    assert shop.origins["shop.jar.full"] == "command line"
    assert load_shop(folder / "shop.toml", TABLES).notes == ()


def test_errors_name_the_file_or_what_was_typed(folder: Path) -> None:
    """As those of a job do."""
    (folder / "mine.toml").write_text('[jar]\nfull = "70 %"\n', encoding="utf-8")
    for sets, where in (((), "mine.toml"), (("jar.full=60 %",), "--set jar.full=60 %")):
        shop = load_shop(Path("mine.toml"), TABLES, sets=sets)
        layer = shop.origins["shop.jar.full"]
        with pytest.raises(SettingsError) as refused, named_by_file(shop):
            raise SettingsError("jar.full: too full", where=layer)
        assert refused.value.where == where


@pytest.mark.parametrize(
    ("text", "sets", "said"),
    [
        ('[jar]\nfull = "170 %"\n', (), "shop.toml: jar.full"),
        ('[jug]\nfull = "70 %"\n', (), "no plugin called jug"),
        ("[jar]\nlids = 2\n", (), "it belongs in order.toml under [jar]"),
        ("", ("jar.lids=2",), "--set jar.lids=2: speaks of an order, and there is none here"),
        ("", ("colour.#112233.mesh=43-80",), "speaks of an order, and there is none here"),
        ("", ("jar.ful=2",), "did you mean jar.full?"),
    ],
)
def test_what_can_not_be_used_is_told_in_one_line(
    folder: Path, text: str, sets: tuple[str, ...], said: str
) -> None:
    (folder / "shop.toml").write_text(text, encoding="utf-8")
    with pytest.raises(SettingsError) as refused:
        load_shop(None, TABLES, sets=sets)
    (line,) = refused.value.lines()
    assert said in line


def test_tables_of_plugins_left_out_are_passed_over(folder: Path) -> None:
    (folder / "shop.toml").write_text('[jug]\nfull = "70 %"\n', encoding="utf-8")
    assert load_shop(None, TABLES, without=["jug"]).settings(Jar).full == 0.5
