"""Tints printed solid: from the command line and order.toml to screens, on garments of several colours.

The colours are source-over on sRGB levels (W3C, Compositing and Blending Level 1), reckoned by hand.
"""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from prep.artwork import PrintSize
from prep.cli import run
from prep.errors import ArtworkRefused, InputError
from prep.line import open_line
from prep.plugins import Plugins
from prep.reading import read_and_separate
from prep.request import Request
from prep.settings import load

# half red on the garment, half white over black
DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50">'
    '<rect width="40" height="50"/>'
    '<rect id="veil" x="10" y="10" width="20" height="30" fill="#fff" opacity=".5"/>'
    '<rect id="blush" x="50" y="10" width="30" height="30" fill="#f00" fill-opacity="50%"/></svg>'
)
ORDER = """
[[print]]
artwork = "veil.svg"
width = "100 mm"
solid_tints = true
[[print.colour]]
hex = "#8e1628"
ink = "dusk"
mesh = "62-64"
[[garment]]
name = "navy tee"
colour = "#1d2b4f"
sizes = { M = 5 }
[[garment]]
name = "black tee"
colour = "#101010"
sizes = { M = 3 }
[[garment]]
name = "other navy tee"
colour = "#1d2b4f"
sizes = { L = 2 }
"""
BLACK, GREY, ON_NAVY, ON_BLACK = "#000000", "#808080", "#8e1628", "#880808"


@pytest.fixture
def drawing(tmp_path: Path) -> Path:
    """A drawing with two tints, 100 x 50 mm."""
    (tmp_path / "veil.svg").write_text(DRAWING)
    return tmp_path / "veil.svg"


@pytest.fixture
def order(drawing: Path) -> Path:
    """An order of it on garments of two dark colours."""
    (drawing.parent / "order.toml").write_text(ORDER)
    return drawing.parent / "order.toml"


@pytest.mark.parametrize(
    ("body", "said"),
    [
        # half white over black is 127.5 -> 128, half red on white 255, 128, 128
        (
            '<rect width="40" height="50"/>'
            '<rect x="10" y="10" width="20" height="30" fill="#fff" opacity=".5"/>'
            '<rect x="50" y="10" width="30" height="30" fill="#f00" fill-opacity="50%"/>',
            "comes to 2 new colours (#808080, #ff8080); with solid_tints, reckon with 2 more inks and"
            " screens",
        ),
        (
            '<g opacity=".5"><rect width="40" height="50"/><rect x="20" width="40" height="50"/></g>',
            "comes to 1 new colour (#808080); with solid_tints, reckon with 1 more ink and screen",
        ),
        # what it shows is there already, or hidden, or bare
        (
            '<rect width="40" height="50" fill="#808080"/><rect width="9" height="9" opacity=".5"'
            ' x="80"/><rect width="9" height="9" fill="#f00" opacity=".5"/><rect width="9" height="9"/>'
            '<rect width="9" height="9" x="50" fill="#fff" opacity=".5"/>',
            "comes to no new colour; solid_tints takes no more screens there",
        ),
    ],
)
def test_the_refusal_counts_the_screens_that_solid_tints_take(body: str, said: str) -> None:
    """On white, beside a line for each element."""
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50">{body}</svg>'
    with pytest.raises(ArtworkRefused) as caught:
        read_and_separate(svg.encode(), "a.svg", PrintSize(width_mm=100))
    *each, last = caught.value.lines()
    assert last == f"a.svg: made solid on a garment of #ffffff, what is translucent {said}"
    assert all("is partly transparent" in line for line in each)


def test_the_refusal_counts_on_the_garments_of_the_order(order: Path) -> None:
    """Half red shows as another colour on each; the first garment is told."""
    order.write_text(ORDER.replace("solid_tints = true\n", ""))
    with open_line(Request(order)) as line, pytest.raises(ArtworkRefused) as caught:
        line.read(line.setups[0])
    (garment, *_) = [batch.colour for batch in line.setups[0].batches]
    assert f"made solid on a garment of {garment}, what is" in caught.value.lines()[-1]
    assert garment != "#ffffff"


def test_the_refusal_says_when_tints_can_not_be_made_solid() -> None:
    """Where solid_tints is no way out, that is told at once; beside other faults nothing is counted."""
    svg = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50">{}</svg>'
    body = '<g id="g" opacity=".5"><path d="M0 0H9V9z" opacity=".5"/><path d="M5 0H9V9z"/></g>'
    for more, last in (("", "is a translucent group"), ('<image href="x"/>', "made of pixels")):
        with pytest.raises(ArtworkRefused) as caught:
            read_and_separate(svg.format(body + more).encode(), "a.svg", PrintSize(width_mm=100))
        lines = caught.value.lines()
        assert sum(last in line for line in lines) == 1
        assert not any("made solid on a garment" in line for line in lines)


def test_the_command_line_makes_tints_solid(
    drawing: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Half red on navy is (255 + 29)/2 = 142, 22, 40; half white over black is 127.5 -> 128."""
    asked = ["measure", str(drawing), "--width", "100 mm", "--garment", "#1d2b4f", "--json"]
    assert run([*asked, "--solid-tints"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert {c["hex"]: c["area_mm2"] for c in document["colours"]} == pytest.approx(
        {BLACK: 1400, GREY: 600, ON_NAVY: 900}
    )
    notes = document["notes"]
    assert (
        "Tints are printed solid as they show on #1d2b4f: 2 new colours, each with an ink and a screen"
        " of its own (#808080 and #8e1628)." in notes
    )
    assert any(
        'rect "veil", line 1; rect "blush", line 1 is translucent; it is printed solid' in note
        for note in notes
    )


def test_it_is_off_unless_asked_for(drawing: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each tint is refused in a line that names the option."""
    assert run(["measure", str(drawing), "--garment", "#1d2b4f"]) == 2
    *lines, count = capsys.readouterr().err.splitlines()
    assert len(lines) == 2
    assert "2 new colours" in count
    for line, name in zip(lines, ("veil", "blush"), strict=True):
        assert f'rect "{name}", line 1: is partly transparent' in line
        assert "solid_tints = true under [[print]], or --solid-tints" in line


def test_the_garments_colour_must_be_given(
    drawing: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """White that nobody said is no ground for a colour."""
    assert run(["measure", str(drawing), "--solid-tints"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line == (
        'prep: --solid-tints: tints show the garment through, and the colour of "shirt" isn\'t given;'
        ' give it: --garment "#203040", or colour = "#203040" under its [[garment]]'
    )
    (drawing.parent / "order.toml").write_text(ORDER.replace('colour = "#101010"\n', ""))
    assert run(["check", str(drawing.parent / "order.toml")]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "order.toml: print[1].solid_tints: " in line
    assert 'the colour of "black tee" isn\'t given' in line


def test_a_gradient_stays_refused(drawing: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The option makes flat tints solid, nothing else."""
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><linearGradient id="g">'
        '<stop stop-color="red"/><stop offset="1"/></linearGradient>'
        '<rect id="sky" width="9" height="9" fill="url(#g)"/></svg>'
    )
    assert run(["measure", str(drawing), "--solid-tints", "--garment", "#fff"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert 'rect "sky", line 1: has a gradient' in line


def test_each_garment_colour_has_a_set_up_of_its_own(order: Path) -> None:
    """Both are dark, yet half red shows otherwise on each: 142, 22, 40 and (255 + 16)/2, 8, 8."""
    with open_line(Request(order), plugins=Plugins()) as line:
        setups = line.setups
        jobs = [line.job(setup) for setup in setups]
        again = line.job(setups[0])
    assert [(s.key, s.name, s.shirts) for s in setups] == [
        ("front-100mm-dark-1d2b4f", "front, 100 mm, on dark #1d2b4f", 7),
        ("front-100mm-dark-101010", "front, 100 mm, on dark #101010", 3),
    ]
    assert again is jobs[0]
    for job, tint in zip(jobs, (ON_NAVY, ON_BLACK), strict=True):
        assert {s.colour: s.region.area for s in job.separations} == pytest.approx(
            {BLACK: 1400, GREY: 600, tint: 900}
        )
        assert [s.key for s in job.screens] == [BLACK, GREY, tint]
        assert any("2 new colours" in n and tint in n for n in job.notes)


def test_a_tints_colour_may_be_named_though_one_garment_alone_shows_it(order: Path) -> None:
    """Ink and mesh go to the set-up that has the colour; the other says that they aren't used."""
    with open_line(Request(order), plugins=Plugins()) as line:
        navy, black = (line.job(setup) for setup in line.setups)
    assert (navy.screens[2].ink, navy.screens[2].mesh) == ("dusk", "62-64")
    assert [s.ink for s in black.screens] == [BLACK, GREY, ON_BLACK]
    (note,) = [note for note in black.notes if "The order names the colour #8e1628" in note]
    assert "doesn't show on #101010" in note
    assert not any("The order names" in note for note in navy.notes)


@pytest.mark.parametrize("garments", [1, 2])
@pytest.mark.parametrize(
    ("asked", "key"),
    [
        ('hex = "#8e1629"', "hex"),
        ('hex = "#8e1628"\nprint_as = "#8e1629"', "print_as"),
    ],
)
def test_a_colour_that_no_garment_shows_is_refused(
    order: Path, garments: int, asked: str, key: str
) -> None:
    """A mistyped colour is an error also among tints, on one garment's colour and on several."""
    text = ORDER.replace('hex = "#8e1628"\nink = "dusk"\nmesh = "62-64"', asked)
    if garments == 1:
        text = text[: text.index('[[garment]]\nname = "black tee"')]
    order.write_text(text)
    with open_line(Request(order), plugins=Plugins()) as line, pytest.raises(InputError) as caught:
        line.job(line.setups[0])
    (said,) = caught.value.lines()
    assert said == (
        f'{order}: print[1].colour[1].{key} = "#8e1629": veil.svg doesn\'t have the colour'
        " #8e1629; it has #000000, #808080, #8e1628; name one of these, or take it out"
    )


def test_each_set_ups_order_names_only_colours_it_shows(order: Path) -> None:
    """Alone, the order of the set-up without the tint would be refused if it named it."""
    with open_line(Request(order), plugins=Plugins()) as line:
        files = line.documents(line.reports(), order.parent / "job")
        keys = [setup.key for setup in line.setups]
    named = ["#8e1628" in files[f"{key}/order.toml"].decode() for key in keys]
    assert named == [True, False]
    assert "#8e1628" in files["order.toml"].decode()


def test_a_tint_may_be_printed_as_another_colour(order: Path) -> None:
    """Joined with a colour that is there, it needs no screen and isn't counted as one."""
    order.write_text(ORDER.replace('ink = "dusk"\nmesh = "62-64"', 'print_as = "#808080"'))
    with open_line(Request(order), plugins=Plugins()) as line:
        navy, black = (line.job(setup) for setup in line.setups)
    assert [s.key for s in navy.screens] == [BLACK, GREY]
    assert any("1 new colour, with an ink and a screen of its own" in note for note in navy.notes)
    assert [s.key for s in black.screens] == [BLACK, GREY, ON_BLACK]


def test_a_tint_of_the_garments_own_colour_is_no_new_screen(
    drawing: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Half white on white is white: the shirt stays bare."""
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10"><rect width="5" height="5"/>'
        '<rect x="5" width="5" height="5" fill="#fff" opacity=".5"/></svg>'
    )
    asked = ["measure", str(drawing), "--solid-tints", "--garment", "#fff", "--json"]
    assert run(asked) == 0
    notes = json.loads(capsys.readouterr().out)["notes"]
    assert "Tints are printed solid as they show on #ffffff: no new screen." in notes


def test_the_option_speaks_of_every_print(drawing: Path) -> None:
    """One for all, since it can't be meant of a place; keys of an order stay as they are."""
    order = drawing.parent / "order.toml"
    order.write_text(
        '[[print]]\nartwork = "veil.svg"\n[[print]]\nplace = "back"\nartwork = "veil.svg"\n'
        '[[garment]]\ncolour = "#fff"\nsizes = { M = 3 }\n'
    )
    assert [p.solid_tints for p in load(Request(order), {}).order.print] == [False, False]
    loaded = load(Request(order, solid_tints=True), {})
    assert [p.solid_tints for p in loaded.order.print] == [True, True]
    assert loaded.chosen_for(loaded.setups[1]).origins["solid_tints"] == "command line"


def test_settings_in_force_read_the_same(order: Path) -> None:
    """The order.toml of the whole and of each set-up carry the setting and give the same set-ups."""
    loaded = load(Request(order), {})
    for setup in (None, *loaded.setups):
        text = loaded.in_force(setup, folder=order.parent)
        assert tomllib.loads(text)["print"][0]["solid_tints"] is True
        again = order.with_name("again.toml")
        again.write_text(text)
        read = load(Request(again), {})
        assert read.setups == (loaded.setups if setup is None else (setup,))
        assert read.in_force(setup, folder=order.parent) == text


def test_a_sheet_for_each_garment_colour(order: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The whole command: a folder for each set-up, whose order makes the same screens again."""
    assert run(["sheet", str(order), "--out", str(order.parent / "job")]) == 0
    told = capsys.readouterr().out
    assert "on dark #1d2b4f: 7 shirts, 4 screens" in told
    assert "on dark #101010: 3 shirts, 4 screens" in told
    for key, tint in (("1d2b4f", ON_NAVY), ("101010", ON_BLACK)):
        folder = order.parent / "job" / f"front-100mm-dark-{key}"
        record = json.loads((folder / "job.json").read_text())
        assert [c["hex"] for c in record["painted"]] == [BLACK, GREY, tint]
        assert any("Tints are printed solid" in note for note in record["notes"])
        assert run(["measure", str(folder / "order.toml"), "--json"]) == 0
        again = json.loads(capsys.readouterr().out)
        assert [c["hex"] for c in again["colours"]] == [BLACK, GREY, tint]
