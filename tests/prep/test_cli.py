"""The command: what it loads, what it says, and how it ends."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

import pytest

from prep.cli import run
from prep.folder import write_folder

SQUARE = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50">'
    '<rect id="a" x="10" y="10" width="40" height="30" fill="#1d2b4f"/></svg>'
)


@dataclass(frozen=True, slots=True)
class Ran:
    """What the command said, and the status it ended with."""

    returncode: int
    stdout: str
    stderr: str


Prep = Callable[..., Ran]


@pytest.fixture
def prep(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Prep:
    """Runs the command in this process."""

    def ran(*arguments: str | Path, cwd: Path | None = None) -> Ran:
        capsys.readouterr()
        with monkeypatch.context() as here:
            if cwd is not None:
                here.chdir(cwd)
            status = run([str(argument) for argument in arguments])
        said = capsys.readouterr()
        return Ran(status, said.out, said.err)

    return ran


def process(*arguments: str | Path, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run the command as a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "prep", *map(str, arguments)],
        capture_output=True,
        text=True,
        cwd=cwd,
        timeout=120,
        check=False,
    )


@pytest.fixture
def square(tmp_path: Path) -> Path:
    """An SVG with one rectangle, 40 by 30 of 100 by 50 units."""
    path = tmp_path / "square.svg"
    path.write_text(SQUARE)
    return path


@pytest.mark.parametrize(
    ("command", "folder"), [("sheet", "square-prep"), ("stencils", "square-stencils")]
)
def test_help_names_the_folder_that_is_written(
    prep: Prep, square: Path, command: str, folder: str
) -> None:
    """NAME is the artwork's; without ``--out`` that one is written where the command runs."""
    said = " ".join(prep(command, "--help").stdout.split())
    assert f"default: ./{folder.replace('square', 'NAME')}" in said
    assert prep(command, square, "--width", "80 mm", cwd=square.parent).returncode == 0
    assert [path.name for path in square.parent.iterdir() if path.is_dir()] == [folder]


def test_help_loads_nothing_heavy() -> None:
    """``prep --help`` must answer at once on a slow laptop."""
    heavy = (
        "shapely",
        "numpy",
        "pint",
        "pydantic",
        "typst",
        "scipy",
        "lxml",
        "svgelements",
        "rich.progress",
    )
    code = (
        "import sys; from prep.cli import run; status = run(['--help']);"
        f"print([m for m in {heavy!r} if m in sys.modules], status, file=sys.stderr)"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stderr.strip() == "[] 0"
    for command in ("sheet", "measure", "check", "ink", "plugins"):
        assert f" {command} " in ran.stdout


def test_no_arguments_show_the_help() -> None:
    """Status 2, since nothing was asked for."""
    ran = process()
    assert ran.returncode == 2
    assert "sheet" in ran.stdout


@pytest.mark.parametrize(
    "arguments",
    [
        ("--wrong",),
        ("wrong",),
        ("measure",),
        ("measure", "a.svg", "--wrong"),
        ("sheet", "a.svg", "--shirts", "many"),
    ],
)
def test_wrong_usage_is_one_line(arguments: tuple[str, ...], prep: Prep) -> None:
    """What, where, and where to read more."""
    ran = prep(*arguments)
    assert (ran.returncode, ran.stdout) == (2, "")
    assert len(ran.stderr.splitlines()) == 1
    assert "--help" in ran.stderr


def test_measures_as_json(square: Path, prep: Prep) -> None:
    """A rectangle of 40 x 30 units on 100, printed 200 mm wide, is 80 x 60 mm."""
    ran = prep("measure", square, "--width", "20 cm", "--json")
    assert ran.returncode == 0, ran.stderr
    assert ran.stderr == ""
    document = json.loads(ran.stdout)
    assert document["schema"] == "firstpull.measures/1"
    assert (document["width_mm"], document["height_mm"]) == (200, 100)
    (colour,) = document["colours"]
    assert document["limits_mm"] == [0.25, 0.5, 1.0, 2.0]
    nowhere = {"strips_under": [0, 0, 0, 0], "tips": 0, "touches": 0, "places": []}
    by_width, insets = colour.pop("by_width"), colour.pop("insets")
    film = colour.pop("film_by_width")
    assert (film["area_mm2"], film["length_mm"]) == ([0, 0, 0, 0], [0, 0, 0, 0])
    assert by_width["area_mm2"][:4] == [0, 0, 0, 0]
    assert sum(by_width["area_mm2"]) + by_width["corners_mm2"] == pytest.approx(4800, abs=1)
    assert sum(by_width["fine"]["area_mm2"]) == pytest.approx(sum(by_width["area_mm2"]), abs=0.1)
    assert (insets["inset_mm"][0], insets["area_mm2"][0]) == (0, 4800)
    assert colour == {
        "hex": "#1d2b4f",
        "printed_as": "#1d2b4f",
        "area_mm2": 4800,
        "perimeter_mm": 280,
        "pieces": 1,
        "islands": 0,
        "finest_opening_mm": None,
        "finest_opening_at_mm": None,
        "finest_gap_mm": None,
        "finest_gap_at_mm": None,
        "cut_length_mm": 280,
        "bounds_mm": [20, 20, 100, 80],
        "openings": nowhere,
        "gaps": nowhere,
        "islands_of_film": [],
    }


# a frame with an island in it, a bar of 0.4 mm, and a tip; in millimetres
FINE = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">'
    '<path fill="#1d2b4f" fill-rule="evenodd"'
    ' d="M5 5h20v20h-20z M10 10h10v10h-10z M30 10h20v0.4h-20z M30 20v6l20 -3z"/></svg>'
)


@pytest.fixture
def fine(tmp_path: Path) -> Path:
    """An SVG with details known by hand."""
    path = tmp_path / "fine.svg"
    path.write_text(FINE)
    return path


def test_measures_in_words(square: Path, prep: Prep) -> None:
    """The same for a person, with the assumed size said."""
    ran = prep("measure", square)
    assert ran.returncode == 0, ran.stderr
    assert "#1d2b4f" in ran.stdout
    assert "96" in ran.stdout


def test_measures_of_fine_details_in_words(fine: Path, prep: Prep) -> None:
    """Area, the finest opening with place, length and piece, places under each limit, islands."""
    ran = prep("measure", fine)
    assert ran.returncode == 0, ran.stderr
    said = " ".join(ran.stdout.split())
    # 400 - 100 + 8 + 60 mm²
    assert "#1d2b4f prints 3.68 cm²" in said
    assert "finest opening: 0.40 mm, 40.0 mm from the left and 10.2 mm from the top" in said
    assert "narrower than 2 mm for 20.0 mm, in a piece of 20.0 × 0.4 mm" in said
    # a tip of 17.06° ends 0.2 (1 / sin 8.53° - 1) mm before where no disc of 0.4 mm fits
    assert "tips of openings: the tip has 17°, 50.0 mm from the left and 23.0 mm" in said
    assert "if nothing finer than 0.4 mm can be made, 1.1 mm of it is lost" in said
    assert "finest gap: none under 3 mm" in said
    assert "islands of film: 1, all free" in said
    assert "the smallest has 100.00 mm²" in said
    assert "places under 0.25 mm 0.5 mm 1 mm 2 mm tips touches" in said
    assert "openings 0 1 1 1 1 0" in said
    assert "gaps 0 0 0 0 0 0" in said
    assert "touches of" not in said
    table = [line for line in ran.stdout.splitlines() if "cm²" in line and "%" in line]
    shares = [float(line.split("%")[0].split()[-1]) for line in table]
    assert len(shares) == 5
    assert sum(shares) == pytest.approx(100, abs=0.3)


KISSING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">'
    '<path fill="#1d2b4f" d="M5 5h10v10h-10z M15 15h10v10h-10z M35 5h20v4h-20z M35 9.8h20v4h-20z"/></svg>'
)


def test_touches_and_narrow_film_in_words(tmp_path: Path, prep: Prep) -> None:
    """Two squares meet at (15, 15); two bars leave 0.8 mm of film, 20 mm long."""
    path = tmp_path / "kissing.svg"
    path.write_text(KISSING)
    ran = prep("measure", path, "--pictures", tmp_path / "looks")
    assert ran.returncode == 0, ran.stderr
    said = " ".join(ran.stdout.split())
    assert "finest opening: none under 3 mm but where edges touch" in said
    assert "touches of openings: 15.0 mm from the left and 15.0 mm from the top" in said
    assert "touches of gaps: 15.0 mm from the left and 15.0 mm from the top" in said
    assert "finest gap: 0.80 mm, 45.0 mm from the left and 9.4 mm from the top" in said
    assert "0.5 to 1 mm 0.16 cm² 0.02 m" in said
    assert {"1-1d2b4f-gap-touch.svg", "1-1d2b4f-opening-touch.svg"} <= set(
        os.listdir(tmp_path / "looks")
    )


@pytest.mark.parametrize("columns", ["80", "50"])
def test_measures_fit_the_terminal(
    fine: Path, columns: str, monkeypatch: pytest.MonkeyPatch, prep: Prep
) -> None:
    """No line is longer than the terminal is wide; on a narrow one tables are stacked."""
    monkeypatch.setenv("COLUMNS", columns)
    ran = prep("measure", fine)
    assert ran.returncode == 0, ran.stderr
    assert max(map(len, ran.stdout.splitlines())) <= int(columns)


def test_measures_of_fine_details_as_json(fine: Path, prep: Prep) -> None:
    """Every place with its kind, width, place and piece; the island; the classes asked for."""
    ran = prep("measure", fine, "--json", "--limit", "1 mm", "--limit", "0.02 in")
    assert ran.returncode == 0, ran.stderr
    document = json.loads(ran.stdout)
    assert document["limits_mm"] == [0.508, 1.0]
    (colour,) = document["colours"]
    assert colour["openings"]["strips_under"] == [1, 1]
    assert (colour["openings"]["tips"], colour["openings"]["touches"]) == (1, 0)
    tip, bar = colour["openings"]["places"]
    assert (bar["kind"], bar["width_mm"], bar["at_mm"]) == ("strip", 0.4, [40, 10.2])
    # the apex of a triangle 20 long and 6 high: 2 atan(3 / 20)
    assert (tip["kind"], tip["at_mm"]) == ("tip", [50, 23])
    assert tip["angle_deg"] == pytest.approx(17.06, abs=0.01)
    (island,) = colour["islands_of_film"]
    assert (island["area_mm2"], island["held_by_mm"], island["depth"]) == (100, None, 1)
    assert len(colour["by_width"]["area_mm2"]) == 3


def test_pictures_are_written_when_asked(fine: Path, prep: Prep) -> None:
    """Maps, histogram and close-up, well-formed, with a record; again replaces them."""
    folder = fine.parent / "looks"
    for _ in range(2):
        ran = prep("measure", fine, "--pictures", folder)
        assert ran.returncode == 0, ran.stderr
        assert f"Pictures are in {folder}." in ran.stdout
        made = sorted(os.listdir(folder))
        assert made == [
            "1-1d2b4f-film.svg",
            "1-1d2b4f-finest-opening.svg",
            "1-1d2b4f-opening-tip.svg",
            "1-1d2b4f-openings.svg",
            "1-1d2b4f-widths.svg",
            "job.json",
        ]
    for name in made[:-1]:
        assert ElementTree.parse(folder / name).getroot().tag.endswith("svg")
    assert json.loads((folder / "job.json").read_text())["schema"] == "firstpull.pictures/1"
    assert sorted(os.listdir(fine.parent)) == ["fine.svg", "looks"]


def test_pictures_never_replace_a_job(square: Path, prep: Prep) -> None:
    """A job folder and a folder of photos are left alone, and she is told what to do."""
    folder = square.parent
    write_folder(folder / "square-prep", {"prep-sheet.pdf": b"a sheet"}, {"name": "square"})
    before = sorted(os.listdir(folder / "square-prep"))
    (folder / "photos").mkdir()
    (folder / "photos" / "fish.jpg").write_text("hers")
    for name in ("square-prep", "photos", "/proc/nowhere/looks"):
        ran = prep("measure", square, "--pictures", name, cwd=folder)
        assert (ran.returncode, ran.stdout) == (2, ""), name
        assert len(ran.stderr.splitlines()) == 1
        assert "--pictures" in ran.stderr
    assert sorted(os.listdir(folder / "square-prep")) == before
    assert os.listdir(folder / "photos") == ["fish.jpg"]


@pytest.mark.parametrize(
    ("limits", "says"),
    [
        (("0.4",), "unit"),
        (("wide",), "number"),
        (("0 mm",), "above 0"),
        (("3 mm",), "up to 2 mm"),
        (tuple(f"0.{n} mm" for n in range(1, 9)), "at most 6"),
    ],
)
def test_limits_that_can_not_be_used_are_one_line(
    square: Path, limits: tuple[str, ...], says: str, prep: Prep
) -> None:
    """What is wrong with the limit, and what to give."""
    ran = prep("measure", square, *(part for limit in limits for part in ("--limit", limit)))
    assert (ran.returncode, ran.stdout) == (2, "")
    assert len(ran.stderr.splitlines()) == 1
    assert "--limit" in ran.stderr
    assert says in ran.stderr


def test_plugins_are_listed(prep: Prep) -> None:
    """Each with its package and what it gives."""
    ran = prep("plugins")
    assert ran.returncode == 0
    for name in ("fill_in", "ink", "registration", "sheet", "stencils"):
        assert name in ran.stdout


BAD_ART = {
    "empty": b"",
    "not XML": b"a photo of a fish",
    "not SVG": b"<html><body/></html>",
    "no shapes": b'<svg xmlns="http://www.w3.org/2000/svg" width="10mm" height="10mm"/>',
    "no size": b'<svg xmlns="http://www.w3.org/2000/svg"><rect width="3" height="3"/></svg>',
    "broken off": b'<svg xmlns="http://www.w3.org/2000/svg" width="10mm" height="10mm"><rect wid',
    "text": b'<svg xmlns="http://www.w3.org/2000/svg" width="10mm" height="10mm"><text>x</text></svg>',
}


@pytest.mark.parametrize("kind", BAD_ART)
def test_bad_artwork_is_one_line(tmp_path: Path, kind: str, prep: Prep) -> None:
    """Status 2, one line that names the file, nothing written."""
    art = tmp_path / "art.svg"
    art.write_bytes(BAD_ART[kind])
    ran = prep("sheet", art, cwd=tmp_path)
    assert (ran.returncode, ran.stdout) == (2, "")
    assert len(ran.stderr.splitlines()) == 1, ran.stderr
    assert "art.svg" in ran.stderr
    assert sorted(os.listdir(tmp_path)) == ["art.svg"]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("missing.svg",), "missing.svg"),
        (("square.svg", "--shirts", "0"), "shirts"),
        (("square.svg", "--width", "28"), "unit"),
        (("square.svg", "--width", "28 blips"), "unit"),
        (("square.svg", "--width", "-3 mm"), "more than 0"),
        (("square.svg", "--garment", "navyish"), "colour"),
        (("square.svg", "--set", "ink.reserv=15%"), "reserve"),
        (("square.svg", "--set", "nonsense"), "KEY=VALUE"),
        (("square.svg", "--shop", "missing.toml"), "missing.toml"),
        (("square.svg", "--shop", "thick.toml"), "thread"),
        (("square.svg", "--order", "torn.toml"), "torn.toml"),
        (("square.svg", "--out", "/proc/nowhere/job"), "--out"),
    ],
)
def test_bad_requests_are_one_line(
    square: Path, arguments: tuple[str, ...], says: str, prep: Prep
) -> None:
    """Status 2, one line with the word to act on, nothing written."""
    folder = square.parent
    (folder / "thick.toml").write_text('[[mesh]]\nname = "x"\ncount = "43/cm"\nthread = "300 um"\n')
    (folder / "torn.toml").write_text("name = [")
    before = sorted(os.listdir(folder))
    ran = prep("sheet", *arguments, cwd=folder)
    assert (ran.returncode, ran.stdout) == (2, ""), ran.stderr
    assert len(ran.stderr.splitlines()) == 1, ran.stderr
    assert says in ran.stderr
    assert sorted(os.listdir(folder)) == before


def test_a_sheet_is_made_with_no_settings_at_all(square: Path, prep: Prep) -> None:
    """Artwork, shirts and width are enough; the folder holds sheet, films, record and settings."""
    ran = prep("sheet", square, "--shirts", "48", "--width", "280 mm", cwd=square.parent)
    assert ran.returncode == 0, ran.stderr
    folder = square.parent / "square-prep"
    made = sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())
    assert {"prep-sheet.pdf", "job.json", "order.toml"} <= set(made)
    films = {Path(name).suffix for name in made if name.startswith("stencils/")}
    assert films == {".svg", ".dxf", ".pdf"}
    assert "paper-master.pdf" in made
    assert (folder / "prep-sheet.pdf").read_bytes().startswith(b"%PDF-")


@pytest.mark.parametrize("command", ["sheet", "check", "ink", "measure"])
def test_an_assumed_size_is_said_where_the_set_up_is_named(
    command: str, tmp_path: Path, prep: Prep
) -> None:
    """96 units make 25.4 mm where nobody says more, and the first line about the set-up says so."""
    drawing = tmp_path / "bare.svg"
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 96 48">'
        '<rect width="96" height="48" fill="red"/></svg>'
    )
    for width, assumed in (((), True), (("--width", "30 mm"), False)):
        ran = prep(command, drawing, *width, "--shirts", "9", cwd=tmp_path)
        assert ran.returncode == 0, ran.stderr
        named = next(line for line in ran.stdout.splitlines() if "front, " in line)
        if command == "measure":  # broken to the terminal
            named = ran.stdout.split("An opening")[0].replace("\n", " ")
        assert ("; size assumed, 25.4 × 12.7 mm, as none is given" in named) is assumed


def test_the_order_in_the_folder_makes_the_same_job(square: Path, prep: Prep) -> None:
    """Settings in force, read back, give the same films."""
    ran = prep("sheet", square, "--shirts", "48", "--width", "280 mm", cwd=square.parent)
    assert ran.returncode == 0, ran.stderr
    first, second = square.parent / "square-prep", square.parent / "again"
    ran = prep("sheet", first / "order.toml", "--out", second)
    assert ran.returncode == 0, ran.stderr
    assert (first / "order.toml").read_text() == (second / "order.toml").read_text()
    films = sorted(p.name for p in (first / "stencils").iterdir())
    assert films == sorted(p.name for p in (second / "stencils").iterdir())
    for film in films:
        assert (first / "stencils" / film).read_bytes() == (second / "stencils" / film).read_bytes()


def test_without_a_plugin_the_sheet_says_what_it_lacks(square: Path, prep: Prep) -> None:
    """A job made without ink figures is possible, and the record says so."""
    ran = prep("sheet", square, "--without", "ink", cwd=square.parent)
    assert ran.returncode == 0, ran.stderr
    record = json.loads((square.parent / "square-prep" / "job.json").read_text())
    assert record["without"] == ["ink"]


def test_a_closed_pipe_is_quiet(square: Path) -> None:
    """``prep measure ... | head -1`` isn't an error of the artwork."""
    command = subprocess.Popen(
        [sys.executable, "-m", "prep", "measure", str(square)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert command.stdout is not None
    assert command.stderr is not None
    command.stdout.close()
    said = command.stderr.read()
    command.stderr.close()
    assert command.wait() == 141
    assert said == b""


def _soon(asked: Callable[[], object]) -> bool:
    """Wait until something is so; False if it isn't in a minute."""
    for _ in range(3000):
        if asked():
            return True
        time.sleep(0.02)
    return False


def _worker_of(pid: int) -> bool:
    """Say whether a process has started its worker."""
    children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    return any(b"prep.guard" in Path(f"/proc/{child}/cmdline").read_bytes() for child in children)


def test_an_interrupt_leaves_nothing(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Ctrl-C in the middle of the work: status 130, one line, no folder, no worker."""
    aside = tmp_path_factory.mktemp("aside")
    art = tmp_path / "slow.svg"
    dots = "".join(
        f'<circle cx="{x}" cy="{y}" r="{3 + (x * y) % 5}" fill="#{(x * y) % 4 + 2}0f"/>'
        for x in range(60)
        for y in range(60)
    )
    art.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 60">{dots}</svg>')
    with subprocess.Popen(
        [sys.executable, "-m", "prep", "sheet", str(art)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=tmp_path,
        env={**os.environ, "TMPDIR": str(aside)},
    ) as command:
        assert _soon(lambda: _worker_of(command.pid))
        command.send_signal(signal.SIGINT)
        stdout, stderr = command.communicate(timeout=60)
    assert (command.returncode, stdout, stderr) == (130, "", "prep: interrupted\n")
    assert os.listdir(tmp_path) == ["slow.svg"]
    assert _soon(lambda: not any(left.is_dir() for left in aside.iterdir()))


def test_an_interrupt_before_the_work_is_one_line(tmp_path: Path) -> None:
    """While the command itself is being loaded."""
    (tmp_path / "typer.py").write_text("import signal; signal.raise_signal(signal.SIGINT)")
    ran = process("plugins", cwd=tmp_path)
    assert (ran.returncode, ran.stdout, ran.stderr) == (130, "", "prep: interrupted\n")


def test_output_that_cannot_be_written_is_one_line(square: Path) -> None:
    """A full disk is no fault of ours, and never the status that means trouble in the artwork."""
    with open("/dev/full", "w") as full:
        ran = subprocess.run(
            [sys.executable, "-m", "prep", "measure", str(square)],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert ran.returncode == 2
    assert len(ran.stderr.splitlines()) == 1
    assert "No space left" in ran.stderr


def test_closed_output_is_quiet(square: Path) -> None:
    """``prep measure ... >&-`` has nobody to tell, and no traceback."""
    command = f"{sys.executable} -m prep measure {square} >&-"
    ran = subprocess.run(["sh", "-c", command], stderr=subprocess.PIPE, text=True, check=False)
    assert (ran.returncode, ran.stderr) == (0, "")


def test_a_start_tidies_up_what_a_crash_left(square: Path, prep: Prep) -> None:
    """With the job renamed away by a crash, even a run that is refused brings it back."""
    folder = square.parent
    ran = prep("sheet", square, cwd=folder)
    assert ran.returncode == 0, ran.stderr
    (folder / "square-prep").rename(folder / "square-prep.old-0123abcd")
    assert prep("sheet", square, "--shirts", "0", cwd=folder).returncode == 2
    assert sorted(os.listdir(folder)) == ["square-prep", "square.svg"]


@pytest.mark.parametrize(
    ("start", "kind"),
    [
        (b"\x89PNG\r\n\x1a\n", "a PNG picture, made of dots"),
        (b"\xff\xd8\xff\xe0", "a JPEG picture, made of dots"),
        (b"%PDF-1.7\n", "a PDF"),
        (b"PK\x03\x04", "a ZIP archive"),
    ],
)
def test_other_files_are_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], start: bytes, kind: str
) -> None:
    """What customers send in place of an SVG is named by its first bytes."""
    (tmp_path / "fish.svg").write_bytes(start + b"x" * 50)
    assert run(["measure", str(tmp_path / "fish.svg")]) == 2
    said = capsys.readouterr().err
    assert said == f"prep: fish.svg: is {kind}, not SVG; ask for the drawing itself as SVG\n"


def test_usage_errors_are_sentences(capsys: pytest.CaptureFixture[str]) -> None:
    """No doubled full stop, and no words of a library where a count is wrong."""
    assert run(["swim"]) == 2
    assert capsys.readouterr().err == "prep: No such command 'swim'; see prep --help\n"
    assert run(["measure", "a.svg", "--shirts", "lots"]) == 2
    assert '"lots" is no count of shirts; write it like 48' in capsys.readouterr().err
