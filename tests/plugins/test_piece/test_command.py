"""``prep test-piece`` as it is typed, and what the ordinary line makes of its order."""

from __future__ import annotations

import re
import tomllib
from datetime import date
from pathlib import Path
from types import SimpleNamespace

import pytest
from shapely import Point

from prep.cli import run
from prep.line import open_line
from prep.request import Request
from prep.sections import Section, Table
from prep_fill_in.trouble import Judged
from prep_ink.answers import InkOnScreens
from prep_log.readings_form import read_readings
from prep_test_piece.drawing import COLOUR
from prep_test_piece.geometry import piece
from prep_test_piece.making import Named

SHOP = """
[[mesh]]
name = "43-80"
count = "43/cm"
thread = "80 um"
[[mesh]]
name = "77/55"
count = "77/cm"
thread = "55 um"
[[inks]]
name = "pale"
hex = "#ffffff"
kind = "opaque white"
[balance]
readability = "0.1 g"
[ink]
transfer = { value = 0.8, low = 0.7, high = 0.9 }
"""


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    file = tmp_path / "shop.toml"
    file.write_text(SHOP)
    return file


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["--ink", "pale"], 'no mesh is named; name one of "43-80" and "77/55"'),
        (["--mesh", "90-40", "--ink", "pale"], 'no mesh "90-40"; name one of "43-80"'),
        (["--mesh", "90-40", "--ink", "pale"], "add it as [[mesh]] to shop.toml"),
        (["--mesh", "43-80"], 'no ink is named; name one of "pale"'),
        (["--mesh", "43-80", "--ink", "red"], 'no ink "red"; name one of "pale"'),
    ],
)
@pytest.mark.usefixtures("shop")
def test_what_is_missing_is_a_line_with_what_to_do(
    typed: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["test-piece", *typed]) == 2
    err = capsys.readouterr().err
    assert said in err
    assert len(err.splitlines()) == 1
    assert not Path("test-piece").exists()


def test_two_meshes_of_one_folder_are_refused(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shop.write_text(SHOP.replace("77/55", "43/80"))
    typed = ["--mesh", "43-80", "--mesh", "43/80", "--ink", "pale"]
    assert run(["test-piece", *typed]) == 2
    assert 'folders of "43-80" and "43/80"' in capsys.readouterr().err


def test_a_folder_with_readings_is_left_alone(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    form = shop.parent / "out" / "43-80" / "readings.toml"
    form.parent.mkdir(parents=True)
    form.write_text("mine")
    assert run(["test-piece", "--mesh", "43-80", "--ink", "pale", "--out", "out"]) == 2
    assert "is there already" in capsys.readouterr().err
    assert form.read_text() == "mine"
    assert [file.name for file in form.parent.iterdir()] == ["readings.toml"]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> SimpleNamespace:
    """A piece of the mesh 77/55, and what the line says of its order."""
    folder = tmp_path_factory.mktemp("shop")
    shop = folder / "shop.toml"
    shop.write_text(SHOP)
    typed = ["--mesh", "77/55", "--ink", "pale", "--shop", str(shop), "--out", str(folder / "out")]
    assert run(["test-piece", *typed]) == 0
    piece_in = folder / "out" / "77-55"
    with open_line(Request(piece_in / "order.toml", shop=shop)) as line:
        (setup,) = line.setups
        job = line.job(setup)
        report = line.report(job)
        ink = line.ask(job)(InkOnScreens)
        judged = line.ask(job)(Judged)
    return SimpleNamespace(folder=piece_in, job=job, report=report, ink=ink, judged=judged)


def test_three_files_are_written(made: SimpleNamespace) -> None:
    names = sorted(file.name for file in made.folder.iterdir())
    assert names == ["order.toml", "readings.toml", "test-piece-77-55.svg"]
    order = tomllib.loads((made.folder / "order.toml").read_text())
    assert order["test_piece"] == {"mesh": "77/55"}
    assert len(order["print"]) == 1


def test_the_line_takes_it_as_one_screen_of_its_mesh_and_ink(made: SimpleNamespace) -> None:
    """At true size, two strokes, fifty pulls."""
    (screen,) = made.job.screens
    assert (screen.mesh, screen.ink, screen.passes) == ("77/55", "pale", 1)
    assert screen.region.symmetric_difference(piece().openings).area < 0.01
    of = made.ink[screen.key]
    assert (of.strokes, of.prints) == (2, 50)


def test_the_form_has_what_a_transfer_of_1_leaves_on_a_shirt(made: SimpleNamespace) -> None:
    """The grams that the forecast gives at the shop's own transfer of 0.8, over 0.8, to 4 digits."""
    text = (made.folder / "readings.toml").read_text()
    per_print_g = made.ink[made.job.screens[0].key].per_print_g.value
    told = re.search(r'# at_full = "([\d.]+) g"', text)
    assert told is not None
    assert float(told[1]) == pytest.approx(per_print_g / 0.8, rel=1e-3)
    assert 'mesh = "77/55"\nink = "pale"\nreadability = "0.1 g"\n' in text


def test_shirts_that_took_what_was_forecast_tell_the_transfer_in_force(
    made: SimpleNamespace,
) -> None:
    """The round trip: three shirts each heavier by the forecast's grams tell 0.8 again."""
    text = (made.folder / "readings.toml").read_text()
    per_print_g = made.ink[made.job.screens[0].key].per_print_g.value
    head, _, block = text.partition("# [[shirts_weighed]]")
    block = block.replace("\n# ", "\n").replace('before = "? g"', 'before = "430 g"')
    block = block.replace('after = "? g"', f'after = "{430 + 3 * per_print_g:.6f} g"')
    filled = made.folder.parent / "filled.toml"
    filled.write_text(head.replace("# day = ?", "day = 2026-03-04") + "[[shirts_weighed]]" + block)
    (one,) = read_readings(filled, date(2026, 3, 5))
    told = one.body["gain_g"] / one.body["shirts"] / one.body["at_full_g"]
    assert told == pytest.approx(0.8, rel=1e-3)


def test_it_is_drawn_in_the_inks_colour_on_cloth_that_shows_it(made: SimpleNamespace) -> None:
    """White ink on light grey: it isn't taken for bare shirt, and no base goes under it."""
    (screen,) = made.job.screens
    assert (screen.colour, screen.does) == ("#ffffff", "colour")
    assert made.job.setup.batches[0].colour != "#ffffff"
    assert made.job.setup.shade == "light"
    assert not [f for f in made.report.findings if f.colour and "CIEDE2000" in f.what]


def test_dark_ink_and_one_of_unknown_colour_are_on_white() -> None:
    for colour in ("#d9472f", COLOUR):
        assert Named("43-80", "43-80", "red", colour).cloth == "#ffffff"


def test_the_finest_steps_are_found_and_numbers_and_block_are_not(made: SimpleNamespace) -> None:
    """Lines, strips and islands lie under the limits, and no number does; none is told to be redrawn."""
    (found,) = made.judged.screens
    numbers, below = piece().numbers.buffer(1.0), set()
    for details in found.judgement.details:
        failing = details.judged.level == 2
        if failing.any():
            below.add(details.sort)
        assert not any(numbers.contains(Point(at)) for at in details.at_mm[failing])
    assert below >= {"opening", "film strip", "island"}
    assert not [f for f in made.report.findings if f.severity == "will fail"]
    assert "details meant to fail" in {f.kind for f in made.report.findings}
    assert "Would a larger print help?" not in {s.title for s in made.report.sections}


def _table(sections: tuple[Section, ...], title: str) -> Table:
    (section,) = [s for s in sections if s.title == title]
    return next(block for block in section.blocks if isinstance(block, Table))


def test_it_is_under_an_hour_of_work(made: SimpleNamespace) -> None:
    """By the film's own times and the usual ones of the work, cleaning up among it."""
    table = _table(made.report.sections, "Test piece: the work")
    minutes = sum(float(row[-1]) for row in table.rows)
    assert 40.0 < minutes < 60.0
    assert "weed" in {row[0] for row in table.rows}
    assert made.report.lacking == ()


def test_its_note_stands_before_all_that_is_found(made: SimpleNamespace) -> None:
    first = min((s for s in made.report.sections if s.chapter == "job"), key=lambda s: s.rank)
    assert first.by == "test_piece"
    assert "meant to fail" in str(first.blocks)
