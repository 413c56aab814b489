"""What happens to the artwork's colours: printed, printed as another, or the shirt left bare."""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path
from typing import Any

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, box
from shapely.geometry.base import BaseGeometry

from prep.artwork import Artwork, Shape
from prep.cli import run
from prep.colour_difference import difference
from prep.errors import InputError, SettingsError
from prep.job import Job
from prep.line import open_line
from prep.measures import measure
from prep.order import Batch, ColourChoice
from prep.palette import decide, recoloured, with_screens
from prep.plugins import Plugins
from prep.records import measures_document, setup_record
from prep.request import Request
from prep.separations import separate
from prep.settings import load
from prep.shop import Ink, Shop
from prep.testing import as_multipolygon, make_job

WHITE, CREAM, BLACK, RED = "#ffffff", "#fefefe", "#000000", "#c0392b"
ALMOST_BLACK = "#000001"
DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50">'
    f'<rect width="100" height="50" fill="{WHITE}"/>'
    f'<rect x="10" y="10" width="30" height="30" fill="{BLACK}"/>'
    f'<rect x="40" y="10" width="10" height="30" fill="{ALMOST_BLACK}"/>'
    f'<rect x="60" y="10" width="20" height="30" fill="{RED}"/></svg>'
)
LEVELS = (0x80, 0x84, 0x88)
SQUARES = {c: box(10 * k, 0, 10 * k + 10, 10) for k, c in enumerate((WHITE, BLACK, RED))}


def choice(**keys: object) -> ColourChoice:
    """Make a colour's choice from its TOML keys."""
    return ColourChoice.model_validate(keys)


def job_with(
    *choices: ColourChoice,
    shirts: tuple[str, ...] = (RED,),
    colours: dict[str, BaseGeometry] | None = None,
    **order: Any,
) -> Job:
    """Make a job of squares on garments of some colours, with choices and keys of the order."""
    job = make_job(colours or SQUARES)
    batches = tuple(
        Batch(f"tee {k}", colour, "100 % cotton", (("M", 4),)) for k, colour in enumerate(shirts, 1)
    )
    return dataclasses.replace(
        job,
        order=job.order.model_copy(update=order),
        setup=dataclasses.replace(job.setup, colours=choices, batches=batches),
    )


def decided(job: Job, shop: Shop | None = None) -> Any:
    """Decide on a job's colours."""
    return decide(job.separations, job.order, job.setup, shop or job.shop, job.artwork.name)


# the shirt's own colour


def test_the_shirts_colour_leaves_it_bare() -> None:
    """White on white shirts gets no screen; the note says where, how much, and how to print it."""
    job = job_with(shirts=(WHITE, WHITE))
    palette = decided(job)
    assert palette.bare == {WHITE}
    assert palette.notes == (
        "#ffffff is the garments' own colour (tee 1 and tee 2): the shirt stays bare there (1.00 cm²),"
        " without a screen. To print it all the same: --set 'colour.#ffffff.printed=true', or bare_shirt ="
        " false for all colours.",
    )
    kept = with_screens(job.separations, palette, "test.svg")
    assert [s.colour for s in kept] == [BLACK, RED]


@pytest.mark.parametrize(
    ("choices", "order"), [((choice(hex=WHITE, printed=True),), {}), ((), {"bare_shirt": False})]
)
def test_the_shirts_colour_is_printed_when_asked(
    choices: tuple[ColourChoice, ...], order: dict[str, Any]
) -> None:
    """For one colour, or for all of the order; and it is said."""
    palette = decided(job_with(*choices, shirts=(WHITE,), **order))
    assert palette.bare == frozenset()
    assert palette.notes == (
        "#ffffff is the colour of garments (tee 1) and is printed all the same, as asked.",
    )


def test_an_ink_named_for_the_shirts_colour_does_not_print_it() -> None:
    """White ink serves the dark shirts of an order; on its white ones the shirt stays bare."""
    assert decided(job_with(choice(hex=WHITE, ink="white"), shirts=(WHITE,))).bare == {WHITE}


def test_only_some_shirts_have_the_colour() -> None:
    """The screens are the same for all, so the colour is printed on all, and it is said."""
    palette = decided(job_with(shirts=(WHITE, "#dddddd")))
    assert palette.bare == frozenset()
    assert palette.notes == (
        "#ffffff is the colour of some garments (tee 1), not of others (tee 2) printed with the same"
        " screens: it is printed on all. To leave the former bare, give them an order of their own;"
        " to leave all bare:"
        " --set 'colour.#ffffff.printed=false'.",
    )


def test_nearly_the_shirts_colour_is_printed_and_told() -> None:
    """Only exactly the shirt's colour is left bare unasked."""
    job = job_with(shirts=(CREAM,))
    assert decided(job).bare == frozenset()
    apart = difference(WHITE, CREAM)
    assert decided(job).notes == (
        f"#ffffff is printed, but can hardly be told from #fefefe, the colour of garments (tee 1):"
        f" {apart:.2f} CIEDE2000, under near_equal = 2.3. To leave the shirt bare there:"
        " --set 'colour.#ffffff.printed=false'.",
    )
    assert decided(job_with(shirts=(CREAM,), near_equal=0.1)).notes == ()
    assert decided(job_with(choice(hex=WHITE, printed=True), shirts=(CREAM,))).notes == ()


def test_nothing_left_to_print() -> None:
    """Everything bare is one line with what to do."""
    job = job_with(
        choice(hex=RED, printed=False), choice(hex=BLACK, print_as=WHITE), shirts=(WHITE,)
    )
    palette = decided(job)
    assert palette.bare == {WHITE, RED}
    with pytest.raises(InputError, match=r"test.svg: nothing is left to print: .*; .*--garment"):
        with_screens(job.separations[:1], palette, "test.svg")


# colours left out and joined


def test_a_colour_left_out() -> None:
    """It gets no screen; its ink may stay named for another time."""
    palette = decided(job_with(choice(hex=BLACK, printed=False, ink="coal"), shirts=("#1d2b4f",)))
    assert palette.bare == {BLACK}
    assert palette.notes == (
        "#000000 is not printed, as asked: the shirt stays bare there, whatever the artwork has"
        " beneath.",
    )


def test_a_joined_colour_is_said_with_both_names() -> None:
    """Which into which, and how different they are."""
    palette = decided(job_with(choice(hex=BLACK, print_as=RED), shirts=("#1d2b4f",)))
    assert palette.joined == {BLACK: RED}
    (note,) = palette.notes
    apart = f"{difference(BLACK, RED):.2f}"
    assert note == (
        "#000000 is printed as #c0392b, from one screen, as asked (colour difference"
        f" {apart} by CIEDE2000; some 2 can just be seen)."
    )


def test_joined_into_the_shirts_colour_is_bare_too() -> None:
    """What is printed as white on white shirts leaves them bare, and counts in the bare area."""
    palette = decided(job_with(choice(hex=BLACK, print_as=WHITE), shirts=(WHITE,)))
    assert palette.bare == {WHITE}
    assert (
        "#000000 is taken for #ffffff, which leaves the shirt bare, as asked (" in palette.notes[0]
    )
    assert "the shirt stays bare there (2.00 cm²)" in palette.notes[1]
    assert not any("from one screen" in note for note in palette.notes)


def test_joined_into_a_colour_left_out_is_bare_too() -> None:
    """What is printed as a colour that isn't printed leaves the shirt bare."""
    choices = choice(hex=BLACK, print_as=RED), choice(hex=RED, printed=False)
    palette = decided(job_with(*choices, shirts=("#1d2b4f",)))
    assert palette.bare == {RED}
    assert (
        "#000000 is taken for #c0392b, which leaves the shirt bare, as asked (" in palette.notes[0]
    )


@pytest.mark.parametrize(
    ("wrong", "where"),
    [
        (choice(hex="#123456", ink="blue"), "colour #123456, hex"),
        (choice(hex=RED, print_as="#123456"), f"colour {RED}, print_as"),
    ],
)
def test_a_colour_the_artwork_does_not_have(wrong: ColourChoice, where: str) -> None:
    """A slip is said with its place and the colours there are."""
    with pytest.raises(InputError) as refused:
        decided(job_with(wrong))
    assert str(refused.value) == (
        f"{where}: test.svg doesn't have the colour #123456;"
        f" it has {BLACK}, {RED}, {WHITE}; name one of these, or take it out"
    )


# near-equal colours


def test_near_equal_colours_are_reported_and_kept() -> None:
    """Two screens, one note; the smaller area is offered to be printed as the larger."""
    palette = decided(job_with(colours={ALMOST_BLACK: box(0, 0, 5, 5), BLACK: box(5, 0, 15, 15)}))
    assert (palette.joined, palette.bare) == ({}, frozenset())
    apart = f"{difference(BLACK, ALMOST_BLACK):.2f}"
    assert palette.notes == (
        f"#000001 and #000000 can hardly be told apart ({apart} CIEDE2000, under near_equal = 2.3),"
        " yet each has a screen of its own. To print two from one screen:"
        " --set 'colour.#000001.print_as=#000000'.",
    )


def test_a_chain_of_near_equal_colours_is_told_as_one() -> None:
    """Ends of a row of greys can be told apart; the note says by how much."""
    greys = {f"#{level:x}{level:x}{level:x}": box(k, 0, k + 1, 9) for k, level in enumerate(LEVELS)}
    (note,) = decided(job_with(colours=greys)).notes
    ends = f"{difference('#808080', '#888888'):.2f}"
    assert note.startswith(
        "#808080, #848484 and #888888 make a chain in which each can hardly be told from its"
        " neighbours ("
    )
    assert f"; #808080 and #888888 differ by {ends}), yet each has a screen of its own." in note


def test_joined_and_bare_colours_are_not_reported_again() -> None:
    """Only colours with a screen each are near-equal to one another."""
    colours = {ALMOST_BLACK: box(0, 0, 5, 5), BLACK: box(5, 0, 15, 15), RED: box(20, 0, 30, 9)}
    for chosen in (
        choice(hex=ALMOST_BLACK, print_as=BLACK),
        choice(hex=ALMOST_BLACK, printed=False),
    ):
        (note,) = decided(job_with(chosen, shirts=("#1d2b4f",), colours=colours)).notes
        assert "told apart" not in note


def test_one_ink_on_two_screens_is_told() -> None:
    """Colours mapped to one ink keep their screens; an ink in stock of the colour counts too."""
    shop = Shop(inks=(Ink.model_validate({"name": "coal", "hex": BLACK}),))
    palette = decided(job_with(choice(hex=RED, ink="coal"), shirts=("#1d2b4f",)), shop)
    assert palette.notes == (
        "#000000 and #c0392b are printed with the same ink, coal, from 2 screens. To print two from"
        " one screen: --set 'colour.#c0392b.print_as=#000000'.",
    )


# joining is drawing in the other colour


def artwork(*shapes: tuple[BaseGeometry, str]) -> Artwork:
    """Make an artwork of shapes and their colours."""
    painted = tuple(Shape(as_multipolygon(g), c, f"path {k}") for k, (g, c) in enumerate(shapes))
    return Artwork("test.svg", 40.0, 40.0, painted, 0.01)


circles = st.tuples(
    st.tuples(st.floats(5, 35), st.floats(5, 35), st.floats(0.5, 5)).map(
        lambda t: Point(t[0], t[1]).buffer(t[2])
    ),
    st.sampled_from([BLACK, ALMOST_BLACK, RED]),
)


@given(st.lists(circles, min_size=1, max_size=8))
def test_joining_keeps_what_shows(shapes: list[tuple[BaseGeometry, str]]) -> None:
    """Joined, black covers what both covered, by XOR area; red doesn't change."""
    drawn = artwork(*shapes)
    before = {s.colour: s.region for s in separate(drawn)}
    after = {s.colour: s.region for s in separate(recoloured(drawn, {ALMOST_BLACK: BLACK}))}
    assert ALMOST_BLACK not in after
    both = shapely.union_all([before.get(c, MultiPolygon()) for c in (BLACK, ALMOST_BLACK)])
    assert shapely.symmetric_difference(both, after.get(BLACK, MultiPolygon())).area < 1e-6
    red = before.get(RED, MultiPolygon())
    assert shapely.symmetric_difference(red, after.get(RED, MultiPolygon())).area < 1e-6


def test_joined_shapes_leave_no_crack() -> None:
    """Two discs over each other, slanted against every grid, are one piece without a fine gap."""
    one, other = Point(10.1, 10.3).buffer(6.7), Point(15.7, 13.9).buffer(5.3)
    (black,) = separate(
        recoloured(artwork((one, BLACK), (other, ALMOST_BLACK)), {ALMOST_BLACK: BLACK})
    )
    assert black.region.equals(as_multipolygon(one.union(other)))
    assert measure(black.region).pieces == 1
    assert all(len(part.interiors) == 0 for part in black.region.geoms)


# the whole line


@pytest.fixture
def drawing(tmp_path: Path) -> Path:
    """A white page with black, almost black and red on it, 100 x 50 mm."""
    (tmp_path / "flag.svg").write_text(DRAWING)
    return tmp_path / "flag.svg"


def test_the_job_holds_only_what_is_printed(drawing: Path) -> None:
    """On a white shirt: black with almost black, 40 x 30 mm, and red; white only in what was painted."""
    request = Request(drawing, width="100 mm", sets=(f"colour.{ALMOST_BLACK}.print_as={BLACK}",))
    with open_line(request, plugins=Plugins()) as line:
        (setup,) = line.setups
        job, report = line.job(setup), line.report(line.job(setup))
    assert [(d.colour, d.measures.area_mm2) for d in job.design] == [
        (BLACK, pytest.approx(1200)),
        (RED, pytest.approx(600)),
    ]
    assert [s.key for s in job.screens] == [BLACK, RED]
    assert job.screens[0].measures.pieces == 1
    assert {s.colour for s in job.separations} == {WHITE, BLACK, ALMOST_BLACK, RED}
    assert any("#000001 is printed as #000000" in note for note in job.notes)
    assert any(
        "#ffffff is the garments' own colour (shirt): the shirt stays bare" in n for n in job.notes
    )
    record = json.loads(setup_record(report))
    assert [(c["hex"], c["printed_as"]) for c in record["painted"]] == [
        (WHITE, None),
        (BLACK, BLACK),
        (ALMOST_BLACK, BLACK),
        (RED, RED),
    ]
    assert record["painted"][2]["area_mm2"] == pytest.approx(300)


def test_measure_reports_the_artwork_as_painted(drawing: Path) -> None:
    """Bare and joined colours are measured as drawn; the notes say what happens to them."""
    sets = (f"colour.{ALMOST_BLACK}.print_as={BLACK}", f"colour.{RED}.printed=false")
    with open_line(Request(drawing, width="100 mm", sets=sets), plugins=Plugins()) as line:
        document = measures_document(line.painted(line.setups[0]))
    assert {c["hex"]: c["area_mm2"] for c in document["colours"]} == pytest.approx(
        {WHITE: 5000 - 1800, BLACK: 900, ALMOST_BLACK: 300, RED: 600}
    )
    told = " ".join(document["notes"])
    assert "#c0392b is not printed" in told
    assert "#ffffff is the garments' own colour (shirt)" in told


def test_measure_shows_each_screen_as_it_is_printed(
    drawing: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Joined colours stand in one section, bare ones in none: they are said to stay bare."""
    asked = ["measure", str(drawing), "--width", "100 mm"]
    asked += ["--set", f"colour.{ALMOST_BLACK}.print_as={BLACK}"]
    asked += ["--set", f"colour.{RED}.printed=false"]
    assert run(asked) == 0
    told = capsys.readouterr().out.splitlines()
    # 900 + 300 mm² from one screen
    assert [line for line in told if " prints " in line] == [
        f"{BLACK} prints 12.00 cm²; {ALMOST_BLACK} with it, from one screen"
    ]
    assert (
        f"Without a screen, the shirt stays bare: {WHITE} (32.00 cm²), {RED} (6.00 cm²)."
        in " ".join(" ".join(told).split())
    )
    assert run([*asked, "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert {c["hex"]: c["printed_as"] for c in document["colours"]} == {
        WHITE: None,
        BLACK: BLACK,
        ALMOST_BLACK: BLACK,
        RED: None,
    }
    (screen,) = document["screens"]
    assert (screen["hex"], screen["printed_from"]) == (BLACK, [BLACK, ALMOST_BLACK])
    assert screen["area_mm2"] == pytest.approx(1200)
    assert screen["pieces"] == 1


@pytest.fixture
def two_prints(drawing: Path) -> Path:
    """An order of two prints on white shirts; white is in the artwork of the first alone."""
    other = drawing.with_name("back.svg")
    other.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50">'
        f'<rect width="50" height="50" fill="{RED}"/></svg>'
    )
    order = drawing.with_name("two.toml")
    order.write_text(
        f'[[print]]\nartwork = "{drawing.name}"\n'
        '[[print]]\nplace = "back"\nartwork = "back.svg"\n'
        '[[garment]]\ncolour = "#fff"\nsizes = { M = 3 }\n'
    )
    return order


def test_set_counts_for_the_prints_that_have_the_colour(two_prints: Path) -> None:
    """What a note advises works though the other print of the order hasn't the colour."""
    with open_line(Request(two_prints), plugins=Plugins()) as line:
        front, back = (line.job(setup) for setup in line.setups)
    advice = f"colour.{WHITE}.printed=true"
    assert any(f"--set '{advice}'" in note for note in front.notes)
    with open_line(Request(two_prints, sets=(advice,)), plugins=Plugins()) as line:
        front, back = (line.job(setup) for setup in line.setups)
        files = line.documents(line.reports(), two_prints.parent / "job")
        keys = [setup.key for setup in line.setups]
    assert WHITE in {screen.colour for screen in front.screens}
    assert [screen.colour for screen in back.screens] == [RED]
    (note,) = [note for note in back.notes if "The order names" in note]
    assert f"the colour {WHITE}, which back.svg doesn't show: what it says" in note
    # each order.toml of the folder can be read by itself
    named = [f'hex = "{WHITE}"' in files[f"{key}/order.toml"].decode() for key in keys]
    assert named == [True, False]
    assert files["order.toml"].decode().count(f'hex = "{WHITE}"') == 1


@pytest.mark.parametrize("typed", ["colour.#123456.printed=true", f"colour.{RED}.print_as=#123456"])
def test_set_of_a_colour_that_no_print_has_is_refused(two_prints: Path, typed: str) -> None:
    """Whichever print comes first says so."""
    with open_line(Request(two_prints, sets=(typed,)), plugins=Plugins()) as line:
        for setup in line.setups:
            with pytest.raises(InputError) as caught:
                line.job(setup)
            said = f"--set {typed}: {setup.artwork.name} doesn't have the colour #123456; it has "
            assert str(caught.value).startswith(said)


def test_a_colour_the_order_itself_names_must_be_in_that_print(two_prints: Path) -> None:
    """In order.toml it stands under one print and is meant for it."""
    text = two_prints.read_text().replace(
        "[[garment]]", f'[[print.colour]]\nhex = "{WHITE}"\n[[garment]]'
    )
    two_prints.write_text(text)
    with open_line(Request(two_prints), plugins=Plugins()) as line:
        front, back = line.setups
        line.job(front)
        with pytest.raises(
            InputError, match=r"colour\[1\].hex = .*: back.svg doesn't have the colour"
        ):
            line.job(back)


def test_the_switch_on_the_command_line(drawing: Path) -> None:
    """bare_shirt = false prints white on white; near_equal = 0 reports nothing."""
    request = Request(drawing, width="100 mm", sets=("bare_shirt=false", "near_equal=0"))
    with open_line(request, plugins=Plugins()) as line:
        job = line.draft(line.setups[0])
    assert [s.key for s in job.screens] == [WHITE, BLACK, ALMOST_BLACK, RED]
    assert not any("told apart" in note for note in job.notes)


def test_nothing_left_ends_with_2_but_can_be_measured(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """White alone on the assumed white shirt: no sheet, one line; its measures are shown all the same."""
    drawing = tmp_path / "snow.svg"
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="20mm" viewBox="0 0 40 20">'
        f'<rect width="40" height="20" fill="{WHITE}"/></svg>'
    )
    assert run(["sheet", str(drawing), "--out", str(tmp_path / "job")]) == 2
    told = capsys.readouterr().err.splitlines()
    assert told == [
        "prep: snow.svg: nothing is left to print: #ffffff would leave the shirt bare; print on"
        " shirts of another colour (--garment), or set bare_shirt = false, or take printed = false out"
    ]
    assert not (tmp_path / "job").exists()
    assert run(["measure", str(drawing), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["colours"][0]["area_mm2"] == pytest.approx(800)
    assert run(["measure", str(drawing)]) == 0
    assert "Nothing is left to print." in capsys.readouterr().out


# contradictory settings


def colours_of(*tables: str) -> str:
    """Write an order with tables of colours."""
    head = '[[print]]\nartwork = "flag.svg"\nwidth = "100 mm"\n'
    return head + "".join(f"[[print.colour]]\n{table}\n" for table in tables)


@pytest.mark.parametrize(
    ("tables", "says"),
    [
        (
            ('hex = "#000"\nprint_as = "#000000"',),
            "colour[1].print_as: #000000 is this colour itself; take print_as out",
        ),
        (
            ('hex = "#000"\nprint_as = "#c0392b"\nprinted = false',),
            "colour[1].print_as: #000000 also says printed = false; keep one of them",
        ),
        (
            ('hex = "#000"\nprint_as = "#c0392b"\nprinted = true',),
            "colour[1].print_as: #000000 also says printed = true; keep one of them",
        ),
        (
            ('hex = "#c0392b"\nprinted = false', 'hex = "#000"\nprint_as = "#c0392b"'),
            "colour[2].print_as: #c0392b is not printed itself (printed = false); say printed = false"
            " here too, in place of print_as",
        ),
        (
            ('hex = "#000"\nprint_as = "#000001"', 'hex = "#000001"\nprint_as = "#000"'),
            "colour[1].print_as: #000000 and #000001 are each printed as the other; take print_as out"
            " of one of them",
        ),
        (
            ('hex = "#000"\nprint_as = "#000001"', 'hex = "#000001"\nprint_as = "#c0392b"'),
            'colour[1].print_as: #000001 is printed as #c0392b itself; say print_as = "#c0392b" here'
            " too",
        ),
        (
            ('hex = "#000"\nprint_as = "#c0392b"\nink = "coal"\npasses = 2',),
            "colour[1].print_as: ink, passes of #000000 would never be used; set it for #c0392b"
            " instead, or take print_as out",
        ),
        (
            ('hex = "#000"\nprint_as = "reddish"',),
            'colour[1].print_as: "reddish" is not a colour; write it like "#1f3a5f", or as one of'
            " the colour names of CSS, like navy or darkgreen",
        ),
        (('hex = "#000"\nprinted = "no"',), 'colour[1].printed = "no": must be true or false'),
    ],
)
def test_contradictions_name_key_and_remedy(
    drawing: Path, tables: tuple[str, ...], says: str
) -> None:
    """One line for each, before the artwork is read."""
    order = drawing.with_name("order.toml")
    order.write_text(colours_of(*tables))
    with pytest.raises(SettingsError) as refused:
        load(Request(order), {})
    assert refused.value.lines()[0] == f"{order}: print[1].{says}"


def test_what_is_in_force_says_the_same_again(drawing: Path) -> None:
    """Every key of the palette is written out and read back."""
    order = drawing.with_name("order.toml")
    keys = "bare_shirt = false\nnear_equal = 1.5\n"
    order.write_text(
        keys
        + colours_of(
            'hex = "#000001"\nprint_as = "#000"',
            'hex = "#c0392b"\nprinted = false',
            'hex = "#fff"\nprinted = true',
        )
    )
    loaded = load(Request(order), {})
    again = drawing.with_name("again.toml")
    again.write_text(loaded.in_force(loaded.setups[0]))
    read = load(Request(again), {})
    assert (read.order.bare_shirt, read.order.near_equal) == (False, 1.5)
    assert read.setups[0].colours == loaded.setups[0].colours
    assert loaded.chosen_for(loaded.setups[0]).origins["near_equal"] == "order.toml"


def test_the_tolerance_has_a_default_and_bounds(drawing: Path) -> None:
    """2.3 where nobody says; below 0 is refused."""
    assert load(Request(drawing), {}).order.near_equal == 2.3
    with pytest.raises(SettingsError, match="near_equal=-1: must be at least 0"):
        load(Request(drawing, sets=("near_equal=-1",)), {})
