"""The register test: what the drawing shows, what its readings say, what is refused."""

from __future__ import annotations

import math
import tomllib
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from scipy import stats

from prep.artwork import PrintSize
from prep.cli import run
from prep.colour_difference import lab_of
from prep.separations import separate
from prep.shop import Press
from prep.svg import read_svg
from prep_registration.readings import COLUMNS, Reading, parse, reckon
from prep_registration.verniers import COLOURS, LEAST_WIDTH_MM, LINES, draw


def regions(screens: int = 2, step_mm: float = 0.2) -> dict[str, shapely.MultiPolygon]:
    art = read_svg(draw(screens, 250.0, step_mm).svg.encode(), name="test", size=PrintSize())
    return {one.colour: one.region for one in separate(art)}


def middles(region: shapely.Geometry, axis: int) -> np.ndarray:  # type: ignore[type-arg]  # floats
    """Give the middles of the bars that stand along an axis, from left to right."""
    bounds = shapely.bounds(shapely.get_parts(region))
    size = bounds[:, 2:] - bounds[:, :2]
    own = (np.abs(size[:, axis] - 1.0) < 1e-6) & (size[:, 1 - axis] > 3.5)
    return np.unique(np.round((bounds[own, axis] + bounds[own, axis + 2]) / 2.0, 6))


@pytest.mark.parametrize("axis", [0, 1])
@pytest.mark.parametrize("steps", [-7, 0, 4])
def test_a_screen_off_by_k_steps_puts_line_k_on_line_k(axis: int, steps: int) -> None:
    """The nearest pair of lines of a scale is the k-th from the middle, and stands exactly."""
    step_mm = 0.2
    first, later = (middles(region, axis) for region in regions(step_mm=step_mm).values())
    one, other = first[: 2 * LINES + 1], later[: 2 * LINES + 1] + steps * step_mm
    off = np.abs(one - other)
    assert off.argmin() - LINES == steps
    assert off.min() == pytest.approx(0.0, abs=1e-4)
    assert np.sort(off)[1] == pytest.approx(step_mm, abs=1e-4)


def test_lines_and_film_between_are_wide_enough() -> None:
    """Lines 1 mm, film between them 1 mm or more, the scales of two screens a millimetre apart."""
    first, later = regions(step_mm=0.2).values()
    for region in (first, later):
        parts = shapely.get_parts(region)
        near = min(
            shapely.distance(part, shapely.MultiPolygon([p for p in parts if p is not part]))
            for part in parts[:12]
        )
        assert near >= 0.999
    assert shapely.distance(first, later) == pytest.approx(1.0)


def test_each_later_screen_has_scales_and_its_dots() -> None:
    """Four screens: rows of scales for three; one, two and three dots left and right."""
    found = regions(4)
    assert list(found) == list(COLOURS[:4])
    counts = [len(found[colour].geoms) for colour in COLOURS[1:4]]
    lines = 4 * (2 * LINES + 1)
    assert counts == [lines + 2, lines + 4, lines + 6]
    assert len(found[COLOURS[0]].geoms) == 3 * lines


def test_numbers_are_those_of_the_sheet() -> None:
    """Colours go from light to dark by 5 and more, as they are put in order for printing."""
    lightness = [lab_of(colour)[0] for colour in COLOURS]
    assert all(one - other > 5.0 for one, other in pairwise(lightness))


@pytest.mark.parametrize(
    ("screens", "width_mm", "step_mm"),
    [(1, 250.0, 0.2), (9, 250.0, 0.2), (2, LEAST_WIDTH_MM - 1, 0.2), (2, 250.0, 0.6)],
)
def test_figures_out_of_range(screens: int, width_mm: float, step_mm: float) -> None:
    """Too few or many screens, too narrow, lines too far apart to read."""
    with pytest.raises(ValueError, match="not"):
        draw(screens, width_mm, step_mm)


def reading(
    run: str, x: float, y: float, turn_deg: float = 0.0, apart_mm: float = 100.0
) -> Reading:
    rise = apart_mm * math.tan(math.radians(turn_deg)) / 2.0
    return Reading(run, "2", (x, y - rise), (x, y + rise), apart_mm)


def test_worked_by_hand() -> None:
    """Two prints at x 0.1 and 0.3, y 0: mean 0.2, squares about it 0.02, over 2, over 2 again."""
    found = reckon([reading("1", 0.1, 0.0), reading("1", 0.3, 0.0)])
    assert found.scatter_mm.value == pytest.approx(math.sqrt(0.02 / 2 / 2))
    # means 0.2 and 0: squares 0.04 over 2, less half of 0.01, over 2
    assert found.set_up_mm.value == pytest.approx(math.sqrt((0.02 - 0.005) / 2))
    assert (found.set_up_mm.count, found.scatter_mm.count) == (2, 2)
    # bounds from a printed table of chi-square for 2 degrees (from memory): 5.991 and 0.103
    assert found.scatter_mm.low == pytest.approx(math.sqrt(0.01 * 2 / 5.991 / 2), rel=1e-3)
    assert found.scatter_mm.high == pytest.approx(math.sqrt(0.01 * 2 / 0.1026 / 2), rel=1e-3)


def test_turns_are_read_from_left_and_right() -> None:
    """Turned by 0.2 and 0.4 degrees: squares about the mean 0.02, over 1, over 2."""
    found = reckon([reading("1", 0.0, 0.0, turn) for turn in (0.2, 0.4)])
    assert found.scatter_turn_deg.value == pytest.approx(math.sqrt(0.02 / 2), rel=1e-4)


def test_known_errors_are_found_again() -> None:
    """Drawn from set-up 0.3 mm and scatter 0.1 mm a screen: found within their bounds, nine in ten."""
    rng = np.random.default_rng(5)
    inside = np.zeros(2)
    for _ in range(200):
        rows = []
        for setup in range(8):
            off = rng.normal(0, 0.3 * math.sqrt(2), 2)
            for _ in range(6):
                x, y = off + rng.normal(0, 0.1 * math.sqrt(2), 2)
                rows.append(reading(str(setup), x, y))
        found = reckon(rows)
        inside += [
            found.set_up_mm.low <= 0.3 <= found.set_up_mm.high,
            found.scatter_mm.low <= 0.1 <= found.scatter_mm.high,
        ]
    low, high = stats.binom.interval(0.999, 200, 0.9)
    assert (low <= inside).all()
    assert (inside <= high).all()


def run_of_screens(
    rng: np.random.Generator, run: str, screens: int, prints: int, set_up: float, scatter: float
) -> list[Reading]:
    """Draw a run whose screens each have errors of their own, all read against the first."""
    at = rng.normal(0, set_up, (1, screens, 2)) + rng.normal(0, scatter, (prints, screens, 2))
    off = at[:, 1:] - at[:, :1]
    return [
        Reading(run, str(screen + 2), (x, y), (x, y), 100.0)
        for of_print in off.tolist()
        for screen, (x, y) in enumerate(of_print)
    ]


@pytest.mark.parametrize(("runs", "screens"), [(1, 8), (2, 5)])
def test_screens_read_against_one_first_share_its_error(runs: int, screens: int) -> None:
    """Nine in ten bounds hold the truth; as if each difference were independent, 0.75 and 0.80 would."""
    rng, trials = np.random.default_rng(11), 300
    inside = np.zeros(2)
    for _ in range(trials):
        rows = [
            one
            for run in range(runs)
            for one in run_of_screens(rng, str(run), screens, 2, 0.2, 0.12)
        ]
        found = reckon(rows)
        inside += [
            found.set_up_mm.low <= 0.2 <= found.set_up_mm.high,
            found.scatter_mm.low <= 0.12 <= found.scatter_mm.high,
        ]
    assert ((inside > 0.87 * trials) & (inside < 0.97 * trials)).all()


def test_independent_values_by_hand() -> None:
    """Three differences to one screen, twice: 4·3 / (3 + 3) = 2 a run; both directions make 8 of shifts."""
    rng = np.random.default_rng(3)
    rows = [one for run in "ab" for one in run_of_screens(rng, run, 4, 5, 0.2, 0.1)]
    found = reckon(rows)
    assert (found.setups, found.runs, found.prints) == (6, 2, 30)
    assert (found.set_up_mm.count, found.set_up_turn_deg.count) == (8, 4)
    assert (found.scatter_mm.count, found.scatter_turn_deg.count) == (2 * 16, 16)


HEAD = ",".join(COLUMNS)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "it is empty"),
        ("run,print\n1,1\n", "line 1: there is no column screen"),
        (f"{HEAD}\n1,1,2,0.1,,0.2,0.1,100\n", "line 2: left_y is empty"),
        (f"{HEAD}\n1,1,2,0.1,x,0.2,0.1,100\n", 'line 2: left_y "x" is no number'),
        (f"{HEAD}\n1,1,2,0.1,nan,0.2,0.1,100\n", "line 2: left_y nan can't be"),
        (
            f"{HEAD}\n1,1,2,0.1,0,-2.2,0.1,100\n",
            "line 2: right_x -2.2 is beyond the scale, which shows up to 2 mm; read .*--step",
        ),
        (
            f"# One line is 0.05 mm; they tell\n{HEAD}\n1,1,2,0.1,0.6,0,0,100\n",
            "line 3: left_y 0.6 is beyond the scale, which shows up to 0.5 mm; read",
        ),
        (f"{HEAD}\n1,1,2,0.1,0,0.2,0.1,0\n", "line 2: apart must be above zero"),
        (f"{HEAD}\n1,,2,0.1,0,0.2,0.1,99\n", "line 2: print is empty; number it"),
        (f"{HEAD}\n1,1,1,0.1,0,0.2,0.1,99\n", "line 2: screen 1 is what the others are read"),
        (f"{HEAD}\n1,1,2,0,1,0,2,0,1,99\n", "line 2: 10 cells stand under 8 columns; write"),
        (
            f"{HEAD}\n1,1,2,0.1,0,0.2,0,99\n1,2,2,0,0,0,0,99\n1,1,2,0.3,0,0,0,99\n",
            "line 4: run 1, print 1, screen 2 stands in line 2 already; count",
        ),
    ],
)
def test_tables_that_cannot_be_read(text: str, says: str) -> None:
    """The line, and what to do."""
    with pytest.raises(ValueError, match=says):
        parse(text)


def test_the_last_line_of_a_scale_can_be_read() -> None:
    """Ten lines of 0.2 mm either way; of 0.5 mm where the table or the caller says so."""
    at = f"{HEAD}\n1,1,2,{{0}},-{{0}},{{0}},0,100\n"
    assert parse(at.format(2))[0][0].left == (2.0, -2.0)
    assert parse(at.format(5), 0.5)[0][0].left == (5.0, -5.0)
    assert parse("# One line is 0.5 mm; they\n" + at.format(5))[0][0].left == (5.0, -5.0)


def test_the_step_of_the_test_is_taken_from_its_own_table(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As the command writes it; with the comments lost, from --step."""
    folder = tmp_path / "rt"
    assert run(["register-test", "--out", str(folder), "--step", "0.4 mm"]) == 0
    file = folder / "readings.csv"
    rows = file.read_text(encoding="utf-8").replace(",,,,,", ",3.6,0.1,0.2,0.3,", 2)
    bare = "\n".join(line for line in rows.splitlines() if not line.startswith("#"))
    for text, step, status in ((rows, [], 0), (bare, [], 2), (bare, ["--step", "0.4 mm"], 0)):
        file.write_text(text, encoding="utf-8")
        assert run(["register-test", "--readings", str(file), *step]) == status
    assert "line 2: left_x 3.6 is beyond the scale" in capsys.readouterr().err


def test_commas_for_points_and_comments() -> None:
    """A spreadsheet's semicolons and decimal commas; rows left empty are counted."""
    text = f"# note\n{HEAD.replace(',', ';')}\n1;1;2;0,1;-0,2;0,1;0;139,5\n1;2;2;;;;;139,5\n"
    (found,), empty = parse(text)
    assert found == Reading("1", "2", (0.1, -0.2), (0.1, 0.0), 139.5)
    assert empty == 1


def test_readings_all_alike_state_no_error_of_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two prints that read alike: their scatter and turns are told as less than the test tells."""
    file = tmp_path / "readings.csv"
    file.write_text(f"{HEAD}\n1,1,2,0.2,0,0.2,0,100\n1,2,2,0.2,0,0.2,0,100\n")
    assert run(["register-test", "--readings", str(file)]) == 0
    said = capsys.readouterr().out
    assert "# 2 prints of 1 set-up were read" in said
    assert "# scatter is less than these readings tell" in said
    assert list(tomllib.loads(said)["press"]) == ["set_up_error"]


def test_a_test_of_shirts_laid_again_states_the_scatter_of_that(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It says how to print, and its lines are the press's keys for shirts laid again."""
    folder = tmp_path / "rt"
    assert run(["register-test", "--out", str(folder), "--laid-again"]) == 0
    said = capsys.readouterr().out
    assert "Take each print up after every screen, and lay it again" in said
    assert said.rstrip().endswith("readings.csv --laid-again")
    file = tmp_path / "readings.csv"
    file.write_text(f"{HEAD}\n1,1,2,0.2,0,0.2,0.5,100\n1,2,2,-0.2,0,-0.2,0,100\n")
    assert run(["register-test", "--readings", str(file), "--laid-again"]) == 0
    stated = tomllib.loads(capsys.readouterr().out)["press"]
    assert list(stated) == [
        "set_up_error", "scatter_laid_again", "set_up_turn", "scatter_turn_laid_again",
    ]  # fmt: skip
    assert Press.model_validate(stated).scatter_laid_again_mm is not None


def test_from_the_command_to_shop_toml(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Written, checked without a failing detail, filled in, read back; the lines are valid settings."""
    folder = tmp_path / "rt"
    assert run(["register-test", "--out", str(folder), "--screens", "3"]) == 0
    assert run(["check", str(folder / "order.toml"), "--json"]) == 0
    capsys.readouterr()
    file = folder / "readings.csv"
    assert run(["register-test", "--readings", str(file)]) == 2
    assert "scatter shows between prints" in capsys.readouterr().err
    rows = file.read_text(encoding="utf-8").replace(",,,,,", ",0.2,0.1,0.2,0.3,", 1)
    file.write_text(rows.replace(",,,,,", ",-0.2,0.1,0,0.3,", 1), encoding="utf-8")
    assert run(["register-test", "--readings", str(file)]) == 0
    said = capsys.readouterr().out
    assert "18 rows are empty" in said
    shop = tmp_path / "shop.toml"
    shop.write_text(said, encoding="utf-8")
    assert run(["check", str(folder / "order.toml"), "--shop", str(shop), "--json"]) in (0, 1)
    assert run(["register-test", "--out", str(folder)]) == 2
    assert "is there already" in capsys.readouterr().err
