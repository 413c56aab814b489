"""What an order names and no set-up has ends the command; what one of them has is a note for the others."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from prep.cli import run

RED, TEAL = "#d94030", "#308090"


@pytest.mark.parametrize(
    ("table", "status", "said"),
    [
        (
            "[sequence]\nflash_after = ['pink']\n",
            2,
            "pink in sequence.flash_after fits no screen here",
        ),
        (
            f"[shop.press]\nstations = 4\n[sequence]\nflash_after = ['{RED}']\n",
            0,
            "",
        ),
        (
            f"[sequence]\nflash_after = ['{RED}']\n",
            2,
            f"{RED} in sequence.flash_after has no screen after it here",
        ),
        ("[base]\nunder = ['#123456']\n", 2, "base.under names #123456, which isn't printed here"),
        ("[base]\nway = 'one film'\n", 2, 'base.way = "one film" is no way to print this'),
        (
            f"[[trap.pair]]\nunder = '{RED}'\nover = '#123456'\ndo = 'butt'\n",
            2,
            "trap.pair[1] has no use here: #123456 isn't printed",
        ),
    ],
)
def test_what_no_set_up_has_is_refused_in_one_line(
    table: str, status: int, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two prints, one of red alone and one of red and teal."""
    for name, teal in (("a", ""), ("b", f'<rect x="20" width="20" height="20" fill="{TEAL}"/>')):
        (tmp_path / f"{name}.svg").write_text(
            '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20" width="40mm" height="20mm">'
            f'<rect width="20" height="20" fill="{RED}"/>{teal}</svg>'
        )
    prints = "".join(f"[[print]]\nplace = '{n}'\nartwork = '{n}.svg'\n" for n in "ab")
    order = tmp_path / "finches.toml"
    order.write_text(prints + table)
    assert run(["check", str(order)]) == status
    lines = capsys.readouterr().err.strip().splitlines()
    if status:
        assert lines[-1].startswith(f"prep: {order}: {said}")
        assert lines[-1].endswith("nor in any other set-up; name what is there, or take it out")


def test_a_plugins_refusal_names_the_file_that_was_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Plugins know layers only; the order and the shop may have other names."""
    (tmp_path / "a.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20" width="40mm" height="20mm">'
        f'<rect width="20" height="20" fill="{RED}"/></svg>'
    )
    order, shop = tmp_path / "finches.toml", tmp_path / "table.toml"
    text = "[[print]]\nplace = 'a'\nartwork = 'a.svg'\n[[garment]]\ncolour = '#101830'\n"
    shop.write_text("[base]\nink = 'snow'\n")
    order.write_text(text)
    assert run(["check", str(order), "--shop", str(shop)]) == 2
    assert f"prep: {shop}: base.ink:" in capsys.readouterr().err
    order.write_text(text + "[base]\nunder = ['#123456']\n")
    assert run(["check", str(order)]) == 2
    assert f"prep: {order}: base.under:" in capsys.readouterr().err


def test_a_set_ups_own_order_keeps_only_what_belongs_to_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What the front alone has stands in its order.toml and in the whole one; the sleeve's runs alone."""
    for name, teal in (("a", ""), ("b", f'<rect x="20" width="20" height="20" fill="{TEAL}"/>')):
        (tmp_path / f"{name}.svg").write_text(
            '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20" width="40mm" height="20mm">'
            f'<rect width="20" height="20" fill="{RED}"/>{teal}</svg>'
        )
    (tmp_path / "order.toml").write_text(
        "[base]\n"
        f"not_under = ['{TEAL}', '{RED}']\n"
        f"[[trap.pair]]\nunder = '{RED}'\nover = '{TEAL}'\ndo = 'butt'\n"
        f"[sequence]\norder = ['{RED}', '{TEAL}']\n"
        "[[print]]\nplace = 'a'\nartwork = 'a.svg'\n[[print]]\nplace = 'b'\nartwork = 'b.svg'\n"
        "[[garment]]\ncolour = '#101830'\nsizes = { M = 3 }\n"
    )
    assert run(["sheet", str(tmp_path / "order.toml"), "--out", str(tmp_path / "job")]) == 0
    own = {path.parent.name: path for path in (tmp_path / "job").glob("*/order.toml")}
    assert len(own) == 2
    for folder, path in own.items():
        read = tomllib.loads(path.read_text())
        here = [RED] if folder.startswith("a") else [RED, TEAL]
        assert read["sequence"]["order"] == here
        assert sorted(read["base"]["not_under"]) == sorted(here)
        assert len(read["trap"].get("pair", [])) == len(here) - 1
        assert run(["check", str(path)]) in (0, 1)
    whole = tomllib.loads((tmp_path / "job" / "order.toml").read_text())
    assert (len(whole["trap"]["pair"]), len(whole["sequence"]["order"])) == (1, 2)


@pytest.mark.parametrize(
    ("typed", "prints", "said"),
    [
        ("base.way=one film", "ab", 'base.way = "one film" is no way to print this'),
        ("base.way=one film", "b", '"one film" is no way to print b, '),
        ("sequence.flash_after=['pink']", "ab", "pink in sequence.flash_after fits no screen"),
        ("sequence.flash_after=['pink']", "b", "no screen prints pink; there are "),
        (
            "press.set_up_again=false",
            "b",
            "b, size as drawn, on light takes 2 films, and the press",
        ),
    ],
)
def test_what_was_typed_is_named_as_typed(
    typed: str, prints: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The option and its value stand in place of a file and its key, whoever refuses it."""
    (tmp_path / "b.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20" width="40mm" height="20mm">'
        f'<rect width="20" height="20" fill="{RED}"/>'
        f'<rect x="20" width="20" height="20" fill="{TEAL}"/></svg>'
    )
    order = tmp_path / "order.toml"
    order.write_text("".join(f"[[print]]\nplace = '{n}'\nartwork = 'b.svg'\n" for n in prints))
    assert run(["check", str(order), "--set", "press.stations=1", "--set", typed]) == 2
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert line.startswith(f"prep: --set {typed}: {said}")
