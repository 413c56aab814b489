"""Whatever the front page tells people to type or to write works as it stands there."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import prep
from prep.cli import run
from prep.line import open_line
from prep.refusals import keys_of
from prep.request import Request
from prep.shop import Film, Frame, Ink, Mesh, OwnKind, Press, Room
from prep_base.settings import BaseOrder
from prep_drying.settings import Drying, DryingOrder
from prep_fill_in.settings import FillIn, FillInColour, FillInOrder
from prep_ink.settings import OrderInk, ShopInk
from prep_mix.settings import Additive, Component, MixColour, MixOrder, MixShop, Recipe
from prep_placing.settings import PlacingOrder, PlacingShop, Spot
from prep_plan.settings import Plan
from prep_price.settings import Other, Price
from prep_registration.settings import Registration
from prep_sequence.settings import SequenceOrder
from prep_squeegee.settings import Squeegee
from prep_stencils.settings import Stencils
from prep_trap.settings import TrapPair

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
COMMANDS = re.findall(r"^    (prep .*)$", README, re.MULTILINE)
SETTINGS = re.findall(r"--set ('[^']+'|[^ `]+)", README)
ORDER, FONT = re.findall(r"^```toml\n(.*?)^```$", README, re.DOTALL | re.MULTILINE)
FISH = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50">'
    '<path fill="#d9472f" d="M10 25L60 5 90 45z"/></svg>'
)
SIGN = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50"><text x="5" y="40" fill="#d9472f"'
    ' font-family="Shop Sign" font-weight="bold" font-size="30">Fish</text></svg>'
)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the files the front page speaks of."""
    (tmp_path / "fish.svg").write_text(FISH)
    (tmp_path / "finches.svg").write_text(FISH)
    (tmp_path / "order.toml").write_text(ORDER)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_there_is_something_to_try() -> None:
    """What is looked for below is on the page."""
    assert len(COMMANDS) >= 4
    assert len(SETTINGS) >= 2


PAGE = [command for command in COMMANDS if command.startswith("prep page")]
"""Serves until it is ended."""


@pytest.mark.parametrize("command", PAGE)
def test_the_page_opens(command: str, folder: Path) -> None:
    """It prints the one address it answers at."""
    shutil.copy(ROOT / "artwork" / "shop.toml", folder / "shop.toml")
    typed = [sys.executable, "-m", *shlex.split(command), "--no-browser"]
    with subprocess.Popen(
        typed, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as page:
        assert page.stdout is not None
        said = page.stdout.readline()
        page.terminate()
    assert re.fullmatch(r"http://127\.0\.0\.1:\d+/\?key=[\w-]+\n", said)


@pytest.mark.parametrize("command", [c for c in COMMANDS if c not in PAGE])
@pytest.mark.usefixtures("folder")
def test_commands_run(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Every command ends well; a check may find something, which it must then say."""
    status = run(shlex.split(command)[1:])
    said = capsys.readouterr()
    assert status == 0 or (" check " in command and status == 1), said.err
    assert said.out


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize("typed", SETTINGS)
def test_settings_are_taken(typed: str) -> None:
    """Every KEY=VALUE is a setting, and is in force then as it was typed."""
    (assignment,) = shlex.split(typed)
    key, _, value = assignment.partition("=")
    shown = f"{value[:-1]} %" if value.endswith("%") else value
    with open_line(Request(Path("order.toml"), sets=(assignment,))) as line:
        assert f'{key.split(".")[-1]} = "{shown}"' in line.loaded.in_force()


def test_the_order_is_read_with_its_font(folder: Path) -> None:
    """The font block outlines text of the order's artwork."""
    pytest.importorskip("uharfbuzz")
    fonts = Path(prep.__file__).parent / "fonts"
    (folder / "fonts").mkdir()
    shutil.copy(fonts / "DejaVuSans-Bold.ttf", folder / "fonts" / "sign-bold.ttf")
    (folder / "finches.svg").write_text(SIGN)
    (folder / "order.toml").write_text(ORDER + FONT)
    with open_line(Request(Path("order.toml"))) as line:
        artwork, (separation,) = line.read(line.setups[0])
    assert len(separation.region.geoms) == 5  # the dot of the i is one of its own
    assert "outlined with the font file named (sign-bold.ttf)" in " ".join(artwork.notes)


def test_options_and_commands_of_the_text_exist(capsys: pytest.CaptureFixture[str]) -> None:
    """Each is in the help."""
    run(["--help"])
    overview = capsys.readouterr().out
    helped = set()
    for command in set(re.findall(r"`prep ([\w-]+)`|^    prep ([\w-]+)", README, re.MULTILINE)):
        (name,) = filter(None, command)
        assert f" {name} " in overview
        run([name, "--help"])
        helped |= set(re.findall(r"--[a-z-]+", capsys.readouterr().out))
    named = set(re.findall(r"(?<![\w-])--[a-z-]+", README)) - {"--"}
    assert named <= helped, f"not in any help: {sorted(named - helped)}"


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(
    ("key", "under"),
    [
        ("bare_shirt = false", ""),
        ("solid_tints = true", "[[print]]"),
        ("printed = false", "colour"),
    ],
)
def test_keys_of_the_text_exist(folder: Path, key: str, under: str) -> None:
    """Each is read where the text says it stands."""
    assert f"`{key}`" in README
    where = {"": 'name = "Seed swap"\n', "[[print]]": "[[print]]\n", "colour": "[[print.colour]]\n"}
    (folder / "order.toml").write_text(ORDER.replace(where[under], f"{where[under]}{key}\n"))
    with open_line(Request(Path("order.toml"))) as line:
        assert key in line.loaded.in_force()


def _keys_of_the_table(number: int) -> dict[str, set[str]]:
    """Give the keys that a table of the README names, by where they stand."""
    named: dict[str, set[str]] = {}
    under = ""
    table = README.split("| Under | Key | What it says |")[number].split("\n\n")[0]
    for first, keys in re.findall(r"^\|(.*?)\|( `\w+`.*?)\|.*\|$", table, re.MULTILINE):
        under = first.strip(" `") or under
        named.setdefault(under, set()).update(re.findall(r"`(\w+)`", keys))
    return named


def test_the_table_names_all_that_orders_can_change_in_four_plugins() -> None:
    """Every key of their tables in order.toml has a line, and no line names another."""
    assert _keys_of_the_table(1) == {
        "[base]": set(keys_of(BaseOrder)),
        "[sequence]": set(keys_of(SequenceOrder)),
        "[[trap.pair]]": set(keys_of(TrapPair)),
        "[mix]`, `[print.colour.mix]": set(keys_of(MixOrder)) | set(keys_of(MixColour)),
    }


def test_the_table_names_what_shops_state() -> None:
    """Every key of four plugins' tables in shop.toml has a line, and no line names what there isn't."""
    named = _keys_of_the_table(2)
    assert named.pop("[[frame]]") < set(keys_of(Frame))
    assert named.pop("[press]") < set(keys_of(Press))
    assert named.pop("[film]") < set(keys_of(Film))
    assert named.pop("[registration]") < set(keys_of(Registration))
    builds = named.pop("[placing.front.adult]")
    places = {"front", "back", "chest", "sleeve"}
    assert builds == set(keys_of(Spot))
    assert named == {
        "[squeegee]": set(keys_of(Squeegee)),
        "[stencils]": set(keys_of(Stencils)),
        "[placing]": set(keys_of(PlacingShop)) - places,
        "[[mix.recipe]]": set(keys_of(Recipe)),
        "[[mix.component]]": set(keys_of(Component)),
        "[[mix.additive]]": set(keys_of(Additive)),
        "[mix]": set(keys_of(MixShop)) - {"recipe", "component", "additive"},
    }
    assert all(f"`{word}`" in README for word in (*places - {"front"}, *keys_of(PlacingOrder)))


def test_the_table_names_what_is_said_of_drying_and_of_the_work() -> None:
    """Every key of the room, of drying and of the plan has a line, and no line names another."""
    assert _keys_of_the_table(4) == {
        "[room]": set(keys_of(Room)),
        "[drying]` in shop.toml": set(keys_of(Drying)),
        "[drying]` in order.toml": set(keys_of(DryingOrder)),
        "[plan]": set(keys_of(Plan)),
    }


def test_the_table_names_what_details_are_judged_by() -> None:
    """Every key of the limits and of thickening has a line, and no line names another."""
    assert _keys_of_the_table(5) == {
        "[fill_in]` in shop.toml": set(keys_of(FillIn)),
        "[fill_in]` in order.toml": set(keys_of(FillInOrder)),
        "[print.colour.fill_in]": set(keys_of(FillInColour)),
    }


def test_the_table_names_what_things_cost() -> None:
    """Every price has a line, and no line names another."""
    assert _keys_of_the_table(6) == {
        "[price]": set(keys_of(Price)),
        "[[price.other]]": set(keys_of(Other)),
    }


def test_the_table_names_what_is_known_of_ink() -> None:
    """Every key of the ink's tables has a line, and of inks and meshes all that a maker's sheet says."""
    named = _keys_of_the_table(3)
    figures = named.pop("[[inks]]`, `[[ink_kinds]]")
    assert figures == set(keys_of(OwnKind)) - {"name", "like"}
    assert figures < set(keys_of(Ink))
    assert named == {
        "[[mesh]]": set(keys_of(Mesh)) - {"name", "count", "thread"},
        "[ink]` in shop.toml": set(keys_of(ShopInk)),
        "[ink]` in order.toml": set(keys_of(OrderInk)),
    }
