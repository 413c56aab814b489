"""A run printed again."""

from __future__ import annotations

import hashlib
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from prep.errors import OutputError, SettingsError
from prep.hookspecs import SettingsTables
from prep.request import Request
from prep.settings import load
from prep_log.again import kept_stencils, write_again
from prep_log.entries import LASTS, Run
from prep_log.kept_files import folder_beside, with_copies
from prep_log.settings import LogShop
from prep_log.store import Figure
from prep_page.dropped import files_of
from prep_page.forms import groups_of
from tests.plugins.log.made import made_run

DRAWING = b"<svg/>"


def run_with(folder: Path) -> Run:
    artwork = folder / "tide.svg"
    artwork.write_bytes(DRAWING)
    return made_run(artwork, hashlib.sha256(DRAWING).hexdigest())


def kept(run: Run) -> Run:
    """The same run, printed with stencils of an earlier one."""
    (setup,) = run.setups
    screens = tuple(replace(screen, kept=True) for screen in setup.screens)
    return replace(run, setups=(replace(setup, screens=screens),))


def test_the_order_is_as_it_was_but_for_what_was_learnt(tmp_path: Path) -> None:
    """What readings gave isn't fixed, so that the latest hold; the artwork lies beside it."""
    run = run_with(tmp_path)
    out = tmp_path / "again"
    assert write_again(run, 7, out) == ()
    text = (out / "order.toml").read_text()
    order = tomllib.loads(text)
    was = tomllib.loads(run.order)
    assert order["shop"] == {"mesh": [{"name": "43-80"}]}
    assert order["ink"] == was["ink"]
    assert order["garment"] == was["garment"]
    assert order["print"] == [{"place": "front", "artwork": "tide.svg"}]
    assert (out / "tide.svg").read_bytes() == DRAWING
    assert text.startswith("# Run 7 of 2026-11-02 again: Tide tables.\n# To be changed")


def test_an_artwork_that_was_changed_or_is_gone_is_told(tmp_path: Path) -> None:
    run = run_with(tmp_path)
    drawing = tmp_path / "tide.svg"
    drawing.write_bytes(b"<svg />")
    (line,) = write_again(run, 7, tmp_path / "one")
    assert line == (
        f"{drawing}: was changed since; put the drawing of that run into the folder as tide.svg,"
        " or the changed one if that is wanted"
    )
    drawing.unlink()
    (line,) = write_again(run, 7, tmp_path / "two")
    assert "isn't there any more; put the drawing" in line
    assert [path.name for path in (tmp_path / "two").iterdir()] == ["order.toml"]


def test_two_artworks_of_one_name_lie_side_by_side(tmp_path: Path) -> None:
    run = run_with(tmp_path)
    other = tmp_path / "back" / "Tide.svg"
    other.parent.mkdir()
    other.write_bytes(b"<svg></svg>")
    back = replace(
        run.setups[0],
        key="back",
        artwork=str(other),
        sha256=hashlib.sha256(b"<svg></svg>").hexdigest(),
    )
    order = run.order + f'[[print]]\nplace = "back"\nartwork = "{other}"\n'
    run = replace(run, order=order, setups=(*run.setups, back))
    assert write_again(run, 7, tmp_path / "again") == ()
    prints = tomllib.loads((tmp_path / "again" / "order.toml").read_text())["print"]
    assert [p["artwork"] for p in prints] == ["tide.svg", "Tide (2).svg"]
    assert (tmp_path / "again" / "Tide (2).svg").read_bytes() == b"<svg></svg>"


def test_fonts_lie_beside_it_too(tmp_path: Path) -> None:
    """One of them twice, one of the drawing's name, one gone; from copies beside the log."""
    run = run_with(tmp_path)
    fonts = (tmp_path / "a.ttf", tmp_path / "bold" / "A.ttf", tmp_path / "a.ttf")
    for font in fonts[:2]:
        font.parent.mkdir(exist_ok=True)
        font.write_bytes(str(font).encode())
    listed = "".join(f'[[font]]\nfamily = "F"\nfile = "{font}"\n' for font in fonts)
    run = with_copies(replace(run, order=run.order + listed), tmp_path / "log.sqlite")
    assert write_again(run, 7, tmp_path / "again") == ()
    order = tomllib.loads((tmp_path / "again" / "order.toml").read_text())
    names = [font["file"] for font in order["font"]]
    assert names[0] == names[2] != names[1]
    for name, font in zip(names, fonts, strict=True):
        assert (tmp_path / "again" / name).read_bytes() == font.read_bytes()
    assert len(files_of(tmp_path / "again")) == 4
    (folder_beside(tmp_path / "log.sqlite") / names[1]).unlink()
    (line,) = write_again(run, 7, tmp_path / "gone")
    assert f"isn't there any more; put the font of that run into the folder as {names[1]}" in line


def test_printed_again_and_again_a_copy_keeps_its_name(tmp_path: Path) -> None:
    run, names = run_with(tmp_path), []
    log = tmp_path / "log.sqlite"
    digest = hashlib.sha256(DRAWING).hexdigest()[:16]
    for time in range(3):
        run = with_copies(run, log)
        again = tmp_path / f"again-{time}"
        write_again(run, 7, again)
        names += [file.name for file in again.glob("*.svg")]
        drawing = str(again / names[-1])
        order = run.order.replace(run.setups[0].artwork, drawing)
        run = replace(run, order=order, setups=(replace(run.setups[0], artwork=drawing),))
    assert names == [f"{digest}-tide.svg"] * 3
    assert [file.name for file in folder_beside(log).iterdir()] == names[:1]


def test_where_the_log_lay_isnt_written(tmp_path: Path) -> None:
    run = run_with(tmp_path)
    run = replace(run, order=run.order + '[shop.log]\nkept_in = "/elsewhere/log.sqlite"\n')
    write_again(run, 7, tmp_path / "again")
    assert "elsewhere" not in (tmp_path / "again" / "order.toml").read_text()


def test_an_order_has_no_say_in_where_the_log_lies(tmp_path: Path, shop: Path) -> None:
    (tmp_path / "tide.svg").write_text('<svg xmlns="http://www.w3.org/2000/svg"/>')
    order = tmp_path / "order.toml"
    order.write_text(
        '[[print]]\nplace = "front"\nartwork = "tide.svg"\n'
        f'[shop.log]\nkept_in = "{(tmp_path / "other.sqlite").as_posix()}"\n'
    )
    loaded = load(Request(order, shop=shop), {"log": SettingsTables(shop=LogShop)})
    own = loaded.chosen_for(loaded.setups[0]).get(LogShop)
    assert own.kept_in == (tmp_path / "log.sqlite").as_posix()
    note = f"shop.log.kept_in of {order} isn't used: only shop.toml says that."
    assert note in loaded.notes
    assert "kept_in" not in loaded.in_force()
    shown = groups_of(loaded, {"log": SettingsTables(shop=LogShop)}, {})
    assert "kept_in" not in str(shown)
    typed = Request(order, shop=shop, sets=("shop.log.kept_in=/other.sqlite",))
    with pytest.raises(SettingsError, match=r"shop\.log\.kept_in: only shop\.toml says that"):
        load(typed, {"log": SettingsTables(shop=LogShop)})


def test_nothing_is_written_over(tmp_path: Path) -> None:
    run = run_with(tmp_path)
    with pytest.raises(OutputError, match="isn't empty; choose another folder with --out"):
        write_again(run, 7, tmp_path)
    assert not (tmp_path / "order.toml").exists()


# --- stencils: 24 pulls through one, 48 through the other, each lasts 80


def test_a_stencil_is_used_again_while_it_lasts() -> None:
    """24 + 24 = 48 of 80; 48 + 48 = 96 are too many."""
    run = made_run()
    blue, white = kept_stencils(run, [run])
    assert (blue.pulls, blue.next_pulls, blue.lasts) == (24, 24, 80.0)
    assert blue.in_words == (
        "01-deep-blue: 24 pulls in 1 run, 48 after as many again; it lasts 80:"
        " use it again if it is still on its mesh and its edges hold"
    )
    assert white.in_words == (
        "02-white: 48 pulls in 1 run, 96 after as many again; it lasts 80: cut it anew"
    )


def test_pulls_are_counted_since_it_was_cut() -> None:
    """Cut, kept, kept: 3 · 24 = 72. What was printed before it was cut anew doesn't count."""
    run = made_run()
    latest_first = [kept(run), kept(run), run, kept(run), run]
    blue, _ = kept_stencils(run, latest_first)
    assert (blue.runs, blue.pulls) == (3, 72)
    assert blue.in_words.endswith("cut it anew")


def test_a_film_cut_otherwise_is_another_stencil() -> None:
    run = made_run()
    (setup,) = run.setups
    screens = tuple(replace(screen, cut="other") for screen in setup.screens)
    other = replace(run, setups=(replace(setup, screens=screens),))
    blue, _ = kept_stencils(run, [other, kept(run), other, run])
    assert (blue.runs, blue.pulls) == (2, 48)


def test_a_film_shared_by_screens_counts_the_pulls_of_all() -> None:
    run = made_run()
    (setup,) = run.setups
    screens = tuple(replace(s, stencil="01-shared", cut="one") for s in setup.screens)
    run = replace(run, setups=(replace(setup, screens=screens),))
    (shared,) = kept_stencils(run, [run])
    assert shared.pulls == 24 + 48


def test_where_nobody_says_how_long_it_lasts() -> None:
    run = made_run()
    run = replace(run, figures=tuple(f for f in run.figures if f.quantity != LASTS))
    assert not any(isinstance(f, Figure) and f.quantity == LASTS for f in run.figures)
    blue, _ = kept_stencils(run, [run])
    assert "how long it lasts isn't known" in blue.in_words
